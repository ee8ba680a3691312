//! What jobs teach: the author's odds and chances weighed with counts of proven jobs.
//!
//! Shares go by odds, as the ranking does: the author's share of a fault is its odds among those of
//! all listed faults, and all odds together stay what the author said. So jobs move the odds
//! between faults, and say nothing of how often machines fail.

use std::collections::BTreeMap;

use serde::Serialize;
use truing_diagnosis::{BandCounts, Fault, Shares};
use truing_model::{Cause, CheckBand, CheckId, FaultId, Learned, Shown, SpecParts};

use super::lesson::{Lesson, WHOLE_JOB};

/// The author's odds and chances, weighed with counts of jobs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reweighed {
    /// So many jobs were counted.
    pub jobs: f64,
    /// The author's word counts as so many.
    pub author_jobs: f64,
    /// Every fault, in the order of the spec.
    pub faults: Vec<FaultReweighed>,
    /// Every effect of a fault on a check that was judged in one of its jobs.
    pub effects: Vec<EffectReweighed>,
}

/// How often a fault is the cause.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct FaultReweighed {
    /// The fault.
    pub fault: FaultId,
    /// Its share among listed faults, by the author.
    pub author: f64,
    /// It was the cause in so many jobs.
    pub jobs: f64,
    /// Its share by author and jobs.
    pub share: f64,
    /// The standard deviation of that.
    pub standard_deviation: f64,
    /// Its odds by author and jobs.
    pub odds: f64,
}

/// How often a fault drives a check into a band.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct EffectReweighed {
    /// The fault.
    pub fault: FaultId,
    /// The check.
    pub check: CheckId,
    /// The band.
    pub band: CheckBand,
    /// How often, by the author.
    pub author: f64,
    /// It was seen in so many jobs …
    pub seen: f64,
    /// … of so many in which the check was judged.
    pub judged: f64,
    /// How often by author and jobs.
    pub chance: f64,
    /// The standard deviation of that.
    pub standard_deviation: f64,
}

/// The spec's odds and chances, weighed with these counts. Nothing where it lists no fault.
#[must_use]
pub fn reweigh(spec: &SpecParts, learned: &Learned) -> Option<Reweighed> {
    let odds: Vec<f64> =
        spec.faults.iter().map(|fault| fault.prior / (1.0 - fault.prior)).collect();
    let whole: f64 = odds.iter().sum();
    let ids: Vec<FaultId> = (0_u32..).take(odds.len()).map(FaultId).collect();
    let counts: Vec<f64> = ids.iter().map(|id| learned.jobs_of(*id)).collect();
    let mut shares = Shares::new(&odds, learned.author_jobs).ok()?;
    shares.add(&counts).ok()?;
    let (means, deviations) = (shares.mean(), shares.standard_deviation());
    let each = ids.iter().zip(&odds).zip(counts).zip(means.iter().zip(deviations));
    let faults = each.map(|(((fault, odds), jobs), (share, standard_deviation))| FaultReweighed {
        fault: *fault,
        author: odds / whole,
        jobs,
        share: *share,
        standard_deviation,
        odds: share * whole,
    });
    Some(Reweighed {
        jobs: learned.jobs(),
        author_jobs: learned.author_jobs,
        faults: faults.collect(),
        effects: effects(spec, learned),
    })
}

