//! `truing history`: the jobs of a folder, and what came of them.

use truing::HistoryOptions;
use truing::report::history::{Counts, History};
use truing::report::{By, history_json, render_history};

use crate::arguments::{HistoryArguments, HistoryBy};
use crate::failure;
use crate::output::Output;
use crate::status::Status;

/// Tells of the jobs of the folder that the arguments name.
pub fn run(arguments: &HistoryArguments, output: &mut Output) -> Status {
    let options = HistoryOptions {
        specs: arguments.specs.clone(),
        this_edition: arguments.this_edition,
        ..HistoryOptions::default()
    };
    let history = match truing::history(&arguments.folder, &options) {
        Ok(history) => history,
        Err(error) => return failure::tell_error(output, &error),
    };
    if output.json() {
        output.document(&history_json(&history));
    } else {
        let by = arguments.by.map(|by| match by {
            HistoryBy::Machine => By::Machine,
            HistoryBy::Fault => By::Fault,
        });
        output.say(&render_history(&history, by, output.style));
    }
    status(&history)
}

/// Everything was read and judged, or something was not.
fn status(history: &History) -> Status {
    let all = history.unreadable.is_empty() && Counts::of(&history.jobs).not_judged == 0;
    if all { Status::Pass } else { Status::Open }
}
