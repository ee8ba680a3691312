//! Which fault explains the readings, for people: never a percentage without its reason, never a
//! list that only the odds lead.

use truing_engine::suspects::{
    Contribution, CureRanked, Proof, Ranking, Recommended, Remedy, RepairVerdict, Seen, Stage,
    Strength, Unused, Weighing, WhyUnused,
};
use truing_model::{CheckBand, CheckId, FaultId, Spec};

use crate::layout::{counted, hanging, listed, shown};
use crate::style::{Style, Tone};
pub(crate) use crate::suspects_next::next_text;
use crate::suspects_words::{Words, chance};

/// So many checks are named for or against the leader.
const TELLING: usize = 3;
/// So many faults are named as ruled down.
const RULED_DOWN: usize = 6;

/// What the stages of a job come to.
#[derive(Copy, Clone, Debug)]
pub struct SuspectsReport<'a> {
    /// The spec.
    pub spec: &'a Spec,
    /// The stages.
    pub stages: &'a [Stage],
    /// The names of the rounds, in order.
    pub rounds: &'a [String],
}

/// The section of a report: one paragraph for each stage; nothing where the spec lists no fault.
#[must_use]
pub fn render_suspects(report: &SuspectsReport<'_>, style: Style) -> String {
    report.stages.iter().map(|stage| render_stage(report, stage, style)).collect()
}

/// What to measure next on a job, or why to stop: the last stage alone.
#[must_use]
pub fn render_next(report: &SuspectsReport<'_>, style: Style) -> String {
    let Some(stage) = report.stages.last() else {
        let text = "This spec lists no faults, so nothing can be said of what to measure next.";
        return hanging("", text, style.columns());
    };
    let mut out = render_stage(report, stage, style);
    if let Ok(ranking) = &stage.ranking {
        // Where nothing failed the report itself asks for no more.
        let proven = ranking.proof.as_ref().is_some_and(|p| p.verdict == RepairVerdict::Proven);
        if ranking.seen == Seen::NothingFailed && !proven {
            let text = next_text(&Words { spec: report.spec }, ranking);
            out.push_str(&hanging("Next: ", &shown(&text), style.columns()));
        }
    }
    out
}

fn render_stage(report: &SuspectsReport<'_>, stage: &Stage, style: Style) -> String {
    let words = Words { spec: report.spec };
    let mut out = format!("{}\n", style.paint(Tone::Heading, &heading(report, &words, stage)));
    let mut say = |lead: &str, text: &str| {
        if !text.is_empty() {
            out.push_str(&hanging(lead, &shown(text), style.columns()));
        }
    };
    match &stage.ranking {
        Err(contradiction) => {
            let text = format!(
                "The results of {} contradict each other: no fault of the spec, and no slip, allows \
                 them together. Take them again.",
                words.checks(&contradiction.checks)
            );
            say("  ", &text);
        }
        Ok(ranking) => {
            if let Some(proof) = &ranking.proof {
                say("  ", &proof_text(&words, proof));
            }
            tell(&words, ranking, &mut say);
        }
    }
    out.push('\n');
    out
}

fn heading(report: &SuspectsReport<'_>, words: &Words<'_>, stage: &Stage) -> String {
    let named = stage.rounds.iter().filter_map(|round| report.rounds.get(*round));
    let named: Vec<String> = named.filter(|name| !name.is_empty()).map(|n| shown(n)).collect();
    let what = if stage.fitted.is_empty() {
        "Suspects".to_owned()
    } else {
        let fixes = stage.fitted.iter().map(|fix| words.fix_name(*fix)).collect::<Vec<_>>();
        format!("Suspects after {}", listed(&fixes))
    };
    if named.is_empty() || report.rounds.len() < 2 {
        what
    } else {
        format!("{what} ({})", listed(&named))
    }
}

fn tell(words: &Words<'_>, ranking: &Ranking, say: &mut impl FnMut(&str, &str)) {
    let proven = ranking.proof.as_ref().is_some_and(|p| p.verdict == RepairVerdict::Proven);
    match ranking.seen {
        Seen::Nothing => {
            say("  ", "Nothing that bears on a fault was measured: no suspect is named.");
        }
        Seen::NothingFailed => {
            say("  ", "No fault shows in what was measured.");
            if ranking.proof.is_some() && !proven {
                leader(words, ranking, say);
            }
        }
        Seen::Failed => {
            leader(words, ranking, say);
            ruled_down(words, ranking, say);
        }
    }
    if let Some(pair) = &ranking.pair {
        let [one, other] = pair.faults.map(|fault| words.fault(fault));
        let text = format!(
            "One fault does not explain everything ({}): {one}, and {other}. Repair one, measure \
             again, go on.",
            chance(pair.probability)
        );
        say("  Two faults   ", &text);
    }
    if let Some(paired) = ranking.paired.filter(|_| ranking.seen != Seen::Nothing) {
        let text = format!(
            "Two at once were supposed of the likeliest {paired} of {} only.",
            counted(ranking.faults.len(), "fault", "faults")
        );
        say("  Two faults   ", &text);
    }
    let unexplained: Vec<String> = ranking.unexplained.iter().map(|id| words.check(*id)).collect();
    if !unexplained.is_empty() {
        let unexplained = listed(&unexplained);
        say("  Unexplained  ", &format!("{unexplained}: outside, and no listed fault acts there."));
    }
    let (blocked, unused): (Vec<&Unused>, Vec<&Unused>) =
        ranking.unused.iter().partition(|unused| unused.why == WhyUnused::Blocked);
    if !blocked.is_empty() {
        let blocked: Vec<CheckId> = blocked.iter().map(|unused| unused.check).collect();
        let text = format!("{}: tried, and not judged.", words.names(&blocked));
        say("  Not used     ", &text);
    }
    for unused in unused {
        say("  Not used     ", &words.unused(unused));
    }
    if ranking.seen != Seen::Nothing {
        say("  Not measured ", &words.names(&ranking.unmeasured));
    }
    if !proven && ranking.seen != Seen::NothingFailed {
        say("  Next         ", &next_text(words, ranking));
    }
}

