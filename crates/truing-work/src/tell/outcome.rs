//! What a reading means now.

use truing::engine::Finding;
use truing::model::{CheckBand, Outcome, SlotId};
use truing::report::reason_text;

use super::{listed, sentence};
use crate::bench::{Bench, Judged};
use crate::said::Said;

/// The checks that came out otherwise than before, each with the reason; and where a reading says
/// nothing by itself, what it waits for.
pub(crate) fn changed(
    bench: &Bench,
    before: Option<&Judged>,
    after: &Judged,
    slot: SlotId,
) -> Vec<Said> {
    let spec = bench.spec();
    let mut said = Vec::new();
    for finding in &after.findings.findings {
        let was = before.and_then(|round| round.findings.of(finding.check));
        let Some(check) = spec.check(finding.check) else { continue };
        let own = check.slots.contains(&slot);
        if !is_news(was, finding, own) {
            continue;
        }
        said.push(Said::outcome(outcome(bench, after, finding)));
        if finding.outcome.fails() {
            said.extend(check.advise.iter().map(|text| Said::text(format!("Advice: {text}"))));
        }
        if finding.outcome == Outcome::Undecided {
            said.extend(remedy(bench, after, finding).map(Said::text));
        }
    }
    said
}

/// Whether a finding says something that was not known before.
fn is_news(was: Option<&Finding>, now: &Finding, own: bool) -> bool {
    let changed = was.is_none_or(|was| was.outcome != now.outcome);
    match now.outcome {
        Outcome::NotTaken => false,
        Outcome::NotApplicable => changed && own,
        Outcome::Blocked => changed && (own || !now.reason.used.is_empty()),
        _ => changed || own,
    }
}

/// "No ripple at the battery (smooth): outside high; 0.18 V is above max 0.10 V."
pub(crate) fn outcome(bench: &Bench, round: &Judged, finding: &Finding) -> String {
    let spec = bench.spec();
    let Some(check) = spec.check(finding.check) else { return String::new() };
    let why = reason_text(spec, &round.sheet, &round.findings, finding);
    let words = finding.outcome.words();
    format!("{} ({}): {words}; {}", check.title, check.label, sentence(&why))
}

/// Which of the meters at hand would decide what is undecided.
fn remedy(bench: &Bench, round: &Judged, finding: &Finding) -> Option<String> {
    let at_hand = bench.compiled().at_hand(None);
    let settled = bench.compiled().would_settle(&round.sheet, &round.findings, &at_hand);
    let (_, names) = settled.into_iter().find(|(check, _)| *check == finding.check)?;
    Some(format!("Would decide it with the same figures: {}.", listed(&names)))
}

pub(crate) const fn band_words(band: CheckBand) -> &'static str {
    match band {
        CheckBand::Ok => "in order",
        CheckBand::Worn => "worn",
        CheckBand::High => "outside high",
        CheckBand::Low => "outside low",
        CheckBand::Fail => "outside",
    }
}
