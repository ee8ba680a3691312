//! A spec's own tests.

use serde::{Deserialize, Serialize};
use truing_units::Measure;

use crate::expression::NumberId;
use crate::fault::FaultId;
use crate::limit::DecideRule;
use crate::measurement::{CheckId, PropertyId, SlotId};
use crate::outcome::OutcomePattern;
use crate::reading::{PropertyValue, Reading};

/// Readings, and what must come of them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Case {
    /// Its name.
    pub name: String,
    /// What it shows.
    pub title: String,
    /// The file and line of its keyword, for people.
    pub place: String,
    /// What was read.
    pub readings: Vec<(SlotId, Reading)>,
    /// What the machine is.
    pub properties: Vec<(PropertyId, PropertyValue)>,
    /// Its decision rule, in place of the spec's.
    pub decide: Option<DecideRule>,
    /// The name of the meter that it was read with.
    pub meter: Option<String>,
    /// What must come.
    pub expectations: Vec<Expectation>,
}

/// What must come of a case.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Expectation {
    /// The outcome of a check.
    Outcome {
        /// The check.
        check: CheckId,
        /// What is expected.
        expected: OutcomePattern,
    },
    /// The value of a derived quantity or a reading, to the digits written.
    Value {
        /// Its name as written.
        label: String,
        /// How it is worked out.
        number: NumberId,
        /// What is expected.
        expected: Measure,
        /// The same in the coherent unit.
        value: f64,
        /// Half a unit of its last digit.
        half_step: f64,
    },
    /// A fault among the suspects, judged by the ranking of faults.
    Suspect {
        /// The fault's name as written.
        fault: String,
        /// The faults that this means: all members of a family where no index is written.
        #[serde(default)]
        faults: Vec<FaultId>,
        /// Whether it must lead.
        first: bool,
        /// With at least this probability.
        at_least: Option<f64>,
    },
}
