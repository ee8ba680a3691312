//! The jobs of a folder for programs: `truing-history`, version 1.

use serde_json::{Value, json};

use crate::history::{Counts, History, PastJob};

/// The jobs of a folder as JSON; `schema/truing-history.schema.json` describes it.
#[must_use]
pub fn history_json(history: &History) -> Value {
    let group = |(name, jobs): (Option<&str>, Vec<&PastJob>)| json!({ "name": name, "counts": Counts::of(jobs.iter().copied()) });
    json!({
        "format": "truing-history",
        "version": 1,
        "jobs": history.jobs,
        "unreadable": history.unreadable,
        "counts": Counts::of(&history.jobs),
        "by_machine": history.by_machine().into_iter().map(group).collect::<Vec<_>>(),
        "by_fault": history.by_fault().into_iter().map(group).collect::<Vec<_>>(),
    })
}
