//! What makes faults, fixes, states and procedures sound.

use std::collections::{BTreeMap, BTreeSet};

use crate::fault::{Bands, CheckBand, Fault, Fix, Waiver, failing};
use crate::learned::Learned;
use crate::measurement::{CautionId, Check};
use crate::procedure::{Procedure, Step, StepId, Taken};
use crate::spec::{Beside, BrokenSpec, SpecParts};

use super::{Verdict, within};

/// So far may the chances of one check lie above 1: figures are decimals, their sums are not.
const ROUNDING: f64 = 1e-9;

/// Everything that diagnosis rests on.
pub(super) fn faults(spec: &SpecParts) -> Verdict {
    if spec.bands.len() != spec.checks.len() {
        return Err(BrokenSpec::Bands { by: spec.name.clone() });
    }
    spec.checks.iter().zip(&spec.bands).try_for_each(|(check, of)| bands(spec, check, of))?;
    let weight = |of: f64| (0.0..=Beside::MOST).contains(&of);
    amount(weight(spec.beside.none) && weight(spec.beside.other), &spec.name)?;
    states(spec)?;
    spec.fixes.iter().try_for_each(|of| fix(spec, of))?;
    spec.faults.iter().try_for_each(|of| fault(spec, of))?;
    spec.learned.iter().try_for_each(|of| learned(spec, of))?;
    spec.procedures.iter().try_for_each(|of| procedure(spec, of))
}

fn amount(sound: bool, by: &str) -> Verdict {
    if sound { Ok(()) } else { Err(BrokenSpec::Amount { by: by.to_owned() }) }
}

fn bands(spec: &SpecParts, check: &Check, of: &Bands) -> Verdict {
    let known = failing(spec, &check.rule);
    let said: BTreeSet<CheckBand> = of.order.iter().skip(1).copied().collect();
    let same = of.order.first() == Some(&CheckBand::Ok)
        && of.order.len() == known.len() + 1
        && said == known.into_iter().collect();
    if !same {
        return Err(BrokenSpec::Bands { by: check.label.clone() });
    }
    let chance = |of: f64| (0.0..1.0).contains(&of);
    // A check that never errs and never fails by itself would make some readings impossible.
    let each = of.leak.iter().all(|leak| chance(*leak));
    let leaks = of.leaks();
    let recorded = of.order.len() == 1;
    let sound = each && chance(leaks) && chance(of.slip) && (recorded || leaks + of.slip > 0.0);
    amount(sound && of.leak.len() + 1 == of.order.len(), &check.label)
}

fn cautions(spec: &SpecParts, named: &[CautionId], by: &str) -> Verdict {
    let count = spec.cautions.len();
    named.iter().try_for_each(|id| within("caution", count, id.0, || by.to_owned()))
}

fn fix(spec: &SpecParts, of: &Fix) -> Verdict {
    let by = || of.name.clone();
    of.parts.iter().try_for_each(|part| within("part", spec.parts.len(), part.0, by))?;
    of.proves.iter().try_for_each(|id| within("check", spec.checks.len(), id.0, by))?;
    cautions(spec, &of.cautions, &of.name)?;
    let least = |value: f64| value.is_finite() && value >= 0.0;
    let said = [Some(of.verify_seconds), of.seconds, of.price];
    amount(said.into_iter().flatten().all(least), &of.name)
}

fn fault(spec: &SpecParts, of: &Fault) -> Verdict {
    let by = || of.label.clone();
    amount(of.prior > 0.0 && of.prior < 1.0, &of.label)?;
    of.fixes.iter().try_for_each(|id| within("fix", spec.fixes.len(), id.0, by))?;
    cautions(spec, &of.cautions, &of.label)?;
    let mut seen = BTreeSet::new();
    let mut sums = std::collections::BTreeMap::new();
    for effect in &of.effects {
        within("check", spec.checks.len(), effect.check.0, by)?;
        amount(effect.chance > 0.0 && effect.chance <= 1.0, &of.label)?;
        let place = spec.bands_of(effect.check).and_then(|bands| bands.place(effect.band));
        let sum = sums.entry(effect.check).or_insert(0.0);
        *sum += effect.chance;
        let fresh = seen.insert((effect.check, effect.band));
        if place.is_none_or(|place| place == 0) || !fresh || *sum > 1.0 + ROUNDING {
            return Err(BrokenSpec::Effect { by: by() });
        }
    }
    Ok(())
}

