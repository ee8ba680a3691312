//! What a spec's checks can show of its faults, for people.

use truing_engine::suspects::Worth;
use truing_model::Spec;

use crate::faults_matrix;
use crate::faults_words::{KEY, LEGEND, Line, effort, figures, weaknesses};
use crate::layout::{hanging, pad, shown, table};
use crate::style::{Style, Tone};
use crate::suspects_words::Words;

/// What was found of a spec's faults.
#[derive(Copy, Clone, Debug)]
pub struct FaultsReport<'a> {
    /// The spec.
    pub spec: &'a Spec,
    /// What was found; nothing where the spec lists no fault.
    pub worth: Option<&'a Worth>,
}

impl FaultsReport<'_> {
    /// Whether every fault is shown by some check, and faults that are mended differently are told
    /// apart.
    #[must_use]
    pub fn all_told(&self) -> bool {
        self.worth.is_none_or(|worth| {
            worth.undetected.is_empty() && worth.groups.iter().all(|group| group.one_cure)
        })
    }
}

/// The faults, the matrix of what they do to the checks, the figures, and what is weak.
#[must_use]
pub fn render_faults(report: &FaultsReport<'_>, style: Style) -> String {
    let mut out = format!("{}\n", heading(&shown(&report.spec.title), style).trim_start());
    let Some(worth) = report.worth else {
        out.push_str(&hanging("", "This spec lists no faults.", style.columns()));
        return out;
    };
    let words = Words { spec: report.spec };
    out.push_str(&faults(&words, worth, style));
    out.push_str(&heading("What each fault does to each check", style));
    let key = format!(
        "{KEY} The digit: how often it puts the check out of order, in tenths, rounded down."
    );
    out.push_str(&hanging("  ", &key, style.columns()));
    out.push('\n');
    out.push_str(&faults_matrix::render(&words, worth, style.columns()));
    // The last block ends with a blank line.
    out.pop();
    out.push_str(&heading("What the checks show and tell apart", style));
    out.push_str(&lines(&figures(worth), style));
    out.push_str(&lines(&weaknesses(&words, worth), style));
    let best = "What the best order of checks takes, on a machine that someone complained of, if every \
                check told the truth";
    out.push_str(&heading(best, style));
    out.push_str(&lines(&effort(&words, &worth.effort), style));
    out.push('\n');
    out.push_str(&hanging("", LEGEND, style.columns()));
    out
}

fn heading(text: &str, style: Style) -> String {
    let lines = crate::layout::wrap(text, style.columns());
    let lines: Vec<String> = lines.iter().map(|line| style.paint(Tone::Heading, line)).collect();
    format!("\n{}\n", lines.join("\n"))
}

fn faults(words: &Words<'_>, worth: &Worth, style: Style) -> String {
    // The author's own odds stand beside those that jobs have moved.
    let learned = words.spec.learned.is_some();
    let head = ["Fault", "Author", "Odds", "Mended by"];
    let told = |row: [String; 4]| {
        let cells = row.into_iter().enumerate().filter(|(at, _)| learned || *at != 1);
        cells.map(|(_, cell)| cell).collect::<Vec<String>>()
    };
    let mut rows = vec![told(head.map(str::to_owned))];
    for of in &worth.faults {
        let Some(fault) = words.spec.fault(of.fault) else { continue };
        rows.push(told([
            fault.label.clone(),
            format!("{:.1} %", of.author * 100.0),
            format!("{:.1} %", of.probability * 100.0),
            words.short(of.remedy),
        ]));
    }
    table(&rows, 2, style.columns())
}

/// Lines with what they are about before them, said once where several follow.
fn lines(lines: &[Line], style: Style) -> String {
    const LEAD: usize = 15;
    let mut out = String::new();
    let mut before = "";
    for line in lines {
        let lead = if line.lead == before { "" } else { line.lead };
        before = line.lead;
        let text = hanging(&format!("  {}", pad(lead, LEAD)), &line.text, style.columns());
        let tone = if line.warns { Tone::Open } else { Tone::Plain };
        // The lead is painted after the lines are laid out: colour takes no columns.
        out.push_str(&text.replacen(lead, &style.paint(tone, lead), 1));
    }
    out
}
