//! Who is suspected and how sure, and what is recommended.

use truing::engine::suspects::{
    CureRanked, Proof, Ranking, Recommended, Remedy, RepairVerdict, Seen, Stage,
};
use truing::model::{CheckId, FaultId, FixId, Spec};
use truing::report::{chance, minutes};

use super::listed;
use crate::said::Said;

/// So many cures are named.
const NAMED: usize = 3;
/// A cure that is less likely is not named behind the first.
const WORTH_NAMING: f64 = 0.03;

/// What of a ranking is worth telling anew.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Gist {
    seen: Option<Seen>,
    leader: Option<(Remedy, f64)>,
    pair: Option<[FaultId; 2]>,
    proof: Option<(RepairVerdict, Vec<CheckId>, Vec<CheckId>)>,
}

impl Gist {
    pub fn of(stage: &Stage) -> Self {
        let ranking = stage.ranking.as_ref().ok();
        let proof = ranking.and_then(|of| of.proof.as_ref());
        Self {
            seen: ranking.map(|of| of.seen),
            leader: ranking
                .and_then(|of| of.cures.first())
                .map(|cure| (cure.remedy, cure.probability)),
            pair: ranking.and_then(|of| of.pair).map(|pair| pair.faults),
            proof: proof.map(|of| (of.verdict, of.missing.clone(), of.failed.clone())),
        }
    }

    /// A leader that is somewhat surer than before is no news.
    pub fn is_news_to(&self, told: &Self) -> bool {
        const SURER: f64 = 0.1;
        let leader = match (self.leader, told.leader) {
            (Some((now, p)), Some((was, q))) => now != was || (p - q).abs() >= SURER,
            (now, was) => now.is_some() != was.is_some(),
        };
        let led = self.seen == Some(Seen::Failed);
        (led && leader)
            || self.seen != told.seen
            || self.pair != told.pair
            || self.proof != told.proof
    }
}

/// Who is suspected; nothing where nothing was measured that bears on a fault.
pub(crate) fn suspects(spec: &Spec, stage: &Stage) -> Vec<Said> {
    let ranking = match &stage.ranking {
        Ok(ranking) => ranking,
        Err(contradiction) => {
            let checks = titles(spec, &contradiction.checks);
            return vec![Said::text(format!(
                "These results contradict each other, and no slip explains it: {}. Take them again.",
                listed(&checks)
            ))];
        }
    };
    let mut said = Vec::new();
    if let Some(text) = named(spec, ranking) {
        said.push(Said::text(text));
    }
    if let Some(pair) = &ranking.pair {
        let [one, other] = pair.faults.map(|fault| fault_title(spec, fault));
        said.push(Said::text(format!(
            "One fault does not explain everything ({}): {one}, and {other}.",
            chance(pair.probability)
        )));
    }
    if let Some(proof) = &ranking.proof {
        said.push(Said::text(proof_text(spec, proof)));
    }
    said
}

fn named(spec: &Spec, ranking: &Ranking) -> Option<String> {
    match ranking.seen {
        Seen::Nothing => None,
        // After a repair the proof says it.
        Seen::NothingFailed if ranking.proof.is_some() => None,
        Seen::NothingFailed => Some("Suspects: no fault shows in what was measured.".to_owned()),
        Seen::Failed => {
            let cures = ranking.cures.iter().take(NAMED).enumerate();
            let cures = cures.filter(|(at, cure)| *at == 0 || cure.probability >= WORTH_NAMING);
            let told: Vec<String> = cures.map(|(_, cure)| suspect(spec, cure)).collect();
            Some(format!("Suspects: {}.", told.join(". Then: ")))
        }
    }
}

/// "Upper diode V open or 5 others, 62 %: Renew the regulator-rectifier (part: …)"
fn suspect(spec: &Spec, cure: &CureRanked) -> String {
    let p = chance(cure.probability);
    match cure.remedy {
        Remedy::Nothing => format!("nothing wrong, {p}"),
        Remedy::NotListed => format!("a fault that is not listed, {p}"),
        Remedy::Unmended(fault) => format!("{}, {p}", fault_title(spec, fault)),
        Remedy::Fix(fix) => {
            let first = cure.faults.first().map(|of| fault_title(spec, of.fault));
            // Those that are as good as ruled out are not counted.
            let others = cure.faults.iter().skip(1).filter(|of| of.probability >= 0.01).count();
            let others = match others {
                0 => String::new(),
                1 => " or 1 other".to_owned(),
                n => format!(" or {n} others"),
            };
            format!("{}{others}, {p}: {}", first.unwrap_or_default(), fix_title(spec, fix))
        }
    }
}

