//! What was learned, for people.

use std::path::Path;

use truing_engine::suspects::Reweighed;

use crate::layout::{counted, hanging, shown, table};
use crate::learn::{Fate, JobRead, LearnReport};
use crate::learn_words::{causes, check, fault, jobs, share};
use crate::style::{Style, Tone};

/// So many of the problems of one file are told.
const PROBLEMS: usize = 2;

/// What came of each job, and what the odds and chances are with them.
#[must_use]
pub fn render_learned(report: &LearnReport<'_>, style: Style) -> String {
    let mut out = format!("{}\n\n", style.paint(Tone::Heading, &shown(&report.spec.title)));
    let columns = style.columns();
    for job in report.jobs {
        out.push_str(&job_text(report, job, style));
    }
    out.push('\n');
    out.push_str(&hanging("", &format!("{}.", totals(report)), columns));
    if let Some(reweighed) = report.reweighed.filter(|of| of.jobs > 0.0) {
        out.push_str(&faults(report, reweighed, style));
        out.push_str(&effects(report, reweighed, style));
    }
    out.push('\n');
    out.push_str(&hanging("", &closing(report), columns));
    out
}

fn job_text(report: &LearnReport<'_>, job: &JobRead, style: Style) -> String {
    let number = job.job.as_deref().map(shown).filter(|number| !number.is_empty());
    let name = number.map_or(String::new(), |number| format!("{number}, "));
    let name = format!("{name}{}: ", shown(&job.file));
    let (tone, word, text) = match &job.fate {
        Fate::Counted(lesson) => (Tone::Good, "counted  ", causes(report.spec, lesson)),
        Fate::SameAs { other } => {
            (Tone::Plain, "once     ", format!("the same job as in {}", shown(other)))
        }
        Fate::NotCounted { why } => (Tone::Plain, "not      ", why.clone()),
        Fate::Refused { problems } => {
            let told: Vec<String> = problems.iter().take(PROBLEMS).map(problem).collect();
            let more = problems.len() - told.len();
            let mut text = told.join("; ");
            if more > 0 {
                text.push_str(&format!("; and {more} more"));
            }
            (Tone::Open, "refused  ", text)
        }
    };
    let again = job
        .again
        .as_ref()
        .map_or(String::new(), |again| format!(" Read again under this edition: {again}."));
    let text = format!("{name}{}.{again}", text.trim_end_matches('.'));
    let lines = hanging(&format!("  {word}"), &text, style.columns());
    lines.replacen(word, &style.paint(tone, word), 1)
}

fn problem(of: &crate::problem::Problem) -> String {
    let line = of.line.map_or(String::new(), |line| format!("line {line}: "));
    let entry = of.entry.as_ref().map_or(String::new(), |entry| format!("{}: ", shown(entry)));
    format!("{line}{entry}{}", shown(&of.message).trim_end_matches('.'))
}

fn totals(report: &LearnReport<'_>) -> String {
    let not = report.count(|fate| matches!(fate, Fate::NotCounted { .. } | Fate::SameAs { .. }));
    let refused = report.refused();
    let mut out = format!("{} counted", counted(report.counted(), "job", "jobs"));
    if not > 0 {
        out.push_str(&format!(", {not} not"));
    }
    if refused > 0 {
        out.push_str(&format!(", {refused} refused"));
    }
    out
}

/// The faults that jobs speak of; the share of each other one falls by the same factor.
fn faults(report: &LearnReport<'_>, all: &Reweighed, style: Style) -> String {
    let mut rows = vec![["Fault", "Author", "Jobs", "Learned", "sd"].map(str::to_owned).to_vec()];
    let caused = all.faults.iter().filter(|of| of.jobs > 0.0);
    rows.extend(caused.map(|of| {
        vec![
            fault(report.spec, of.fault),
            share(of.author),
            jobs(of.jobs),
            share(of.share),
            share(of.standard_deviation),
        ]
    }));
    let lead = format!(
        "How often a fault is the cause, among the listed: {} beside the author's word, which counts as {}.",
        counted_jobs(all.jobs),
        counted_jobs(all.author_jobs)
    );
    let others = all.faults.len() - (rows.len() - 1);
    let factor = all.author_jobs / (all.author_jobs + all.jobs);
    let rest = match others {
        0 => String::new(),
        others => hanging(
            "  ",
            &format!(
                "{}: the author's share times {factor:.3}.",
                counted(others, "other fault", "other faults")
            ),
            style.columns(),
        ),
    };
    let lead = hanging("", &lead, style.columns());
    format!("\n{lead}{}{rest}", table(&rows, 2, style.columns()))
}

/// By fault: a check's name and its own are often too long for one line.
fn effects(report: &LearnReport<'_>, all: &Reweighed, style: Style) -> String {
    let lead = "How often checks show it, of those that were judged before the repair.";
    let mut out = format!("\n{}", hanging("", lead, style.columns()));
    let head = ["Check", "Band", "Author", "Seen", "Learned", "sd"].map(str::to_owned).to_vec();
    for of_fault in all.effects.chunk_by(|one, other| one.fault == other.fault) {
        let Some(first) = of_fault.first() else { continue };
        out.push_str(&hanging("  ", &fault(report.spec, first.fault), style.columns()));
        let mut rows = vec![head.clone()];
        rows.extend(of_fault.iter().map(|of| {
            vec![
                check(report.spec, of.check),
                of.band.word().to_owned(),
                share(of.author),
                format!("{} of {}", jobs(of.seen), jobs(of.judged)),
                share(of.chance),
                share(of.standard_deviation),
            ]
        }));
        out.push_str(&table(&rows, 4, style.columns()));
    }
    out
}

fn counted_jobs(of: f64) -> String {
    let text = jobs(of);
    let word = if text == "1" { "job" } else { "jobs" };
    format!("{text} {word}")
}

fn closing(report: &LearnReport<'_>) -> String {
    match report.written {
        Some(file) => format!(
            "The counts are in {}. A spec beside it takes them up with `use \"{}\"`; the spec itself was \
             not changed.",
            shown(file),
            Path::new(file)
                .file_stem()
                .map_or(String::new(), |stem| shown(&stem.to_string_lossy()))
        ),
        None if report.counted() == 0 => {
            "No job counts: there is nothing to learn from them.".to_owned()
        }
        None => {
            "Nothing was written: `-o FILE` writes the counts as a library for the spec to use."
                .to_owned()
        }
    }
}
