//! What is wrong with a call, from whichever crate it comes, as one kind of problem.

use truing::Error;
use truing::report::{Problem, problems_json, render_diagnostics, render_problems};

use crate::output::Output;
use crate::status::Status;

/// Tells problems: text on standard error, or a document on standard output.
pub fn tell(output: &mut Output, problems: &[Problem]) -> Status {
    if output.json() {
        output.document(&problems_json(problems));
    } else {
        output.complain(&render_problems(problems, output.error_style));
    }
    Status::Error
}

/// Tells why a spec cannot be used. A text with errors is told by its findings.
pub fn tell_error(output: &mut Output, error: &Error) -> Status {
    let Error::Refused(refused) = error else { return tell(output, &[error.problem()]) };
    if output.json() {
        let json = truing::report::diagnostics_json(&refused.sources, &refused.findings);
        output.document(&json);
    } else {
        let style = output.error_style;
        output.complain(&render_diagnostics(&refused.sources, &refused.findings, style));
        output.complain(&format!("{} cannot be used: it has errors.\n", refused.name));
    }
    Status::Error
}
