//! What came of a spec's cases, for programs: `truing-cases`, version 1.

use serde_json::{Value, json};

use crate::case_result::CaseResult;

/// What came of the cases as JSON; `schema/truing-cases.schema.json` describes it.
#[must_use]
pub fn cases_json(results: &[CaseResult]) -> Value {
    let passed = results.iter().filter(|case| case.passed).count();
    json!({
        "format": "truing-cases",
        "version": 1,
        "summary": {
            "cases": results.len(),
            "passed": passed,
            "failed": results.len() - passed,
        },
        "cases": results,
    })
}
