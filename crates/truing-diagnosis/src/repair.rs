//! After a repair: what is believed then, and whether the machine is proven good.
//!
//! A repair moves probability from a hypothesis to the same without the faults of what was
//! replaced; it succeeds with a given chance. Only readings since then count: older ones are in
//! that belief already. It is taken that a fault which by chance didn't show on a check gets a
//! fresh chance after the repair.

use serde::Serialize;

use crate::evidence::{Evidence, EvidenceError};
use crate::index::{Band, Check, Fault, Part};
use crate::network::Network;
use crate::posterior::{Paired, Posterior};
use crate::weigh::Prior;

/// The chance that a repair cures what it was made for, unless said otherwise.
pub const REPAIR_SUCCEEDS: f64 = 0.98;

/// No fault has to be this probable for a machine to be proven good.
pub const PROVEN: f64 = 0.95;

/// A check that had failed has to be ok again with this share of its reading's weight.
pub const PASSED_AGAIN: f64 = 0.975;

/// Below this probability of no fault the machine is still faulty.
pub const STILL_FAULTY: f64 = 0.5;

/// What is said of a machine after its repair.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Proof {
    /// Proven good, still faulty, or neither.
    pub verdict: Verdict,
    /// The probability of no fault.
    pub none: f64,
    /// Checks that had failed and weren't made again.
    pub missing: Vec<Check>,
    /// Checks that had failed and weren't ok again clearly enough.
    pub unclear: Vec<Check>,
    /// Checks that failed after the repair.
    pub failed: Vec<Check>,
    /// The likeliest faults that are left, at most three, with their probabilities.
    pub residual: Vec<(Fault, f64)>,
}

/// Whether a machine is proven good.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// No fault is probable enough, and every check that had failed passed again.
    Proven,
    /// Neither proven good nor shown to be faulty.
    NotProven,
    /// A fault is probable, or a check failed.
    StillFaulty,
}

/// A chance that isn't between 0 and 1.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("{0} isn't a chance from 0 to 1")]
pub struct NotAChance(pub f64);

impl Network {
    /// What is believed once parts are replaced: with chance `success` a hypothesis loses every
    /// fault whose parts were all replaced, otherwise it stays.
    ///
    /// # Errors
    ///
    /// Where `success` isn't from 0 to 1.
    pub fn after_repair(
        &self,
        before: &Posterior,
        replaced: &[Part],
        success: f64,
    ) -> Result<Posterior, NotAChance> {
        if !(0.0..=1.0).contains(&success) {
            return Err(NotAChance(success));
        }
        let cured = |fault: &Fault| {
            let parts = self.parts_of(*fault);
            !parts.is_empty() && parts.iter().all(|part| replaced.contains(part))
        };
        let cured: Vec<bool> = (0..before.single.len()).map(|f| cured(&Fault(f))).collect();
        let mut after = before.clone();
        for (p, _) in after.single.iter_mut().zip(&cured).filter(|(_, cured)| **cured) {
            after.none += success * *p;
            *p *= 1.0 - success;
        }
        repair_pairs(&mut after, &cured, success);
        after.continued = true;
        after.log_evidence = 0.0;
        after.used.clear();
        after.unused.clear();
        Ok(after)
    }

    /// Readings made after a repair, on top of what was believed then.
    ///
    /// # Errors
    ///
    /// As [`posterior`](Self::posterior).
    pub fn posterior_after(
        &self,
        belief: &Posterior,
        since: &Evidence,
    ) -> Result<Posterior, EvidenceError> {
        self.update(&Prior::Belief(belief), since)
    }

    /// Whether a machine is proven good, from the readings before the repair and those since, each
    /// check in its own state, and the posterior over the latter.
    ///
    /// # Errors
    ///
    /// As [`posterior`](Self::posterior).
    pub fn proof(
        &self,
        before: &Evidence,
        since: &Evidence,
        after: &Posterior,
    ) -> Result<Proof, EvidenceError> {
        let used = |evidence: &Evidence| -> Result<Vec<Check>, EvidenceError> {
            let standing = crate::evidence::standing(self, evidence)?;
            let used = evidence.iter().map(|(check, _)| check).filter(|check| {
                matches!(standing.get(check.0), Some(crate::evidence::Standing::Used { .. }))
            });
            Ok(used.collect())
        };
        let ok = |evidence: &Evidence, check| evidence.of(check).map(|l| l.share(Band::OK));
        let since_used = used(since)?;
        let had_failed: Vec<Check> = used(before)?
            .into_iter()
            .filter(|check| before.of(*check).is_some_and(|l| l.likeliest() != Band::OK))
            .collect();
        let failed: Vec<Check> = since_used
            .iter()
            .copied()
            .filter(|check| since.of(*check).is_some_and(|l| l.likeliest() != Band::OK))
            .collect();
        let (again, missing): (Vec<Check>, Vec<Check>) =
            had_failed.into_iter().partition(|check| since_used.contains(check));
        let unclear: Vec<Check> = again
            .into_iter()
            .filter(|check| ok(since, *check).is_none_or(|share| share < PASSED_AGAIN))
            .filter(|check| !failed.contains(check))
            .collect();
        let none = after.none;
        let verdict = if none < STILL_FAULTY || !failed.is_empty() {
            Verdict::StillFaulty
        } else if none >= PROVEN && missing.is_empty() && unclear.is_empty() {
            Verdict::Proven
        } else {
            Verdict::NotProven
        };
        Ok(Proof { verdict, none, missing, unclear, failed, residual: residual(after) })
    }
}

