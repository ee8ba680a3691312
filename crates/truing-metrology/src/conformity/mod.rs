//! Conformity of a measured quantity with a limit (JCGM 106:2012, ISO 14253-1:2017).
//!
//! Read in this order: `limits`, `conformance` (how probable it is that the limit is held), `decision`
//! (what is said of it), `guard_band`, `settling` (what would decide it), `risk` (what a rule does to
//! many items), `capability`.

mod capability;
mod conformance;
mod decision;
mod guard_band;
mod limits;
mod risk;
mod settling;

pub use capability::{
    ProcessCapability, capability_index, process_capability, tolerance_uncertainty_ratio,
};
pub use conformance::{Conformance, conformance_probability};
pub use decision::{
    Decision, GradedDecision, by_guard_band, by_probability, guarded_acceptance, non_binary, simple,
};
pub use guard_band::{
    guard_band, guard_factor, relative_rejection_limit, rss_tolerance_factor, tolerance_factor,
};
pub use limits::{Limits, LimitsError};
pub use risk::{GlobalRisk, Prior, PriorError, acceptance_limits, global_risk};
pub use settling::{settling_repeats, settling_uncertainty};
