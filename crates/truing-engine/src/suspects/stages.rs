//! Visits and the repairs between them, in turn.

use std::collections::{BTreeMap, BTreeSet};

use truing_diagnosis::{
    Band, Check, Evidence, EvidenceError, Network, Part, Posterior, REPAIR_SUCCEEDS, Situation,
    Verdict,
};
use truing_model::{CheckId, FixId, Reading, SlotId, Spec, SpecParts, StateId};

use super::checks::way;
use super::condition::Condition;
use super::evidence::Gathered;
use super::network::{Complaint, Networks, SuspectPlan};
use super::rank::{Basis, contradiction, fault_id};
use super::ranking::{Contradiction, FaultRanked, Proof, Ranking, Stage, WhyUnused};
use crate::finding::Findings;
use crate::sheet::Sheet;

/// One round of a job.
#[derive(Copy, Clone, Debug)]
pub struct Visit<'a> {
    /// What was read.
    pub sheet: &'a Sheet,
    /// What came of it, best with the probabilities that
    /// [`Detail::Budgets`](crate::Detail::Budgets) works out under every decision rule.
    pub findings: &'a Findings,
    /// The fixes that were done between the round before and this one.
    pub fitted: &'a [FixId],
}

impl SuspectPlan {
    /// Ranks the faults by the rounds of a job, in order. Rounds with no repair between them are one
    /// stage, in which what is measured anew takes the place of what was measured before; after a
    /// repair only what was measured since counts, on top of what was believed then.
    #[must_use]
    pub fn rank(&self, spec: &Spec, visits: &[Visit<'_>], complaint: Complaint) -> Vec<Stage> {
        self.rank_without(spec, visits, complaint, &[])
    }

    /// As [`SuspectPlan::rank`], where these checks are not proposed in the last stage: what someone
    /// has left out for now. What was read of them counts all the same.
    #[must_use]
    pub fn rank_without(
        &self,
        spec: &Spec,
        visits: &[Visit<'_>],
        complaint: Complaint,
        left_out: &[CheckId],
    ) -> Vec<Stage> {
        let job = Job {
            plan: self,
            spec,
            networks: self.networks(complaint),
            condition: complaint.shows().map(|state| Condition::of(spec, state)),
        };
        let mut stages: Vec<Stage> = Vec::new();
        let mut belief = Belief::default();
        // The last result of every check in all stages before.
        let mut before = Before::default();
        let mut at = 0;
        while let Some(first) = visits.get(at) {
            let rest = visits.get(at + 1..).unwrap_or_default();
            let length = 1 + rest.iter().take_while(|visit| visit.fitted.is_empty()).count();
            let rounds: Vec<usize> = (at..at + length).collect();
            let left_out = if at + length == visits.len() { left_out } else { &[] };
            let visits = visits.get(at..at + length).unwrap_or_default();
            // A job may begin with a repair: then nothing was believed before it.
            belief = belief.repaired(job.networks, &self.replaced(first.fitted));
            let repaired = !first.fitted.is_empty() && at > 0;
            let (ranking, gathered) =
                job.stage((visits, left_out), &mut belief, repaired.then_some(&before));
            for (check, likelihood) in gathered.evidence.iter() {
                before.evidence.read(check, likelihood.clone());
            }
            before.taken_in.extend(gathered.taken_in);
            stages.push(Stage { rounds, fitted: first.fitted.to_vec(), ranking });
            at += length;
        }
        stages
    }

    /// The repairs that some fixes make.
    pub(super) fn replaced(&self, fitted: &[FixId]) -> Vec<Part> {
        let of = |fix: &FixId| self.repair_of.get(fix.0 as usize).copied().flatten();
        fitted.iter().filter_map(of).collect()
    }
}

/// The last results of all stages before.
#[derive(Clone, Debug, Default)]
struct Before {
    evidence: Evidence,
    taken_in: BTreeMap<CheckId, BTreeSet<StateId>>,
}

impl Before {
    fn had_failed(&self, check: Check) -> bool {
        self.evidence.of(check).is_some_and(|l| l.likeliest() != Band::OK)
    }
}

/// What holds for all stages of a job.
struct Job<'a> {
    plan: &'a SuspectPlan,
    spec: &'a Spec,
    networks: &'a Networks,
    condition: Option<Condition>,
}

impl Job<'_> {
    fn stage(
        &self,
        (visits, left_out): (&[Visit<'_>], &[CheckId]),
        belief: &mut Belief,
        // The results before a repair.
        before: Option<&Before>,
    ) -> (Result<Ranking, Contradiction>, Gathered) {
        let (plan, spec, networks) = (self.plan, self.spec, self.networks);
        let mut gathered = Gathered::default();
        for visit in visits {
            gathered.take(plan, spec, visit);
        }
        gathered.barred = self.gone(visits, before.is_some());
        if let Some(condition) = &self.condition {
            // What fails there is the complaint itself.
            gathered.unexplained.retain(|id| !condition.is_under(spec, *id));
        }
        let reproduce = self.under_the_condition(visits, before, &mut gathered);
        gathered.barred.extend(left_out);
        let evidence = gathered.with_barred(plan);
        let ranking = match belief.read(networks, &evidence) {
            Ok(posterior) => {
                let basis = Basis {
                    plan,
                    networks,
                    spec,
                    gathered: &gathered,
                    evidence: &evidence,
                    posterior: &posterior,
                    pairs: belief.pairs.as_ref(),
                    situation: &self.situation(visits),
                    reproduce,
                };
                let ranking = basis.ranking().and_then(|mut ranking| {
                    if let Some(before) = before {
                        ranking.proof = Some(self.proof(visits, before, &gathered, &posterior)?);
                    }
                    Ok(ranking)
                });
                belief.single = Some(posterior);
                ranking
            }
            Err(error) => Err(contradiction(plan, &error)),
        };
        (ranking, gathered)
    }

    /// Leaves out what passed where the complaint does not show, and keeps from being proposed what
    /// would tell nothing there. Whether the complaint is still to be reproduced.
    fn under_the_condition(
        &self,
        visits: &[Visit<'_>],
        before: Option<&Before>,
        gathered: &mut Gathered,
    ) -> bool {
        let (plan, spec) = (self.plan, self.spec);
        let Some(condition) = self.condition.as_ref().filter(|of| of.brings) else { return false };
        let all = || plan.members.iter().enumerate().map(|(at, members)| (Check(at), members));
        for (check, members) in all() {
            if !members.iter().any(|id| condition.is_elsewhere(spec, *id)) {
                continue;
            }
            let passes = gathered.evidence.of(check).map(|l| l.likeliest() == Band::OK);
            match passes {
                // After a repair what had failed has to pass again, wherever it failed.
                Some(true) if !before.is_some_and(|before| before.had_failed(check)) => {
                    let why = WhyUnused::OtherCondition { shows: condition.state };
                    gathered.drop(plan, check, why);
                }
                None => {}
                Some(_) => continue,
            }
            gathered.barred.extend(members);
        }
        let judged = condition.judged(spec, visits);
        let under = |(check, members): &(Check, &Vec<CheckId>)| {
            let open = gathered.evidence.of(*check).is_none();
            let about = members.iter().any(|id| !gathered.inapplicable.contains(id));
            open && about
                && plan.touched.get(check.0) == Some(&true)
                && members.iter().any(|id| condition.is_under(spec, *id))
        };
        let mut needed: BTreeSet<Check> = all().filter(under).map(|(check, _)| check).collect();
        if judged.passed || judged.failed || needed.is_empty() {
            return false;
        }
        let mut todo: Vec<Check> = needed.iter().copied().collect();
        while let Some(check) = todo.pop() {
            let first = self.networks.single.requires(check).iter().map(|need| need.check);
            todo.extend(first.filter(|check| needed.insert(*check)));
        }
        let others = all().filter(|(check, _)| !needed.contains(check));
        gathered.barred.extend(others.flat_map(|(_, members)| members));
        true
    }

    /// The checks that can be made only while the machine stands as it came in, once it was brought
    /// into another state.
    fn gone(&self, visits: &[Visit<'_>], repaired: bool) -> Vec<CheckId> {
        let spec = self.spec;
        let moved = repaired
            || visits.iter().any(|visit| {
                visit.sheet.readings().any(|(slot, reading)| {
                    let taken = !matches!(reading, Reading::NotTaken { .. });
                    let state = visit.sheet.state(slot).or_else(|| during(spec, slot));
                    taken && state.is_some_and(|state| !as_it_came(spec, state))
                })
            });
        let all = self.plan.members.iter().flatten().copied().filter(|_| moved);
        all.filter(|id| only_as_it_came(spec, *id)).collect()
    }

    /// The failed checks that are not asked for again: what the fixes say proves them is.
    fn excused(&self, fitted: &[FixId], before: &Before, since: &Gathered) -> Vec<CheckId> {
        let spec = self.spec;
        let fixes: Vec<_> = fitted.iter().filter_map(|fix| spec.fix(*fix)).collect();
        if fixes.is_empty() || fixes.iter().any(|fix| fix.proves.is_empty()) {
            return Vec::new();
        }
        let proves = |id: &CheckId| fixes.iter().any(|fix| fix.proves.contains(id));
        let read = before.evidence.iter().map(|(check, _)| check);
        let failed =
            read.filter(|check| before.had_failed(*check) && since.evidence.of(*check).is_none());
        let all = failed.filter_map(|check| self.plan.members.get(check.0));
        let fit = all.filter(|members| {
            members.iter().any(|id| only_as_it_came(spec, *id)) && !members.iter().any(proves)
        });
        fit.filter_map(|members| members.first().copied()).collect()
    }

    fn proof(
        &self,
        visits: &[Visit<'_>],
        before: &Before,
        since: &Gathered,
        after: &Posterior,
    ) -> Result<Proof, Contradiction> {
        let (plan, spec) = (self.plan, self.spec);
        let fitted = visits.first().map_or(&[][..], |visit| visit.fitted);
        let excused = self.excused(fitted, before, since);
        let mut asked = Evidence::new();
        for (check, likelihood) in before.evidence.iter() {
            // What is out of order without any fault more often than not is no failure.
            let told = !plan.is_usual(check, likelihood.likeliest());
            if told && plan.check_id(check).is_none_or(|id| !excused.contains(&id)) {
                asked.read(check, likelihood.clone());
            }
        }
        let proof = self.networks.single.proof(&asked, &since.evidence, after);
        let proof = proof.map_err(|error| contradiction(plan, &error))?;
        let ids = |checks: &[Check]| -> Vec<CheckId> {
            checks.iter().filter_map(|check| plan.check_id(*check)).collect()
        };
        let was_ok = |check: &Check| {
            let read = before.evidence.of(*check);
            read.is_some_and(|l| l.share(Band::OK) >= truing_diagnosis::OBSERVED)
        };
        let worse: Vec<_> = proof.failed.iter().copied().filter(was_ok).collect();
        let again = asked.iter().map(|(check, _)| check).filter(|check| {
            before.had_failed(*check)
                && ![&proof.missing, &proof.unclear, &proof.failed]
                    .iter()
                    .any(|of| of.contains(check))
        });
        let elsewhere: Vec<Check> =
            again.filter(|check| self.taken_elsewhere(*check, before, since)).collect();
        let condition = self.condition.as_ref().filter(|condition| {
            let judged = condition.judged(spec, visits);
            judged.failed || !judged.passed
        });
        let kept = elsewhere.is_empty() && condition.is_none();
        let verdict = match proof.verdict {
            Verdict::Proven if !kept => Verdict::NotProven,
            // Nothing failed since; what had failed, or the complaint itself, is still to be looked
            // at.
            Verdict::StillFaulty
                if proof.failed.is_empty()
                    && !(proof.missing.is_empty() && condition.is_none()) =>
            {
                Verdict::NotProven
            }
            verdict => verdict,
        };
        Ok(Proof {
            verdict,
            none: proof.none,
            missing: ids(&proof.missing),
            excused,
            unclear: ids(&proof.unclear),
            failed: ids(&proof.failed),
            worse: ids(&worse),
            elsewhere: ids(&elsewhere),
            condition: condition.map(|condition| condition.state),
            residual: proof
                .residual
                .iter()
                .map(|(fault, p)| FaultRanked { fault: fault_id(*fault), probability: *p })
                .collect(),
        })
    }

    /// Whether a check was made in a state that it did not fail in.
    fn taken_elsewhere(&self, check: Check, before: &Before, since: &Gathered) -> bool {
        let members = self.plan.members.get(check.0).map_or(&[][..], Vec::as_slice);
        members.iter().any(|id| match (before.taken_in.get(id), since.taken_in.get(id)) {
            (Some(then), Some(now)) => !then.is_subset(now),
            _ => false,
        })
    }

    /// What stands open: what was read, and what it was read in.
    fn situation(&self, visits: &[Visit<'_>]) -> Situation {
        let (plan, spec) = (self.plan, self.spec);
        let mut situation = Situation::default();
        for visit in visits {
            for (slot, reading) in visit.sheet.readings() {
                if matches!(reading, Reading::NotTaken { .. }) {
                    continue;
                }
                situation.open.extend(plan.slot_setups.get(&slot));
                let state = visit.sheet.state(slot).or_else(|| during(spec, slot));
                let way = state.map(|state| way(spec, state)).unwrap_or_default();
                let open = way.iter().filter_map(|state| plan.state_setups.get(state));
                situation.open.extend(open);
            }
        }
        situation
    }
}

/// A state that says neither what it is reached from nor how long that takes, and that others are
/// reached from: how the machine came in.
pub(crate) fn as_it_came(spec: &SpecParts, state: StateId) -> bool {
    let first = spec.state(state).is_some_and(|of| of.from.is_empty() && of.takes.is_none());
    first && spec.states.iter().any(|other| other.from.contains(&state))
}

/// Whether a check reads something that can be read only while the machine stands as it came in.
#[must_use]
pub fn only_as_it_came(spec: &Spec, id: CheckId) -> bool {
    let slots = spec.check(id).map_or(&[][..], |check| &check.slots);
    slots.iter().filter_map(|slot| during(spec, *slot)).any(|state| as_it_came(spec, state))
}

fn during(spec: &Spec, slot: SlotId) -> Option<StateId> {
    spec.slot(slot)?.during
}

/// What is believed before a stage, with one fault at a time and with two.
#[derive(Clone, Debug, Default)]
struct Belief {
    single: Option<Posterior>,
    pairs: Option<Posterior>,
}

impl Belief {
    fn repaired(self, networks: &Networks, replaced: &[Part]) -> Self {
        let after = |network: &Network, belief: Option<Posterior>| {
            network.after_repair(&belief?, replaced, REPAIR_SUCCEEDS).ok()
        };
        Self {
            single: after(&networks.single, self.single),
            pairs: after(&networks.pairs, self.pairs),
        }
    }

    /// Takes in what was read, and gives what is believed then of one fault at a time.
    fn read(
        &mut self,
        networks: &Networks,
        evidence: &Evidence,
    ) -> Result<Posterior, EvidenceError> {
        let read = |network: &Network, belief: Option<&Posterior>| match belief {
            Some(belief) => network.posterior_after(belief, evidence),
            None => network.posterior(evidence),
        };
        self.pairs = read(&networks.pairs, self.pairs.as_ref()).ok();
        read(&networks.single, self.single.as_ref())
    }
}
