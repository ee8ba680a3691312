//! Findings and diagnostics for people and programs: terminal text and JSON.
//!
//! Read in this order: [`diagnostic_text`] and [`diagnostic_json`] (what is wrong with a spec),
//! [`problem`] (what is wrong with a sheet or a call), [`capability_text`] and [`mod@capability_json`]
//! (what meters can decide), `faults_words`, `faults_matrix`, `faults_text`, `faults_json` and `faults_html` (what checks can
//! show of faults), [`case_result`] with its text and JSON (a spec's own tests), `edition_text` (whether a job was judged by
//! these limits), `closing_text` (what stands in the way of closing it), [`history`] with its text and JSON (many jobs), then [`report`] (what a report is made from), `teller` (looking things up),
//! `value_text`, `reading_text`, `limit_text`, [`mod@reason_text`], `open_text`, `unfit_text` and `logic_text` (from data to
//! words), `suspects_words`, `suspects_next`, `suspects_text` and `suspects_json` (which fault explains it), `walk_words`, `walk_text`, `order_text` and `walk_json` (written procedures), `account` (one check in words), `budget_text` and `budget_json` (its uncertainty), `simulation_text` and
//! `simulation_json` (the same by trials), and [`report_text`], `groups`, `comparison` and
//! [`mod@findings_json`] (the whole), and [`job_report`] (one job as a document). `style` and `layout` lie under all of them.
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
mod closing_text;
mod comparison;
pub mod diagnostic_json;
pub mod diagnostic_text;
mod edition_text;
mod faults_html;
mod faults_json;
mod faults_matrix;
mod faults_text;
mod faults_words;
pub mod findings_json;
mod folded;
mod groups;
pub mod history;
mod history_json;
mod history_text;
pub mod job_report;
mod layout;
pub mod learn;
mod learn_file;
mod learn_json;
mod learn_text;
mod learn_words;
mod limit_text;
mod logic_text;
mod open_text;
mod order_text;
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
mod walk_json;
mod walk_text;
mod walk_words;

pub use capability_json::capability_json;
pub use capability_text::{CapabilityReport, render_capability};
pub use case_json::cases_json;
pub use case_result::{CaseResult, ExpectationResult};
pub use case_text::{cases_summary, render_cases};
pub use closing_text::{conclusion_words, obstacle_text};
pub use diagnostic_json::diagnostics_json;
pub use diagnostic_text::render_diagnostics;
pub use edition_text::{judged_limits, standing_text};
pub use faults_html::faults_html;
pub use faults_json::faults_json;
pub use faults_text::{FaultsReport, render_faults};
pub use findings_json::findings_json;
pub use history_json::history_json;
pub use history_text::{By, render_history};
pub use job_report::{JobReport, JobView, Picture, job_html, job_markdown, job_view};
pub use layout::{counted, hanging, shown};
pub use learn::LearnReport;
pub use learn_file::learned_text;
pub use learn_json::learned_json;
pub use learn_text::render_learned;
pub use order_text::{OrdersReport, render_orders};
pub use problem::{Problem, problems_json, render_problems};
pub use reason_text::reason_text;
pub use report::{Report, Round, Simulation};
pub use report_text::{render_findings, render_report};
pub use style::Style;
pub use suspects_json::next_json;
pub use suspects_text::{SuspectsReport, render_next, render_suspects};
pub use suspects_words::{chance, minutes};
pub use verdict::{exit_status, verdict_words};
pub use walk_json::{orders_json, walk_json};
pub use walk_text::{WalkReport, render_procedures, render_walk};
