//! An order of work, with branches: a tree of steps, laid flat.

use serde::{Deserialize, Serialize};

use crate::expression::LogicId;
use crate::fault::FaultId;
use crate::id::id;
use crate::measurement::{CautionId, CheckId, DerivedId, SlotId};

id! {
    /// A step, by its place in its procedure.
    StepId
}

/// What to do about a complaint.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Procedure {
    /// Its name.
    pub name: String,
    /// The complaint, or what it finds out.
    pub title: String,
    /// All its steps as they are read, a branch before the steps in it.
    pub steps: Vec<Step>,
    /// The steps that lie in no branch.
    pub body: Vec<StepId>,
}

impl Procedure {
    /// A step.
    #[must_use]
    pub fn step(&self, id: StepId) -> Option<&Step> {
        self.steps.get(id.0 as usize)
    }
}

/// One step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// Take these, in order.
    Take(Vec<Taken>),
    /// Go on by what came out; where that is unknown, neither way.
    If {
        /// The condition.
        condition: LogicId,
        /// As written, for people.
        #[serde(default)]
        label: String,
        /// Where it holds.
        then: Vec<StepId>,
        /// Where it does not.
        otherwise: Vec<StepId>,
    },
    /// Tell the reader.
    Advise(String),
    /// These are the suspects.
    Suspect(Vec<FaultId>),
    /// What can hurt from here on.
    Caution(Vec<CautionId>),
    /// The procedure ends.
    Stop,
}

/// What a step takes.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Taken {
    /// What a check needs.
    Check(CheckId),
    /// A reading or an observation.
    Slot(SlotId),
    /// What a derived quantity needs.
    Derived(DerivedId),
}
