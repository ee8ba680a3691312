//! `truing report`: one job from complaint to proof, as a document.

use std::path::{Path, PathBuf};

use truing::job::{JobSheet, journal, parse_decide, read_sheet_file};
use truing::report::{Problem, job_html, job_markdown};
use truing::{Compiled, pictures, spec_of_sheet};

use super::sheets::edition_refused;
use crate::arguments::{Format, ReportArguments};
use crate::failure;
use crate::output::Output;
use crate::rewrite::write;
use crate::status::Status;

/// Writes the report on the job that the arguments name.
pub fn run(arguments: &ReportArguments, output: &mut Output) -> Status {
    let (spec, path, sheet) = match job(arguments) {
        Ok(job) => job,
        Err(problems) => return failure::tell(output, &problems),
    };
    let compiled = match Compiled::from_path(&spec) {
        Ok(compiled) => compiled,
        Err(error) => return failure::tell_error(output, &error),
    };
    let written = document(output.format, &compiled, &sheet, &path, arguments.this_edition)
        .and_then(|text| deliver(arguments, &text, &[&spec, &path], output));
    match written {
        Ok(()) => Status::Pass,
        Err(problems) => failure::tell(output, &problems),
    }
}

/// The spec's path, the job's path, and the job as read.
fn job(arguments: &ReportArguments) -> Result<(PathBuf, PathBuf, JobSheet), Vec<Problem>> {
    let (spec, path) = match (arguments.paths.as_slice(), &arguments.spec) {
        ([spec, path], None) => (Some(spec), path),
        ([path], spec) => (spec.as_ref(), path),
        ([_, _, ..], Some(_)) => {
            let problem = Problem::new("spec-twice", "two specs are named")
                .mend("leave out --spec, or what stands before the job");
            return Err(vec![problem]);
        }
        _ => return Err(vec![Problem::new("no-sheet", "no job is named")]),
    };
    let mut sheet = read(path)?;
    if let Some(rule) = &arguments.decide {
        let rule = parse_decide(rule).map_err(|e| vec![Problem::from(&e).file("--decide")])?;
        sheet.decide = Some(rule);
    }
    let spec = match spec {
        Some(spec) => spec.clone(),
        None => spec_of_sheet(&sheet, path)
            .map_err(|error| vec![Problem::from(&error).file(path.display().to_string())])?,
    };
    Ok((spec, path.clone(), sheet))
}

/// A job as its sheet or its journal has it.
fn read(path: &Path) -> Result<JobSheet, Vec<Problem>> {
    if path.extension().is_none_or(|end| end != "journal") {
        return read_sheet_file(path)
            .map_err(|errors| errors.iter().map(Problem::from).collect::<Vec<_>>());
    }
    let name = path.display().to_string();
    match journal::read(path) {
        Ok(read) => Ok(JobSheet { file: name, ..read.sheet }),
        Err(error) => Err(vec![Problem::new("journal", error.to_string()).file(name)]),
    }
}

fn document(
    format: Format,
    compiled: &Compiled,
    sheet: &JobSheet,
    path: &Path,
    this_edition: bool,
) -> Result<String, Vec<Problem>> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let pictures = pictures(sheet, folder.unwrap_or(Path::new(".")));
    let judged = compiled
        .judge(sheet)
        .map_err(|errors| errors.iter().map(Problem::from).collect::<Vec<_>>())?;
    if let Some(problem) = edition_refused(this_edition, sheet, &judged.standing) {
        return Err(vec![problem]);
    }
    if let Some(error) = &judged.unsound {
        return Err(vec![Problem::new("faults-unsound", error.to_string())]);
    }
    let view = compiled.job_report(sheet, &judged, &pictures);
    match format {
        Format::Json => {
            let json = serde_json::to_value(&view).map(|value| format!("{value:#}\n"));
            json.map_err(|error| vec![not_written(&error.to_string())])
        }
        Format::Md => Ok(job_markdown(&view)),
        Format::Human | Format::Html => {
            job_html(&view, &pictures).map_err(|error| vec![not_written(&error.to_string())])
        }
    }
}

/// To the file that is named, else to standard output.
fn deliver(
    arguments: &ReportArguments,
    text: &str,
    sources: &[&Path],
    output: &mut Output,
) -> Result<(), Vec<Problem>> {
    let Some(path) = &arguments.output else {
        output.say(text);
        return Ok(());
    };
    let real = |path: &Path| std::fs::canonicalize(path).ok();
    if sources.iter().any(|source| real(source).is_some_and(|s| real(path) == Some(s))) {
        let problem =
            Problem::new("output-is-source", "the report would be written over its job or spec")
                .file(path.display().to_string());
        return Err(vec![problem]);
    }
    write(path, text)
        .map_err(|error| vec![not_written(&error.to_string()).file(path.display().to_string())])
}

fn not_written(why: &str) -> Problem {
    Problem::new("report-not-written", format!("the report cannot be written: {why}"))
}
