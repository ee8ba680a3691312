//! Which fault explains the readings, and what cleared the others.

use truing_engine::suspects::{
    Contribution, Ranking, Recommended, RepairVerdict, RuledDown, Seen, Stage, Strength, Unused,
    Weighing, WhyUnused,
};
use truing_model::{CheckBand, CheckId, FaultId};

use super::build::Stand;
use super::summary::proof_words;
use super::text::Text;
use super::view::{Cleared, ContributionView, Named, StageView, Weighed};
use crate::layout::listed;
use crate::suspects_text::decibans;
use crate::suspects_words::chance;

/// Of the faults with the leader's cure those are named that are at least this probable.
const OPEN: f64 = 0.05;
/// Of checks that were not measured so many are named.
const NAMED: usize = 4;

/// All stages.
pub(super) fn stages(stand: &Stand<'_>) -> Vec<StageView> {
    stand.stages().iter().map(|of| stage(stand, of)).collect()
}

fn stage(stand: &Stand<'_>, stage: &Stage) -> StageView {
    let mut view = StageView {
        heading: heading(stand, stage),
        rounds: stage.rounds.clone(),
        proof: None,
        told: Vec::new(),
        weighed: None,
        cleared: Vec::new(),
    };
    match &stage.ranking {
        Err(contradiction) => view.told.push(named(
            "Contradiction",
            &format!(
                "The results of {} contradict each other: no fault of the spec, and no slip, \
                 allows them together. Take them again.",
                stand.titles(&contradiction.checks)
            ),
        )),
        Ok(ranking) => {
            let proof = ranking.proof.as_ref();
            view.proof = proof.map(|proof| proof_words(stand, proof));
            view.told = told(stand, ranking);
            let failed = ranking.seen == Seen::Failed;
            view.weighed =
                ranking.weighing.as_ref().filter(|_| failed).map(|of| weighed(stand, of));
            if failed {
                view.cleared = cleared(stand, ranking);
            }
        }
    }
    view
}

fn heading(stand: &Stand<'_>, stage: &Stage) -> Text {
    let rounds = stand.names(&stage.rounds);
    let fixes: Vec<String> =
        stage.fitted.iter().filter_map(|fix| Some(stand.spec().fix(*fix)?.title.clone())).collect();
    match (fixes.as_slice(), stand.rounds.len()) {
        ([], 0 | 1) => Text::line("What explains the readings"),
        ([], _) => Text::line(&format!("What explains the readings ({rounds})")),
        (fixes, _) => Text::line(&format!("After “{}” ({rounds})", listed(fixes))),
    }
}

fn named(name: &str, text: &str) -> Named {
    Named { name: Text::line(name), text: Text::line(text) }
}

fn told(stand: &Stand<'_>, ranking: &Ranking) -> Vec<Named> {
    let words = stand.words();
    let mut told = Vec::new();
    match ranking.seen {
        Seen::Nothing => {
            told.push(named(
                "Seen",
                "Nothing that bears on a fault was measured: no suspect is named.",
            ));
        }
        Seen::NothingFailed => told.push(named("Seen", "No fault shows in what was measured.")),
        Seen::Failed => {
            told.extend(most_likely(stand, ranking));
        }
    }
    if let Some(pair) = &ranking.pair {
        let [one, other] = pair.faults.map(|fault| words.fault(fault));
        let chance = chance(pair.probability);
        told.push(named(
            "Two faults",
            &format!(
                "One fault does not explain everything ({chance}): {one}, and {other}. Repair one, \
                 measure again, go on."
            ),
        ));
    }
    if let Recommended::CannotBeToldApart(among) = &ranking.recommended
        && among.len() > 1
    {
        let among: Vec<String> = among.iter().map(|remedy| words.remedy(*remedy)).collect();
        let text = format!("No check that is left tells more between {}.", listed(&among));
        told.push(named("Not told apart", &text));
    }
    if !ranking.unexplained.is_empty() {
        let text = format!(
            "{}: outside, and no listed fault acts there.",
            stand.titles(&ranking.unexplained)
        );
        told.push(named("Unexplained", &text));
    }
    told.extend(unused(stand, &ranking.unused));
    let proven = ranking.proof.as_ref().is_some_and(|p| p.verdict == RepairVerdict::Proven);
    if ranking.seen != Seen::Nothing && !proven && !ranking.unmeasured.is_empty() {
        told.push(named("Not measured", &not_measured(stand, &ranking.unmeasured)));
    }
    told
}

/// Named where they are few; else they stand under what was not tested.
fn not_measured(stand: &Stand<'_>, checks: &[CheckId]) -> String {
    let mut names: Vec<&str> = Vec::new();
    for check in checks.iter().filter_map(|id| stand.spec().check(*id)) {
        if !names.contains(&check.name.as_str()) {
            names.push(&check.name);
        }
    }
    match names.len() {
        n if n > NAMED => format!("{n} checks that bear on a fault; see what was not tested."),
        _ => format!("{}.", stand.titles(checks)),
    }
}