/// "Most likely …", for it, against it, and the rival.
fn leader(words: &Words<'_>, ranking: &Ranking, say: &mut impl FnMut(&str, &str)) {
    let (Some(cure), Some(weighing)) = (ranking.cures.first(), &ranking.weighing) else { return };
    say("  Most likely  ", &most_likely(words, cure, ranking));
    let telling = telling(weighing);
    let most = telling.iter().take(TELLING);
    let (pro, contra): (Vec<&Contribution>, Vec<&Contribution>) =
        most.partition(|of: &&Contribution| of.decibans > 0.0);
    for of in pro.into_iter().chain(contra) {
        let lead = if of.decibans > 0.0 { "  For it       " } else { "  Against it   " };
        say(lead, &contribution(words, weighing, of));
    }
    if telling.is_empty() {
        let failed = weighing.contributions.iter().filter(|of| of.band != CheckBand::Ok);
        for of in failed.take(TELLING) {
            say("  For either   ", &contribution(words, weighing, of));
        }
    }
    let rival = format!(
        "{} ({}). {}",
        words.points(weighing.rival),
        chance(weighing.rival_probability),
        sum(weighing, telling.len())
    );
    say("  The rival    ", &rival);
    apart(words, cure, ranking, say);
}

fn most_likely(words: &Words<'_>, cure: &CureRanked, ranking: &Ranking) -> String {
    let p = chance(cure.probability);
    match cure.remedy {
        Remedy::Nothing => format!("no listed fault ({p})."),
        Remedy::NotListed => {
            format!("the readings fit no listed fault ({p}): what is wrong is not in this spec.")
        }
        remedy => {
            let fault = cure.faults.first().map_or(String::new(), |of| words.fault(of.fault));
            let no_part = if words.needs_no_part(remedy) && ranking.no_part < 0.995 {
                format!(" That no part has to be ordered: {}.", chance(ranking.no_part))
            } else {
                String::new()
            };
            format!("{fault} ({p}): {}.{no_part}", words.remedy(remedy))
        }
    }
}

/// What says more than little between the two, most first.
fn telling(weighing: &Weighing) -> Vec<Contribution> {
    let mut telling: Vec<Contribution> = weighing
        .contributions
        .iter()
        .filter(|of| of.strength != Strength::Little)
        .copied()
        .collect();
    telling.sort_by(|a, b| b.decibans.abs().total_cmp(&a.decibans.abs()));
    telling
}

fn contribution(words: &Words<'_>, weighing: &Weighing, of: &Contribution) -> String {
    let certain =
        if of.share < 0.995 { format!(" ({} certain)", chance(of.share)) } else { String::new() };
    let strength = match of.strength {
        Strength::Little => "says little between the two",
        Strength::Slightly => "speaks slightly",
        Strength::Clearly => "speaks clearly",
        Strength::Strongly => "speaks strongly",
        Strength::RulesOut => "all but rules the other out",
    };
    format!(
        "{} was {}{certain}, which {strength}: {} shows that {} of the time, {} {}.",
        words.counted(of.check),
        words.band(of.band),
        words.points(weighing.leader),
        chance(of.leader_shows),
        words.points(weighing.rival),
        chance(of.rival_shows),
    )
}

/// "How common they are says -12.4 dB, the readings +21.8 dB, together +9.4 dB."
fn sum(weighing: &Weighing, telling: usize) -> String {
    let readings = weighing.total_decibans - weighing.prior_decibans;
    let silent = weighing.contributions.len().saturating_sub(telling);
    let silent = match silent {
        0 => String::new(),
        1 => " One check says little between the two.".to_owned(),
        n => format!(" {n} checks say little between the two."),
    };
    if !weighing.total_decibans.is_finite() {
        return format!("The readings exclude it.{silent}");
    }
    format!(
        "For the first: {} before these readings, {} by them, {} in all.{silent}",
        decibans(weighing.prior_decibans),
        decibans(readings),
        decibans(weighing.total_decibans),
    )
}

