//! Interval arithmetic: what is possible of a result, given what is possible of its parts.
//!
//! A range is either exact at both ends or at neither. A quantity that occurs twice in a formula is
//! taken as two that may differ, which can make a range too wide and never too narrow; of single
//! values it makes no difference.

use truing_model::Function;

use super::real::{Real, known_ln, known_log10};
use super::{Known, Unknown};

/// One end.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct End {
    pub at: Real,
    /// The end itself is impossible.
    pub open: bool,
}

/// All from `low` to `high`.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct Range {
    pub low: End,
    pub high: End,
}

impl End {
    pub const fn closed(at: Real) -> Self {
        Self { at, open: false }
    }

    pub const fn open(at: Real) -> Self {
        Self { at, open: true }
    }

    fn map(self, of: impl Fn(Real) -> Real) -> Self {
        Self { at: of(self.at), open: self.open }
    }

    fn is_zero(self) -> bool {
        self.at == Real::ZERO
    }

    fn product(self, other: Self) -> Known<Self> {
        // Nought is reached where one factor can be nought itself.
        let open = match (self.is_zero(), other.is_zero()) {
            (true, true) => self.open && other.open,
            (true, false) => self.open,
            (false, true) => other.open,
            (false, false) => self.open || other.open,
        };
        Ok(Self { at: self.at.multiply(other.at)?, open })
    }

    /// Of two lower ends the one that lets more through, of two upper ends likewise.
    fn outermost(self, other: Self, outside: fn(Real, Real) -> bool) -> Self {
        if outside(self.at, other.at) {
            self
        } else if outside(other.at, self.at) {
            other
        } else if self.at.same(other.at) {
            Self { at: self.at, open: self.open && other.open }
        } else {
            End::closed(self.joined(other))
        }
    }

    /// Of two lower ends the one that lets less through, of two upper ends likewise.
    fn innermost(self, other: Self, outside: fn(Real, Real) -> bool) -> Self {
        if outside(self.at, other.at) {
            other
        } else if outside(other.at, self.at) {
            self
        } else if self.at.same(other.at) {
            Self { at: self.at, open: self.open || other.open }
        } else {
            End::closed(self.joined(other))
        }
    }

    /// Both, where it is not known which is the larger.
    fn joined(self, other: Self) -> Real {
        let ((a, b), (c, d)) = (self.at.enclosed(), other.at.enclosed());
        Real::Near(a.min(c), b.max(d))
    }
}

fn lower(a: Real, b: Real) -> bool {
    a.below(b)
}

fn higher(a: Real, b: Real) -> bool {
    b.below(a)
}

impl Range {
    pub const WHOLE: Self =
        Self { low: End::open(Real::MinusInfinity), high: End::open(Real::PlusInfinity) };

    pub const fn point(at: Real) -> Self {
        Self { low: End::closed(at), high: End::closed(at) }
    }

    /// Both ends exact, or neither.
    pub fn new(low: End, high: End) -> Self {
        if low.at.is_exact() && high.at.is_exact() {
            Self { low, high }
        } else {
            Self { low: low.map(Real::loosened), high: high.map(Real::loosened) }
        }
    }

    /// Whether every value here is at most every value there.
    pub fn at_most(self, other: Self) -> Known<bool> {
        if self.high.at.at_most(other.low.at) {
            return Ok(true);
        }
        let apart = other.high.at.below(self.low.at);
        let touching = other.high.at.same(self.low.at) && (other.high.open || self.low.open);
        if apart || touching { Ok(false) } else { Err(Unknown::Undecided) }
    }

    /// Whether every value here is below every value there.
    pub fn below(self, other: Self) -> Known<bool> {
        other.at_most(self).map(|at_most| !at_most)
    }

    pub fn equal(self, other: Self) -> Known<bool> {
        match (self.at_most(other), other.at_most(self)) {
            (Ok(true), Ok(true)) => Ok(true),
            (Ok(false), _) | (_, Ok(false)) => Ok(false),
            _ => Err(Unknown::Undecided),
        }
    }

    /// Whether zero is possible, or cannot be ruled out.
    fn may_be_zero(self) -> bool {
        let surely_above = Real::ZERO.below(self.low.at) || self.low.is_zero() && self.low.open;
        let surely_below = self.high.at.below(Real::ZERO) || self.high.is_zero() && self.high.open;
        !surely_above && !surely_below
    }

    fn may_be_negative(self) -> bool {
        !Real::ZERO.at_most(self.low.at)
    }

    pub fn negate(self) -> Self {
        Self::new(self.high.map(Real::negate), self.low.map(Real::negate))
    }

