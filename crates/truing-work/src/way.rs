//! How the machine has to stand for a reading, and what can hurt on the way there.

use std::collections::BTreeSet;

use truing::model::{CautionId, CheckBand, SlotId, Spec, State, StateId};

use crate::bench::Standing;

/// The states on the way to one, itself last, without those that the machine is in or past already
/// and those that a reading makes unnecessary.
#[must_use]
pub fn way(
    spec: &Spec,
    to: StateId,
    been: &BTreeSet<StateId>,
    standing: &Standing,
) -> Vec<StateId> {
    let mut way = Vec::new();
    let mut at = Some(to);
    while let Some(id) = at {
        let Some(state) = spec.state(id) else { break };
        if way.contains(&id) || (id != to && been.contains(&id)) {
            break;
        }
        if !waived(state, standing) && !is_first(state) {
            way.push(id);
        }
        // Of several ways the first that was written.
        at = state.from.first().copied();
    }
    way.reverse();
    way
}

/// How the machine came in: nothing leads there.
fn is_first(state: &State) -> bool {
    state.from.is_empty() && state.takes.is_none()
}

fn waived(state: &State, standing: &Standing) -> bool {
    state.waived.iter().any(|waiver| {
        let outcome = standing.outcome(waiver.check);
        outcome.and_then(CheckBand::of) == Some(waiver.band)
    })
}

/// The states that the machine has been brought into in this round, by what was read in them, with
/// those on the way there.
#[must_use]
pub fn been(spec: &Spec, standing: &Standing) -> BTreeSet<StateId> {
    let mut been = BTreeSet::new();
    let Some(round) = standing.now() else { return been };
    let taken =
        round.sheet.readings().map(|(slot, _)| slot).filter(|slot| round.sheet.taken(*slot));
    for slot in taken {
        let state = round.sheet.state(slot).or_else(|| spec.slot(slot)?.during);
        let mut at = state;
        while let Some(id) = at.filter(|id| been.insert(*id)) {
            at = spec.state(id).and_then(|state| state.from.first().copied());
        }
    }
    been
}

/// What can hurt on a way and at some readings, each once, in that order.
#[must_use]
pub fn cautions(spec: &Spec, way: &[StateId], slots: &[SlotId]) -> Vec<CautionId> {
    let mut found: Vec<CautionId> = Vec::new();
    let states = way.iter().filter_map(|id| spec.state(*id)).map(|state| &state.cautions);
    let slots = slots.iter().filter_map(|id| spec.slot(*id)).map(|slot| &slot.cautions);
    for id in states.chain(slots).flatten() {
        if !found.contains(id) {
            found.push(*id);
        }
    }
    found
}
