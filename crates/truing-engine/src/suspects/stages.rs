//! Visits and the repairs between them, in turn.

use truing_diagnosis::{
    Band, Evidence, EvidenceError, Network, Part, Posterior, REPAIR_SUCCEEDS, Situation,
};
use truing_model::{CheckId, FixId, Reading, SlotId, Spec, SpecParts, StateId};

use super::evidence::Gathered;
use super::network::{Complaint, Networks, SuspectPlan, way};
use super::rank::{Basis, contradiction, fault_id};
use super::ranking::{Contradiction, FaultRanked, Proof, Ranking, Stage};
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
        let networks = self.networks(complaint);
        let mut stages: Vec<Stage> = Vec::new();
        let mut belief = Belief::default();
        // The last result of every check in all stages before.
        let mut before = Evidence::new();
        let mut at = 0;
        while let Some(first) = visits.get(at) {
            let rest = visits.get(at + 1..).unwrap_or_default();
            let length = 1 + rest.iter().take_while(|visit| visit.fitted.is_empty()).count();
            let rounds: Vec<usize> = (at..at + length).collect();
            let left_out = if at + length == visits.len() { left_out } else { &[] };
            let visits = visits.get(at..at + length).unwrap_or_default();
            // A job may begin with a repair: then nothing was believed before it.
            belief = belief.repaired(networks, &self.replaced(first.fitted));
            let repaired = !first.fitted.is_empty() && at > 0;
            let (ranking, gathered) = self.stage(
                spec,
                networks,
                (visits, left_out),
                &mut belief,
                repaired.then_some(&before),
            );
            for (check, likelihood) in gathered.evidence.iter() {
                before.read(check, likelihood.clone());
            }
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

    fn stage(
        &self,
        spec: &Spec,
        networks: &Networks,
        (visits, left_out): (&[Visit<'_>], &[CheckId]),
        belief: &mut Belief,
        // The results before a repair.
        before: Option<&Evidence>,
    ) -> (Result<Ranking, Contradiction>, Gathered) {
        let mut gathered = Gathered::default();
        for visit in visits {
            gathered.take(self, spec, visit.findings);
        }
        gathered.gone = self.gone(spec, visits, before.is_some());
        gathered.gone.extend(left_out);
        let evidence = gathered.with_barred(self);
        let ranking = match belief.read(networks, &evidence) {
            Ok(posterior) => {
                let basis = Basis {
                    plan: self,
                    networks,
                    spec,
                    gathered: &gathered,
                    evidence: &evidence,
                    posterior: &posterior,
                    pairs: belief.pairs.as_ref(),
                    situation: &self.situation(spec, visits),
                };
                let ranking = basis.ranking().and_then(|mut ranking| {
                    if let Some(before) = before {
                        let fitted = visits.first().map_or(&[][..], |visit| visit.fitted);
                        let excused = self.excused(spec, fitted, before, &gathered);
                        ranking.proof = Some(self.proof(
                            networks,
                            [before, &gathered.evidence],
                            &posterior,
                            &excused,
                        )?);
                    }
                    Ok(ranking)
                });
                belief.single = Some(posterior);
                ranking
            }
            Err(error) => Err(contradiction(self, &error)),
        };
        (ranking, gathered)
    }

    /// The checks that can be made only while the machine stands as it came in, once it was brought
    /// into another state.
    fn gone(&self, spec: &Spec, visits: &[Visit<'_>], repaired: bool) -> Vec<CheckId> {
        let moved = repaired
            || visits.iter().any(|visit| {
                visit.sheet.readings().any(|(slot, reading)| {
                    let taken = !matches!(reading, Reading::NotTaken { .. });
                    let state = visit.sheet.state(slot).or_else(|| during(spec, slot));
                    taken && state.is_some_and(|state| !as_it_came(spec, state))
                })
            });
        let all = self.ids.iter().copied().filter(|_| moved);
        all.filter(|id| only_as_it_came(spec, *id)).collect()
    }

    /// The failed checks that are not asked for again: what the fixes say proves them is.
    fn excused(
        &self,
        spec: &Spec,
        fitted: &[FixId],
        before: &Evidence,
        since: &Gathered,
    ) -> Vec<CheckId> {
        let fixes: Vec<_> = fitted.iter().filter_map(|fix| spec.fix(*fix)).collect();
        if fixes.is_empty() || fixes.iter().any(|fix| fix.proves.is_empty()) {
            return Vec::new();
        }
        let proves = |id: &CheckId| fixes.iter().any(|fix| fix.proves.contains(id));
        let failed = before
            .iter()
            .filter(|(check, l)| l.likeliest() != Band::OK && since.evidence.of(*check).is_none());
        let ids = failed.filter_map(|(check, _)| self.check_id(check));
        ids.filter(|id| only_as_it_came(spec, *id) && !proves(id)).collect()
    }

    fn proof(
        &self,
        networks: &Networks,
        [before, since]: [&Evidence; 2],
        after: &Posterior,
        excused: &[CheckId],
    ) -> Result<Proof, Contradiction> {
        let mut asked = Evidence::new();
        for (check, likelihood) in before.iter() {
            if self.check_id(check).is_none_or(|id| !excused.contains(&id)) {
                asked.read(check, likelihood.clone());
            }
        }
        let proof = networks.single.proof(&asked, since, after);
        let proof = proof.map_err(|error| contradiction(self, &error))?;
        let ids = |checks: &[truing_diagnosis::Check]| {
            checks.iter().filter_map(|check| self.check_id(*check)).collect()
        };
        let was_ok = |check: &truing_diagnosis::Check| {
            before.of(*check).is_some_and(|l| l.share(Band::OK) >= truing_diagnosis::OBSERVED)
        };
        let worse: Vec<_> = proof.failed.iter().copied().filter(was_ok).collect();
        Ok(Proof {
            verdict: proof.verdict,
            none: proof.none,
            missing: ids(&proof.missing),
            excused: excused.to_vec(),
            unclear: ids(&proof.unclear),
            failed: ids(&proof.failed),
            worse: ids(&worse),
            residual: proof
                .residual
                .iter()
                .map(|(fault, p)| FaultRanked { fault: fault_id(*fault), probability: *p })
                .collect(),
        })
    }

    /// What stands open: what was read, and what it was read in.
    fn situation(&self, spec: &Spec, visits: &[Visit<'_>]) -> Situation {
        let mut situation = Situation::default();
        for visit in visits {
            for (slot, reading) in visit.sheet.readings() {
                if matches!(reading, Reading::NotTaken { .. }) {
                    continue;
                }
                situation.open.extend(self.slot_setups.get(&slot));
                let state = visit.sheet.state(slot).or_else(|| during(spec, slot));
                let way = state.map(|state| way(spec, state)).unwrap_or_default();
                let open = way.iter().filter_map(|state| self.state_setups.get(state));
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
