//! What the compiled evaluator asks of its numbers. There are two kinds: [`crate::fast`] compares
//! doubles and may say that it cannot tell; [`crate::full`] then tells, exactly where that exists.

use truing_model::{Function, Indication, Law, Reading, Side};

use crate::decide::Asked;
use crate::doubt::Doubt;
use crate::enclosure::Fixed;
use crate::finding::{NoNumber, Spanned};
use crate::flat::{FlatReading, FlatSlot};

/// How far readings are widened.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) enum Mode {
    /// Not at all.
    Simple,
    /// By so many standard uncertainties.
    Guarded(f64),
    /// By as much as the true value may lie from them.
    Full,
    /// Not at all: the errors are carried along beside them, and logic goes by those.
    Linear(Asked),
}

/// How uncertain a figure is, for widening it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Width {
    /// How far the true value may lie from it.
    pub reach: f64,
    /// Its standard uncertainty.
    pub standard: f64,
    /// Whether all of it is half of the last digit as written, which is known exactly.
    pub digit: bool,
}

impl Width {
    pub const NONE: Self = Self { reach: 0.0, standard: 0.0, digit: true };

    /// Half of the last digit as written.
    pub fn digit(half: f64) -> Self {
        Self { digit: true, ..Self::of(&Doubt::digit(half), half) }
    }

    /// Of the errors of a figure whose half of the last digit is known.
    pub fn of(doubt: &Doubt, half: f64) -> Self {
        let digit = doubt.is_digit(half);
        Self { reach: doubt.reach(), standard: doubt.standard(), digit }
    }
}

/// Why there is no number.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) enum Lack {
    /// It works out to none.
    NoNumber(NoNumber),
    /// The curve of this limit says nothing there.
    Curve(u32),
    /// Something else comes first.
    Blocked,
    /// This property is not known.
    Property(u32),
    /// The doubles cannot tell.
    Unclear,
    /// Errors cannot be carried along: it has to be told by intervals.
    Rough,
    /// A reading was not taken.
    Missing,
}

impl Lack {
    const fn rank(self) -> u8 {
        match self {
            Self::NoNumber(_) => 0,
            Self::Curve(_) => 1,
            Self::Blocked => 2,
            Self::Property(_) => 3,
            // Exactly worked out it may become anything but a reading that is missing elsewhere.
            Self::Unclear => 4,
            Self::Rough => 5,
            Self::Missing => 6,
        }
    }

    /// Of two reasons the one that counts.
    pub const fn stronger(self, other: Self) -> Self {
        if self.rank() >= other.rank() { self } else { other }
    }
}

/// Why a truth value is unknown; of several reasons the greatest counts.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Cause {
    /// What is known does not decide it.
    Undecided,
    /// Something else comes first.
    Blocked,
    /// This property is not known.
    Property(u32),
    /// Errors cannot be carried along: it has to be told by intervals.
    Rough,
    /// A reading was not taken.
    NotTaken,
}

/// A truth value.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum Truth {
    False,
    True,
    Unknown(Cause),
    /// The doubles cannot tell.
    Unclear,
}

impl From<bool> for Truth {
    fn from(known: bool) -> Self {
        if known { Self::True } else { Self::False }
    }
}

impl Truth {
    pub const fn negate(self) -> Self {
        match self {
            Self::False => Self::True,
            Self::True => Self::False,
            other => other,
        }
    }

    pub const fn lacking(lack: Lack) -> Self {
        match lack {
            Lack::NoNumber(_) | Lack::Curve(_) => Self::Unknown(Cause::Undecided),
            Lack::Blocked => Self::Unknown(Cause::Blocked),
            Lack::Property(property) => Self::Unknown(Cause::Property(property)),
            Lack::Unclear => Self::Unclear,
            Lack::Rough => Self::Unknown(Cause::Rough),
            Lack::Missing => Self::Unknown(Cause::NotTaken),
        }
    }
}

/// Whether every value here is at most every value there.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum Order {
    Yes,
    No,
    /// It depends on the value.
    Depends,
    /// The doubles cannot tell.
    Unclear,
}

/// Both ends of a limit as numbers, with whether they are outside themselves.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Ends<N> {
    pub low: Option<(N, bool)>,
    pub high: Option<(N, bool)>,
}

/// How something stands to a limit.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) enum Stand {
    Within,
    Worn,
    Outside(Option<Side>),
    Spans {
        ends: Spanned,
        /// Within or worn, which of them is not known.
        passes: bool,
    },
    NotSpecified,
    NotThisVariant,
}

/// A number, or why there is none.
pub(crate) type Known<N> = Result<N, Lack>;

/// Numbers of one kind.
pub(crate) trait Arithmetic {
    /// A number.
    type Number: Copy;

    /// What there is to say where a place lies on both sides of a step as well as it is known here.
    const ON_A_STEP: Lack;

    /// How wide rounding alone makes a number.
    fn rounding(of: Self::Number) -> f64;

    /// A fixed figure.
    fn fixed(figure: &Fixed) -> Self::Number;
    /// What a reading makes possible.
    fn reading(
        slot: &FlatSlot,
        flat: &FlatReading,
        reading: &Reading,
        mode: Mode,
        width: Width,
    ) -> Self::Number;
    /// A single indication outside any slot.
    fn indication(of: &Indication, mode: Mode, width: Width) -> Self::Number;
    /// The double that is nearest to a single value.
    fn nearest(of: Self::Number) -> Option<f64>;

    fn negate(of: Self::Number) -> Self::Number;
    fn add(a: Self::Number, b: Self::Number) -> Known<Self::Number>;
    fn multiply(a: Self::Number, b: Self::Number) -> Known<Self::Number>;
    fn divide(a: Self::Number, b: Self::Number) -> Known<Self::Number>;
    fn power(of: Self::Number, exponent: i8) -> Known<Self::Number>;
    fn apply(function: Function, of: Self::Number) -> Known<Self::Number>;
    fn law(law: Law, of: Self::Number) -> Known<Self::Number>;
    fn least(a: Self::Number, b: Self::Number) -> Self::Number;
    fn greatest(a: Self::Number, b: Self::Number) -> Self::Number;
    fn hull(a: Self::Number, b: Self::Number) -> Self::Number;
    fn at_most(a: Self::Number, b: Self::Number) -> Order;
    /// The lower end as a number of its own, where there is one.
    fn low_end(of: Self::Number) -> Option<Self::Number>;
    /// The upper end likewise.
    fn high_end(of: Self::Number) -> Option<Self::Number>;

    fn subtract(a: Self::Number, b: Self::Number) -> Known<Self::Number> {
        Self::add(a, Self::negate(b))
    }
}
