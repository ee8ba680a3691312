//! What stands in the way of closing a job, and what the job comes to. The rules are data here; the
//! words are the report's.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;
use truing_engine::Visit;
use truing_engine::suspects::{FaultRanked, RepairVerdict, Stage, only_as_it_came};
use truing_model::{CautionId, CheckId, Outcome, Reading, Spec, StateId};

use crate::record_names::{find_caution, find_state};
use crate::sheet::JobSheet;

/// One thing that stands in the way. Rounds go by their place, from 0.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "obstacle", rename_all = "kebab-case")]
pub enum Obstacle {
    /// A check fails, and nothing was done about it since.
    StillFails {
        /// The check.
        check: CheckId,
        /// The round that it failed in last.
        round: usize,
    },
    /// A check failed and was not taken again after the repair.
    NotTakenAgain {
        /// The check.
        check: CheckId,
        /// The round that it failed in last.
        failed: usize,
        /// The round before which the repair was done.
        repaired: usize,
    },
    /// A check failed, and was taken again after the repair without coming out clearly.
    Unclear {
        /// The check.
        check: CheckId,
        /// The round that it was taken again in.
        round: usize,
    },
    /// The complaint shows in this state, and since the last repair no check that passes was read in it.
    OtherCondition {
        /// The state.
        shows: StateId,
    },
    /// Something was bridged or plugged in for a test and is not off again.
    BypassLeft {
        /// What.
        what: String,
        /// In which round.
        round: usize,
    },
    /// A reading was taken, or a repair done, where this can hurt, and that was not acknowledged
    /// before or in the round.
    CautionUnread {
        /// The caution.
        caution: CautionId,
        /// The first such round.
        round: usize,
    },
    /// What was measured since the last repair does not prove it.
    RepairNotProven {
        /// Not proven, or still faulty; none where no fault and no slip allows the readings together.
        verdict: Option<RepairVerdict>,
        /// The probability that nothing is wrong any more.
        none: Option<f64>,
        /// The likeliest fault that is left.
        residual: Option<FaultRanked>,
    },
}

impl Obstacle {
    /// Whether it leaves open that the machine is in order. A caution that nobody noted as read does
    /// not; all the others do, a bypass among them, since it may be what makes the machine work.
    #[must_use]
    pub const fn bears_on_proof(&self) -> bool {
        !matches!(self, Self::CautionUnread { .. })
    }
}

/// What a job comes to.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Conclusion {
    /// The repair is proven.
    Proven,
    /// The repair is not proven.
    NotProven,
    /// Nothing was repaired, so that there is nothing to prove.
    NothingRepaired,
}

