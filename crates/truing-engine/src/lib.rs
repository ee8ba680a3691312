//! What the readings say: a sheet against a spec gives findings with their reasons. Knows nothing
//! of text, files or words for people.
//!
//! Read in this order: [`sheet`] (the readings), [`meter`] (what they were taken with),
//! [`finding`] (what comes of them and why), [`budget`] (how uncertain it is), [`simulation`] (the same by trials), [`fitness`] (what a
//! meter cannot be used for), [`mod@reference`] (how it is judged, to be read beside the language reference), then the compiled
//! evaluator that is held equal to it: `program`, [`plan`], `arithmetic`, `run`, `stand`, `judge`,
//! [`evaluator`], `explain`, `values`, `figures`; for errors `doubt`, `taken`, `errors`, `propagate`, `order`,
//! `formula`, `sum`, `decide`, `weigh`. Beside it [`capability`] and [`remedy`]: what a meter can decide; [`suspects`]: which fault explains it; [`procedure`]: where a job stands
//! in a written order.

mod arithmetic;
pub mod budget;
pub mod capability;
mod correction;
mod correlations;
mod decide;
mod doubt;
mod enclosure;
mod errors;
pub mod evaluator;
mod expected;
mod explain;
mod fast;
mod figures;
pub mod finding;
pub mod fitness;
mod flat;
mod formula;
mod full;
mod judge;
mod law;
pub mod meter;
mod order;
pub mod plan;
pub mod procedure;
mod program;
mod propagate;
pub mod reference;
pub mod remedy;
mod run;
pub mod sheet;
pub mod simulation;
mod span;
mod stand;
mod sum;
pub mod suspects;
mod taken;
mod values;
mod weigh;

pub use budget::{BudgetLine, BudgetPart, Conformance, Uncertainty, Weight};
pub use capability::{Ability, AtEnd, Capability, study, study_until_decided};
pub use evaluator::{Detail, Evaluator, assess, assess_with};
pub use finding::{
    AppliedLimit, Because, Bound, DerivedFinding, Finding, Findings, NoNumber, Reason, Slip,
    Spanned, Summary, Value, Verdict,
};
pub use fitness::Unfit;
pub use law::{law_at, sequence_unbalance};
pub use meter::MeterUse;
pub use plan::Plan;
pub use remedy::{alternatives, would_settle};
pub use sheet::{Sheet, SheetError};
pub use simulation::{
    Difference, LinearAgreement, MOST_TRIALS, NotSimulated, Simulated, SimulationFinding,
    SimulationOptions, simulate,
};
pub use suspects::{SuspectPlan, Visit};
pub use truing_diagnosis::PolicyLimits;