fn repair_pairs(after: &mut Posterior, cured: &[bool], success: f64) {
    let Posterior { none, single, pair, paired, .. } = after;
    if *paired == Paired::No {
        return;
    }
    let is_cured = |fault: Fault| cured.get(fault.0).copied().unwrap_or(false);
    for ((a, b), p) in paired.triangle().pairs().zip(pair.iter_mut()) {
        let (f, g) = (paired.fault(a), paired.fault(b));
        let left = match (is_cured(f), is_cured(g)) {
            (false, false) => continue,
            (true, true) => Some(&mut *none),
            (true, false) => single.get_mut(g.0),
            (false, true) => single.get_mut(f.0),
        };
        if let Some(left) = left {
            *left += success * *p;
            *p *= 1.0 - success;
        }
    }
}

fn residual(after: &Posterior) -> Vec<(Fault, f64)> {
    let mut faults: Vec<(Fault, f64)> =
        after.faults().into_iter().enumerate().map(|(f, p)| (Fault(f), p)).collect();
    faults.retain(|(_, p)| *p > 0.0);
    faults.sort_by(|(f, p), (g, q)| q.total_cmp(p).then_with(|| f.cmp(g)));
    faults.truncate(3);
    faults
}

/// What a job counts for each fault once its repair was **proven** (see
/// [`Shares`](crate::Shares)): 1 in all, split by the posterior before the repair among the faults
/// that it cured. Nothing, where the repair wasn't proven or cured nothing that is listed.
#[must_use]
pub fn credit(
    network: &Network,
    before: &Posterior,
    replaced: &[Part],
    verdict: Verdict,
) -> Vec<f64> {
    let mut out = vec![0.0; network.faults()];
    if verdict != Verdict::Proven {
        return out;
    }
    let cured = |fault: Fault| network.parts_of(fault).iter().all(|part| replaced.contains(part));
    for (fault, (count, p)) in out.iter_mut().zip(before.faults()).enumerate() {
        if cured(Fault(fault)) {
            *count = p;
        }
    }
    let sum: f64 = out.iter().sum();
    if sum > 0.0 {
        out.iter_mut().for_each(|count| *count /= sum);
    }
    out
}

/// Which faults the repairs of a job cured, one after the other: how much of the belief that nothing
/// is wrong came of curing each.
///
/// All that has been cured looks alike to what is read afterwards, so a reading weighs it together
/// with "nothing was wrong"; a fault that is still there is weighed by itself. What an earlier repair
/// is credited with so falls where the readings after it still fail. With a single repair it comes to
/// what [`credit`] gives.
#[derive(Clone, Debug, PartialEq)]
pub struct Cured {
    by_fault: Vec<f64>,
}

impl Cured {
    /// Before any repair.
    #[must_use]
    pub fn new(network: &Network) -> Self {
        Self { by_fault: vec![0.0; network.faults()] }
    }

    /// Parts are replaced, on this belief; as [`Network::after_repair`] with the same chance of
    /// success.
    pub fn repaired(
        &mut self,
        network: &Network,
        before: &Posterior,
        replaced: &[Part],
        success: f64,
    ) {
        for (fault, (cured, p)) in self.by_fault.iter_mut().zip(&before.single).enumerate() {
            let parts = network.parts_of(Fault(fault));
            if !parts.is_empty() && parts.iter().all(|part| replaced.contains(part)) {
                *cured += success * p;
            }
        }
    }

    /// Readings moved the belief, from right after the repair to this.
    pub fn read(&mut self, before: &Posterior, after: &Posterior) {
        if before.none > 0.0 {
            let scale = after.none / before.none;
            self.by_fault.iter_mut().for_each(|cured| *cured *= scale);
        }
    }

    /// 1 in all, split by how probable it is that each fault was there and was cured; nothing where
    /// no listed fault was.
    #[must_use]
    pub fn shares(&self) -> Vec<f64> {
        let sum: f64 = self.by_fault.iter().sum();
        if sum > 0.0 {
            self.by_fault.iter().map(|cured| cured / sum).collect()
        } else {
            vec![0.0; self.by_fault.len()]
        }
    }
}
