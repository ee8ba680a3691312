//! From a draft to a network, or the first thing that is wrong with it.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use super::order::turns;
use super::{
    CheckDraft, CheckRow, Draft, FaultRow, Likely, Link, Network, NetworkError, Place, RepairCosts,
};
use crate::MAX_BANDS;
use crate::index::{Band, Check, Fault, Part, Setup, State};
use crate::spread::Spread;

/// What a sum of chances may lie over 1 by rounding.
const ROUNDING: f64 = 1e-9;

impl Draft {
    /// Checks the draft and lays it out.
    ///
    /// # Errors
    ///
    /// The first thing that is wrong: probabilities of 0, 1 or beyond; chances that add up to more
    /// than 1 or name a band that isn't there; indices that point at nothing; checks that need each
    /// other in a ring; a band that nothing leads to.
    pub fn build(&self) -> Result<Network, NetworkError> {
        weight(self.none_weight, Place::NoneWeight)?;
        weight(self.other_weight, Place::OtherWeight)?;
        if self.faults.is_empty() && self.none_weight + self.other_weight <= 0.0 {
            return Err(NetworkError::NoHypothesis);
        }
        let faults = self.fault_rows()?;
        let checks = self.check_rows()?;
        self.setups_and_states()?;
        if let Some(costs) = &self.costs {
            self.costs(costs)?;
        }
        Ok(Network {
            turn: turns(&self.checks)?,
            grounds: OnceLock::new(),
            faults,
            checks,
            setups: self.setups.clone(),
            state_changes: self.state_changes.clone(),
            parts: self.parts,
            none_weight: self.none_weight,
            other_weight: self.other_weight,
            max_faults: self.max_faults,
            costs: self.costs.clone(),
        })
    }

    fn fault_rows(&self) -> Result<Vec<FaultRow>, NetworkError> {
        let rows = self.faults.iter().enumerate().map(|(at, draft)| {
            let fault = Fault(at);
            likely(draft.likely, fault)?;
            if draft.parts.is_empty() {
                return Err(NetworkError::NoPart { fault });
            }
            if draft.parts.iter().any(|part| part.0 >= self.parts) {
                return Err(NetworkError::Missing { what: Place::Fault(fault) });
            }
            let mut parts: Vec<Part> = draft.parts.clone();
            parts.sort_unstable();
            parts.dedup();
            let odds = draft.likely.odds();
            Ok(FaultRow { odds, log_odds: libm::log(odds), parts })
        });
        rows.collect()
    }

    fn check_rows(&self) -> Result<Vec<CheckRow>, NetworkError> {
        self.checks.iter().enumerate().map(|(at, draft)| self.check_row(Check(at), draft)).collect()
    }

    fn check_row(&self, check: Check, draft: &CheckDraft) -> Result<CheckRow, NetworkError> {
        if !(2..=MAX_BANDS).contains(&draft.bands) {
            return Err(NetworkError::Bands { check, bands: draft.bands });
        }
        let figure = |what, value: f64, good: bool| {
            if good { Ok(()) } else { Err(NetworkError::Figure { what, value }) }
        };
        figure(Place::Slip(check), draft.slip, (0.0..1.0).contains(&draft.slip))?;
        let minutes = draft.minutes;
        figure(Place::Minutes(check), minutes, minutes.is_finite() && minutes > 0.0)?;
        let leak = spread(&draft.leak, draft.bands, Place::Leak(check))?;
        let row = CheckRow {
            bands: draft.bands,
            slip: draft.slip,
            minutes,
            state: draft.state,
            setups: sorted(&draft.setups),
            requires: draft.requires.clone(),
            leak,
            links: self.links(check, draft, &leak)?,
            sight: OnceLock::new(),
        };
        self.needs(check, &row)?;
        self.reachable(check, &row)?;
        Ok(row)
    }

    fn links(
        &self,
        check: Check,
        draft: &CheckDraft,
        leak: &Spread,
    ) -> Result<Vec<Link>, NetworkError> {
        let mut links = BTreeMap::new();
        for push in &draft.pushes {
            let (fault, what) = (push.fault, Place::Push(check, push.fault));
            if fault.0 >= self.faults.len() {
                return Err(NetworkError::Missing { what });
            }
            let spread = spread(&push.into, draft.bands, what)?;
            let link = Link { fault, push: spread, alone: leak.max(&spread) };
            if links.insert(fault, link).is_some() {
                return Err(NetworkError::Twice { what });
            }
        }
        // A push that never leaves band 0 touches nothing.
        Ok(links
            .into_values()
            .filter(|link| link.push.chance.iter().skip(1).any(|p| *p > 0.0))
            .collect())
    }

