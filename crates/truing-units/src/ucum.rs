//! Codes of UCUM, the Unified Code for Units of Measure.

use crate::{Unit, UnitError};

/// Reads a UCUM code.
pub(crate) fn parse(code: &str) -> Result<Unit, UnitError> {
    Err(UnitError::NotUcum { text: code.to_owned(), why: "it is not in the table" })
}
