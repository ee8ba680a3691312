//! `truing next`: what to measure next on a job, or why to stop.

use truing::Compiled;
use truing::engine::Detail;
use truing::engine::suspects::{Recommended, Stage};
use truing::report::{SuspectsReport, next_json, render_next};

use super::sheets::assess_all;
use crate::arguments::{NextArguments, SheetArguments};
use crate::failure;
use crate::output::Output;
use crate::status::Status;

/// Says what to measure next on the job that the arguments name.
pub fn run(arguments: &NextArguments, output: &mut Output) -> Status {
    let compiled = match Compiled::from_path(&arguments.spec) {
        Ok(compiled) => compiled,
        Err(error) => return failure::tell_error(output, &error),
    };
    let sheets = SheetArguments {
        spec: arguments.spec.clone(),
        sheets: arguments.sheet.iter().cloned().collect(),
        sheet_format: arguments.sheet_format,
        set: arguments.set.clone(),
        round: None,
        decide: None,
        this_edition: arguments.this_edition,
        // What to measure first is a question too.
        may_be_empty: true,
    };
    let jobs = match assess_all(&sheets, Detail::Reasons, &compiled) {
        Ok(jobs) => jobs,
        Err(problems) => return failure::tell(output, &problems),
    };
    for job in &jobs {
        job.mind(output);
        let names = job.names();
        let report =
            SuspectsReport { spec: compiled.spec(), stages: &job.suspects, rounds: &names };
        if output.json() {
            output.document(&next_json(&report));
        } else {
            output.say(&render_next(&report, output.style));
        }
    }
    jobs.iter().map(|job| status(job.suspects.last())).max().unwrap_or(Status::Pass)
}

/// Something is left to measure, or there is enough to act on.
fn status(stage: Option<&Stage>) -> Status {
    match stage.map(|stage| &stage.ranking) {
        Some(Ok(ranking)) if matches!(ranking.recommended, Recommended::Act(_)) => Status::Pass,
        None => Status::Pass,
        Some(_) => Status::Open,
    }
}
