//! `truing learn`: what proven jobs teach of a spec's odds.

use std::path::Path;

use truing::report::{LearnReport, Problem, learned_json, learned_text, render_learned};
use truing::syntax::tree::ItemKind;
use truing::syntax::{FileId, parse};
use truing::{Compiled, format_text, learn, read_text};

use crate::arguments::LearnArguments;
use crate::failure;
use crate::output::Output;
use crate::rewrite::write;
use crate::status::Status;

/// Learns from the jobs that the arguments name.
pub fn run(arguments: &LearnArguments, output: &mut Output) -> Status {
    let compiled = match Compiled::from_path(&arguments.spec) {
        Ok(compiled) => compiled,
        Err(error) => return failure::tell_error(output, &error),
    };
    if let Some(problem) = arguments.output.as_deref().and_then(unfit) {
        return failure::tell(output, &[problem]);
    }
    let run = match learn(&compiled, &arguments.jobs, arguments.equivalent) {
        Ok(run) => run,
        Err(error) => return failure::tell_error(output, &error),
    };
    let mut written = None;
    // A file of no jobs would say nothing, and might take the place of one that does.
    if let Some(path) = arguments.output.as_deref().filter(|_| run.report(None).counted() > 0) {
        if let Err(problem) = save(path, &run.report(None)) {
            return failure::tell(output, &[problem]);
        }
        written = Some(path.display().to_string());
    }
    let report = run.report(written.as_deref());
    if output.json() {
        output.document(&learned_json(&report));
    } else {
        output.say(&render_learned(&report, output.style));
    }
    if report.refused() > 0 || report.counted() == 0 { Status::Open } else { Status::Pass }
}

/// Why a file cannot take the counts: nothing but an older file of counts is written over.
fn unfit(path: &Path) -> Option<Problem> {
    let problem =
        |slug: &str, message: &str| Problem::new(slug, message).file(path.display().to_string());
    if path.extension().is_none_or(|end| end != "truing") {
        let told = problem("not-a-library", "a spec uses files that end in `.truing`");
        return Some(told.mend("write `-o NAME.truing`"));
    }
    if !path.exists() {
        return None;
    }
    let counts = read_text(path).is_ok_and(|text| {
        let parsed = parse(FileId(0), &text);
        let items = &parsed.tree.items;
        let learned = |item: &ItemKind| matches!(item, ItemKind::Library(_) | ItemKind::Learned(_));
        parsed.findings.is_empty()
            && !items.is_empty()
            && items.iter().all(|item| learned(&item.kind))
    });
    (!counts).then(|| {
        problem(
            "not-overwritten",
            "this file is there, and it is no file of counts: it was left as it is",
        )
        .mend("name another file; the spec takes it up with `use`")
    })
}

fn save(path: &Path, report: &LearnReport<'_>) -> Result<(), Problem> {
    let about = |slug: &str, why: String| Problem::new(slug, why).file(path.display().to_string());
    let text = learned_text(report);
    let text = format_text(&text).map_err(|error| about("internal", error.to_string()))?;
    write(path, &text).map_err(|error| about("not-written", error.to_string()))
}
