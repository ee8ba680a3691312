//! What the readings say: a sheet against a spec gives findings with their reasons. Knows nothing
//! of text, files or words for people.
//!
//! Read in this order: [`sheet`] (the readings), [`finding`] (what comes of them and why).

mod enclosure;
pub mod finding;
mod flat;
pub mod sheet;
mod span;

pub use finding::{
    AppliedLimit, Because, Bound, DerivedFinding, Finding, Findings, NoNumber, Reason, Slip,
    Spanned, Summary, Value, Verdict,
};
pub use sheet::{Sheet, SheetError};
