//! What stands open on a machine, and the minutes that a reading takes with getting there: as the
//! next measurement is reckoned, so that both can be held side by side.

use std::collections::BTreeSet;

use truing_model::{CautionId, SlotId, SpecParts, StateId};
use truing_units::{Measure, Place};

use super::needs;
use super::walked::{Stand, ToRead};
use crate::suspects::{UNSAID_MINUTES, way};

/// What stands open, and how the machine stands.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Standing {
    /// What was read.
    pub taken: BTreeSet<SlotId>,
    /// States that were gone through and need not be again.
    open: BTreeSet<StateId>,
    /// How the machine stands, where that is known.
    at: Option<StateId>,
}

impl Standing {
    /// By what was read, and the state that it was read in; how the machine stands now nobody says.
    pub fn after(spec: &SpecParts, read: impl Iterator<Item = (SlotId, Option<StateId>)>) -> Self {
        let mut standing = Self::default();
        for (slot, state) in read {
            standing.taken.insert(slot);
            standing.open.extend(state.map(|state| way(spec, state)).unwrap_or_default());
        }
        standing
    }

    /// Reads these in turn, and gives how the machine has to stand for what.
    pub fn stands(
        &mut self,
        spec: &SpecParts,
        slots: &[SlotId],
        waived: impl Fn(StateId) -> bool,
    ) -> Vec<Stand> {
        let mut stands: Vec<Stand> = Vec::new();
        for slot in slots {
            let state = needs::during(spec, *slot);
            let same = stands.last().is_some_and(|last| state.is_none() || last.state == state);
            if !same {
                stands.push(self.go(spec, state, &waived));
            }
            let Some(stand) = stands.last_mut() else { continue };
            self.read(spec, *slot, stand);
        }
        stands
    }

    /// The minutes of reading these in turn, and how many of them were not read before.
    pub fn spend(
        &mut self,
        spec: &SpecParts,
        slots: &[SlotId],
        waived: impl Fn(StateId) -> bool,
    ) -> (f64, usize) {
        let before = self.taken.len();
        let fresh: Vec<SlotId> =
            slots.iter().copied().filter(|slot| !self.taken.contains(slot)).collect();
        let stands = self.stands(spec, &fresh, waived);
        (stands.iter().map(|stand| stand.minutes).sum(), self.taken.len() - before)
    }

    /// The states that have to be gone through for these readings, whatever stands open.
    pub fn states(spec: &SpecParts, slots: &[SlotId]) -> BTreeSet<StateId> {
        let during = slots.iter().filter_map(|slot| needs::during(spec, *slot));
        during.flat_map(|state| way(spec, state)).collect()
    }

    /// Whether a state stands open, so that nothing has to waive it.
    pub fn is_open(&self, state: StateId) -> bool {
        self.open.contains(&state) || self.at == Some(state)
    }

    fn go(
        &mut self,
        spec: &SpecParts,
        to: Option<StateId>,
        waived: impl Fn(StateId) -> bool,
    ) -> Stand {
        let mut stand = Stand {
            state: to,
            way: Vec::new(),
            cautions: Vec::new(),
            readings: Vec::new(),
            minutes: 0.0,
        };
        let Some(to) = to else { return stand };
        let kept = |state| spec.state(state).is_some_and(|s| s.stays || !s.waived.is_empty());
        let mut all: Vec<StateId> = way(spec, to).into_iter().collect();
        all.sort_by_key(|state| way(spec, *state).len());
        for state in all {
            let last = state == to;
            let done = if last && !kept(state) { self.at == Some(to) } else { self.is_open(state) };
            if done || waived(state) {
                continue;
            }
            let Some(of) = spec.state(state) else { continue };
            let minutes = of.takes.as_ref().map_or(0.0, minutes);
            // A state that nothing leads to and that takes no time is how the machine stands anyway.
            if minutes > 0.0 || !of.from.is_empty() || !of.cautions.is_empty() {
                stand.way.push(state);
            }
            stand.minutes += minutes;
            add(&mut stand.cautions, &of.cautions);
        }
        if let Some(of) = spec.state(to) {
            add(&mut stand.cautions, &of.cautions);
        }
        self.open.extend(way(spec, to).into_iter().filter(|state| *state != to || kept(*state)));
        if !kept(to) {
            self.at = Some(to);
        }
        stand
    }

    fn read(&mut self, spec: &SpecParts, slot: SlotId, stand: &mut Stand) {
        let Some(of) = spec.slot(slot) else { return };
        self.taken.insert(slot);
        stand.minutes += of.takes.as_ref().map_or(UNSAID_MINUTES, minutes);
        add(&mut stand.cautions, &of.cautions);
        stand.readings.push(ToRead { slot, title: of.title.clone() });
    }
}

/// Adds cautions that are not among those already.
pub(super) fn add(to: &mut Vec<CautionId>, more: &[CautionId]) {
    for caution in more {
        if !to.contains(caution) {
            to.push(*caution);
        }
    }
}

fn minutes(takes: &Measure) -> f64 {
    takes.coherent(Place::Amount) / 60.0
}
