//! Which fault explains what was measured, what to measure next, and whether a repair is proven:
//! the way from a spec and its sheets to the diagnosis maths and back, as plain data.
//!
//! Read in this order: `families` (which checks count as one), `network` and `checks` (what a spec says
//! of its faults, once), `evidence` and `joint` (what findings say of the checks), `condition` (what
//! follows from when the complaint shows), [`ranking`] (what comes of it), `rank` (how it comes),
//! `stages` (visits and repairs in turn); `worth` (what a spec's checks can show at all); `lesson`
//! (what a proven job teaches) and `learned` (what many of them do to a spec's odds and chances).

mod checks;
mod condition;
mod evidence;
mod families;
mod joint;
mod learned;
mod lesson;
mod network;
mod rank;
pub mod ranking;
mod stages;
mod worth;

pub(crate) use checks::way;
pub use families::counted_with;
pub use learned::{EffectReweighed, FaultReweighed, Reweighed, Tally, reweigh};
pub use lesson::{Lesson, WHOLE_JOB};
pub use network::{
    COMPLAINED, Complaint, NONE_WEIGHT, OTHER_WEIGHT, SuspectPlan, UNSAID_MINUTES, UnsoundFaults,
};
pub use ranking::{
    Contradiction, Contribution, CureRanked, FaultRanked, NextCheck, NextOutcome, OtherCheck,
    PairAlarm, Points, Proof, Ranking, Recommended, Remedy, RuledDown, Seen, Stage, Unused,
    Weighing, WhyUnused,
};
pub(crate) use stages::as_it_came;
pub use stages::{Visit, only_as_it_came};
pub use truing_diagnosis::{LeastEffort, Strength, Verdict as RepairVerdict};
pub use worth::{Alike, Effort, FaultWorth, Group, Mark, Order, Worth};
