//! The front door for programs that embed Truing: a spec from a file, a text or the program itself,
//! readings put on a sheet, and what they say under the spec's limits.
//!
//! Read in this order: [`compiled`] and [`sheet_builder`] (what most programs need), [`library`]
//! (where a `use` finds its text), [`instruments`] (what readings are taken with), [`judged_job`] (a whole job), `edition` (which spec a job was judged by), [`folder`] (what lies around its sheet), `job_report` (it as a document), [`suspects`] and [`procedures`] (what a job comes to, and what comes next), [`check`] and [`walk`] (many files), [`history`](mod@history) (many jobs), [`cases`], [`calculate`](mod@calculate), [`explain`](mod@explain),
//! [`error`].
//!
//! ```
//! use truing::Compiled;
//! use uom::si::{electric_potential::volt, f64::ElectricPotential};
//!
//! let spec = Compiled::from_path("../../specs/demo/ostrevik-hauler-680.truing")?;
//! let sheet = spec.sheet()
//!     .machine("serial", 3402)?
//!     .read("battery_rest", "12.71 V")?
//!     .measure("cranking_voltage", ElectricPotential::new::<volt>(10.1))?
//!     .see("stator_connector", "clean")?;
//! for finding in sheet.assess().findings {
//!     println!("{}: {}", spec.title_of(finding.check), finding.outcome.words());
//! }
//! # Ok::<(), truing::Error>(())
//! ```

pub mod calculate;
mod case_suspects;
pub mod cases;
pub mod check;
pub mod compiled;
mod edition;
pub mod error;
pub mod explain;
pub mod folder;
pub mod history;
pub mod instruments;
mod job_report;
pub mod judged_job;
pub mod learn;
pub mod library;
pub mod procedures;
pub mod sheet_builder;
pub mod slugs;
mod std_table;
pub mod suspects;
mod text;
pub mod walk;

/// From text to a checked spec.
pub use truing_compile as compile;
/// Sheets and what comes of them.
pub use truing_engine as engine;
/// Job sheets.
pub use truing_job as job;
/// The checked spec as data.
pub use truing_model as model;
/// Findings for people and programs.
pub use truing_report as report;
/// Texts, trees and findings in them.
pub use truing_syntax as syntax;
/// Quantities: kinds, units, figures and their conversion.
pub use truing_units as units;

pub use calculate::calculate;
pub use cases::run_cases;
pub use check::{CheckOptions, CheckRun, FileCheck, check_paths, check_text};
pub use compiled::Compiled;
pub use error::{Error, Refused};
pub use explain::{all_slugs, explain};
pub use folder::{SpecNotFound, pictures, spec_of_sheet};
pub use history::{HistoryOptions, history};
pub use instruments::{built_in_instruments, instruments_from_path};
pub use judged_job::{JudgedJob, JudgedRound};
pub use learn::{LearnRun, learn};
pub use library::Libraries;
pub use sheet_builder::SheetBuilder;
pub use suspects::SuspectRound;
pub use text::{MAX_SPEC_BYTES, read_text};
pub use truing_compile::Calculated;
pub use truing_engine::{Detail, Finding, Findings, MeterUse, Sheet};
pub use truing_job::{JobSheet, Profiles, SheetError, bind, read_sheet};
pub use truing_model::{Outcome, Spec};
pub use truing_syntax::format as format_text;
pub use walk::find_specs;
