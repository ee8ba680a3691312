//! The jobs of a folder: read, judged by their specs where these are found, and what came of each.
//!
//! Read in this order: `sheets` (which files are jobs), `specs` (which file holds the spec that a
//! job names), and [`history`].

pub(crate) mod sheets;
mod specs;

use std::path::{Path, PathBuf};

use truing_engine::suspects::Stage;
use truing_job::edition::Standing;
use truing_job::{JobSheet, SheetError};
use truing_model::{Fault, Spec};
use truing_report::history::{FoundFault, History, JobOutcome, PastJob, PastPart, Unreadable};
use truing_report::standing_text;

use crate::compiled::Compiled;
use crate::error::Error;
use crate::judged_job::JudgedJob;
use crate::library::Libraries;
use specs::Specs;

/// Where specs are looked for, and by which edition jobs are judged.
#[derive(Clone, Debug, Default)]
pub struct HistoryOptions {
    /// Files, and folders that are searched to any depth; before the folder of the jobs and those
    /// above it.
    pub specs: Vec<PathBuf>,
    /// Where specs find their libraries.
    pub libraries: Libraries,
    /// Judge jobs anew that were judged by another edition of their spec.
    pub this_edition: bool,
}

/// Reads and judges the jobs of a folder, to any depth. What cannot be read or judged is listed, and
/// keeps nothing else from being read.
///
/// A job that was written with a journal is the fold of that. Of several sheets of one name in one
/// folder the TOML is read, then the JSON, then the CSV.
///
/// # Errors
/// Where the folder cannot be read, or a path of the options names nothing.
pub fn history(folder: &Path, options: &HistoryOptions) -> Result<History, Error> {
    let (files, mut unreadable) = sheets::find(folder)?;
    let mut specs = Specs::new(folder, options)?;
    let mut jobs = Vec::new();
    for file in files {
        match sheets::read(&file) {
            Ok(sheet) => jobs.push(past_job(&file, &sheet, &mut specs, options)),
            Err(why) => unreadable.push(Unreadable { file: file.display().to_string(), why }),
        }
    }
    let order = |job: &PastJob| (job.date.clone(), job.job.clone(), job.file.clone());
    jobs.sort_by_key(order);
    unreadable.sort_by(|one, other| one.file.cmp(&other.file));
    Ok(History { jobs, unreadable })
}

fn past_job(
    file: &Path,
    sheet: &JobSheet,
    specs: &mut Specs<'_>,
    options: &HistoryOptions,
) -> PastJob {
    let judged = match &sheet.spec {
        None => Err("the sheet names no spec".to_owned()),
        Some(name) => specs.find(name, sheet),
    };
    let (outcome, machine) = match judged {
        Err(why) => (JobOutcome::No { why }, None),
        Ok(compiled) => (outcome(&compiled, sheet, options), machine_of(compiled.spec())),
    };
    let parts = sheet.rounds.iter().flat_map(|round| &round.parts);
    PastJob {
        file: file.display().to_string(),
        job: sheet.job.clone(),
        date: sheet.date.clone(),
        spec: sheet.spec.clone(),
        machine: sheet.model.clone().or(machine),
        serial: serial_of(sheet),
        complaint: sheet.complaint.clone(),
        outcome,
        parts: parts
            .map(|part| PastPart {
                name: part.name.clone(),
                number: part.number.clone(),
                quantity: part.quantity,
                price: part.price.clone(),
            })
            .collect(),
        closed: sheet.closed.is_some(),
    }
}

fn outcome(compiled: &Compiled, sheet: &JobSheet, options: &HistoryOptions) -> JobOutcome {
    let other = |standing: &Standing| {
        let other = matches!(standing, Standing::OtherEdition { .. });
        standing_text(standing).filter(|_| other && !options.this_edition)
    };
    let job = match compiled.judge(sheet) {
        Ok(job) => job,
        // What another edition has no name for is no mistake of the sheet.
        Err(errors) => {
            let why = other(&compiled.standing(sheet, &[])).unwrap_or_else(|| first_of(&errors));
            return JobOutcome::No { why };
        }
    };
    if let Some(why) = other(&job.standing) {
        return JobOutcome::No { why };
    }
    if let Some(unsound) = &job.unsound {
        return JobOutcome::No { why: unsound.to_string() };
    }
    let fault = found_fault(compiled.spec(), &job);
    JobOutcome::Yes { conclusion: job.conclusion, obstacles: job.obstacles.len(), fault }
}

/// Of the faults that the last repair mends the likeliest before it.
fn found_fault(spec: &Spec, job: &JudgedJob) -> Option<FoundFault> {
    let at = job.stages.iter().rposition(|stage| !stage.fitted.is_empty())?;
    let repair: &Stage = job.stages.get(at)?;
    let before = job.stages.get(at.checked_sub(1)?)?.ranking.as_ref().ok()?;
    let mended = |fault: &&Fault| fault.fixes.iter().any(|fix| repair.fitted.contains(fix));
    let mut ranked = before.faults.iter().filter_map(|it| spec.fault(it.fault));
    let fault = ranked.find(mended)?;
    Some(FoundFault {
        name: fault.name.clone(),
        label: fault.label.clone(),
        title: fault.title.clone(),
    })
}

fn machine_of(spec: &Spec) -> Option<String> {
    let machine = spec.machines.first()?;
    Some(format!("{} {}", machine.maker, machine.model))
}

fn serial_of(sheet: &JobSheet) -> Option<String> {
    let everywhere = sheet.rounds.iter().flat_map(|round| &round.readings);
    let mut entries = sheet.machine.iter().chain(everywhere);
    entries.find(|entry| entry.path.trim() == "serial").map(|entry| entry.value.clone())
}

/// The first mistake with its line, and how many there are.
fn first_of(errors: &[SheetError]) -> String {
    let Some(first) = errors.first() else { return String::new() };
    let line = first.line.map_or(String::new(), |line| format!("line {line}: "));
    let entry = first.entry.as_ref().map_or(String::new(), |entry| format!("{entry}: "));
    let more = match errors.len() {
        1 => String::new(),
        all => format!(" (and {} more)", all - 1),
    };
    format!("{line}{entry}{}{more}", first.message)
}
