//! What findings say of the bands of their checks.
//!
//! A check that was judged with a probability gives a likelihood over its bands; one that was not, the
//! band that it came out in. It is taken that true values on both sides of a limit, close by, are
//! equally common beforehand. What was not judged gives nothing and is kept by name. Members of a
//! family that counts as one give one likelihood together ([`super::joint`]).

use std::collections::{BTreeMap, BTreeSet};

use truing_diagnosis::{Check, Evidence, Likelihood};
use truing_model::{CheckBand, CheckId, Outcome, Spec, StateId};

use super::condition::taken_in;
use super::joint::joint;
use super::network::SuspectPlan;
use super::ranking::{Unused, WhyUnused};
use super::stages::Visit;
use crate::budget::Conformance;
use crate::finding::{Because, Finding, Spanned};

/// What the findings of one visit say.
#[derive(Clone, Debug, Default)]
pub(super) struct Gathered {
    /// Of every check that was judged.
    judged: BTreeMap<CheckId, Likelihood>,
    /// The states that its readings were taken in.
    pub taken_in: BTreeMap<CheckId, BTreeSet<StateId>>,
    /// Of the network's checks: what [`Self::take`] and [`Self::drop`] made of it.
    pub evidence: Evidence,
    /// Checks that are about no such machine: never to be proposed.
    pub inapplicable: Vec<CheckId>,
    /// Checks that are not to be proposed: those that could be made only while the machine stood as
    /// it came in, or that tell nothing where the complaint does not show.
    pub barred: Vec<CheckId>,
    /// Checks that were tried and say nothing, with the reason.
    pub unused: Vec<Unused>,
    /// Checks outside their limits that no fault acts on.
    pub unexplained: Vec<CheckId>,
}

impl Gathered {
    /// Takes in a round. What is judged anew takes the place of what was judged before.
    pub fn take(&mut self, plan: &SuspectPlan, spec: &Spec, visit: &Visit<'_>) {
        self.unused.clear();
        self.inapplicable.clear();
        for finding in &visit.findings.findings {
            let id = finding.check;
            let Some(check) = plan.network_check(id) else {
                self.unexplained.retain(|other| *other != id);
                if finding.outcome.fails() && unseen(plan, spec, id) {
                    self.unexplained.push(id);
                }
                continue;
            };
            self.unexplained.retain(|other| *other != id);
            if finding.outcome.fails() && plan.touched.get(check.0) == Some(&false) {
                self.unexplained.push(id);
            }
            let bands = plan.bands.get(check.0).map_or(&[][..], Vec::as_slice);
            match (finding.outcome, likelihood(finding, bands)) {
                (_, Some(likelihood)) => {
                    self.judged.insert(id, likelihood);
                    self.taken_in.insert(id, taken_in(spec, visit, id));
                }
                (Outcome::NotApplicable, None) => self.inapplicable.push(id),
                (Outcome::Blocked, None) if !finding.reason.used.is_empty() => {
                    self.unused.push(Unused { check: id, why: WhyUnused::Blocked });
                }
                (Outcome::Undecided, None) => {
                    self.unused.push(Unused { check: id, why: WhyUnused::Undecided });
                }
                _ => {}
            }
        }
        // An earlier round of the same visit may have judged what this one could not.
        self.unused.retain(|unused| !self.judged.contains_key(&unused.check));
        self.evidence = Evidence::new();
        for (place, members) in plan.members.iter().enumerate() {
            if let Some(likelihood) = self.together(plan, Check(place), members) {
                self.evidence.read(Check(place), likelihood);
            }
        }
    }

    /// What was read of a check, or of the members that count as one and are about this machine.
    fn together(
        &self,
        plan: &SuspectPlan,
        check: Check,
        members: &[CheckId],
    ) -> Option<Likelihood> {
        let about = members.iter().filter(|id| !self.inapplicable.contains(id));
        let read: Vec<Option<&Likelihood>> = about.map(|id| self.judged.get(id)).collect();
        read.iter().any(Option::is_some).then_some(())?;
        joint(&read, plan.bands.get(check.0)?.len())
    }

    /// Whether this very check was judged, and not only another member of its family.
    pub fn was_judged(&self, id: CheckId) -> bool {
        self.judged.contains_key(&id)
    }

