//! The checks of a spec as those of a network: what upsets them, what they wait for, what they take.

use std::collections::{BTreeMap, BTreeSet};

use truing_diagnosis::{
    Band, Check, CheckDraft, Push, Requirement, Setup, SetupDraft, State, StateChange,
};
use truing_model::{Bands, CheckBand, CheckId, SlotId, SpecParts, StateId};
use truing_units::{Measure, Place};

use super::families::{as_one, asked_before};
use super::network::{Builder, UNSAID_MINUTES};

/// Looking at what is there already: a check has to cost something.
const LEAST_MINUTES: f64 = 0.1;

impl Builder<'_> {
    /// The checks that a fault acts on, and those that have to come out before them.
    pub(super) fn checks(&mut self) {
        let acted: BTreeSet<CheckId> = self.effects.keys().copied().collect();
        let mut wanted = acted.clone();
        let mut todo: Vec<CheckId> = acted.iter().copied().collect();
        while let Some(id) = todo.pop() {
            for (first, _) in asked_before(self.spec, id) {
                if wanted.insert(first) {
                    todo.push(first);
                }
            }
        }
        wanted.retain(|id| self.spec.bands_of(*id).is_some_and(|bands| bands.order.len() > 1));
        let families = as_one(self.spec);
        for id in &wanted {
            if self.check_of.get(id.0 as usize).is_none_or(Option::is_some) {
                continue;
            }
            let together = families.iter().find(|members| members.contains(id));
            let members = together.cloned().unwrap_or_else(|| vec![*id]);
            for member in &members {
                if let Some(slot) = self.check_of.get_mut(member.0 as usize) {
                    *slot = Some(Check(self.members.len()));
                }
            }
            self.members.push(members);
            self.touched.push(acted.contains(id));
        }
        let members = self.members.clone();
        self.shared(&members);
        for members in &members {
            self.check(members);
        }
        self.changes();
    }

    /// What checks read, with what is taken together with it.
    fn readings(&self, members: &[CheckId]) -> BTreeSet<SlotId> {
        let own = members.iter().filter_map(|id| self.spec.check(*id));
        let own: Vec<SlotId> = own.flat_map(|check| check.slots.iter().copied()).collect();
        let with = own.iter().filter_map(|slot| self.spec.slot(*slot)).flat_map(|slot| &slot.with);
        own.iter().chain(with).copied().collect()
    }

    /// Readings that several checks share are preparation: once taken they stay.
    fn shared(&mut self, all: &[Vec<CheckId>]) {
        let mut by: BTreeMap<SlotId, usize> = BTreeMap::new();
        for slot in all.iter().flat_map(|members| self.readings(members)) {
            *by.entry(slot).or_default() += 1;
        }
        for (slot, _) in by.into_iter().filter(|(_, checks)| *checks > 1) {
            let minutes = self.slot_minutes(slot);
            let setup = self.draft.setup(minutes, Vec::new());
            self.slot_setups.insert(slot, setup);
        }
    }

    fn slot_minutes(&self, slot: SlotId) -> f64 {
        let takes = self.spec.slot(slot).and_then(|slot| slot.takes.as_ref());
        takes.map_or(UNSAID_MINUTES, minutes)
    }

    /// A check, or the members that count as one.
    fn check(&mut self, members: &[CheckId]) {
        let readings = self.readings(members);
        let own = readings.iter().filter(|slot| !self.slot_setups.contains_key(slot));
        let minutes: f64 = own.map(|slot| self.slot_minutes(*slot)).sum();
        let mut setups: Vec<Setup> =
            readings.iter().filter_map(|slot| self.slot_setups.get(slot).copied()).collect();
        let state = self.state(&readings, &mut setups);
        let Some((id, bands)) =
            members.first().and_then(|id| Some((*id, self.spec.bands_of(*id)?)))
        else {
            return;
        };
        self.draft.check(CheckDraft {
            bands: bands.order.len(),
            leak: bands.leak.iter().enumerate().map(|(at, p)| (Band(at + 1), *p)).collect(),
            slip: bands.slip,
            minutes: minutes.max(LEAST_MINUTES),
            pushes: self.pushes(id, bands),
            state,
            setups,
            requires: self.requires(members),
        });
        self.bands.push(bands.order.clone());
    }

    fn requires(&self, members: &[CheckId]) -> Vec<Requirement> {
        let asked = members.iter().flat_map(|id| asked_before(self.spec, *id));
        let mut out: Vec<Requirement> = Vec::new();
        for (first, band) in asked {
            let known = self.check_of.get(first.0 as usize).copied().flatten();
            let Some(check) = known else { continue };
            let requirement = Requirement { check, band };
            if !out.contains(&requirement) {
                out.push(requirement);
            }
        }
        out
    }

    /// What each fault adds to what a check does by itself. The author says how often the check is
    /// out of order where the fault alone is there: `1 - S = (1 - leak) (1 - push)`.
    fn pushes(&self, id: CheckId, bands: &Bands) -> Vec<Push> {
        let each = self.effects.get(&id).into_iter().flatten().map(|(fault, effects)| {
            let scale = added(effects, bands.leaks());
            let into = effects.iter().filter_map(|(band, chance)| {
                Some((Band(bands.place(*band)?), scale * *chance)).filter(|(_, p)| *p > 0.0)
            });
            Push { fault: *fault, into: into.collect() }
        });
        each.filter(|push| !push.into.is_empty()).collect()
    }

    /// The state that a check is made in, the hardest to reach of those of its readings. The others,
    /// and what they are all reached through, are preparation.
    fn state(&mut self, readings: &BTreeSet<SlotId>, setups: &mut Vec<Setup>) -> Option<State> {
        let states: BTreeSet<StateId> =
            readings.iter().filter_map(|slot| self.spec.slot(*slot)?.during).collect();
        let reach = |state: &StateId| -> f64 {
            way(self.spec, *state).iter().map(|state| self.state_minutes(*state)).sum()
        };
        let last = states.iter().copied().max_by(|a, b| reach(a).total_cmp(&reach(b)))?;
        let mut before: BTreeSet<StateId> =
            states.iter().flat_map(|state| way(self.spec, *state)).collect();
        let kept = self.spec.state(last).is_some_and(|s| s.stays || !s.waived.is_empty());
        if !kept {
            before.remove(&last);
        }
        for state in before {
            let setup = self.state_setup(state);
            setups.extend(setup);
        }
        (!kept).then_some(State(last.0 as usize))
    }

    /// A state as preparation, where getting there takes time.
    fn state_setup(&mut self, state: StateId) -> Option<Setup> {
        if let Some(setup) = self.state_setups.get(&state) {
            return Some(*setup);
        }
        let minutes = Some(self.state_minutes(state)).filter(|minutes| *minutes > 0.0)?;
        let waived = self.spec.state(state).map_or(&[][..], |state| &state.waived);
        let waived = waived.iter().filter_map(|waiver| {
            let check = self.check_of.get(waiver.check.0 as usize).copied().flatten()?;
            let band = self.spec.bands_of(waiver.check)?.place(waiver.band)?;
            Some((check, Band(band)))
        });
        let setup = SetupDraft { minutes, waived: waived.collect() };
        self.draft.setups.push(setup);
        let setup = Setup(self.draft.setups.len() - 1);
        self.state_setups.insert(state, setup);
        Some(setup)
    }

    fn state_minutes(&self, state: StateId) -> f64 {
        self.spec.state(state).and_then(|state| state.takes.as_ref()).map_or(0.0, minutes)
    }

    /// Into each state that a check is made in, from wherever the machine stands.
    fn changes(&mut self) {
        let made: BTreeSet<State> = self.draft.checks.iter().filter_map(|c| c.state).collect();
        for to in &made {
            let id = StateId(u32::try_from(to.0).unwrap_or(u32::MAX));
            let minutes = self.state_minutes(id);
            if minutes > 0.0 {
                let others = made.iter().filter(|from| *from != to).map(|from| Some(*from));
                let from = others.chain([None]);
                let change = |from| StateChange { from, to: *to, minutes };
                self.draft.state_changes.extend(from.map(change));
            }
        }
    }
}

/// What each of a fault's chances is multiplied with, so that they come to what the author says
/// together with the leak. Below the leak a fault changes nothing.
fn added(effects: &[(CheckBand, f64)], leak: f64) -> f64 {
    let often: f64 = effects.iter().map(|(_, chance)| chance).sum();
    if often <= leak { 0.0 } else { (often - leak) / (often * (1.0 - leak)) }
}

fn minutes(takes: &Measure) -> f64 {
    takes.coherent(Place::Amount) / 60.0
}

/// A state and those that it is reached through, by the first way that is named.
pub(crate) fn way(spec: &SpecParts, state: StateId) -> BTreeSet<StateId> {
    let mut way = BTreeSet::new();
    let mut next = Some(state);
    while let Some(state) = next.filter(|state| way.insert(*state)) {
        next = spec.state(state).and_then(|state| state.from.first().copied());
    }
    way
}
