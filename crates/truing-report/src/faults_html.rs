//! What a spec's checks can show of its faults, as one page that needs nothing else: no script, no
//! network, no meaning in colour alone.

use minijinja::value::Serde;
use serde::Serialize;
use truing_engine::suspects::{FaultWorth, Mark};

use crate::faults_matrix::{blocks, letter};
use crate::faults_text::FaultsReport;
use crate::faults_words::{self, KEY, LEGEND};
use crate::job_report::{NotWritten, TEMPLATES};
use crate::layout::shown;
use crate::suspects_words::Words;

/// So many columns of the matrix fit on paper beside the names of the faults.
const COLUMNS: usize = 21;

#[derive(Serialize)]
struct Page<'a> {
    title: String,
    spec: &'a str,
    edition: Option<String>,
    shown: Vec<Told>,
    effort: Vec<Told>,
    faults: Vec<Fault>,
    /// Whether jobs moved the author's odds.
    learned: bool,
    /// How many columns the matrix has in all.
    checks: usize,
    blocks: Vec<Block>,
    key: &'static str,
    legend: &'static str,
}

/// Lines with what they are about, said once where several follow.
#[derive(Serialize)]
struct Told {
    lead: &'static str,
    lines: Vec<Line>,
}

#[derive(Serialize)]
struct Line {
    text: String,
    warns: bool,
}

#[derive(Serialize)]
struct Fault {
    label: String,
    title: String,
    odds: String,
    /// By the author's word alone.
    author: String,
    mended_by: String,
}

#[derive(Serialize)]
struct Block {
    first: usize,
    last: usize,
    checks: Vec<String>,
    rows: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    fault: String,
    cells: Vec<Cell>,
}

#[derive(Serialize)]
struct Cell {
    bands: Vec<String>,
    mostly: bool,
}

/// The page.
///
/// # Errors
/// Where the template cannot be filled.
pub fn faults_html(report: &FaultsReport<'_>) -> Result<String, NotWritten> {
    let words = Words { spec: report.spec };
    let worth = report.worth;
    let page = Page {
        title: shown(&report.spec.title),
        spec: &report.spec.name,
        edition: report.spec.edition.as_deref().map(shown),
        shown: worth
            .map(|worth| {
                let weak = faults_words::weaknesses(&words, worth);
                told(faults_words::figures(worth).into_iter().chain(weak))
            })
            .unwrap_or_default(),
        effort: worth
            .map(|worth| told(faults_words::effort(&words, &worth.effort)))
            .unwrap_or_default(),
        faults: faults(&words, report),
        learned: report.spec.learned.is_some(),
        checks: worth.map_or(0, |worth| worth.checks.len()),
        blocks: tables(&words, report),
        key: KEY,
        legend: LEGEND,
    };
    Ok(TEMPLATES.get_template("faults.html")?.render(Serde(&page))?)
}

fn told(lines: impl IntoIterator<Item = faults_words::Line>) -> Vec<Told> {
    let mut out: Vec<Told> = Vec::new();
    for of in lines {
        let line = Line { text: shown(&of.text), warns: of.warns };
        match out.last_mut().filter(|last| last.lead == of.lead) {
            Some(last) => last.lines.push(line),
            None => out.push(Told { lead: of.lead, lines: vec![line] }),
        }
    }
    out
}

fn faults(words: &Words<'_>, report: &FaultsReport<'_>) -> Vec<Fault> {
    let all = report.worth.map_or(&[][..], |worth| &worth.faults);
    let fault = |of: &FaultWorth| Fault {
        label: words.spec.fault(of.fault).map_or(String::new(), |fault| shown(&fault.label)),
        title: shown(&words.fault(of.fault)),
        odds: format!("{:.1} %", of.probability * 100.0),
        author: format!("{:.1} %", of.author * 100.0),
        mended_by: shown(&words.remedy(of.remedy)),
    };
    all.iter().map(fault).collect()
}

fn tables(words: &Words<'_>, report: &FaultsReport<'_>) -> Vec<Block> {
    let Some(worth) = report.worth else { return Vec::new() };
    let label = |id| words.spec.fault(id).map_or(String::new(), |fault| shown(&fault.label));
    let block = |of: crate::faults_matrix::Block<'_>| Block {
        first: of.first,
        last: of.first + of.checks.len() - 1,
        checks: of.checks.iter().map(|check| shown(&words.check(*check))).collect(),
        rows: of
            .rows
            .iter()
            .map(|row| Row {
                fault: label(row.fault.fault),
                cells: row.marks.iter().map(|mark| cell(*mark)).collect(),
            })
            .collect(),
    };
    blocks(worth, COLUMNS).into_iter().map(block).collect()
}

fn cell(mark: Option<&Mark>) -> Cell {
    let Some(mark) = mark else { return Cell { bands: Vec::new(), mostly: false } };
    let band = |(band, chance): &(truing_model::CheckBand, f64)| {
        format!("{}{:.0}", letter(*band, mark.mostly == Some(*band)), chance * 100.0)
    };
    Cell { bands: mark.bands.iter().map(band).collect(), mostly: mark.mostly.is_some() }
}