    /// Leaves out a check of the network, for a reason.
    pub fn drop(&mut self, plan: &SuspectPlan, check: Check, why: WhyUnused) {
        let kept = self.evidence.iter().filter(|(other, _)| *other != check);
        let mut evidence = Evidence::new();
        for (other, likelihood) in kept {
            evidence.read(other, likelihood.clone());
        }
        self.evidence = evidence;
        self.unused.extend(plan.check_id(check).map(|check| Unused { check, why }));
    }

    /// The evidence, with the checks that are not to be proposed as read and silent.
    pub fn with_barred(&self, plan: &SuspectPlan) -> Evidence {
        let mut evidence = self.evidence.clone();
        let inapplicable = plan
            .members
            .iter()
            .enumerate()
            .filter(|(_, members)| members.iter().all(|id| self.inapplicable.contains(id)));
        let inapplicable = inapplicable.map(|(place, _)| Check(place));
        let barred = self.barred.iter().filter_map(|id| plan.network_check(*id));
        for check in inapplicable.chain(barred) {
            if evidence.of(check).is_some() {
                continue;
            }
            let bands = plan.bands.get(check.0).map_or(0, Vec::len);
            if let Ok(silent) = Likelihood::given(&vec![1.0; bands]) {
                evidence.read(check, silent);
            }
        }
        evidence
    }
}

/// Whether no check that a fault acts on reads any of what this one reads.
fn unseen(plan: &SuspectPlan, spec: &Spec, id: CheckId) -> bool {
    let Some(check) = spec.check(id) else { return false };
    let acted = plan.members.iter().zip(&plan.touched).filter(|(_, touched)| **touched);
    let read = acted.flat_map(|(members, _)| members);
    let read = read.filter_map(|id| spec.check(*id)).flat_map(|check| &check.slots);
    let read: BTreeSet<_> = read.collect();
    !check.slots.iter().any(|slot| read.contains(slot))
}

/// What a finding says of the bands; nothing where it was not judged.
fn likelihood(finding: &Finding, bands: &[CheckBand]) -> Option<Likelihood> {
    let hard = CheckBand::of(finding.outcome);
    if hard.is_none() && finding.outcome != Outcome::Undecided {
        return None;
    }
    let soft = finding.reason.conformance.and_then(|of| shares(&of, bands));
    if soft.is_some() {
        return soft;
    }
    match (hard, &finding.reason.because) {
        (Some(band), _) => {
            let place = bands.iter().position(|other| *other == band)?;
            Likelihood::hard(truing_diagnosis::Band(place), bands.len()).ok()
        }
        (None, Because::Spans { ends, passes, .. }) => spanned(*ends, *passes, bands),
        (None, _) => None,
    }
}

fn shares(of: &Conformance, bands: &[CheckBand]) -> Option<Likelihood> {
    let graded = bands.contains(&CheckBand::Worn);
    let share = |band: &CheckBand| match band {
        CheckBand::Ok if graded => of.within,
        CheckBand::Ok => of.passes,
        CheckBand::Worn => of.passes - of.within,
        CheckBand::High => of.high,
        CheckBand::Low => of.low,
        CheckBand::Fail => 1.0 - of.passes,
    };
    let weights: Vec<f64> = bands.iter().map(|band| share(band).clamp(0.0, 1.0)).collect();
    // Nearly all has to lie in bands that the check has.
    let told: f64 = weights.iter().sum();
    (told > 0.5).then(|| Likelihood::given(&weights).ok()).flatten()
}

/// A value that spans an end of the limit lies in one of these bands: that, and no more.
fn spanned(ends: Spanned, passes: bool, bands: &[CheckBand]) -> Option<Likelihood> {
    let possible = |band: &CheckBand| match band {
        CheckBand::Ok | CheckBand::Worn => true,
        CheckBand::Low => !passes && ends != Spanned::High,
        CheckBand::High => !passes && ends != Spanned::Low,
        CheckBand::Fail => !passes,
    };
    let weights: Vec<f64> = bands.iter().map(|b| if possible(b) { 1.0 } else { 0.0 }).collect();
    // What is possible everywhere says nothing.
    let tells = weights.iter().any(|weight| *weight <= 0.0);
    tells.then(|| Likelihood::given(&weights).ok()).flatten()
}
