//! `truing test`: the cases that specs carry.

use truing::report::{CaseResult, Problem, cases_json, cases_summary, render_cases};
use truing::report::{diagnostics_json, render_diagnostics, render_problems};
use truing::syntax::{Diagnostic, Severity};
use truing::{CheckOptions, CheckRun, check_paths, run_cases};

use crate::arguments::TestArguments;
use crate::failure;
use crate::output::Output;
use crate::status::Status;

/// Runs the cases of the files that the arguments name.
pub fn run(arguments: &TestArguments, output: &mut Output) -> Status {
    let run = check_paths(&arguments.paths, &CheckOptions::default());
    let problems: Vec<Problem> = run.errors.iter().map(truing::Error::problem).collect();
    let errors: Vec<Diagnostic> =
        run.findings().into_iter().filter(|f| f.severity() == Severity::Error).collect();
    if !errors.is_empty() || !problems.is_empty() {
        return refuse(output, &run, &errors, &problems);
    }
    let specs = run.files.iter().filter_map(|file| file.compiled.as_ref());
    let results: Vec<CaseResult> = specs.flat_map(run_cases).collect();
    if output.json() {
        output.document(&cases_json(&results));
    } else {
        output.say(&render_cases(&results, arguments.verbose, output.style));
        output.line(&cases_summary(&results));
    }
    if results.iter().all(|case| case.passed) { Status::Pass } else { Status::Outside }
}

/// No case is run while a spec is in error: a green line would say too much.
fn refuse(
    output: &mut Output,
    run: &CheckRun,
    errors: &[Diagnostic],
    problems: &[Problem],
) -> Status {
    if !problems.is_empty() && (output.json() || errors.is_empty()) {
        return failure::tell(output, problems);
    }
    if output.json() {
        output.document(&diagnostics_json(&run.sources, errors));
    } else {
        let style = output.error_style;
        output.complain(&render_diagnostics(&run.sources, errors, style));
        output.complain(&render_problems(problems, style));
        output.complain("No case was run: a spec is in error.\n");
    }
    Status::Error
}
