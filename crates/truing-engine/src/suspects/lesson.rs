//! What one job teaches once its repair is proven: which faults were the cause, and what the checks
//! showed of them before the repair.

use std::collections::BTreeMap;

use serde::Serialize;
use truing_diagnosis::{
    Band, Check, Cured, Fault, Hypothesis, OBSERVED, Posterior, REPAIR_SUCCEEDS,
};
use truing_model::{CheckBand, CheckId, FaultId, Spec};

use super::evidence::Gathered;
use super::network::{Complaint, SuspectPlan};
use super::rank::fault_id;
use super::stages::Visit;

/// A job is shared out among faults in so many parts.
pub const WHOLE_JOB: u32 = 100;

/// What one job teaches.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Lesson {
    /// The faults that its repairs cured, with their parts of the job, in the order of the spec;
    /// together a [`WHOLE_JOB`].
    pub causes: Vec<(FaultId, u32)>,
    /// The band that each check was in, as last observed before the repair that cured the fault.
    pub shown: Vec<(FaultId, CheckId, CheckBand)>,
}

impl Lesson {
    /// A fault's part of the job.
    #[must_use]
    pub fn part_of(&self, fault: FaultId) -> u32 {
        self.causes.iter().find(|(of, _)| *of == fault).map_or(0, |(_, part)| *part)
    }
}

/// The bands that checks were observed in.
type Observed = BTreeMap<Check, Band>;

impl SuspectPlan {
    /// What a job teaches whose repair is proven; whether it is, is for the caller to know. Nothing
    /// where its results contradict each other, nothing was measured before a repair, or its repairs
    /// mend no listed fault.
    #[must_use]
    pub fn lesson(
        &self,
        spec: &Spec,
        visits: &[Visit<'_>],
        complaint: Complaint,
    ) -> Option<Lesson> {
        let network = &self.networks(complaint).single;
        let mut cured = Cured::new(network);
        let mut belief: Option<Posterior> = None;
        let mut observed = Observed::new();
        let mut before: BTreeMap<Fault, Observed> = BTreeMap::new();
        let mut at = 0;
        while let Some(first) = visits.get(at) {
            let rest = visits.get(at + 1..).unwrap_or_default();
            let length = 1 + rest.iter().take_while(|visit| visit.fitted.is_empty()).count();
            let stage = visits.get(at..at + length).unwrap_or_default();
            at += length;
            let replaced = self.replaced(first.fitted);
            if let Some(now) = &belief {
                cured.repaired(network, now, &replaced, REPAIR_SUCCEEDS);
                for fault in (0..network.faults()).map(Fault) {
                    let parts = network.parts_of(fault);
                    if parts.iter().all(|part| replaced.contains(part)) {
                        before.insert(fault, observed.clone());
                    }
                }
            }
            let mut gathered = Gathered::default();
            stage.iter().for_each(|visit| gathered.take(self, spec, visit));
            let repaired =
                belief.map(|belief| network.after_repair(&belief, &replaced, REPAIR_SUCCEEDS).ok());
            let read = match repaired {
                Some(repaired) => {
                    let repaired = repaired?;
                    let read = network.posterior_after(&repaired, &gathered.evidence).ok()?;
                    cured.read(&repaired, &read);
                    read
                }
                None => network.posterior(&gathered.evidence).ok()?,
            };
            for (check, likelihood) in gathered.evidence.iter() {
                let band = likelihood.likeliest();
                if likelihood.share(band) >= OBSERVED && read.used().contains(&check) {
                    observed.insert(check, band);
                }
            }
            belief = Some(read);
        }
        let causes = parts(&cured.shares());
        let shown = causes.iter().flat_map(|(fault, _)| self.shown(*fault, before.get(fault)));
        let shown = shown.collect();
        let causes: Vec<(FaultId, u32)> =
            causes.iter().map(|(fault, part)| (fault_id(*fault), *part)).collect();
        (!causes.is_empty()).then_some(Lesson { causes, shown })
    }

    /// What was observed of the checks that a fault acts on.
    fn shown(
        &self,
        fault: Fault,
        observed: Option<&Observed>,
    ) -> Vec<(FaultId, CheckId, CheckBand)> {
        let network = self.network();
        let acts = |check: &Check| {
            let chances = |of| network.outcome(*check, of);
            chances(Hypothesis::Single(fault)) != chances(Hypothesis::None)
        };
        let all = observed.into_iter().flatten().filter(|(check, _)| acts(check));
        let each = all.filter_map(|(check, band)| {
            Some((fault_id(fault), self.check_id(*check)?, self.band(*check, *band)?))
        });
        each.collect()
    }
}

/// Shares of a job in whole parts that add up to all of it: rounded down, and what is missing given
/// to the largest remainders, of equals to the first.
fn parts(shares: &[f64]) -> Vec<(Fault, u32)> {
    if shares.iter().all(|share| *share <= 0.0) {
        return Vec::new();
    }
    let exact =
        shares.iter().map(|share| (share * f64::from(WHOLE_JOB)).clamp(0.0, f64::from(WHOLE_JOB)));
    let mut all: Vec<(Fault, u32, f64)> = exact
        .enumerate()
        .map(|(fault, exact)| (Fault(fault), exact.floor() as u32, exact - exact.floor()))
        .collect();
    let given: u32 = all.iter().map(|(_, part, _)| part).sum();
    all.sort_by(|a, b| b.2.total_cmp(&a.2).then_with(|| a.0.cmp(&b.0)));
    let missing = WHOLE_JOB.saturating_sub(given) as usize;
    all.iter_mut().take(missing).for_each(|(_, part, _)| *part += 1);
    all.sort_by_key(|(fault, ..)| *fault);
    all.into_iter().filter(|(_, part, _)| *part > 0).map(|(fault, part, _)| (fault, part)).collect()
}

#[cfg(test)]
mod tests {
    use truing_diagnosis::Fault;

    use super::parts;

    #[test]
    fn a_job_is_shared_out_whole() {
        assert_eq!(parts(&[0.0, 0.0]), []);
        assert_eq!(parts(&[0.0, 1.0]), [(Fault(1), 100)]);
        // A third each: the first gets what is missing.
        let third = 1.0 / 3.0;
        let whole = [(Fault(0), 34), (Fault(1), 33), (Fault(2), 33)];
        assert_eq!(parts(&[third, third, third]), whole);
        // Less than a part, and no largest remainder, is nothing.
        assert_eq!(parts(&[0.996, 0.004]), [(Fault(0), 100)]);
    }
}