    pub fn add(self, other: Self) -> Known<Self> {
        let end = |a: End, b: End| Ok(End { at: a.at.add(b.at)?, open: a.open || b.open });
        Ok(Self::new(end(self.low, other.low)?, end(self.high, other.high)?))
    }

    pub fn subtract(self, other: Self) -> Known<Self> {
        self.add(other.negate())
    }

    pub fn multiply(self, other: Self) -> Known<Self> {
        let corners = [
            self.low.product(other.low)?,
            self.low.product(other.high)?,
            self.high.product(other.low)?,
            self.high.product(other.high)?,
        ];
        let [first, rest @ ..] = corners;
        let low = rest.into_iter().fold(first, |low, corner| low.outermost(corner, lower));
        let high = rest.into_iter().fold(first, |high, corner| high.outermost(corner, higher));
        Ok(Self::new(low, high))
    }

    /// The quotient; by what may be zero it is no number.
    pub fn divide(self, other: Self) -> Known<Self> {
        if other.may_be_zero() {
            return Err(Unknown::Undecided);
        }
        if self.is_single() && other.is_single() {
            return Ok(Self::point(self.low.at.divide(other.low.at)?));
        }
        let over = |end: End, unbounded: Real| {
            Ok(match end.at {
                Real::MinusInfinity | Real::PlusInfinity => End::open(Real::ZERO),
                _ if end.is_zero() => End::open(unbounded),
                at => End { at: Real::ONE.divide(at)?, open: end.open },
            })
        };
        let reciprocal =
            Self::new(over(other.high, Real::MinusInfinity)?, over(other.low, Real::PlusInfinity)?);
        self.multiply(reciprocal)
    }

    fn is_single(self) -> bool {
        self.low == self.high
    }

    pub fn abs(self) -> Self {
        if !self.may_be_negative() {
            return self;
        }
        let mirrored = self.negate();
        if self.high.at.at_most(Real::ZERO) {
            return mirrored;
        }
        let zero = End::closed(Real::ZERO);
        Self::new(zero, self.high.outermost(mirrored.high, higher))
    }

    pub fn power(self, exponent: i8) -> Known<Self> {
        let count = exponent.unsigned_abs();
        let base = if count % 2 == 0 { self.abs() } else { self };
        let raise = |end: End| {
            let mut at = Real::ONE;
            for _ in 0..count {
                at = at.multiply(end.at)?;
            }
            Ok(End { at, open: end.open })
        };
        let raised = if count == 0 {
            Self::point(Real::ONE)
        } else {
            Self::new(raise(base.low)?, raise(base.high)?)
        };
        if exponent < 0 { Self::point(Real::ONE).divide(raised) } else { Ok(raised) }
    }

    pub fn apply(self, function: Function) -> Known<Self> {
        match function {
            Function::Abs => Ok(self.abs()),
            Function::Sqrt if self.may_be_negative() => Err(Unknown::Undecided),
            Function::Sqrt => Ok(Self::new(self.low.map(Real::sqrt), self.high.map(Real::sqrt))),
            Function::Exp => {
                let end = |end: End| Ok(End { at: end.at.exp()?, open: end.open });
                Ok(Self::new(end(self.low)?, end(self.high)?))
            }
            Function::Ln => self.logarithm(libm::log, known_ln),
            Function::Log10 => self.logarithm(libm::log10, known_log10),
            Function::Round => {
                let end = |end: End| match end.at {
                    Real::MinusInfinity | Real::PlusInfinity => end,
                    at => End::closed(at.round()),
                };
                Ok(Self::new(end(self.low), end(self.high)))
            }
        }
    }

    fn logarithm(
        self,
        of: fn(f64) -> f64,
        known: fn(truing_units::Exact) -> Option<truing_units::Exact>,
    ) -> Known<Self> {
        let above_zero = Real::ZERO.below(self.low.at) || self.low.is_zero() && self.low.open;
        if !above_zero {
            return Err(Unknown::Undecided);
        }
        let end = |end: End| end.map(|at| at.logarithm(of, known));
        Ok(Self::new(end(self.low), end(self.high)))
    }

    pub fn least(self, other: Self) -> Self {
        Self::new(self.low.outermost(other.low, lower), self.high.innermost(other.high, higher))
    }

    pub fn greatest(self, other: Self) -> Self {
        Self::new(self.low.innermost(other.low, lower), self.high.outermost(other.high, higher))
    }

    pub fn hull(self, other: Self) -> Self {
        Self::new(self.low.outermost(other.low, lower), self.high.outermost(other.high, higher))
    }
}
