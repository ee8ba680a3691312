//! From a posterior to what can be said of it.

use std::collections::BTreeMap;

use truing_diagnosis::{
    Advice, Cure, Evidence, EvidenceError, Explanation, Hypothesis, Next, NotUsed, PairScope, Part,
    Posterior, RepairPlan, Situation, Step, StopRules,
};
use truing_model::{CheckBand, CheckId, FaultId, Spec};

use super::evidence::Gathered;
use super::network::{Networks, SuspectPlan};
use super::ranking::{
    Contradiction, Contribution, CureRanked, FaultRanked, NextCheck, NextOutcome, OtherCheck,
    PairAlarm, Points, Ranking, Recommended, Remedy, RuledDown, Seen, Unused, Weighing, WhyUnused,
};

/// So many other measurements are named beside the best.
const OTHERS: usize = 4;

/// A fault that is not listed is taken for a rival from this probability on.
const IN_EARNEST: f64 = 0.05;

/// What a stage rests on.
pub(super) struct Basis<'a> {
    pub plan: &'a SuspectPlan,
    pub networks: &'a Networks,
    pub spec: &'a Spec,
    pub gathered: &'a Gathered,
    /// With what is not to be proposed.
    pub evidence: &'a Evidence,
    pub posterior: &'a Posterior,
    pub pairs: Option<&'a Posterior>,
    pub situation: &'a Situation,
    /// Nothing was judged yet under the condition that the complaint shows under.
    pub reproduce: bool,
}

