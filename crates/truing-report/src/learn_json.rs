//! What was learned, for programs: `truing-learned`, version 1.

use serde_json::{Value, json};
use truing_engine::suspects::{Lesson, WHOLE_JOB};

use crate::learn::{Fate, JobRead, LearnReport};
use crate::learn_words::{check, fault};

/// What was learned, as JSON; `schema/truing-learned.schema.json` describes it.
#[must_use]
pub fn learned_json(report: &LearnReport<'_>) -> Value {
    let jobs: Vec<Value> = report.jobs.iter().map(|job| job_json(report, job)).collect();
    let faults = report.reweighed.iter().flat_map(|all| &all.faults).map(|of| {
        json!({
            "fault": fault(report.spec, of.fault),
            "author": of.author,
            "jobs": of.jobs,
            "learned": of.share,
            "standard_deviation": of.standard_deviation,
        })
    });
    let effects = report.reweighed.iter().flat_map(|all| &all.effects).map(|of| {
        json!({
            "fault": fault(report.spec, of.fault),
            "check": check(report.spec, of.check),
            "band": of.band,
            "author": of.author,
            "seen": of.seen,
            "judged": of.judged,
            "learned": of.chance,
            "standard_deviation": of.standard_deviation,
        })
    });
    json!({
        "format": "truing-learned",
        "version": 1,
        "spec": report.spec.name,
        "edition": report.spec.edition,
        "author_jobs": report.learned.author_jobs,
        "counted": report.counted(),
        "jobs": jobs,
        "faults": faults.collect::<Vec<_>>(),
        "effects": effects.collect::<Vec<_>>(),
        "written": report.written,
    })
}

fn job_json(report: &LearnReport<'_>, job: &JobRead) -> Value {
    let (fate, causes, why, same_as, problems) = match &job.fate {
        Fate::Counted(lesson) => ("counted", shares(report, lesson), None, None, &[][..]),
        Fate::SameAs { other } => ("same-as", Vec::new(), None, Some(other), &[][..]),
        Fate::NotCounted { why } => ("not-counted", Vec::new(), Some(why), None, &[][..]),
        Fate::Refused { problems } => ("refused", Vec::new(), None, None, problems.as_slice()),
    };
    json!({
        "file": job.file,
        "job": job.job,
        "fate": fate,
        "causes": causes,
        "why": why,
        "same_as": same_as,
        "problems": problems,
        "read_again": job.again,
    })
}

fn shares(report: &LearnReport<'_>, lesson: &Lesson) -> Vec<Value> {
    let each = lesson.causes.iter().map(|(id, part)| {
        json!({
            "fault": fault(report.spec, *id),
            "share": f64::from(*part) / f64::from(WHOLE_JOB),
        })
    });
    each.collect()
}
