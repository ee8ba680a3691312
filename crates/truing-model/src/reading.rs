//! What an instrument showed, never more.

use serde::{Deserialize, Serialize};
use truing_units::{Exact, Measure};

/// A figure that a display showed, with its digits, and the same in the coherent unit of its place.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Indication {
    /// As shown: `12.71 V`.
    pub shown: Measure,
    /// In the coherent unit of the slot's kind, correctly rounded.
    pub value: f64,
    /// The same exactly; `None` where the digits exceed what exact arithmetic holds.
    pub exact: Option<Exact>,
    /// Half a unit of the last digit shown, in the coherent unit (an amount, no offset).
    pub half_step: f64,
}

/// The forms of a reading.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Reading {
    /// A number with its unit.
    Figure(Indication),
    /// `OL`: above the top of the range in use. A censored value, never a number.
    Overload {
        /// The top of the range in use, where it is known.
        range: Option<Indication>,
    },
    /// More than a bound.
    Above {
        /// The bound.
        bound: Indication,
        /// Whether the bound itself is possible.
        inclusive: bool,
    },
    /// Less than a bound.
    Below {
        /// The bound.
        bound: Indication,
        /// Whether the bound itself is possible.
        inclusive: bool,
    },
    /// From `low` (possible) up to `high` (not possible): a go and a no-go gauge.
    Between {
        /// The gauge that goes.
        low: Indication,
        /// The gauge that does not.
        high: Indication,
    },
    /// The display did not settle.
    Unsteady {
        /// The least seen.
        low: Indication,
        /// The most seen.
        high: Indication,
        /// What moved it.
        moved_by: Option<String>,
    },
    /// The same measured several times; the slot says how they become one value.
    Repeats(Vec<Indication>),
    /// Pairs of (quantity swept over, indication), rising in the first.
    Sweep(Vec<(Indication, Indication)>),
    /// An observation's word, by its place among the slot's words.
    Word(u16),
    /// Not taken, with the reason where one is given.
    NotTaken {
        /// Why.
        reason: Option<String>,
    },
}

/// What a property of the machine is.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PropertyValue {
    /// A word, by its place among the property's words.
    Word(u16),
    /// A figure: a serial number, a year.
    Figure(Indication),
}