impl Basis<'_> {
    pub fn ranking(&self) -> Result<Ranking, Contradiction> {
        let single = &self.networks.single;
        let explanation = single.explain(self.posterior, self.evidence);
        let next = single
            .next(self.posterior, self.evidence, self.situation, &StopRules::default())
            .map_err(|error| contradiction(self.plan, &error))?;
        let cures = self.cures();
        Ok(Ranking {
            seen: self.seen(),
            none: self.posterior.probability(Hypothesis::None),
            other: self.posterior.probability(Hypothesis::Other),
            no_part: cures
                .iter()
                .filter(|c| self.needs_no_part(c.remedy))
                .map(|c| c.probability)
                .sum(),
            faults: self.faults(),
            cures,
            pair: self.pair(),
            paired: self.pairs.and_then(|pairs| match pairs.pairs() {
                PairScope::Strongest { faults, .. } => Some(faults),
                PairScope::All | PairScope::NotSupposed => None,
            }),
            weighing: self.weighing(),
            ruled_down: self.ruled_down(&explanation),
            unused: self.unused(),
            unexplained: self.gathered.unexplained.clone(),
            unmeasured: self.unmeasured(),
            recommended: self.recommended(&next),
            next: self.next(&next),
            proof: None,
        })
    }

    fn needs_no_part(&self, remedy: Remedy) -> bool {
        match remedy {
            Remedy::Nothing => true,
            Remedy::Fix(fix) => self.spec.fix(fix).is_some_and(|fix| fix.parts.is_empty()),
            Remedy::Unmended(_) | Remedy::NotListed => false,
        }
    }

    /// Whether a check was used and bears on a fault.
    fn bears(&self, check: truing_diagnosis::Check) -> bool {
        self.plan.touched.get(check.0) == Some(&true) && self.was_read(check)
    }

    /// Whether a check of the evidence was read, and is not in it only so as not to be proposed.
    fn was_read(&self, check: truing_diagnosis::Check) -> bool {
        self.gathered.evidence.of(check).is_some()
    }

    fn seen(&self) -> Seen {
        let mut used = self.posterior.used().iter().filter(|check| self.bears(**check)).peekable();
        if used.peek().is_none() {
            return Seen::Nothing;
        }
        let failed = |check: &truing_diagnosis::Check| {
            let seen = self.evidence.of(*check).map(truing_diagnosis::Likelihood::likeliest);
            seen.is_some_and(|seen| {
                seen != truing_diagnosis::Band::OK && !self.plan.is_usual(*check, seen)
            })
        };
        if used.any(failed) { Seen::Failed } else { Seen::NothingFailed }
    }

    fn id(&self, check: truing_diagnosis::Check) -> CheckId {
        self.plan.check_id(check).unwrap_or(CheckId(u32::MAX))
    }

    fn band(&self, check: truing_diagnosis::Check, band: truing_diagnosis::Band) -> CheckBand {
        self.plan.band(check, band).unwrap_or(CheckBand::Fail)
    }

    fn faults(&self) -> Vec<FaultRanked> {
        let mut faults: Vec<FaultRanked> = (0_u32..)
            .zip(self.posterior.faults())
            .map(|(id, probability)| FaultRanked { fault: FaultId(id), probability })
            .collect();
        faults.sort_by(|a, b| {
            b.probability.total_cmp(&a.probability).then_with(|| a.fault.cmp(&b.fault))
        });
        faults
    }

    fn cures(&self) -> Vec<CureRanked> {
        let single = &self.networks.single;
        let mut cured: BTreeMap<&[Part], Vec<FaultRanked>> = BTreeMap::new();
        for of in self.faults() {
            let fault = truing_diagnosis::Fault(of.fault.0 as usize);
            cured.entry(single.parts_of(fault)).or_default().push(of);
        }
        let cures = self.posterior.cures(single).into_iter();
        cures
            .map(|(cure, probability)| CureRanked {
                remedy: self.remedy(&cure),
                probability,
                faults: match &cure {
                    Cure::Replace(parts) => cured.remove(parts.as_slice()).unwrap_or_default(),
                    Cure::Nothing | Cure::Unknown => Vec::new(),
                },
            })
            .collect()
    }

    /// Whether a cure is that of a hypothesis.
    fn is_cure_of(&self, cure: &Cure, hypothesis: Hypothesis) -> bool {
        match (hypothesis, cure) {
            (Hypothesis::Single(fault), Cure::Replace(parts)) => {
                self.networks.single.parts_of(fault) == parts.as_slice()
            }
            (Hypothesis::Single(_), _) => false,
            _ => self.networks.single.cure(hypothesis) == *cure,
        }
    }

    fn remedy(&self, cure: &Cure) -> Remedy {
        match cure {
            Cure::Nothing => Remedy::Nothing,
            Cure::Replace(parts) => {
                parts.first().map_or(Remedy::Nothing, |part| self.plan.remedy_of(*part))
            }
            Cure::Unknown => Remedy::NotListed,
        }
    }

    /// Two faults at once, where one does not explain everything. Two with one cure need no alarm.
    fn pair(&self) -> Option<PairAlarm> {
        let pairs = self.pairs.filter(|pairs| pairs.pair_alarm())?;
        let network = &self.networks.pairs;
        let mut best: Option<([FaultId; 2], f64)> = None;
        let mut probability = 0.0;
        for (hypothesis, p) in pairs.iter() {
            let Hypothesis::Pair(f, g) = hypothesis else { continue };
            if network.parts_of(f) == network.parts_of(g) {
                continue;
            }
            probability += p;
            if best.is_none_or(|(_, most)| p > most) {
                best = Some(([fault_id(f), fault_id(g)], p));
            }
        }
        let alarm = probability > truing_diagnosis::PAIR_ALARM;
        best.filter(|_| alarm).map(|(faults, _)| PairAlarm { faults, probability })
    }

    fn points(&self, hypothesis: Hypothesis) -> Points {
        match hypothesis {
            Hypothesis::None => Points::None,
            Hypothesis::Single(fault) | Hypothesis::Pair(fault, _) => {
                Points::Fault(fault_id(fault))
            }
            Hypothesis::Other => Points::NotListed,
        }
    }

    /// The likeliest hypothesis of the likeliest cure against the likeliest with another.
    fn weighing(&self) -> Option<Weighing> {
        let single = &self.networks.single;
        let (cure, _) = self.posterior.cures(single).into_iter().next()?;
        let likeliest = |wanted: &dyn Fn(Hypothesis) -> bool| {
            let of = self.posterior.iter().filter(|(h, _)| wanted(*h));
            of.fold(None, |best: Option<(Hypothesis, f64)>, (h, p)| match best {
                Some((_, most)) if most >= p => best,
                _ => Some((h, p)),
            })
        };
        let (leader, _) = likeliest(&|h| self.is_cure_of(&cure, h))?;
        // What is not listed tells nothing of what it would show: it is the rival only in earnest.
        let foreign = self.posterior.probability(Hypothesis::Other) >= IN_EARNEST;
        let other = |h| !self.is_cure_of(&cure, h) && (foreign || h != Hypothesis::Other);
        let (rival, _) = likeliest(&other).filter(|(_, p)| *p > 0.0)?;
        let found = single.weigh(self.posterior, self.evidence, leader, rival)?;
        let told = found.contributions.iter().filter(|of| self.was_read(of.check));
        let contributions = told.map(|of| Contribution {
            check: self.id(of.check),
            band: self.band(of.check, of.seen),
            share: self.evidence.of(of.check).map_or(0.0, |l| l.share(of.seen)),
            decibans: of.decibans,
            strength: of.strength,
            leader_shows: of.leader_gives,
            rival_shows: of.rival_gives,
        });
        Some(Weighing {
            leader: self.points(found.leader),
            leader_probability: self.posterior.probability(found.leader),
            rival: self.points(found.rival),
            rival_probability: self.posterior.probability(found.rival),
            prior_decibans: found.prior_decibans,
            contributions: contributions.collect(),
            total_decibans: found.total_decibans,
        })
    }

    fn ruled_down(&self, explanation: &Explanation) -> Vec<RuledDown> {
        let each = explanation.ruled_down.iter();
        each.map(|of| RuledDown {
            fault: fault_id(of.fault),
            check: self.id(of.check),
            would_fail: of.would_fail,
        })
        .collect()
    }

    fn unused(&self) -> Vec<Unused> {
        let mut unused = self.gathered.unused.clone();
        let barred = self.posterior.not_used().iter();
        unused.extend(barred.filter(|(check, _)| self.was_read(*check)).map(|(check, why)| {
            let why = match *why {
                NotUsed::NotMeasured { check, band } => {
                    WhyUnused::Needs { check: self.id(check), band: self.band(check, band) }
                }
                NotUsed::NotInBand { check, band, found } => WhyUnused::NeedsOther {
                    check: self.id(check),
                    band: self.band(check, band),
                    found: self.band(check, found),
                },
                NotUsed::RequiredNotUsed { check } => {
                    WhyUnused::NeedsUnused { check: self.id(check) }
                }
            };
            Unused { check: self.id(*check), why }
        }));
        unused.sort_by_key(|unused| unused.check);
        unused
    }

    fn unmeasured(&self) -> Vec<CheckId> {
        let touched = self.plan.members.iter().zip(&self.plan.touched).filter(|(_, is)| **is);
        let all = touched.flat_map(|(members, _)| members).copied();
        let open = all.filter(|id| {
            !self.gathered.inapplicable.contains(id) && !self.gathered.was_judged(*id)
        });
        open.collect()
    }

    fn recommended(&self, next: &Next) -> Recommended {
        match &next.advice {
            // What is not seen yet is not told apart, and no repair could be proven.
            Advice::CannotBeToldApart { .. } | Advice::RepairFirst { .. }
                if self.reproduce && next.proposed.is_some() =>
            {
                next.proposed.map_or(Recommended::FitsNothing(None), |check| {
                    Recommended::Measure(self.id(check))
                })
            }
            Advice::Settled { cure, .. } => Recommended::Act(self.remedy(cure)),
            Advice::FitsNothing { strangest, .. } => {
                Recommended::FitsNothing(strangest.map(|check| self.id(check)))
            }
            Advice::CannotBeToldApart { among } => Recommended::CannotBeToldApart(
                among.iter().map(|(cure, _)| self.remedy(cure)).collect(),
            ),
            Advice::RepairFirst { .. } => {
                Recommended::RepairFirst(next.plan.as_ref().map_or(Vec::new(), |p| self.steps(p)))
            }
            Advice::Measure { check } => Recommended::Measure(self.id(*check)),
        }
    }

    fn steps(&self, plan: &RepairPlan) -> Vec<Remedy> {
        let each = plan.steps.iter().map(|step| match step {
            Step::Replace(part) => self.plan.remedy_of(*part),
            Step::Nothing => Remedy::Nothing,
        });
        each.collect()
    }

    fn next(&self, next: &Next) -> Option<NextCheck> {
        let proposed = next.proposed?;
        let of_first = next.candidates.iter().filter(|c| c.first() == Some(proposed));
        // Measured for its own sake, if it is worth that; else for what it opens the way to.
        let own = of_first.clone().find(|c| c.chain.len() == 1);
        let candidate = own.or_else(|| of_first.clone().next());
        let outcomes = next.pointers.iter().map(|pointer| NextOutcome {
            band: self.band(proposed, pointer.band),
            probability: pointer.chance,
            cures: pointer.cures.iter().map(|(cure, p)| (self.remedy(cure), *p)).collect(),
        });
        let mut others: Vec<OtherCheck> = Vec::new();
        for of in &next.candidates {
            let Some(first) = of.first().filter(|first| *first != proposed) else { continue };
            let check = self.id(first);
            if others.len() < OTHERS && others.iter().all(|other| other.check != check) {
                others.push(OtherCheck { check, minutes: of.minutes, bits: of.bits });
            }
        }
        Some(NextCheck {
            check: self.id(proposed),
            minutes: candidate.map_or(0.0, |c| c.minutes),
            bits: candidate.map_or(0.0, |c| c.bits),
            outcomes: outcomes.collect(),
            then: candidate
                .map_or(&[][..], |c| c.chain.get(1..).unwrap_or_default())
                .iter()
                .map(|check| self.id(*check))
                .collect(),
            others,
        })
    }
}

impl SuspectPlan {
    pub(super) fn remedy_of(&self, part: Part) -> Remedy {
        let repair = self.repairs.get(part.0);
        match repair.map(|repair| (repair.fix, repair.unmended)) {
            Some((Some(fix), _)) => Remedy::Fix(fix),
            Some((None, Some(fault))) => Remedy::Unmended(fault),
            _ => Remedy::NotListed,
        }
    }
}

pub(super) fn fault_id(fault: truing_diagnosis::Fault) -> FaultId {
    FaultId(u32::try_from(fault.0).unwrap_or(u32::MAX))
}

/// The checks that contradict each other. (Readings of other checks or over other bands are not
/// made here.)
pub(super) fn contradiction(plan: &SuspectPlan, error: &EvidenceError) -> Contradiction {
    let checks = match error {
        EvidenceError::Contradiction(checks) => checks.as_slice(),
        EvidenceError::UnknownCheck(check) | EvidenceError::Bands { check, .. } => {
            std::slice::from_ref(check)
        }
    };
    Contradiction { checks: checks.iter().filter_map(|check| plan.check_id(*check)).collect() }
}