fn most_likely(stand: &Stand<'_>, ranking: &Ranking) -> Vec<Named> {
    let words = stand.words();
    let Some(cure) = ranking.cures.first() else { return Vec::new() };
    let fault = cure.faults.first().map_or(String::new(), |of| words.fault(of.fault));
    let remedy = words.remedy(cure.remedy);
    let mut text = match fault.as_str() {
        "" => format!("{} ({}).", super::summary::capital(&remedy), chance(cure.probability)),
        fault => format!("{fault} ({}). {remedy}.", chance(cure.probability)),
    };
    if words.needs_no_part(cure.remedy) && ranking.no_part < 0.995 {
        text.push_str(&format!(" That no part has to be ordered: {}.", chance(ranking.no_part)));
    }
    let mut told = vec![named("Most likely", &text)];
    let open: Vec<String> = cure
        .faults
        .iter()
        .filter(|of| of.probability >= OPEN)
        .map(|of| format!("{} ({})", words.fault(of.fault), chance(of.probability)))
        .collect();
    if open.len() > 1 {
        let text = format!("{}: which of them need not be known.", listed(&open));
        told.push(named("Same cure", &text));
    }
    told
}

/// What was tried and changed nothing.
fn unused(stand: &Stand<'_>, unused: &[Unused]) -> Vec<Named> {
    let (blocked, others): (Vec<&Unused>, Vec<&Unused>) =
        unused.iter().partition(|of| of.why == WhyUnused::Blocked);
    let blocked: Vec<CheckId> = blocked.into_iter().map(|of| of.check).collect();
    let mut told = Vec::new();
    if !blocked.is_empty() {
        told.push(named(
            "Not used",
            &format!("{}: tried, and not judged.", stand.titles(&blocked)),
        ));
    }
    told.extend(others.into_iter().map(|of| named("Not used", &stand.words().unused(of))));
    told
}

fn weighed(stand: &Stand<'_>, of: &Weighing) -> Weighed {
    let words = stand.words();
    let mut telling: Vec<&Contribution> =
        of.contributions.iter().filter(|of| of.strength != Strength::Little).collect();
    telling.sort_by(|a, b| b.decibans.abs().total_cmp(&a.decibans.abs()));
    Weighed {
        leader: Text::line(&words.points(of.leader)),
        leader_chance: Text::line(&chance(of.leader_probability)),
        rival: Text::line(&words.points(of.rival)),
        rival_chance: Text::line(&chance(of.rival_probability)),
        before: weight(of.prior_decibans),
        in_all: weight(of.total_decibans),
        say_little: of.contributions.len() - telling.len(),
        contributions: telling.into_iter().map(|of| contribution(stand, of)).collect(),
    }
}

fn contribution(stand: &Stand<'_>, of: &Contribution) -> ContributionView {
    let words = stand.words();
    let certain = match of.share {
        share if share < 0.995 => format!(" ({} certain)", chance(share)),
        _ => String::new(),
    };
    ContributionView {
        check: Text::line(&words.check(of.check)),
        title: Text::line(stand.spec().check(of.check).map_or("", |check| &check.title)),
        came_out: Text::line(&format!("{}{certain}", came_out(of.band))),
        leader_shows: Text::line(&chance(of.leader_shows)),
        rival_shows: Text::line(&chance(of.rival_shows)),
        decibans: weight(of.decibans),
        strength: match of.strength {
            Strength::Little => "little",
            Strength::Slightly => "slightly",
            Strength::Clearly => "clearly",
            Strength::Strongly => "strongly",
            Strength::RulesOut => "all but rules the other out",
        },
        speaks_for: of.decibans > 0.0,
    }
}

const fn came_out(band: CheckBand) -> &'static str {
    match band {
        CheckBand::Ok => "in order",
        CheckBand::Worn => "worn",
        CheckBand::High => "outside high",
        CheckBand::Low => "outside low",
        CheckBand::Fail => "outside",
    }
}

/// A weight in decibans; of what is excluded outright there is none.
fn weight(db: f64) -> Option<Text> {
    db.is_finite().then(|| Text::line(&decibans(db)))
}

/// Faults that a check in order speaks against, each once with what speaks most, the most common
/// first.
fn cleared(stand: &Stand<'_>, ranking: &Ranking) -> Vec<Cleared> {
    let leading = ranking.cures.first().map(|cure| &cure.faults);
    let leads = |fault: FaultId| leading.is_some_and(|of| of.iter().any(|f| f.fault == fault));
    let mut most: Vec<&RuledDown> = Vec::new();
    for of in ranking.ruled_down.iter().filter(|of| !leads(of.fault)) {
        match most.iter_mut().find(|known| known.fault == of.fault) {
            Some(known) if of.would_fail > known.would_fail => *known = of,
            Some(_) => {}
            None => most.push(of),
        }
    }
    let prior = |fault: FaultId| stand.spec().fault(fault).map_or(0.0, |fault| fault.prior);
    most.sort_by(|a, b| prior(b.fault).total_cmp(&prior(a.fault)).then(a.fault.cmp(&b.fault)));
    let words = stand.words();
    most.into_iter()
        .map(|of| Cleared {
            fault: Text::line(&words.fault(of.fault)),
            check: Text::line(&words.check(of.check)),
            title: Text::line(stand.spec().check(of.check).map_or("", |check| &check.title)),
            would_fail: Text::line(&chance(of.would_fail)),
        })
        .collect()
}
