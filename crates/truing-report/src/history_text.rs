//! The jobs of a folder for people: a table, by sort of machine or by fault where that is asked for,
//! with counts, and the files that could not be read.

use crate::closing_text::conclusion_words;
use crate::history::{Counts, History, JobOutcome, PastJob, PastPart};
use crate::layout::{counted, hanging, shown, table};
use crate::style::{Style, Tone};

/// What jobs are put together by.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum By {
    /// The sort of machine.
    Machine,
    /// The fault that was found.
    Fault,
}

/// A complaint may be a letter: so much of it stands in a table.
const COMPLAINT: usize = 60;
const NOTHING: &str = "-";

/// The jobs of a folder as people read them.
#[must_use]
pub fn render_history(history: &History, by: Option<By>, style: Style) -> String {
    let mut out = String::new();
    match by {
        None => out.push_str(&jobs_table(&history.jobs.iter().collect::<Vec<_>>(), 0, style)),
        Some(by) => {
            let (groups, without) = match by {
                By::Machine => (history.by_machine(), "Machine not known"),
                By::Fault => (history.by_fault(), "No fault found"),
            };
            for (name, jobs) in groups {
                let name = name.map_or(without.to_owned(), shown);
                let counts = counts_text(Counts::of(jobs.iter().copied()));
                out.push_str(&hanging("", &format!("{name}: {counts}"), style.columns()));
                out.push_str(&jobs_table(&jobs, 2, style));
                out.push('\n');
            }
        }
    }
    out.push_str(&not_judged(history, style));
    out.push_str(&unreadable(history, style));
    if by.is_none() && !out.is_empty() {
        out.push('\n');
    }
    let counts = counts_text(Counts::of(&history.jobs));
    out.push_str(&hanging("", &format!("{counts}."), style.columns()));
    out
}

fn jobs_table(jobs: &[&PastJob], indent: usize, style: Style) -> String {
    if jobs.is_empty() {
        return String::new();
    }
    let head = ["Job", "Machine", "Complaint", "Fault found", "Parts", "Repair"];
    let mut rows = vec![head.map(str::to_owned).to_vec()];
    rows.extend(jobs.iter().map(|job| row(job)));
    let text = table(&rows, indent, style.columns());
    // Its first line or lines are the head; only a plain one is painted whole.
    match text.split_once('\n') {
        Some((head, rest)) => format!("{}\n{rest}", style.paint(Tone::Heading, head)),
        None => text,
    }
}

fn row(job: &PastJob) -> Vec<String> {
    let known = |text: &Option<String>| text.as_deref().map(shown).filter(|text| !text.is_empty());
    let number = known(&job.job).unwrap_or_else(|| shown(&job.file));
    let serial = known(&job.serial).map(|serial| format!("serial {serial}"));
    let machine: Vec<String> = [known(&job.machine), serial].into_iter().flatten().collect();
    let complaint = known(&job.complaint).map(|text| cut(&text));
    let parts: Vec<String> = job.parts.iter().map(part_text).collect();
    let or_nothing = |text: String| if text.is_empty() { NOTHING.to_owned() } else { text };
    vec![
        number,
        or_nothing(machine.join(", ")),
        complaint.unwrap_or_else(|| NOTHING.to_owned()),
        job.fault().map_or(NOTHING.to_owned(), |fault| shown(&fault.title)),
        or_nothing(parts.join(", ")),
        conclusion_text(job),
    ]
}

fn conclusion_text(job: &PastJob) -> String {
    let open = if job.closed { "" } else { ", open" };
    match &job.outcome {
        JobOutcome::Yes { conclusion, .. } => format!("{}{open}", conclusion_words(*conclusion)),
        JobOutcome::No { .. } => format!("not judged{open}"),
    }
}

fn part_text(part: &PastPart) -> String {
    let name = shown(&part.name);
    if part.quantity == 1 { name } else { format!("{} × {name}", part.quantity) }
}

fn cut(text: &str) -> String {
    let mut cut: String = text.chars().take(COMPLAINT).collect();
    if text.chars().nth(COMPLAINT).is_some() {
        cut.push('…');
    }
    cut
}

fn not_judged(history: &History, style: Style) -> String {
    let mut lines = String::new();
    for job in &history.jobs {
        if let JobOutcome::No { why } = &job.outcome {
            let text = format!("{}: {}", shown(&job.file), shown(why));
            lines.push_str(&hanging("  - ", &text, style.columns()));
        }
    }
    under("Not judged", &lines, style)
}

fn unreadable(history: &History, style: Style) -> String {
    let mut lines = String::new();
    for file in &history.unreadable {
        let text = format!("{}: {}", shown(&file.file), shown(&file.why));
        lines.push_str(&hanging("  - ", &text, style.columns()));
    }
    under("Not read", &lines, style)
}

fn under(heading: &str, lines: &str, style: Style) -> String {
    if lines.is_empty() {
        return String::new();
    }
    format!("\n{}\n{lines}", style.paint(Tone::Heading, heading))
}

fn counts_text(counts: Counts) -> String {
    let mut text = counted(counts.jobs, "job", "jobs");
    let told = [
        (counts.proven, "proven"),
        (counts.not_proven, "not proven"),
        (counts.nothing_repaired, "nothing repaired"),
        (counts.not_judged, "not judged"),
    ];
    let told = told.into_iter().filter(|(count, _)| *count > 0);
    let told: Vec<String> = told.map(|(count, words)| format!("{count} {words}")).collect();
    if !told.is_empty() {
        text.push_str(&format!(" ({})", told.join(", ")));
    }
    text
}
