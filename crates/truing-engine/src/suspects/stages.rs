//! Visits and the repairs between them, in turn.

use truing_diagnosis::{
    Band, Evidence, EvidenceError, Network, Part, Posterior, REPAIR_SUCCEEDS, Situation,
};
use truing_model::{FixId, Reading, SlotId, Spec};

use super::evidence::Gathered;
use super::network::{SuspectPlan, way};
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
    pub fn rank(&self, spec: &Spec, visits: &[Visit<'_>]) -> Vec<Stage> {
        let mut stages: Vec<Stage> = Vec::new();
        let mut belief = Belief::default();
        // The last result of every check in all stages before.
        let mut before = Evidence::new();
        let mut at = 0;
        while let Some(first) = visits.get(at) {
            let rest = visits.get(at + 1..).unwrap_or_default();
            let length = 1 + rest.iter().take_while(|visit| visit.fitted.is_empty()).count();
            let rounds: Vec<usize> = (at..at + length).collect();
            let visits = visits.get(at..at + length).unwrap_or_default();
            // A job may begin with a repair: then nothing was believed before it.
            belief = belief.repaired(self, &self.replaced(first.fitted));
            let repaired = !first.fitted.is_empty() && at > 0;
            let (ranking, gathered) = self.stage(spec, visits, &mut belief, repaired, &before);
            for (check, likelihood) in gathered.evidence.iter() {
                before.read(check, likelihood.clone());
            }
            stages.push(Stage { rounds, fitted: first.fitted.to_vec(), ranking });
            at += length;
        }
        stages
    }

    /// The repairs that some fixes make.
    fn replaced(&self, fitted: &[FixId]) -> Vec<Part> {
        let of = |fix: &FixId| self.repair_of.get(fix.0 as usize).copied().flatten();
        fitted.iter().filter_map(of).collect()
    }

    fn stage(
        &self,
        spec: &Spec,
        visits: &[Visit<'_>],
        belief: &mut Belief,
        repaired: bool,
        before: &Evidence,
    ) -> (Result<Ranking, Contradiction>, Gathered) {
        let mut gathered = Gathered::default();
        for visit in visits {
            gathered.take(self, spec, visit.findings);
        }
        let evidence = gathered.with_barred(self);
        let ranking = match belief.read(self, &evidence) {
            Ok(posterior) => {
                let basis = Basis {
                    plan: self,
                    spec,
                    gathered: &gathered,
                    evidence: &evidence,
                    posterior: &posterior,
                    pairs: belief.pairs.as_ref(),
                    situation: &self.situation(spec, visits),
                };
                let ranking = basis.ranking().and_then(|mut ranking| {
                    if repaired {
                        ranking.proof = Some(self.proof(before, &gathered.evidence, &posterior)?);
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

    fn proof(
        &self,
        before: &Evidence,
        since: &Evidence,
        after: &Posterior,
    ) -> Result<Proof, Contradiction> {
        let proof = self.single.proof(before, since, after);
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

fn during(spec: &Spec, slot: SlotId) -> Option<truing_model::StateId> {
    spec.slot(slot)?.during
}

/// What is believed before a stage, with one fault at a time and with two.
#[derive(Clone, Debug, Default)]
struct Belief {
    single: Option<Posterior>,
    pairs: Option<Posterior>,
}

impl Belief {
    fn repaired(self, plan: &SuspectPlan, replaced: &[Part]) -> Self {
        let after = |network: &Network, belief: Option<Posterior>| {
            network.after_repair(&belief?, replaced, REPAIR_SUCCEEDS).ok()
        };
        Self {
            single: after(&plan.single, self.single),
            pairs: after(&plan.pairs, self.pairs),
        }
    }

    /// Takes in what was read, and gives what is believed then of one fault at a time.
    fn read(&mut self, plan: &SuspectPlan, evidence: &Evidence) -> Result<Posterior, EvidenceError> {
        let read = |network: &Network, belief: Option<&Posterior>| match belief {
            Some(belief) => network.posterior_after(belief, evidence),
            None => network.posterior(evidence),
        };
        self.pairs = read(&plan.pairs, self.pairs.as_ref()).ok();
        read(&plan.single, self.single.as_ref())
    }
}
