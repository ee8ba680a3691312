//! A report for people: whose machine and by which spec, what came of each round, the rounds side by
//! side, what to mind, and what it comes to.

use truing_engine::{Findings, Sheet};
use truing_job::JobSheet;
use truing_model::{Domain, Machine, PropertyValue, Spec};

use crate::budget_text::render_budgets;
use crate::comparison::{capital, render_comparison};
use crate::edition_text::standing_text;
use crate::groups::render_groups;
use crate::layout::{hanging, shown};
use crate::limit_text::rule_text;
use crate::report::{Report, Round};
use crate::style::{Style, Tone};
use crate::suspects_text::{SuspectsReport, render_suspects};
use crate::teller::Teller;
use crate::verdict::{exit_status, summary_words, verdict_words};

const DISCLAIMER: &str = "This report advises. The maker's service information comes first. It does \
                          not certify that the machine is safe.";

/// What came of one round, as people read it.
#[must_use]
pub fn render_findings(
    spec: &Spec,
    sheet: &Sheet,
    findings: &Findings,
    job: Option<&JobSheet>,
    round: &str,
    style: Style,
) -> String {
    let rounds = vec![Round { name: round, sheet, findings, remedies: &[], simulations: &[] }];
    let report = Report { job, rounds, ..Report::of_round(spec, sheet, findings) };
    render_report(&report, style)
}

/// A report as people read it.
#[must_use]
pub fn render_report(report: &Report<'_>, style: Style) -> String {
    let mut out = header(report, style);
    let mut told = Vec::new();
    for (i, round) in report.rounds.iter().enumerate() {
        let teller = Teller::new(report.spec, round.sheet, round.findings);
        let mut accounts = teller.accounts(report.only.as_deref());
        for account in &mut accounts {
            let remedy = round.remedies.iter().find(|(check, _)| *check == account.check);
            account.settled_by = remedy.map(|(_, meters)| meters.clone()).unwrap_or_default();
        }
        let name = round_name(round, i);
        if report.rounds.len() > 1 {
            out.push_str(&round_heading(&name, i + 1, report.rounds.len(), style));
        }
        out.push_str(&render_groups(&accounts, report.all, style));
        if report.budgets {
            out.push_str(&render_budgets(&teller, round, |of| report.asks_for(of.check), style));
        }
        told.push((name, accounts));
    }
    if told.len() > 1 {
        out.push_str(&render_comparison(&told, report.all, style));
    }
    let rounds: Vec<String> = report.rounds.iter().map(|round| round.name.to_owned()).collect();
    let suspects = SuspectsReport { spec: report.spec, stages: report.suspects, rounds: &rounds };
    out.push_str(&render_suspects(&suspects, style));
    out.push_str(&cautions(report, style));
    out.push_str(&closing(report, style));
    out
}

fn round_name(round: &Round<'_>, place: usize) -> String {
    if round.name.is_empty() { format!("round {}", place + 1) } else { round.name.to_owned() }
}

fn round_heading(name: &str, place: usize, of: usize, style: Style) -> String {
    let text = format!("Round {place} of {of}: {}", shown(name));
    let line = "-".repeat(crate::layout::width(&text));
    format!("{}\n{line}\n", style.paint(Tone::Heading, &text))
}

fn header(report: &Report<'_>, style: Style) -> String {
    let spec = report.spec;
    let mut out = format!("{}\n", style.paint(Tone::Heading, &shown(&spec.title)));
    let mut row = |name: &str, text: &str| {
        if !text.is_empty() {
            out.push_str(&hanging(&format!("  {name:<11}"), &shown(text), style.columns()));
        }
    };
    let machines: Vec<String> = spec.machines.iter().map(machine_words).collect();
    row("Fits", &machines.join("; "));
    row(
        "Machine",
        &report.rounds.last().map_or(String::new(), |round| properties(spec, round.sheet)),
    );
    let edition = spec.edition.as_ref().map_or(String::new(), |e| format!(", edition {e}"));
    row("Spec", &format!("{}{edition}", spec.name));
    if let Some(text) = standing_text(&report.standing) {
        row("Mind", &format!("{text}."));
    }
    if let Some(job) = report.job {
        row("Job", &job_words(job));
        row("Complaint", job.complaint.as_deref().unwrap_or(""));
        row("Note", job.note.as_deref().unwrap_or(""));
    }
    let rule = report.rounds.last().and_then(|round| round.sheet.rule()).unwrap_or(spec.decide);
    row("Rule", &rule_text(rule));
    out.push('\n');
    out
}

fn machine_words(machine: &Machine) -> String {
    let years = match (machine.from_year, machine.to_year) {
        (Some(from), Some(to)) if from == to => format!(", {from}"),
        (Some(from), Some(to)) => format!(", {from} to {to}"),
        (Some(from), None) => format!(", from {from}"),
        (None, Some(to)) => format!(", to {to}"),
        (None, None) => String::new(),
    };
    format!("{} {}{years}", machine.maker, machine.model)
}

/// What this machine is: "serial 3402, market eu".
fn properties(spec: &Spec, sheet: &Sheet) -> String {
    let known = (0u32..).zip(&spec.properties).filter_map(|(id, property)| {
        let value = match (sheet.property(truing_model::PropertyId(id))?, &property.domain) {
            (PropertyValue::Word(word), Domain::Words(words)) => {
                words.get(usize::from(*word))?.clone()
            }
            (PropertyValue::Figure(figure), _) => figure_words(&figure.shown.to_string()),
            (PropertyValue::Word(_), Domain::Quantity(_)) => return None,
        };
        Some(format!("{} {value}", property.name))
    });
    known.collect::<Vec<_>>().join(", ")
}

/// A count needs no unit behind it.
fn figure_words(text: &str) -> String {
    text.strip_suffix(" 1").unwrap_or(text).trim().to_owned()
}

fn job_words(job: &JobSheet) -> String {
    let technician = job.technician.as_ref().map(|name| format!("by {name}"));
    [job.job.clone(), job.date.clone(), technician]
        .into_iter()
        .flatten()
        .collect::<Vec<_>>()
        .join(", ")
}

fn cautions(report: &Report<'_>, style: Style) -> String {
    let Some(last) = report.rounds.last() else { return String::new() };
    let cautions = report.cautions(last);
    if cautions.is_empty() {
        return String::new();
    }
    let mut out = format!("{}\n", style.paint(Tone::Heading, "Before you repeat these"));
    for caution in cautions {
        out.push_str(&hanging("  - ", &shown(caution), style.columns()));
    }
    out.push('\n');
    out
}

fn closing(report: &Report<'_>, style: Style) -> String {
    let mut out = String::new();
    for (i, round) in report.rounds.iter().enumerate() {
        let summary = summary_words(&report.summary(round));
        let text = match report.rounds.len() {
            1 => summary,
            _ => format!("{}: {summary}", capital(&shown(&round_name(round, i)))),
        };
        out.push_str(&hanging("", &format!("{text}."), style.columns()));
    }
    let verdict = report.verdict();
    let status = exit_status(verdict);
    let words = verdict_words(verdict);
    let of = last_of_several(report);
    let of =
        of.map_or(String::new(), |name| format!(" (that of the last round, {})", shown(&name)));
    let text = format!("Exit status {status}{of}: {words}.");
    out.push_str(&hanging("", &text, style.columns()));
    out.push_str(&hanging("", DISCLAIMER, style.columns()));
    out
}

fn last_of_several(report: &Report<'_>) -> Option<String> {
    let last = report.rounds.len().checked_sub(1).filter(|last| *last > 0)?;
    report.rounds.get(last).map(|round| round_name(round, last))
}
