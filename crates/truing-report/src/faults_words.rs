//! What is said of a spec's checks and faults, in words that the terminal and the page share.

use std::collections::BTreeMap;

use truing_engine::suspects::{Effort, Order, Worth};
use truing_model::{FaultId, Spec};

use crate::layout::{counted, listed};
use crate::suspects_words::{Words, minutes};

/// So many pairs of faults that overlap are named.
const ALIKE: usize = 10;

/// A line of the report with what it is about.
pub(crate) struct Line {
    pub lead: &'static str,
    pub text: String,
    /// It is a weakness that an author should look at.
    pub warns: bool,
}

pub(crate) const KEY: &str = "A capital letter: most probably so under this fault; a small one: less often than not. H \
                              outside high, L outside low, W worn, X out of order.";

pub(crate) const LEGEND: &str = "By the band that each check is most probably in under each fault, and by the odds of the \
                                 spec: figures of the kind of IEEE Std 1522. They say what the spec tells apart, not what \
                                 happens to machines. An overlap is the Bhattacharyya coefficient over all checks: 0 where \
                                 readings never agree, 1 where they always do; above 0.50 two faults are hard to tell apart, \
                                 whatever the rounded figures say.";

/// What the checks show and tell apart.
pub(crate) fn figures(worth: &Worth) -> Vec<Line> {
    let line = |lead, text| Line { lead, text, warns: false };
    vec![
        line(
            "Shown",
            format!(
                "{} of the faults by their odds, {} by number.",
                share(worth.detected),
                share(worth.detected_by_number)
            ),
        ),
        line(
            "Told apart",
            format!(
                "of these {} from every other fault, {} as far as the cure goes; {:.2} faults are left \
                 on average.",
                share(worth.isolated),
                share(worth.isolated_to_cure),
                worth.mean_group
            ),
        ),
        line(
            "In vain",
            format!(
                "{:.2} parts are renewed in vain for each fault, if the likeliest of those that are left \
                 goes first.",
                worth.false_removals
            ),
        ),
    ]
}

/// A share of what an author wrote: it may be all.
pub(crate) fn share(of: f64) -> String {
    format!("{:.0} %", of * 100.0)
}

/// What the best order of checks takes.
pub(crate) fn effort(words: &Words<'_>, effort: &Effort) -> Vec<Line> {
    let line = |lead, text| Line { lead, text, warns: false };
    let mut out = Vec::new();
    let begin = |order: &Order| match order.first {
        Some(check) => format!("; it begins with {}", words.check(check)),
        None => String::new(),
    };
    let best = |order: &Order, least: &str| match order.exact {
        true => ": no order is better".to_owned(),
        false => format!(", by looking two checks ahead; no order comes below {least}"),
    };
    if let Some(order) = &effort.fewest {
        let least = format!("{:.2}", order.at_least);
        let text = format!("{:.2}{}{}.", order.cost, best(order, &least), begin(order));
        out.push(line("Measurements", text));
    }
    if let Some(order) = &effort.quickest {
        let least = minutes(order.at_least);
        let taken = format!("{} in {:.2} measurements", minutes(order.cost), order.measurements);
        out.push(line("Minutes", format!("{taken}{}{}.", best(order, &least), begin(order))));
    }
    if effort.fewest.is_none() && effort.quickest.is_none() {
        out.push(line("Best order", "not worked out: there are too many faults.".to_owned()));
    }
    let sure = share(effort.sure);
    let text = match (effort.uncertain.measurements, effort.uncertain.minutes) {
        (Some(measurements), Some(least)) => format!(
            "no order makes one cure {sure} sure in fewer than {measurements:.2} measurements and {} on \
             average.",
            minutes(least)
        ),
        _ => format!("all checks together cannot make one cure {sure} sure on average."),
    };
    out.push(line("Uncertain", text));
    out
}

/// What is weak.
pub(crate) fn weaknesses(words: &Words<'_>, worth: &Worth) -> Vec<Line> {
    let mut out = Vec::new();
    let label =
        |id: FaultId| words.spec.fault(id).map_or(String::new(), |fault| fault.label.clone());
    let labels = |ids: &[FaultId]| listed(&ids.iter().map(|id| label(*id)).collect::<Vec<_>>());
    let cure = |one: bool| if one { "one cure" } else { "mended differently" };
    let mut say = |lead, text: String, warns| out.push(Line { lead, text, warns });
    if !worth.undetected.is_empty() {
        say("Shown by none", labels(&worth.undetected), true);
    }
    for group in &worth.groups {
        let text = format!(
            "{} ({}; overlap {:.2})",
            labels(&group.faults),
            cure(group.one_cure),
            group.overlap
        );
        say("Not apart", text, !group.one_cure);
    }
    let apart = worth.alike.iter().filter(|of| !in_one_group(worth, of.faults));
    let apart: Vec<_> = apart.collect();
    for of in apart.iter().take(ALIKE) {
        let [one, other] = of.faults.map(label);
        let text = format!("{one} and {other} ({}; overlap {:.2})", cure(of.one_cure), of.overlap);
        say("Hard to tell", text, !of.one_cure);
    }
    let more = apart.len().saturating_sub(ALIKE);
    if more > 0 {
        say("Hard to tell", format!("and {} more", counted(more, "pair", "pairs")), true);
    }
    for (hidden, covers) in hidden(words.spec, worth) {
        say("Hidden", format!("{hidden} behind {}", listed(&covers)), false);
    }
    if !worth.useless.is_empty() {
        say("No use", words.names(&worth.useless), false);
    }
    if !worth.redundant.is_empty() {
        let redundant = words.names(&worth.redundant);
        say("Spare", format!("{redundant} (any one of them, not all)"), false);
    }
    out
}

fn in_one_group(worth: &Worth, faults: [FaultId; 2]) -> bool {
    worth.groups.iter().any(|group| faults.iter().all(|fault| group.faults.contains(fault)))
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