/// What is recommended where no measurement is.
pub(crate) fn decided(spec: &Spec, ranking: &Ranking, more: bool) -> Vec<Said> {
    let text = match &ranking.recommended {
        Recommended::Measure(_) => "What is proposed next was left out.".to_owned(),
        Recommended::Act(Remedy::Nothing) => {
            "Enough is known: nothing has to be renewed by what was measured.".to_owned()
        }
        Recommended::Act(cure) => {
            let takes = minutes_of(spec, *cure);
            format!("Enough is known: {}{takes}.{}", remedy(spec, *cure), how(spec, &[*cure]))
        }
        Recommended::FitsNothing(strangest) => {
            let strangest = strangest.and_then(|check| spec.check(check));
            let again = strangest.map_or(String::new(), |check| {
                format!(
                    " {} ({}) speaks most against all: take it again.",
                    check.title, check.label
                )
            });
            format!("The readings fit no listed fault.{again}")
        }
        Recommended::CannotBeToldApart(among) => format!(
            "Nothing that is left to measure tells more. Try in turn: {}.{}",
            in_turn(spec, among),
            how(spec, among)
        ),
        Recommended::RepairFirst(among) => format!(
            "Measuring on costs more than it saves. Try in turn: {}.{}",
            in_turn(spec, among),
            how(spec, among)
        ),
    };
    let mut said = vec![Said::title(text)];
    if more {
        said.push(Said::text("To measure on all the same, type: next."));
    }
    said
}

fn in_turn(spec: &Spec, among: &[Remedy]) -> String {
    listed(&among.iter().map(|cure| remedy(spec, *cure)).collect::<Vec<_>>())
}

/// " When it is done, type: fit renew_stator."
fn how(spec: &Spec, among: &[Remedy]) -> String {
    let fixes = among.iter().filter_map(|cure| match cure {
        Remedy::Fix(fix) => Some(format!("fit {}", spec.fix(*fix)?.name)),
        _ => None,
    });
    let fixes: Vec<String> = fixes.collect();
    if fixes.is_empty() {
        return String::new();
    }
    format!(" When it is done, type: {}.", fixes.join(", or: "))
}

/// What is to be done, with what has to be ordered and how long it takes.
pub(crate) fn remedy(spec: &Spec, cure: Remedy) -> String {
    match cure {
        Remedy::Nothing => "nothing wrong".to_owned(),
        Remedy::NotListed => "a fault that is not listed".to_owned(),
        Remedy::Unmended(fault) => {
            format!("{}, for which the spec names no fix", fault_title(spec, fault))
        }
        Remedy::Fix(fix) => fix_title(spec, fix),
    }
}

fn fix_title(spec: &Spec, id: FixId) -> String {
    let Some(fix) = spec.fix(id) else { return String::new() };
    let parts: Vec<String> =
        fix.parts.iter().filter_map(|part| Some(spec.part(*part)?.name.clone())).collect();
    let parts = match parts.as_slice() {
        [] => "no part".to_owned(),
        [one] => format!("part: {one}"),
        _ => format!("parts: {}", listed(&parts)),
    };
    format!("{} ({parts})", fix.title)
}

/// ", about 30 min"
fn minutes_of(spec: &Spec, cure: Remedy) -> String {
    let Remedy::Fix(fix) = cure else { return String::new() };
    let seconds = spec.fix(fix).and_then(|fix| fix.seconds);
    seconds.map_or(String::new(), |of| format!(", about {}", minutes(of / 60.0)))
}

pub(crate) fn fault_title(spec: &Spec, id: FaultId) -> String {
    spec.fault(id).map_or(String::new(), |fault| {
        if fault.title.is_empty() { fault.label.clone() } else { fault.title.clone() }
    })
}

fn titles(spec: &Spec, checks: &[CheckId]) -> Vec<String> {
    let title = |id: &CheckId| {
        let check = spec.check(*id)?;
        Some(format!("{} ({})", check.title, check.label))
    };
    checks.iter().filter_map(title).collect()
}

/// Whether the repair is proven, and what it waits for.
pub(crate) fn proof_text(spec: &Spec, proof: &Proof) -> String {
    let residual = proof.residual.first().filter(|of| of.probability >= 0.05);
    let residual = residual.map_or(String::new(), |of| {
        format!(
            " Most probably left: {} ({}).",
            fault_title(spec, of.fault),
            chance(of.probability)
        )
    });
    match proof.verdict {
        RepairVerdict::Proven => format!(
            "The repair is proven: what had failed passes again, and that nothing listed is wrong is {} \
             probable.",
            chance(proof.none)
        ),
        RepairVerdict::StillFaulty => {
            let failed = titles(spec, &proof.failed);
            let failed = if failed.is_empty() {
                String::new()
            } else {
                format!(" Failed after the repair: {}.", listed(&failed))
            };
            format!("Still faulty.{failed}{residual}")
        }
        RepairVerdict::NotProven => {
            let mut why = Vec::new();
            if !proof.missing.is_empty() {
                why.push(format!("to be taken again: {}", listed(&titles(spec, &proof.missing))));
            }
            if !proof.unclear.is_empty() {
                let unclear = listed(&titles(spec, &proof.unclear));
                why.push(format!("not clearly passed: {unclear}"));
            }
            if why.is_empty() {
                why.push("too little was measured since".to_owned());
            }
            format!("The repair is not proven yet; {}.{residual}", why.join("; "))
        }
    }
}