pub(crate) fn decibans(db: f64) -> String {
    // No "-0.0".
    let db = if db.abs() < 0.05 { 0.0 } else { db };
    let sign = if db > 0.0 { "+" } else { "" };
    format!("{sign}{db:.1} dB")
}

/// Faults with the leader's cure that the readings leave open.
fn apart(
    words: &Words<'_>,
    cure: &CureRanked,
    ranking: &Ranking,
    say: &mut impl FnMut(&str, &str),
) {
    const OPEN: f64 = 0.05;
    let open: Vec<String> = cure
        .faults
        .iter()
        .filter(|of| of.probability >= OPEN)
        .map(|of| format!("{} ({})", words.fault(of.fault), chance(of.probability)))
        .collect();
    if open.len() > 1 {
        say("  Same cure    ", &format!("{}: which of them need not be known.", listed(&open)));
    }
    if let Recommended::CannotBeToldApart(among) = &ranking.recommended
        && among.len() > 1
    {
        let among: Vec<String> = among.iter().map(|remedy| words.remedy(*remedy)).collect();
        let text = format!(
            "{}: no check that is left tells more; they are mended differently, the likeliest first.",
            listed(&among)
        );
        say("  Not apart    ", &text);
    }
}

/// Faults that a check in order speaks against, each once, the most common first.
fn ruled_down(words: &Words<'_>, ranking: &Ranking, say: &mut impl FnMut(&str, &str)) {
    let leading = ranking.cures.first().map(|cure| &cure.faults);
    let mut faults: Vec<(FaultId, CheckId, f64)> = Vec::new();
    for of in &ranking.ruled_down {
        let leads = leading.is_some_and(|of_cure| of_cure.iter().any(|f| f.fault == of.fault));
        let known = faults.iter().position(|(fault, ..)| *fault == of.fault);
        match known.and_then(|at| faults.get_mut(at)) {
            Some((_, check, would)) if of.would_fail > *would => {
                (*check, *would) = (of.check, of.would_fail);
            }
            Some(_) => {}
            None if leads => {}
            None => faults.push((of.fault, of.check, of.would_fail)),
        }
    }
    let prior = |fault: FaultId| words.spec.fault(fault).map_or(0.0, |fault| fault.prior);
    faults.sort_by(|a, b| prior(b.0).total_cmp(&prior(a.0)).then_with(|| a.0.cmp(&b.0)));
    let more = faults.len().saturating_sub(RULED_DOWN);
    let mut told: Vec<String> = faults
        .iter()
        .take(RULED_DOWN)
        .map(|(fault, check, would)| {
            let (fault, check) = (words.fault(*fault), words.counted(*check));
            format!("{fault} (would fail {check} {} of the time)", chance(*would))
        })
        .collect();
    if more > 0 {
        told.push(format!("{more} more"));
    }
    say("  Ruled down   ", &listed(&told));
}

fn proof_text(words: &Words<'_>, proof: &Proof) -> String {
    let residual = proof.residual.first().map_or(String::new(), |of| {
        format!(
            " What is most probably left: {} ({}).",
            words.fault(of.fault),
            chance(of.probability)
        )
    });
    let excused = if proof.excused.is_empty() {
        String::new()
    } else {
        let checks = words.checks(&proof.excused);
        format!(" Not asked for again, since it shows only as the machine comes in: {checks}.")
    };
    match proof.verdict {
        RepairVerdict::Proven => format!(
            "The repair is proven: what had failed passes again, and that nothing listed is wrong is \
             {} probable.{excused}",
            chance(proof.none)
        ),
        RepairVerdict::StillFaulty => {
            let failed = if proof.failed.is_empty() {
                String::new()
            } else {
                format!(" {} failed after the repair.", words.checks(&proof.failed))
            };
            let worse = if proof.worse.is_empty() {
                String::new()
            } else {
                format!(" Worse than before it: {}.", words.checks(&proof.worse))
            };
            format!("Still faulty.{failed}{worse}{residual}")
        }
        RepairVerdict::NotProven => {
            let mut parts = Vec::new();
            if !proof.missing.is_empty() {
                parts.push(format!("take {} again", words.checks(&proof.missing)));
            }
            if !proof.unclear.is_empty() {
                parts.push(format!("{} does not pass clearly", words.checks(&proof.unclear)));
            }
            if !proof.elsewhere.is_empty() {
                parts.push(format!(
                    "{} passes in another state of the machine than it failed in",
                    words.checks(&proof.elsewhere)
                ));
            }
            if let Some(condition) = proof.condition {
                parts.push(format!(
                    "nothing passed since where the complaint shows: {}",
                    words.state(condition)
                ));
            }
            if parts.is_empty() {
                parts.push("too little was measured since".to_owned());
            }
            format!("The repair is not proven: {}.{residual}{excused}", parts.join("; "))
        }
    }
}
