//! What a spec's checks can show of its faults, for people.

use std::collections::BTreeMap;

use truing_engine::suspects::Worth;
use truing_model::{FaultId, Spec};

use crate::layout::{counted, hanging, listed, shown, table};
use crate::style::{Style, Tone};
use crate::suspects_words::Words;

/// So many pairs of faults that overlap are named.
const ALIKE: usize = 10;

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
            worth.undetected.is_empty() && worth.groups.iter().all(|(_, one_cure)| *one_cure)
        })
    }
}

/// The faults with what they upset, the figures, and what is weak.
#[must_use]
pub fn render_faults(report: &FaultsReport<'_>, style: Style) -> String {
    let mut out = format!("{}\n\n", style.paint(Tone::Heading, &shown(&report.spec.title)));
    let Some(worth) = report.worth else {
        out.push_str(&hanging("", "This spec lists no faults.", style.columns()));
        return out;
    };
    let words = Words { spec: report.spec };
    out.push_str(&matrix(&words, worth, style));
    out.push('\n');
    out.push_str(&figures(worth, style));
    out.push_str(&weaknesses(&words, worth, style));
    let legend = "By the band that each check is most probably in under each fault, and by the odds \
                  of the spec: figures of the kind of IEEE Std 1522. They say what the spec tells \
                  apart, not what happens to machines.";
    out.push_str(&hanging("", legend, style.columns()));
    out
}

fn matrix(words: &Words<'_>, worth: &Worth, style: Style) -> String {
    let mut rows =
        vec![["Fault", "Odds", "Mended by", "Mostly upsets"].map(str::to_owned).to_vec()];
    for of in &worth.faults {
        let Some(fault) = words.spec.fault(of.fault) else { continue };
        let upsets: Vec<String> = of
            .upsets
            .iter()
            .map(|(check, band)| {
                let side = words.band(*band).trim_start_matches("outside").trim();
                format!("{} {side}", words.check(*check)).trim_end().to_owned()
            })
            .collect();
        rows.push(vec![
            fault.label.clone(),
            format!("{:.1} %", fault.prior * 100.0),
            words.short(of.remedy),
            if upsets.is_empty() { "nothing".to_owned() } else { upsets.join(", ") },
        ]);
    }
    table(&rows, 2, style.columns())
}

fn figures(worth: &Worth, style: Style) -> String {
    let mut out = String::new();
    let mut say = |text: String| out.push_str(&hanging("  ", &text, style.columns()));
    say(format!(
        "Shown by some check: {} of the faults by their odds, {} by number.",
        share(worth.detected),
        share(worth.detected_by_number)
    ));
    say(format!(
        "Told apart, of these: {} from every other fault, {} as far as the cure goes.",
        share(worth.isolated),
        share(worth.isolated_to_cure)
    ));
    say(format!(
        "Faults left on average: {:.2}. Renewed in vain for each fault: {:.2}.",
        worth.mean_group, worth.false_removals
    ));
    out
}

/// A share of what an author wrote: it may be all.
fn share(of: f64) -> String {
    format!("{:.0} %", of * 100.0)
}

/// By name, however many members are meant: what is hidden, and behind what.
fn hidden(spec: &Spec, worth: &Worth) -> BTreeMap<String, Vec<String>> {
    let name = |id: FaultId| spec.fault(id).map_or(String::new(), |fault| fault.name.clone());
    let mut out: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for (cover, hidden) in &worth.hidden {
        let covers = out.entry(name(*hidden)).or_default();
        let cover = name(*cover);
        if !covers.contains(&cover) {
            covers.push(cover);
        }
    }
    out
}

fn weaknesses(words: &Words<'_>, worth: &Worth, style: Style) -> String {
    let mut out = String::new();
    let mut say = |lead: &str, text: &str| {
        if !text.is_empty() {
            out.push_str(&hanging(lead, text, style.columns()));
        }
    };
    let label =
        |id: FaultId| words.spec.fault(id).map_or(String::new(), |fault| fault.label.clone());
    let labels = |ids: &[FaultId]| listed(&ids.iter().map(|id| label(*id)).collect::<Vec<_>>());
    say("  Shown by none  ", &labels(&worth.undetected));
    for (group, one_cure) in &worth.groups {
        let cure = if *one_cure { "one cure" } else { "mended differently" };
        say("  Not apart      ", &format!("{} ({cure})", labels(group)));
    }
    for (hidden, covers) in hidden(words.spec, worth) {
        say("  Hidden         ", &format!("{hidden} behind {}", listed(&covers)));
    }
    for (one, other, overlap) in worth.alike.iter().take(ALIKE) {
        let text = format!("{} and {}: overlap {overlap:.2}", label(*one), label(*other));
        say("  Hard to tell   ", &text);
    }
    let more = worth.alike.len().saturating_sub(ALIKE);
    if more > 0 {
        say("                 ", &format!("and {} more", counted(more, "pair", "pairs")));
    }
    say("  No use         ", &words.names(&worth.useless));
    let redundant = words.names(&worth.redundant);
    if !worth.redundant.is_empty() {
        say("  Spare          ", &format!("{redundant} (any one of them, not all)"));
    }
    out
}
