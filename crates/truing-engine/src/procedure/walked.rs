//! What a walk through a procedure comes to: plain data, no words.

use serde::Serialize;
use truing_model::{
    CautionId, CheckId, FaultId, FixId, LogicId, Outcome, PropertyId, SlotId, StateId, StepId,
    Taken,
};

/// Where a job stands in a written order.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Walk {
    /// The steps that were come through, in order.
    pub trail: Vec<Passed>,
    /// Where and why the walk ends.
    pub end: End,
    /// What to do next: the first step on the way that is open, else what settles the condition that
    /// the walk ends at. Nothing where the order has ended, or no reading would settle it.
    pub next: Option<WalkStep>,
}

impl Walk {
    /// Whether the order has come to its end.
    #[must_use]
    pub const fn ended(&self) -> bool {
        matches!(self.end, End::Stopped(_) | End::Finished)
    }

    /// The faults that it names so far, in its order, each once.
    #[must_use]
    pub fn suspects(&self) -> Vec<FaultId> {
        let mut named: Vec<FaultId> = Vec::new();
        for passed in &self.trail {
            if let What::Suspected(faults) = &passed.what {
                named.extend(faults.iter().filter(|id| !named.contains(id)).collect::<Vec<_>>());
            }
        }
        named
    }

    /// What was to be taken on the way and was not, with the step that asks for it.
    pub fn left_out(&self) -> impl Iterator<Item = (StepId, &Took)> {
        self.trail.iter().flat_map(|passed| {
            let took = match &passed.what {
                What::Took(took) => took.as_slice(),
                _ => &[],
            };
            took.iter().filter(|took| took.now.is_open()).map(|took| (passed.step, took))
        })
    }
}

/// A walk with the rounds of a job that lie between two repairs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StageWalk {
    /// The rounds, by place among those of the job. The walk counts them from nought.
    pub rounds: Vec<usize>,
    /// What was done before them.
    pub fitted: Vec<FixId>,
    /// Where they stand in the order.
    pub walk: Walk,
}

/// A step that was come through.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Passed {
    /// The step.
    pub step: StepId,
    /// In so many branches.
    pub depth: usize,
    /// What came of it.
    pub what: What,
}

/// What came of a step.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum What {
    /// These were to be taken.
    Took(Vec<Took>),
    /// A way was taken.
    Turned {
        /// Whether the condition holds.
        holds: bool,
        /// What decided it.
        asked: Vec<Asked>,
    },
    /// It advises.
    Advised,
    /// It names suspects.
    Suspected(Vec<FaultId>),
    /// It warns of what can hurt from here on.
    Cautioned(Vec<CautionId>),
}

/// Something that a step takes.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Took {
    /// What.
    pub taken: Taken,
    /// How it stands.
    pub now: Now,
}

/// How something stands that a step takes.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Now {
    /// The check was tried, and came out so in this round.
    Came {
        /// How.
        outcome: Outcome,
        /// The round, by its place.
        round: usize,
    },
    /// The reading, or all that a quantity is worked out of, is there.
    Read,
    /// A reading was set down as not taken.
    SetDown,
    /// The check is not made, since what it needs first does not hold.
    Barred,
    /// It could be read only while the machine stood as it came in.
    Gone,
    /// It is not there yet.
    Open,
}

impl Now {
    /// Whether it is still to be taken.
    #[must_use]
    pub const fn is_open(self) -> bool {
        matches!(self, Self::Open)
    }
}

/// Where and why a walk ends.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum End {
    /// At this `stop`.
    Stopped(StepId),
    /// Behind the last step.
    Finished,
    /// What this step takes comes before anything more is said.
    Takes(StepId),
    /// The condition of this step is not known.
    Unknown {
        /// The step.
        step: StepId,
        /// What is asked and not known.
        asked: Vec<Asked>,
    },
}

/// A part of a condition.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Asked {
    /// What is asked.
    pub of: AskedOf,
    /// What came of it: the outcome of the check; of a rule that of a check that has it.
    pub outcome: Outcome,
    /// The round that says so, by its place; none where no round does.
    pub round: Option<usize>,
    /// Whether what is asked holds; `None` where that is not known.
    pub holds: Option<bool>,
    /// Readings that have to be taken before it is known.
    pub missing: Vec<SlotId>,
    /// Readings that have to be taken again, or after all, before it is known.
    pub again: Vec<SlotId>,
    /// Properties of the machine that have to be known.
    pub properties: Vec<PropertyId>,
}

/// What a part of a condition asks.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum AskedOf {
    /// Whether the check passes.
    Passes(CheckId),
    /// Whether the check fails.
    Fails(CheckId),
    /// Whether this rule holds.
    Rule(LogicId),
}

/// What to do next.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WalkStep {
    /// The step that asks for it.
    pub step: StepId,
    /// What of its step is open; nothing where a condition asks for it.
    pub takes: Vec<Taken>,
    /// Whether something is there already and does not decide: it is taken again, or after all.
    pub again: bool,
    /// Everything that can hurt, to be told before it is begun: what the order said before it, and
    /// what the ways there and the readings bring.
    pub cautions: Vec<CautionId>,
    /// How the machine has to stand for what, in turn.
    pub stands: Vec<Stand>,
    /// The checks that it decides, as far as the step names them.
    pub checks: Vec<CheckId>,
    /// What it takes, with getting there, in minutes.
    pub minutes: f64,
}

impl WalkStep {
    /// The readings to take, in order.
    pub fn slots(&self) -> impl Iterator<Item = SlotId> {
        self.stands.iter().flat_map(|stand| stand.readings.iter().map(|read| read.slot))
    }
}

/// What is read while the machine stands in one way.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stand {
    /// How; nothing where it does not matter.
    pub state: Option<StateId>,
    /// The states that are still to be gone through on the way there, itself the last.
    pub way: Vec<StateId>,
    /// What the way and the readings bring that can hurt.
    pub cautions: Vec<CautionId>,
    /// What to read, in order.
    pub readings: Vec<ToRead>,
    /// What it takes, with getting there, in minutes.
    pub minutes: f64,
}

/// Something to read or to look at.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ToRead {
    /// The reading.
    pub slot: SlotId,
    /// Its title for people.
    pub title: String,
}