    fn needs(&self, check: Check, row: &CheckRow) -> Result<(), NetworkError> {
        let state = |state: &State| state.0 >= self.states;
        let setup = |setup: &Setup| setup.0 >= self.setups.len();
        let missing = row.state.iter().any(state)
            || row.setups.iter().any(setup)
            || row.requires.iter().any(|need| !self.is_band(need.check, need.band));
        let what = Place::Needs(check);
        // One check in two bands at once is never seen.
        let mut needed: Vec<Check> = row.requires.iter().map(|need| need.check).collect();
        needed.sort_unstable();
        let twice = needed.iter().zip(needed.iter().skip(1)).any(|(a, b)| a == b);
        match (missing, twice) {
            (true, _) => Err(NetworkError::Missing { what }),
            (false, true) => Err(NetworkError::Twice { what }),
            (false, false) => Ok(()),
        }
    }

    fn is_band(&self, check: Check, band: Band) -> bool {
        self.checks.get(check.0).is_some_and(|draft| band.0 < draft.bands)
    }

    /// Without slip, a band has to follow from something.
    fn reachable(&self, check: Check, row: &CheckRow) -> Result<(), NetworkError> {
        if row.slip > 0.0 || self.other_weight > 0.0 {
            return Ok(());
        }
        let none = (self.none_weight > 0.0).then_some(&row.leak);
        let untouched = (row.links.len() < self.faults.len()).then_some(&row.leak);
        let ways = || none.into_iter().chain(untouched).chain(row.links.iter().map(|l| &l.alone));
        for band in 0..row.bands {
            if !ways().any(|way| way.chance.get(band).is_some_and(|p| *p > 0.0)) {
                return Err(NetworkError::Unreachable { check, band: Band(band) });
            }
        }
        Ok(())
    }

    fn setups_and_states(&self) -> Result<(), NetworkError> {
        for (at, draft) in self.setups.iter().enumerate() {
            let what = Place::Setup(Setup(at));
            weight(draft.minutes, what)?;
            if draft.waived.iter().any(|(check, band)| !self.is_band(*check, *band)) {
                return Err(NetworkError::Missing { what });
            }
        }
        for change in &self.state_changes {
            let what = Place::StateChange(change.to);
            weight(change.minutes, what)?;
            if change.from.iter().chain([&change.to]).any(|state| state.0 >= self.states) {
                return Err(NetworkError::Missing { what });
            }
        }
        Ok(())
    }

    fn costs(&self, costs: &RepairCosts) -> Result<(), NetworkError> {
        if costs.part.len() != self.parts {
            return Err(NetworkError::Costs { given: costs.part.len(), parts: self.parts });
        }
        for (at, cost) in costs.part.iter().enumerate() {
            positive(cost + costs.verify, Place::PartCost(Part(at)))?;
            weight(*cost, Place::PartCost(Part(at)))?;
        }
        positive(costs.nothing + costs.verify, Place::Costs)?;
        [costs.nothing, costs.verify, costs.escalate]
            .into_iter()
            .try_for_each(|cost| weight(cost, Place::Costs))
    }
}

fn likely(likely: Likely, fault: Fault) -> Result<(), NetworkError> {
    match likely {
        Likely::Probability(probability) if probability <= 0.0 => {
            Err(NetworkError::NeverOccurs { fault, probability })
        }
        Likely::Probability(probability) if probability >= 1.0 => {
            Err(NetworkError::AlwaysOccurs { fault, probability })
        }
        Likely::Probability(value) | Likely::Odds(value) => {
            // The products and sums of what lies in here stay finite, for any number of faults.
            let usable = (1e-100..=1e100).contains(&likely.odds());
            let what = Place::Fault(fault);
            if usable { Ok(()) } else { Err(NetworkError::Figure { what, value }) }
        }
    }
}

fn weight(value: f64, what: Place) -> Result<(), NetworkError> {
    if (0.0..=1e100).contains(&value) { Ok(()) } else { Err(NetworkError::Figure { what, value }) }
}

fn positive(value: f64, what: Place) -> Result<(), NetworkError> {
    if value > 0.0 { weight(value, what) } else { Err(NetworkError::Figure { what, value }) }
}

fn spread(into: &[(Band, f64)], bands: usize, what: Place) -> Result<Spread, NetworkError> {
    let mut chance = [0.0; MAX_BANDS];
    let mut said = [false; MAX_BANDS];
    let mut sum = 0.0;
    for &(band, p) in into {
        let inside = band.0 > 0 && band.0 < bands;
        let (Some(slot), Some(twice), true) =
            (chance.get_mut(band.0), said.get_mut(band.0), inside)
        else {
            return Err(NetworkError::NoSuchBand { what, band });
        };
        weight(p, what)?;
        if std::mem::replace(twice, true) {
            return Err(NetworkError::Twice { what });
        }
        *slot = p;
        sum += p;
    }
    if sum > 1.0 + ROUNDING {
        return Err(NetworkError::OverOne { what, sum });
    }
    if let Some(ok) = chance.first_mut() {
        *ok = (1.0 - sum).max(0.0);
    }
    Ok(Spread::new(chance))
}

fn sorted(setups: &[Setup]) -> Vec<Setup> {
    let mut out = setups.to_vec();
    out.sort_unstable();
    out.dedup();
    out
}