/// Everything that stands in the way of closing a job, checks first in the order of the spec. `visits`
/// are the rounds of the sheet, `stages` what the suspects come to; there are none where the spec
/// lists no fault.
///
/// Names in the sheet that the spec does not have are told where the sheet is bound, and passed over
/// here.
#[must_use]
pub fn obstacles(
    spec: &Spec,
    sheet: &JobSheet,
    visits: &[Visit<'_>],
    stages: &[Stage],
) -> Vec<Obstacle> {
    let mut found = failed_checks(spec, visits, stages);
    found.extend(other_condition(spec, sheet, visits));
    for (round, written) in sheet.rounds.iter().enumerate() {
        let left = written.bypasses.iter().filter(|bypass| !bypass.removed);
        found.extend(left.map(|it| Obstacle::BypassLeft { what: it.what.clone(), round }));
    }
    found.extend(cautions_unread(spec, sheet, visits));
    found.extend(not_proven(stages));
    found
}

/// What a job comes to, by what stands in the way of closing it. Closed with something in the way, and
/// so with a reason, it is not proven, whatever that was.
#[must_use]
pub fn conclusion(
    sheet: &JobSheet,
    visits: &[Visit<'_>],
    stages: &[Stage],
    obstacles: &[Obstacle],
) -> Conclusion {
    let repaired = visits.iter().any(|visit| !visit.fitted.is_empty())
        || sheet.rounds.iter().any(|round| !round.parts.is_empty());
    let over_it = sheet.closed.as_ref().is_some_and(|closed| closed.reason.is_some());
    let proof = stages.last().and_then(|stage| stage.ranking.as_ref().ok()?.proof.as_ref());
    // Where no fault is listed there is nothing to rank: then the checks alone prove it.
    let proven = match proof {
        Some(proof) => proof.verdict == RepairVerdict::Proven,
        None => stages.is_empty(),
    };
    match (repaired, over_it || !proven || obstacles.iter().any(Obstacle::bears_on_proof)) {
        (false, _) => Conclusion::NothingRepaired,
        (true, true) => Conclusion::NotProven,
        (true, false) => Conclusion::Proven,
    }
}

/// How a check came out in a round in which it was judged or tried.
#[derive(Copy, Clone, PartialEq, Eq)]
enum Came {
    Passing,
    Failing,
    Undecided,
}

fn failed_checks(spec: &Spec, visits: &[Visit<'_>], stages: &[Stage]) -> Vec<Obstacle> {
    let proofs = stages.iter().filter_map(|stage| stage.ranking.as_ref().ok()?.proof.as_ref());
    let excused: BTreeSet<CheckId> = proofs.flat_map(|proof| proof.excused.clone()).collect();
    let mut history: BTreeMap<CheckId, Vec<(usize, Came)>> = BTreeMap::new();
    for (round, visit) in visits.iter().enumerate() {
        for finding in &visit.findings.findings {
            let came = match finding.outcome {
                Outcome::Within | Outcome::Worn => Came::Passing,
                Outcome::Outside(_) => Came::Failing,
                Outcome::Undecided => Came::Undecided,
                _ => continue,
            };
            history.entry(finding.check).or_default().push((round, came));
        }
    }
    let checks = history.into_iter().filter(|(check, _)| !excused.contains(check));
    checks.filter_map(|(check, history)| failed_check(spec, check, &history, visits)).collect()
}

fn failed_check(
    spec: &Spec,
    check: CheckId,
    history: &[(usize, Came)],
    visits: &[Visit<'_>],
) -> Option<Obstacle> {
    let at = history.iter().rposition(|(_, came)| *came == Came::Failing)?;
    let (failed, _) = *history.get(at)?;
    let since = history.get(at + 1..).unwrap_or_default();
    if since.iter().any(|(_, came)| *came == Came::Passing) {
        return None;
    }
    let mut later = visits.iter().enumerate().skip(failed + 1);
    let repaired = later.find(|(_, visit)| !visit.fitted.is_empty()).map(|(round, _)| round);
    match (repaired, since.last()) {
        // A machine stands as it came in once only: that the battery was flat then stays so.
        (None, _) if only_as_it_came(spec, check) => None,
        (None, _) => Some(Obstacle::StillFails { check, round: failed }),
        (Some(repaired), Some((round, _))) if *round >= repaired => {
            Some(Obstacle::Unclear { check, round: *round })
        }
        (Some(repaired), _) => Some(Obstacle::NotTakenAgain { check, failed, repaired }),
    }
}

fn other_condition(spec: &Spec, sheet: &JobSheet, visits: &[Visit<'_>]) -> Option<Obstacle> {
    let shows = find_state(spec, sheet.shows.as_deref()?).ok()?;
    let last_repair = visits.iter().rposition(|visit| !visit.fitted.is_empty()).unwrap_or(0);
    let under_it = |visit: &Visit<'_>| {
        let passing = visit
            .findings
            .findings
            .iter()
            .filter(|finding| matches!(finding.outcome, Outcome::Within | Outcome::Worn));
        let mut used = passing.flat_map(|finding| &finding.reason.used);
        used.any(|slot| state_of(spec, visit, *slot) == Some(shows))
    };
    let proven = visits.iter().skip(last_repair).any(under_it);
    (!proven).then_some(Obstacle::OtherCondition { shows })
}

/// The state that a reading was taken in.
fn state_of(spec: &Spec, visit: &Visit<'_>, slot: truing_model::SlotId) -> Option<StateId> {
    visit.sheet.state(slot).or_else(|| spec.slot(slot)?.during)
}

fn cautions_unread(spec: &Spec, sheet: &JobSheet, visits: &[Visit<'_>]) -> Vec<Obstacle> {
    let (mut read, mut told) = (BTreeSet::new(), BTreeSet::new());
    let mut found = Vec::new();
    for (round, visit) in visits.iter().enumerate() {
        let named = sheet.rounds.get(round).map_or(&[][..], |round| &round.cautions);
        read.extend(named.iter().filter_map(|name| find_caution(spec, name).ok()));
        for caution in cautions_of(spec, visit) {
            if !read.contains(&caution) && told.insert(caution) {
                found.push(Obstacle::CautionUnread { caution, round });
            }
        }
    }
    found
}

/// What can hurt where the readings of a round were taken and its repairs done.
fn cautions_of(spec: &Spec, visit: &Visit<'_>) -> BTreeSet<CautionId> {
    let mut cautions = BTreeSet::new();
    for (slot, reading) in visit.sheet.readings() {
        if matches!(reading, Reading::NotTaken { .. }) {
            continue;
        }
        let state = state_of(spec, visit, slot).and_then(|state| spec.state(state));
        cautions.extend(state.into_iter().flat_map(|state| &state.cautions));
        cautions.extend(spec.slot(slot).into_iter().flat_map(|slot| &slot.cautions));
    }
    let fixes = visit.fitted.iter().filter_map(|fix| spec.fix(*fix));
    cautions.extend(fixes.flat_map(|fix| &fix.cautions));
    cautions
}

fn not_proven(stages: &[Stage]) -> Option<Obstacle> {
    let repaired = stages.iter().skip(1).any(|stage| !stage.fitted.is_empty());
    let last = stages.last().filter(|_| repaired)?;
    let (verdict, none, residual) = match &last.ranking {
        Err(_) => (None, None, None),
        Ok(ranking) => {
            let proof = ranking.proof.as_ref()?;
            (Some(proof.verdict), Some(proof.none), proof.residual.first().copied())
        }
    };
    let proven = verdict == Some(RepairVerdict::Proven);
    (!proven).then_some(Obstacle::RepairNotProven { verdict, none, residual })
}
