//! The file of counts: a library in the language, which a spec takes up with `use`.

use std::fmt::Write as _;

use truing_engine::suspects::Reweighed;
use truing_model::Learned;

use crate::layout::{counted, shown};
use crate::learn::{Fate, LearnReport};
use crate::learn_words::{check, fault, jobs, share};

/// The longest name that the language takes.
const LONGEST_NAME: usize = 64;

/// The counts as a library, with what they come to in comments: those are for people, the counts
/// are what a spec reads.
#[must_use]
pub fn learned_text(report: &LearnReport<'_>) -> String {
    let LearnReport { spec, learned, .. } = report;
    let proven = counted(report.counted(), "proven job", "proven jobs");
    let mut name = format!("learned_{}", spec.name);
    name.truncate(LONGEST_NAME);
    let mut out = format!(
        "## Counts of {proven}, written by `truing learn`. A spec takes them up with `use`: its own odds\n\
         ## and chances stay as they are and are weighed with these. Behind each count stands what it comes\n\
         ## to beside the edition of the spec that it was counted by, with its standard deviation (sd).\n\
         library {name} \"What {proven} teach of {}\"\n\n",
        spec.name
    );
    out.push_str("# The jobs:\n");
    for job in report.jobs {
        if matches!(job.fate, Fate::Counted(_)) {
            let number = job.job.as_deref().map_or("without a number".to_owned(), shown);
            let _ = writeln!(out, "# {number}");
        }
    }
    let _ = write!(out, "\nlearned {} {{\n", spec.name);
    if let Some(edition) = &learned.edition {
        let _ = writeln!(out, "    edition \"{}\"", escaped(edition));
    }
    let _ = writeln!(out, "    author {}", learned.author_jobs);
    if let Some(reweighed) = report.reweighed {
        causes(report, learned, reweighed, &mut out);
        shown_by(report, reweighed, &mut out);
    }
    out.push_str("}\n");
    out
}

fn causes(report: &LearnReport<'_>, learned: &Learned, all: &Reweighed, out: &mut String) {
    for cause in &learned.causes {
        let Some(of) = all.faults.iter().find(|of| of.fault == cause.fault) else { continue };
        let _ = writeln!(
            out,
            "    cause {} {}  # {}",
            fault(report.spec, cause.fault),
            jobs(cause.jobs),
            moved(of.author, of.share, of.standard_deviation)
        );
    }
}

fn shown_by(report: &LearnReport<'_>, all: &Reweighed, out: &mut String) {
    for of in &all.effects {
        let _ = writeln!(
            out,
            "    shows {} {} {} {} of {}  # {}",
            fault(report.spec, of.fault),
            check(report.spec, of.check),
            of.band.word(),
            jobs(of.seen),
            jobs(of.judged),
            moved(of.author, of.chance, of.standard_deviation)
        );
    }
}

fn moved(author: f64, learned: f64, standard_deviation: f64) -> String {
    format!(
        "author {}, learned {}, sd {}",
        share(author),
        share(learned),
        share(standard_deviation)
    )
}

/// A text of one line between quotes.
fn escaped(text: &str) -> String {
    shown(text).replace('\\', "\\\\").replace('"', "\\\"")
}
