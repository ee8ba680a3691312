//! `truing fmt`: files in the standard layout.

use std::path::{Path, PathBuf};

use serde_json::json;
use truing::report::{Problem, counted, diagnostics_json, render_diagnostics, render_problems};
use truing::syntax::{Diagnostic, FormatError, Sources, format};
use truing::{find_specs, read_text};

use crate::arguments::FmtArguments;
use crate::failure;
use crate::input;
use crate::output::Output;
use crate::rewrite::rewrite;
use crate::status::Status;

/// Formats the files that the arguments name.
pub fn run(arguments: &FmtArguments, output: &mut Output) -> Status {
    match arguments.paths.as_slice() {
        [only] if only.as_path() == Path::new("-") => standard_input(arguments.check, output),
        paths => files(paths, arguments.check, output),
    }
}

/// What came of all files.
#[derive(Default)]
struct Tally {
    files: usize,
    changed: Vec<String>,
    problems: Vec<Problem>,
    refused: Vec<Refused>,
}

/// A text that was left as it is, with what is wrong with it.
struct Refused {
    sources: Sources,
    findings: Vec<Diagnostic>,
}

impl Tally {
    fn refuse(&mut self, name: &str, text: &str, error: FormatError) {
        match error {
            FormatError::Unparsed(findings) => {
                let mut sources = Sources::new();
                sources.add(name, text);
                self.refused.push(Refused { sources, findings });
            }
            FormatError::Changed => {
                self.problems.push(Problem::new("not-formatted", error.to_string()).file(name));
            }
        }
    }
}

fn files(paths: &[PathBuf], check_only: bool, output: &mut Output) -> Status {
    let (files, errors) = find_specs(paths);
    let mut tally = Tally { files: files.len(), ..Tally::default() };
    tally.problems.extend(errors.iter().map(truing::Error::problem));
    for path in &files {
        one(path, check_only, &mut tally);
    }
    tell(&tally, check_only, output)
}

fn one(path: &Path, check_only: bool, tally: &mut Tally) {
    let name = path.display().to_string();
    let text = match read_text(path) {
        Ok(text) => text,
        Err(error) => return tally.problems.push(error.problem()),
    };
    match format(&text) {
        Ok(formatted) if formatted == text => {}
        Ok(formatted) => match if check_only { Ok(()) } else { rewrite(path, &formatted) } {
            Ok(()) => tally.changed.push(name),
            Err(error) => {
                let problem = Problem::new("cannot-write", error.to_string()).file(name);
                tally.problems.push(problem);
            }
        },
        Err(error) => tally.refuse(&name, &text, error),
    }
}

fn tell(tally: &Tally, check_only: bool, output: &mut Output) -> Status {
    if output.json() {
        output.document(&document(tally, check_only));
    } else {
        let style = output.error_style;
        for Refused { sources, findings } in &tally.refused {
            output.complain(&render_diagnostics(sources, findings, style));
        }
        output.complain(&render_problems(&tally.problems, style));
        for name in &tally.changed {
            let verb = if check_only { "would change" } else { "changed" };
            output.line(&format!("{verb}  {name}"));
        }
        output.line(&summary(tally, check_only));
    }
    match (tally.problems.is_empty() && tally.refused.is_empty(), tally.changed.is_empty()) {
        (false, _) => Status::Error,
        (true, false) if check_only => Status::Outside,
        (true, _) => Status::Pass,
    }
}

fn summary(tally: &Tally, check_only: bool) -> String {
    let files = counted(tally.files, "file", "files");
    let verb = if check_only { "would change" } else { "changed" };
    format!("{files} looked at: {} {verb}", tally.changed.len())
}

fn document(tally: &Tally, check_only: bool) -> serde_json::Value {
    let findings = tally.refused.iter().flat_map(|Refused { sources, findings }| {
        let document = diagnostics_json(sources, findings);
        document.get("findings").and_then(|list| list.as_array().cloned()).unwrap_or_default()
    });
    json!({
        "format": "truing-format",
        "version": 1,
        "checked_only": check_only,
        "files": tally.files,
        "changed": tally.changed,
        "errors": tally.problems,
        "findings": findings.collect::<Vec<_>>(),
    })
}

/// Standard input to standard output; with `--check` nothing but the status.
fn standard_input(check_only: bool, output: &mut Output) -> Status {
    let text = match input::spec_text() {
        Ok(text) => text,
        Err(problem) => return failure::tell(output, &[problem]),
    };
    let mut tally = Tally { files: 1, ..Tally::default() };
    match format(&text) {
        Ok(formatted) => {
            if formatted != text {
                tally.changed.push(input::NAME.to_owned());
            }
            if !check_only && !output.json() {
                output.say(&formatted);
                return Status::Pass;
            }
        }
        Err(error) => tally.refuse(input::NAME, &text, error),
    }
    tell(&tally, check_only, output)
}
