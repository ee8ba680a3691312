//! One step of the work: a check, or readings by themselves, with what is left to be read for it.

use std::collections::BTreeSet;

use truing::model::{CheckId, SlotId, Spec, StateId};

use crate::bench::Standing;

/// What a step is for.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Aim {
    /// A check is judged.
    Check(CheckId),
    /// A reading by itself.
    Slot(SlotId),
}

/// One step of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// What it is for.
    pub aim: Aim,
    /// What is read for it, in the order in which it is asked for.
    pub slots: Vec<SlotId>,
    /// What it takes with getting there, in minutes, where that is known.
    pub minutes: Option<f64>,
}

impl Task {
    /// The step that judges a check.
    #[must_use]
    pub fn check(spec: &Spec, check: CheckId, minutes: Option<f64>) -> Self {
        let slots = spec.check(check).map_or(&[][..], |check| &check.slots);
        Self { aim: Aim::Check(check), slots: in_order(spec, slots), minutes }
    }

    /// The step that takes readings.
    #[must_use]
    pub fn slot(spec: &Spec, slot: SlotId) -> Self {
        Self { aim: Aim::Slot(slot), slots: in_order(spec, &[slot]), minutes: None }
    }

    /// What is still to be read.
    #[must_use]
    pub fn left(&self, standing: &Standing) -> Vec<SlotId> {
        self.slots.iter().copied().filter(|slot| !standing.filled(*slot)).collect()
    }

    /// Its name on record: the check's or the reading's.
    #[must_use]
    pub fn label<'s>(&self, spec: &'s Spec) -> &'s str {
        match self.aim {
            Aim::Check(id) => spec.check(id).map_or("", |check| check.label.as_str()),
            Aim::Slot(id) => spec.slot(id).map_or("", |slot| slot.label.as_str()),
        }
    }

    /// Its title, for people.
    #[must_use]
    pub fn title<'s>(&self, spec: &'s Spec) -> &'s str {
        match self.aim {
            Aim::Check(id) => spec.check(id).map_or("", |check| check.title.as_str()),
            Aim::Slot(id) => spec.slot(id).map_or("", |slot| slot.title.as_str()),
        }
    }
}

/// Some readings with those that are taken together with them: by state, so that the machine is moved
/// once, and as the spec has them.
fn in_order(spec: &Spec, slots: &[SlotId]) -> Vec<SlotId> {
    let mut all: BTreeSet<SlotId> = BTreeSet::new();
    let mut open: Vec<SlotId> = slots.to_vec();
    while let Some(id) = open.pop() {
        if all.insert(id) {
            open.extend(spec.slot(id).map_or(&[][..], |slot| &slot.with));
        }
    }
    let mut ordered: Vec<SlotId> = all.into_iter().collect();
    let state = |id: &SlotId| spec.slot(*id).and_then(|slot| slot.during).unwrap_or(StateId(0));
    ordered.sort_by_key(|id| (state(id), *id));
    ordered
}
