//! How quantities are worked out: two arenas, of numbers and of logic, children before parents.
//!
//! Values are `f64` in the coherent unit of their kind; units were settled when the spec was
//! checked. Families are gone: every member has nodes of its own. A derived quantity that is used
//! twice is the same node twice.

use serde::{Deserialize, Serialize};
use truing_units::Exact;

use crate::id::id;
use crate::limit::LimitId;
use crate::measurement::{CheckId, PropertyId, SlotId};

id! {
    /// A number node, by its place in [`crate::SpecParts::numbers`].
    NumberId
}

id! {
    /// A logic node, by its place in [`crate::SpecParts::logic`].
    LogicId
}

/// How a number comes about.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NumberNode {
    /// A constant.
    Constant {
        /// In the coherent unit.
        value: f64,
        /// The same exactly, where it is.
        exact: Option<Exact>,
    },
    /// What was read.
    Slot(SlotId),
    /// A figure that the machine has: a serial number, a year.
    Property(PropertyId),
    /// `-x`
    Negate(NumberId),
    /// `a + b`
    Add(NumberId, NumberId),
    /// `a - b`
    Subtract(NumberId, NumberId),
    /// `a * b`
    Multiply(NumberId, NumberId),
    /// `a / b`; by zero is no number, and the check is undecided.
    Divide(NumberId, NumberId),
    /// `a ^ n`
    Power(NumberId, i8),
    /// A function of one number.
    Apply(Function, NumberId),
    /// A law of the trade of one quantity, rising or falling all the way; outside its range no
    /// number.
    Law {
        /// Which law.
        law: Law,
        /// Of what.
        of: NumberId,
    },
    /// A function of several, in order of declaration.
    Fold(Fold, Vec<NumberId>),
    /// A resistance referred to another temperature: R·(k + to)/(k + from), temperatures in °C
    /// (IEC 60028 gives k = 234.5 for copper). The nodes carry kelvins.
    Refer {
        /// The resistance.
        resistance: NumberId,
        /// The temperature at which it was read.
        from: NumberId,
        /// The temperature that it is referred to.
        to: NumberId,
        /// k in °C.
        k: Exact,
    },
    /// A curve of single values at a point: between the points as the curve says, outside them no
    /// number. The curve's bands have equal ends.
    CurveAt {
        /// The limit that holds the curve.
        curve: LimitId,
        /// Where.
        at: NumberId,
    },
    /// `if p then a else b`
    Choose {
        /// The condition.
        condition: LogicId,
        /// Where it holds.
        then: NumberId,
        /// Where it does not.
        otherwise: NumberId,
    },
}

/// Functions of one number.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Function {
    /// Absolute value.
    Abs,
    /// Square root; of a negative number no number.
    Sqrt,
    /// e to the power.
    Exp,
    /// Natural logarithm; of zero and below no number.
    Ln,
    /// Common logarithm; of zero and below no number.
    Log10,
    /// To the nearest whole number, halves away from zero.
    Round,
}

/// Laws of one quantity, each with its constants in coherent units: temperatures in kelvins.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Law {
    /// The temperature of a platinum thermometer by its resistance (IEC 60751), from -200 °C to
    /// 850 °C.
    Platinum {
        /// Its resistance at 0 °C, in ohms.
        nominal: f64,
    },
    /// The temperature of a type K junction by its voltage (IEC 60584-1), from -270 °C to 1372 °C.
    ThermocoupleK {
        /// The temperature of the reference junction, in kelvins.
        reference: f64,
    },
    /// The temperature of a thermistor by its resistance: R = R₀·exp(B·(1/T - 1/T₀)).
    Beta {
        /// R₀, in ohms.
        resistance: f64,
        /// T₀, in kelvins.
        at: f64,
        /// B, in kelvins.
        beta: f64,
    },
    /// The pressure of the standard atmosphere by altitude (ISO 2533), from -2000 m to 11 000 m.
    StandardPressure,
}

impl Law {
    /// Its constants, in the order of their declaration.
    pub fn constants(self) -> impl Iterator<Item = f64> {
        let constants = match self {
            Self::Platinum { nominal: only } | Self::ThermocoupleK { reference: only } => {
                [Some(only), None, None]
            }
            Self::Beta { resistance, at, beta } => [Some(resistance), Some(at), Some(beta)],
            Self::StandardPressure => [None; 3],
        };
        constants.into_iter().flatten()
    }
}

/// Functions of several numbers; at least one.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fold {
    /// The least.
    Min,
    /// The greatest.
    Max,
    /// The arithmetic mean.
    Mean,
    /// The sum.
    Sum,
    /// Greatest less least.
    Spread,
    /// How many.
    Count,
    /// The largest deviation from the mean, over the mean (the mean-deviation form of percent
    /// voltage unbalance, NEMA MG 1).
    Unbalance,
    /// The negative over the positive sequence of three voltages between lines (IEC 61000-4-30);
    /// of any other count, of one that is not above zero, or of three that make no triangle, no
    /// number.
    SequenceUnbalance,
}

/// A comparison.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Relation {
    /// `<`
    Less,
    /// `<=`
    LessOrEqual,
    /// `>`
    Greater,
    /// `>=`
    GreaterOrEqual,
    /// `==`
    Equal,
    /// `!=`
    NotEqual,
}

/// How a truth value comes about; three-valued.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum LogicNode {
    /// Known beforehand.
    Constant(bool),
    /// `a <= b`
    Compare {
        /// Which comparison.
        relation: Relation,
        /// Left of it.
        left: NumberId,
        /// Right of it.
        right: NumberId,
    },
    /// `x within limit at y`: true inside the limit (the service limit where there is one).
    Within {
        /// What is judged.
        subject: NumberId,
        /// Against this.
        limit: LimitId,
        /// Where on its curve.
        at: Option<NumberId>,
    },
    /// `connector is any of (clean, discoloured)`
    Is {
        /// The observation.
        slot: SlotId,
        /// The words, by place, rising.
        words: Vec<u16>,
    },
    /// `regulator is shunt`
    PropertyIs {
        /// The property.
        property: PropertyId,
        /// The words, by place, rising.
        words: Vec<u16>,
    },
    /// The check is within or worn; unknown where it is neither that nor outside.
    Passes(CheckId),
    /// The check is outside; unknown where it is neither that nor within or worn.
    Fails(CheckId),
    /// Kleene's not.
    Not(LogicId),
    /// Kleene's and, over all of these.
    All(Vec<LogicId>),
    /// Kleene's or, over all of these.
    Any(Vec<LogicId>),
}
