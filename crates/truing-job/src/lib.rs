//! The job sheet: what the technician wrote down, from TOML, JSON, CSV or the command line, bound to
//! a checked spec. Every mistake of a sheet is reported at once, with its line and what mends it.
//!
//! Read in this order: [`sheet`] (a sheet as written), [`error`] and [`slugs`] (what can be wrong
//! with it), [`format`], [`intake`] (bytes to text) and `read` (text to sheet).

mod decide;
pub mod error;
pub mod format;
pub mod intake;
mod nearest;
mod read;
pub mod sheet;
pub mod slugs;

pub use decide::parse_decide;
pub use error::SheetError;
pub use format::SheetFormat;
pub use intake::{MAX_SHEET_BYTES, read_sheet, read_sheet_bytes, read_sheet_file};
pub use nearest::nearest;
pub use sheet::{Entry, JobSheet, Place, Round};
