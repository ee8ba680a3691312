//! Findings and diagnostics for people and programs: terminal text and JSON.
//!
//! Read in this order: [`diagnostic_text`] and [`diagnostic_json`] (what is wrong with a spec),
//! [`problem`] (what is wrong with a sheet or a call), [`capability_text`] and [`mod@capability_json`]
//! (what meters can decide), `faults_text` and `faults_json` (what checks can show of faults), [`case_result`] with its text and JSON (a
//! spec's own tests), then [`report`] (what a report is made from), `teller` (looking things up),
//! `value_text`, `reading_text`, `limit_text`, [`mod@reason_text`], `open_text`, `unfit_text` and `logic_text` (from data to
//! words), `suspects_words`, `suspects_next`, `suspects_text` and `suspects_json` (which fault explains it), `account` (one check in words), `budget_text` and `budget_json` (its uncertainty), `simulation_text` and
//! `simulation_json` (the same by trials), and [`report_text`], `groups`, `comparison` and
//! [`mod@findings_json`] (the whole). `style` and `layout` lie under all of them.
//!
//! The public JSON formats are described in `schema/`, one file each.

mod account;
mod budget_json;
mod budget_text;
pub mod capability_json;
pub mod capability_text;
pub mod case_json;
pub mod case_result;
pub mod case_text;
mod comparison;
pub mod diagnostic_json;
pub mod diagnostic_text;
mod faults_json;
mod faults_text;
pub mod findings_json;
mod folded;
mod groups;
mod layout;
mod limit_text;
mod logic_text;
mod open_text;
mod place_index;
pub mod problem;
mod reading_json;
mod reading_text;
pub mod reason_text;
pub mod report;
pub mod report_text;
mod simulation_json;
mod simulation_text;
pub mod style;
mod suspects_json;
mod suspects_next;
mod suspects_text;
mod suspects_words;
mod teller;
mod unfit_text;
mod value_text;
pub mod verdict;

pub use capability_json::capability_json;
pub use capability_text::{CapabilityReport, render_capability};
pub use case_json::cases_json;
pub use case_result::{CaseResult, ExpectationResult};
pub use case_text::{cases_summary, render_cases};
pub use diagnostic_json::diagnostics_json;
pub use diagnostic_text::render_diagnostics;
pub use faults_json::faults_json;
pub use faults_text::{FaultsReport, render_faults};
pub use findings_json::findings_json;
pub use layout::counted;
pub use problem::{Problem, problems_json, render_problems};
pub use reason_text::reason_text;
pub use report::{Report, Round, Simulation};
pub use report_text::{render_findings, render_report};
pub use style::Style;
pub use suspects_json::next_json;
pub use suspects_text::{SuspectsReport, render_next, render_suspects};
pub use verdict::{exit_status, verdict_words};
