//! One step of the work: a check, or readings by themselves, with what is left to be read for it.

use std::collections::BTreeSet;

use truing::model::{CheckId, DerivedId, SlotId, Spec, StateId, Taken};

use crate::bench::Standing;

/// What a step is for.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Aim {
    /// A check is judged.
    Check(CheckId),
    /// A reading by itself.
    Slot(SlotId),
    /// A quantity is worked out.
    Derived(DerivedId),
}

/// One step of the work.
#[derive(Clone, Debug, PartialEq)]
pub struct Task {
    /// What it is for.
    pub aim: Aim,
    /// What is read for it, in the order in which it is asked for.
    pub slots: Vec<SlotId>,
    /// Those of them that are read again, though something stands there.
    pub again: Vec<SlotId>,
    /// What it takes with getting there, in minutes, where that is known.
    pub minutes: Option<f64>,
}

impl Task {
    /// The step that judges a check.
    #[must_use]
    pub fn check(spec: &Spec, check: CheckId, minutes: Option<f64>) -> Self {
        let slots = spec.check(check).map_or(&[][..], |check| &check.slots);
        Self::new(spec, Aim::Check(check), slots, minutes)
    }

    /// The step for what a written procedure takes.
    #[must_use]
    pub fn taken(spec: &Spec, taken: Taken, minutes: Option<f64>) -> Self {
        match taken {
            Taken::Check(check) => Self::check(spec, check, minutes),
            Taken::Slot(slot) => Self::new(spec, Aim::Slot(slot), &[slot], minutes),
            Taken::Derived(id) => {
                let slots = spec.derived_at(id).map_or(&[][..], |derived| &derived.slots);
                Self::new(spec, Aim::Derived(id), slots, minutes)
            }
        }
    }

    fn new(spec: &Spec, aim: Aim, slots: &[SlotId], minutes: Option<f64>) -> Self {
        Self { aim, slots: in_order(spec, slots), again: Vec::new(), minutes }
    }

    /// The same, with these read again.
    #[must_use]
    pub fn again(mut self, slots: impl IntoIterator<Item = SlotId>) -> Self {
        self.again = slots.into_iter().filter(|slot| self.slots.contains(slot)).collect();
        self
    }

    /// What is still to be read.
    #[must_use]
    pub fn left(&self, standing: &Standing) -> Vec<SlotId> {
        let open = |slot: &SlotId| !standing.filled(*slot) || self.again.contains(slot);
        self.slots.iter().copied().filter(open).collect()
    }

    /// Whether the step comes to nothing without a reading: its check's rule reads it.
    #[must_use]
    pub fn needs(&self, spec: &Spec, slot: SlotId) -> bool {
        match self.aim {
            Aim::Check(id) => spec.check(id).is_some_and(|check| check.slots.contains(&slot)),
            Aim::Slot(id) => id == slot,
            Aim::Derived(id) => spec.derived_at(id).is_some_and(|it| it.slots.contains(&slot)),
        }
    }

    /// Notes that a reading was read.
    pub fn was_read(&mut self, slot: SlotId) {
        self.again.retain(|other| *other != slot);
    }

    /// Its name on record: the check's or the reading's.
    #[must_use]
    pub fn label<'s>(&self, spec: &'s Spec) -> &'s str {
        match self.aim {
            Aim::Check(id) => spec.check(id).map_or("", |check| check.label.as_str()),
            Aim::Slot(id) => spec.slot(id).map_or("", |slot| slot.label.as_str()),
            Aim::Derived(id) => spec.derived_at(id).map_or("", |derived| derived.label.as_str()),
        }
    }

    /// Its title, for people.
    #[must_use]
    pub fn title<'s>(&self, spec: &'s Spec) -> &'s str {
        match self.aim {
            Aim::Check(id) => spec.check(id).map_or("", |check| check.title.as_str()),
            Aim::Slot(id) => spec.slot(id).map_or("", |slot| slot.title.as_str()),
            Aim::Derived(id) => {
                let derived = spec.derived_at(id);
                derived.and_then(|derived| derived.title.as_deref()).unwrap_or("A quantity")
            }
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