/// Counts of what the spec has, that can have been counted so.
fn learned(spec: &SpecParts, of: &Learned) -> Verdict {
    const BY: &str = "what was learned";
    let count = |n: f64| (0.0..=1e100).contains(&n);
    amount(of.author_jobs > 0.0 && count(of.author_jobs), BY)?;
    let mut seen = BTreeSet::new();
    for cause in &of.causes {
        within("fault", spec.faults.len(), cause.fault.0, || BY.to_owned())?;
        amount(count(cause.jobs) && seen.insert(cause.fault), BY)?;
    }
    let mut sums: BTreeMap<_, (f64, f64)> = BTreeMap::new();
    let mut seen = BTreeSet::new();
    for shown in &of.shown {
        within("fault", spec.faults.len(), shown.fault.0, || BY.to_owned())?;
        let effects = spec.fault(shown.fault).map_or(&[][..], |fault| &fault.effects);
        let known = effects.iter().any(|of| (of.check, of.band) == (shown.check, shown.band));
        if !known || !seen.insert((shown.fault, shown.check, shown.band)) {
            return Err(BrokenSpec::Effect { by: BY.to_owned() });
        }
        let (sum, judged) = sums.entry((shown.fault, shown.check)).or_insert((0.0, shown.judged));
        *sum += shown.seen;
        let same = (shown.judged - *judged).abs() <= ROUNDING * (1.0 + *judged);
        let sound = count(shown.seen) && count(shown.judged) && same;
        let most = of.jobs_of(shown.fault) + ROUNDING;
        amount(sound && *sum <= *judged + ROUNDING && *judged <= most, BY)?;
    }
    Ok(())
}

/// Every state is reached, from one that stands at the beginning.
fn states(spec: &SpecParts) -> Verdict {
    for state in &spec.states {
        for Waiver { check, band } in &state.waived {
            within("check", spec.checks.len(), check.0, || state.name.clone())?;
            if spec.bands_of(*check).and_then(|bands| bands.place(*band)).is_none() {
                return Err(BrokenSpec::Bands { by: state.name.clone() });
            }
        }
    }
    let mut onward: Vec<Vec<usize>> = vec![Vec::new(); spec.states.len()];
    for (place, state) in spec.states.iter().enumerate() {
        for from in &state.from {
            if let Some(onward) = onward.get_mut(from.0 as usize) {
                onward.push(place);
            }
        }
    }
    let mut reached: Vec<bool> = spec.states.iter().map(|state| state.from.is_empty()).collect();
    let mut open: Vec<usize> =
        reached.iter().enumerate().filter_map(|(place, is)| is.then_some(place)).collect();
    while let Some(here) = open.pop() {
        for next in onward.get(here).into_iter().flatten() {
            if let Some(fresh) = reached.get_mut(*next).filter(|reached| !**reached) {
                *fresh = true;
                open.push(*next);
            }
        }
    }
    match spec.states.iter().zip(reached).find(|(_, reached)| !reached) {
        Some((state, _)) => Err(BrokenSpec::Unreachable { by: state.name.clone() }),
        None => Ok(()),
    }
}

fn procedure(spec: &SpecParts, of: &Procedure) -> Verdict {
    let by = || of.name.clone();
    let mut placed = vec![false; of.steps.len()];
    let mut place = |block: &[StepId], behind: Option<usize>| {
        for id in block {
            let here = id.0 as usize;
            let first = placed.get_mut(here).is_some_and(|seen| !std::mem::replace(seen, true));
            if !first || behind.is_some_and(|behind| here <= behind) {
                return Err(BrokenSpec::Steps { by: by() });
            }
        }
        Ok(())
    };
    place(&of.body, None)?;
    for (at, step) in of.steps.iter().enumerate() {
        match step {
            Step::If { condition, then, otherwise, .. } => {
                within("logic", spec.logic.len(), condition.0, by)?;
                place(then, Some(at))?;
                place(otherwise, Some(at))?;
            }
            Step::Take(taken) => taken.iter().try_for_each(|taken| match taken {
                Taken::Check(id) => within("check", spec.checks.len(), id.0, by),
                Taken::Slot(id) => within("slot", spec.slots.len(), id.0, by),
                Taken::Derived(id) => within("derived quantity", spec.derived.len(), id.0, by),
            })?,
            Step::Suspect(faults) => {
                faults.iter().try_for_each(|id| within("fault", spec.faults.len(), id.0, by))?
            }
            Step::Caution(named) => cautions(spec, named, &of.name)?,
            Step::Advise(_) | Step::Stop => {}
        }
    }
    if placed.iter().all(|placed| *placed) { Ok(()) } else { Err(BrokenSpec::Steps { by: by() }) }
}
