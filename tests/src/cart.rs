//! A spec and a job with one of everything that a job's report shows.

use truing::Compiled;
use truing::job::{JobSheet, read_sheet};

/// The spec.
pub const SPEC: &str = include_str!("cart.truing");

/// The job's sheet.
pub const JOB: &str = include_str!("cart.toml");

/// The spec, checked.
///
/// # Errors
/// Where it has errors in it.
pub fn spec() -> Result<Compiled, truing::Error> {
    Compiled::from_text("cart.truing", SPEC)
}

/// A sheet of it.
///
/// # Errors
/// What is wrong with the sheet.
pub fn sheet(text: &str) -> Result<JobSheet, Vec<truing::SheetError>> {
    read_sheet("cart.toml", text, truing::job::SheetFormat::Toml)
}
