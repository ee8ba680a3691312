//! How uncertain a value is, and what makes it so: plain data, no words.

use serde::Serialize;
use truing_metrology::uncertainty::Shape;
use truing_model::{Outcome, SlotId};

/// The probabilities that the true value lies in the parts that a limit makes (JCGM 106:2012,
/// clause 7).
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Conformance {
    /// Inside the limit; of a limit with a service limit inside the standard one.
    pub within: f64,
    /// Inside the limit or inside the service limit.
    pub passes: f64,
    /// Outside on the low side.
    pub low: f64,
    /// Outside on the high side.
    pub high: f64,
}

/// How uncertain a value is.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Uncertainty {
    /// The standard uncertainty (JCGM 100:2008, 2.3.1), in the coherent unit of the value.
    pub standard: f64,
    /// The effective degrees of freedom (JCGM 100:2008, G.4.1); `None` where they are infinite.
    pub dof: Option<f64>,
    /// The probability that the true value lies within the expanded uncertainty.
    pub coverage: f64,
    /// The expanded over the standard uncertainty (JCGM 100:2008, 2.3.6).
    pub coverage_factor: f64,
    /// The expanded uncertainty, to either side (JCGM 100:2008, 2.3.5).
    pub expanded: f64,
}

impl Uncertainty {
    /// Of what is known exactly.
    pub(crate) const fn none() -> Self {
        Self { standard: 0.0, dof: None, coverage: 1.0, coverage_factor: 0.0, expanded: 0.0 }
    }
}

/// What a check comes to by its errors, without its reasons; its budget stands beside it.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Weight {
    /// What came out.
    pub outcome: Outcome,
    /// How probable the parts are that the limit makes.
    pub conformance: Option<Conformance>,
    /// How uncertain the value is, against the nearest end.
    pub uncertainty: Option<Uncertainty>,
    /// The largest expanded uncertainty that would decide at this distance from the nearest end.
    pub settles: Option<f64>,
}

/// One line of an uncertainty budget (VIM 2.33): one elementary error.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct BudgetLine {
    /// What the error comes of.
    pub part: BudgetPart,
    /// The reading that it belongs to, or the first of those that share it.
    pub slot: Option<SlotId>,
    /// How many readings it enters by.
    pub readings: u32,
    /// How it is distributed.
    pub shape: Shape,
    /// The standard uncertainty of the error itself, in the unit of the reading; of an error that
    /// several readings share its contribution.
    pub standard_uncertainty: f64,
    /// How much the value judged changes with the reading; `None` where several share the error.
    pub sensitivity: Option<f64>,
    /// What it contributes to the standard uncertainty, in the unit of the value judged.
    pub contribution: f64,
    /// Its part of the variance, from nought to one.
    pub share: f64,
    /// Its degrees of freedom; `None` where they are infinite.
    pub dof: Option<f64>,
}

/// What an elementary error comes of.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum BudgetPart {
    /// The limit of error of the instrument.
    Accuracy,
    /// The last digit, of the display or as written.
    Resolution,
    /// The resistance of the leads.
    Leads,
    /// The resolution with which the instrument was zeroed.
    Zero,
    /// How the instrument is applied.
    Technique,
    /// That the instrument held a least or greatest value.
    Capture,
    /// The part of the limit of error that goes by the span of the range.
    Span,
    /// The scatter of repeats.
    Repeats,
    /// The circuit that the instrument loads.
    Circuit,
    /// The uncertainty that the sheet states.
    Stated,
    /// The readings whose correlation the sheet states, together.
    Correlated,
}
