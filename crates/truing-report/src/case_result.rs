//! What came of a spec's own cases, as plain data.

use serde::Serialize;
use truing_model::CheckId;

/// What came of one case.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CaseResult {
    /// Its name.
    pub name: String,
    /// What it shows.
    pub title: String,
    /// The file and line of its keyword.
    pub place: String,
    /// Whether everything came as expected.
    pub passed: bool,
    /// What was expected and what came, in the order written.
    pub expectations: Vec<ExpectationResult>,
}

/// What came of one expectation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ExpectationResult {
    /// What it is about: `insulated[V]`, `imbalance`, `suspect diode_open`.
    pub subject: String,
    /// What was expected: `outside low`.
    pub expected: String,
    /// What came: `within`.
    pub came: String,
    /// Whether that is the same.
    pub passed: bool,
    /// The check that it is about, if it is about one.
    #[serde(skip)]
    pub check: Option<CheckId>,
    /// Why it came so, in one plain sentence, where it is known.
    pub why: Option<String>,
}
