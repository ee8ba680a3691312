//! `truing check`: errors and weaknesses in specs and libraries.

use std::path::{Path, PathBuf};

use serde_json::json;
use truing::report::{Problem, counted, diagnostics_json, render_diagnostics, render_problems};
use truing::syntax::{Diagnostic, Severity};
use truing::{CheckOptions, CheckRun, check_paths, check_text};

use crate::arguments::CheckArguments;
use crate::failure;
use crate::input;
use crate::output::Output;
use crate::status::Status;

/// Checks the files that the arguments name.
pub fn run(arguments: &CheckArguments, output: &mut Output) -> Status {
    let run = match checked(&arguments.paths) {
        Ok(run) => run,
        Err(problem) => return failure::tell(output, &[problem]),
    };
    let findings = run.findings();
    let tally = Tally::of(&run, &findings);
    let problems: Vec<Problem> = run.errors.iter().map(truing::Error::problem).collect();
    if output.json() {
        document(output, &run, &findings, &problems, &tally);
    } else {
        output.say(&render_diagnostics(&run.sources, &findings, output.style));
        output.complain(&render_problems(&problems, output.error_style));
        output.line(&tally.words(&findings));
    }
    let refused = tally.errors > 0 || (arguments.deny_warnings && tally.warnings > 0);
    let status = if refused || !problems.is_empty() { Status::Error } else { Status::Pass };
    // The program ends here. Giving the memory of a thousand specs back piece by piece takes longer
    // than giving it back whole.
    std::mem::forget(run);
    status
}

/// `-` alone is standard input.
fn checked(paths: &[PathBuf]) -> Result<CheckRun, Problem> {
    let options = CheckOptions::default();
    match paths {
        [only] if only.as_path() == Path::new("-") => {
            let text = input::spec_text()?;
            Ok(check_text(input::NAME, &text, &options))
        }
        _ => Ok(check_paths(paths, &options)),
    }
}

struct Tally {
    files: usize,
    errors: usize,
    warnings: usize,
}

impl Tally {
    fn of(run: &CheckRun, findings: &[Diagnostic]) -> Self {
        let count = |severity| findings.iter().filter(|f| f.severity() == severity).count();
        Self {
            files: run.files.len(),
            errors: count(Severity::Error),
            warnings: count(Severity::Warning),
        }
    }

    /// "12 files checked: 2 errors, 1 warning. More on a finding: truing explain unit-mismatch"
    fn words(&self, findings: &[Diagnostic]) -> String {
        let files = counted(self.files, "file", "files");
        let errors = counted(self.errors, "error", "errors");
        let warnings = counted(self.warnings, "warning", "warnings");
        let told = match (self.errors, self.warnings) {
            (0, 0) => "no findings".to_owned(),
            (_, 0) => errors,
            (0, _) => warnings,
            _ => format!("{errors}, {warnings}"),
        };
        let more = findings
            .first()
            .map(|first| format!("\nMore on a finding: truing explain {}", first.slug().0));
        format!("{files} checked: {told}{}", more.unwrap_or_default())
    }
}

fn document(
    output: &mut Output,
    run: &CheckRun,
    findings: &[Diagnostic],
    problems: &[Problem],
    tally: &Tally,
) {
    let mut json = diagnostics_json(&run.sources, findings);
    if let Some(summary) = json.get_mut("summary").and_then(|summary| summary.as_object_mut()) {
        summary.insert("files".into(), tally.files.into());
    }
    if let Some(fields) = json.as_object_mut() {
        fields.insert("errors".into(), json!(problems));
    }
    output.document(&json);
}