fn effects(spec: &SpecParts, learned: &Learned) -> Vec<EffectReweighed> {
    let mut counted: BTreeMap<(FaultId, CheckId), Vec<&Shown>> = BTreeMap::new();
    for shown in &learned.shown {
        counted.entry((shown.fault, shown.check)).or_default().push(shown);
    }
    let mut out = Vec::new();
    for ((fault, check), shown) in counted {
        let said = spec.fault(fault).map_or(&[][..], |fault| &fault.effects);
        let said: Vec<_> = said.iter().filter(|effect| effect.check == check).collect();
        let chances: Vec<f64> = said.iter().map(|effect| effect.chance).collect();
        let judged = shown.first().map_or(0.0, |shown| shown.judged);
        let of = |band| shown.iter().filter(|of| of.band == band).map(|of| of.seen).sum();
        let seen: Vec<f64> = said.iter().map(|effect| of(effect.band)).collect();
        let Ok(mut counts) = BandCounts::new(&chances, learned.author_jobs) else { continue };
        if counts.add(&seen, judged).is_err() {
            continue;
        }
        let learned = counts.mean().into_iter().zip(counts.standard_deviation());
        let each = said.iter().zip(seen).zip(learned);
        out.extend(each.map(|((effect, seen), (chance, standard_deviation))| EffectReweighed {
            fault,
            check,
            band: effect.band,
            author: effect.chance,
            seen,
            judged,
            chance,
            standard_deviation,
        }));
    }
    out
}

/// The bands that faults drive a check into, and how often.
pub(super) type EffectsByCheck = BTreeMap<CheckId, BTreeMap<Fault, Vec<(CheckBand, f64)>>>;

/// The effects of all faults by check, as the author says or as jobs make them.
pub(super) fn effects_by_check(spec: &SpecParts, learned: Option<&Reweighed>) -> EffectsByCheck {
    let counted = learned.into_iter().flat_map(|learned| &learned.effects);
    let chances: BTreeMap<(FaultId, CheckId, CheckBand), f64> =
        counted.map(|of| ((of.fault, of.check, of.band), of.chance)).collect();
    let mut out = EffectsByCheck::new();
    for (fault, id) in spec.faults.iter().zip(0_u32..) {
        for effect in &fault.effects {
            let learned = chances.get(&(FaultId(id), effect.check, effect.band));
            let chance = learned.copied().unwrap_or(effect.chance);
            let of_check = out.entry(effect.check).or_default();
            of_check.entry(Fault(id as usize)).or_default().push((effect.band, chance));
        }
    }
    out
}

/// What many jobs teach, added up in whole parts of a job, so that their order cannot matter.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tally {
    causes: BTreeMap<FaultId, u64>,
    /// By fault and check: how many were judged, and the bands that they were in.
    shown: BTreeMap<(FaultId, CheckId), (u64, BTreeMap<CheckBand, u64>)>,
}

impl Tally {
    /// Adds a job.
    pub fn add(&mut self, lesson: &Lesson) {
        for (fault, part) in &lesson.causes {
            *self.causes.entry(*fault).or_default() += u64::from(*part);
        }
        for (fault, check, band) in &lesson.shown {
            let part = lesson.part_of(*fault);
            let (judged, bands) = self.shown.entry((*fault, *check)).or_default();
            *judged += u64::from(part);
            *bands.entry(*band).or_default() += u64::from(part);
        }
    }

    /// The counts, of the effects that the spec speaks of.
    #[must_use]
    pub fn learned(&self, spec: &SpecParts, author_jobs: f64) -> Learned {
        let jobs = |parts: u64| parts as f64 / f64::from(WHOLE_JOB);
        let causes = self.causes.iter().filter(|(_, parts)| **parts > 0);
        let causes = causes.map(|(fault, parts)| Cause { fault: *fault, jobs: jobs(*parts) });
        let mut shown = Vec::new();
        for ((fault, check), (judged, bands)) in &self.shown {
            let said = spec.fault(*fault).map_or(&[][..], |fault| &fault.effects);
            let said = said.iter().filter(|effect| effect.check == *check);
            shown.extend(said.map(|effect| Shown {
                fault: *fault,
                check: *check,
                band: effect.band,
                seen: jobs(bands.get(&effect.band).copied().unwrap_or(0)),
                judged: jobs(*judged),
            }));
        }
        Learned { edition: spec.edition.clone(), author_jobs, causes: causes.collect(), shown }
    }
}
