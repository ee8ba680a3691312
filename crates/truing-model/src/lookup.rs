//! Finding things in a spec by the names that people use.

use crate::expression::LogicNode;
use crate::fault::{Bands, Fault, FaultId, Fix, FixId, Part, PartId};
use crate::instrument::{Instrument, InstrumentId};
use crate::limit::{Limit, LimitId};
use crate::measurement::{
    Check, CheckId, Derived, DerivedId, Property, PropertyId, Slot, SlotId, State, StateId,
};
use crate::procedure::Procedure;
use crate::spec::{Spec, SpecParts};

/// Puts ids beside the entries of a list.
fn numbered<T, I>(list: &[T], id: fn(u32) -> I) -> impl Iterator<Item = (I, &T)> {
    (0_u32..).zip(list).map(move |(place, entry)| (id(place), entry))
}

impl SpecParts {
    /// A slot.
    #[must_use]
    pub fn slot(&self, id: SlotId) -> Option<&Slot> {
        self.slots.get(id.0 as usize)
    }

    /// A check.
    #[must_use]
    pub fn check(&self, id: CheckId) -> Option<&Check> {
        self.checks.get(id.0 as usize)
    }

    /// A limit.
    #[must_use]
    pub fn limit(&self, id: LimitId) -> Option<&Limit> {
        self.limits.get(id.0 as usize)
    }

    /// A property.
    #[must_use]
    pub fn property(&self, id: PropertyId) -> Option<&Property> {
        self.properties.get(id.0 as usize)
    }

    /// A state.
    #[must_use]
    pub fn state(&self, id: StateId) -> Option<&State> {
        self.states.get(id.0 as usize)
    }

    /// An instrument.
    #[must_use]
    pub fn instrument(&self, id: InstrumentId) -> Option<&Instrument> {
        self.instruments.get(id.0 as usize)
    }

    /// A fault.
    #[must_use]
    pub fn fault(&self, id: FaultId) -> Option<&Fault> {
        self.faults.get(id.0 as usize)
    }

    /// A fix.
    #[must_use]
    pub fn fix(&self, id: FixId) -> Option<&Fix> {
        self.fixes.get(id.0 as usize)
    }

    /// A part that a fix replaces.
    #[must_use]
    pub fn part(&self, id: PartId) -> Option<&Part> {
        self.parts.get(id.0 as usize)
    }

    /// The bands of a check; there are some for every check of a sealed spec.
    #[must_use]
    pub fn bands_of(&self, id: CheckId) -> Option<&Bands> {
        self.bands.get(id.0 as usize)
    }

    /// The checks that must pass before this one is judged, rising: those that its `when` asks for
    /// by themselves or joined by *and*. What it asks of readings besides is not among them.
    #[must_use]
    pub fn prerequisites(&self, id: CheckId) -> Vec<CheckId> {
        let mut found = std::collections::BTreeSet::new();
        // A node stands behind its parts, so this ends, and meets each once however often it is
        // named.
        let mut open = std::collections::BTreeSet::new();
        open.extend(self.check(id).and_then(|check| check.when));
        while let Some(logic) = open.pop_last() {
            match self.logic.get(logic.0 as usize) {
                Some(LogicNode::Passes(check)) => {
                    found.insert(*check);
                }
                Some(LogicNode::All(parts)) => open.extend(parts),
                _ => {}
            }
        }
        found.into_iter().collect()
    }

    /// A derived quantity.
    #[must_use]
    pub fn derived_at(&self, id: DerivedId) -> Option<&Derived> {
        self.derived.get(id.0 as usize)
    }
}

impl Spec {
    /// The instrument of this name.
    #[must_use]
    pub fn instrument_named(&self, name: &str) -> Option<InstrumentId> {
        numbered(&self.instruments, InstrumentId)
            .find(|(_, instrument)| instrument.name == name)
            .map(|(id, _)| id)
    }

    /// The slot with this label: `to_ground[U]`.
    #[must_use]
    pub fn slot_labelled(&self, label: &str) -> Option<SlotId> {
        numbered(&self.slots, SlotId).find(|(_, slot)| slot.label == label).map(|(id, _)| id)
    }

    /// The slots of a reading or observation, one for each member, in order.
    pub fn slots_named<'a>(&'a self, name: &'a str) -> impl Iterator<Item = SlotId> + 'a {
        numbered(&self.slots, SlotId).filter(move |(_, slot)| slot.name == name).map(|(id, _)| id)
    }

    /// The check with this label: `insulated[V]`.
    #[must_use]
    pub fn check_labelled(&self, label: &str) -> Option<CheckId> {
        numbered(&self.checks, CheckId).find(|(_, check)| check.label == label).map(|(id, _)| id)
    }

    /// The checks of this name, one for each member, in order.
    pub fn checks_named<'a>(&'a self, name: &'a str) -> impl Iterator<Item = CheckId> + 'a {
        numbered(&self.checks, CheckId)
            .filter(move |(_, check)| check.name == name)
            .map(|(id, _)| id)
    }

    /// The derived quantity with this label: `drop[U]`.
    #[must_use]
    pub fn derived_labelled(&self, label: &str) -> Option<DerivedId> {
        numbered(&self.derived, DerivedId)
            .find(|(_, derived)| derived.label == label)
            .map(|(id, _)| id)
    }

    /// The property of this name.
    #[must_use]
    pub fn property_named(&self, name: &str) -> Option<PropertyId> {
        numbered(&self.properties, PropertyId)
            .find(|(_, property)| property.name == name)
            .map(|(id, _)| id)
    }

    /// The state of this name.
    #[must_use]
    pub fn state_named(&self, name: &str) -> Option<StateId> {
        numbered(&self.states, StateId).find(|(_, state)| state.name == name).map(|(id, _)| id)
    }

    /// The limit of this name.
    #[must_use]
    pub fn limit_named(&self, name: &str) -> Option<LimitId> {
        numbered(&self.limits, LimitId)
            .find(|(_, limit)| limit.name.as_deref() == Some(name))
            .map(|(id, _)| id)
    }

    /// The fault with this label: `diode_open[U]`.
    #[must_use]
    pub fn fault_labelled(&self, label: &str) -> Option<FaultId> {
        numbered(&self.faults, FaultId).find(|(_, fault)| fault.label == label).map(|(id, _)| id)
    }

    /// The faults of this name, one for each member, in order.
    pub fn faults_named<'a>(&'a self, name: &'a str) -> impl Iterator<Item = FaultId> + 'a {
        numbered(&self.faults, FaultId)
            .filter(move |(_, fault)| fault.name == name)
            .map(|(id, _)| id)
    }

    /// Every fault with its id.
    pub fn fault_ids(&self) -> impl Iterator<Item = (FaultId, &Fault)> {
        numbered(&self.faults, FaultId)
    }

    /// The fix of this name.
    #[must_use]
    pub fn fix_named(&self, name: &str) -> Option<FixId> {
        numbered(&self.fixes, FixId).find(|(_, fix)| fix.name == name).map(|(id, _)| id)
    }

    /// The procedure of this name.
    #[must_use]
    pub fn procedure_named(&self, name: &str) -> Option<&Procedure> {
        self.procedures.iter().find(|procedure| procedure.name == name)
    }

    /// Every slot with its id.
    pub fn slot_ids(&self) -> impl Iterator<Item = (SlotId, &Slot)> {
        numbered(&self.slots, SlotId)
    }

    /// Every check with its id.
    pub fn check_ids(&self) -> impl Iterator<Item = (CheckId, &Check)> {
        numbered(&self.checks, CheckId)
    }
}
