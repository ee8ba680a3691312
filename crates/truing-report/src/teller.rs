//! One round's spec and sheet together, for whatever turns findings into words.

use std::cell::OnceCell;

use truing_engine::{Finding, Findings, Sheet, assess};
use truing_model::{
    Check, CheckId, CheckRule, DecideRule, Limit, LimitId, NumberId, NumberNode, Property,
    PropertyId, Reading, Slot, SlotId, SlotKind, Spec, State, StateId,
};
use truing_units::{Catalogue, Place, Ty, Unit};

use crate::reading_text;

/// One round's spec, sheet and findings.
pub(crate) struct Teller<'a> {
    pub spec: &'a Spec,
    pub sheet: &'a Sheet,
    pub findings: &'a Findings,
    pub catalogue: Catalogue,
    doubtful: OnceCell<Findings>,
}

/// How a quantity is shown: its unit, and whether the unit's offset applies.
#[derive(Clone, Debug)]
pub(crate) struct Scale {
    pub unit: Unit,
    pub place: Place,
}

impl<'a> Teller<'a> {
    pub(crate) fn new(spec: &'a Spec, sheet: &'a Sheet, findings: &'a Findings) -> Self {
        let doubtful = OnceCell::new();
        Self { spec, sheet, findings, catalogue: spec.catalogue(), doubtful }
    }

    /// What comes of the same sheet with two standard uncertainties on either side (about 95 %,
    /// JCGM 100:2008, 6.3.3): how fine a value that was worked out may be shown.
    pub(crate) fn doubtful(&self) -> &Findings {
        self.doubtful.get_or_init(|| {
            let mut sheet = self.sheet.clone();
            // A factor of two is sound; were it not, values would be shown by their digits alone.
            match sheet.decide(DecideRule::Guarded { k: 2.0 }) {
                Ok(()) => assess(self.spec, &sheet),
                Err(_) => Findings::default(),
            }
        })
    }

    pub(crate) fn check(&self, id: CheckId) -> Option<&'a Check> {
        self.spec.checks.get(id.0 as usize)
    }

    pub(crate) fn limit(&self, id: LimitId) -> Option<&'a Limit> {
        self.spec.limits.get(id.0 as usize)
    }

    pub(crate) fn slot(&self, id: SlotId) -> Option<&'a Slot> {
        self.spec.slots.get(id.0 as usize)
    }

    pub(crate) fn property(&self, id: PropertyId) -> Option<&'a Property> {
        self.spec.properties.get(id.0 as usize)
    }

    pub(crate) fn state(&self, id: StateId) -> Option<&'a State> {
        self.spec.states.get(id.0 as usize)
    }

    pub(crate) fn finding(&self, id: CheckId) -> Option<&'a Finding> {
        self.findings.of(id)
    }

    /// `to_ground[V]`
    pub(crate) fn slot_label(&self, id: SlotId) -> &'a str {
        self.slot(id).map_or("", |slot| slot.label.as_str())
    }

    /// The reading that a number is, where it is one and nothing is worked out.
    pub(crate) fn direct(&self, number: NumberId) -> Option<SlotId> {
        match self.spec.numbers.get(number.0 as usize)? {
            NumberNode::Slot(slot) => Some(*slot),
            _ => None,
        }
    }

    /// What a check's rule judges, where it judges a quantity.
    pub(crate) fn subject(&self, check: &Check) -> Option<NumberId> {
        match &check.rule {
            CheckRule::Within { subject, .. } | CheckRule::Compare { subject, .. } => {
                Some(*subject)
            }
            CheckRule::Logic { .. } => None,
        }
    }

    /// How the quantity that a check judges is shown: as the meter showed it where it is a reading,
    /// else in the unit of its limit.
    pub(crate) fn scale_of_check(&self, check: &Check) -> Option<Scale> {
        let (subject, unit, ty) = match &check.rule {
            CheckRule::Within { subject, limit, .. } => {
                let limit = self.limit(*limit)?;
                (*subject, limit.unit.clone(), Ty::Kind(limit.kind))
            }
            CheckRule::Compare { subject, unit, ty, .. } => (*subject, unit.clone(), *ty),
            CheckRule::Logic { .. } => return None,
        };
        let shown = self.direct(subject).and_then(|slot| self.shown_unit(slot));
        Some(Scale { unit: shown.unwrap_or(unit), place: self.catalogue.place(ty) })
    }

    /// How a limit's ends are shown.
    pub(crate) fn scale_of_limit(&self, check: &Check) -> Option<Scale> {
        match &check.rule {
            CheckRule::Within { limit, .. } => {
                let limit = self.limit(*limit)?;
                let place = self.catalogue.place(Ty::Kind(limit.kind));
                Some(Scale { unit: limit.unit.clone(), place })
            }
            CheckRule::Compare { unit, ty, .. } => {
                Some(Scale { unit: unit.clone(), place: self.catalogue.place(*ty) })
            }
            CheckRule::Logic { .. } => None,
        }
    }

    /// How any number is shown, where it is a reading or a derived quantity.
    pub(crate) fn scale_of_number(&self, number: NumberId) -> Option<Scale> {
        if let Some(slot) = self.direct(number) {
            return self.scale_of_slot(slot);
        }
        let derived = self.spec.derived.iter().find(|derived| derived.number == number)?;
        let place = self.catalogue.place(derived.ty);
        Some(Scale { unit: derived.unit.clone(), place })
    }

    /// How a reading is shown: as the meter did, else in the coherent unit of its kind.
    pub(crate) fn scale_of_slot(&self, slot: SlotId) -> Option<Scale> {
        let SlotKind::Quantity { kind, .. } = &self.slot(slot)?.kind else { return None };
        let unit = self.shown_unit(slot).unwrap_or_else(|| self.catalogue.coherent_unit(*kind));
        Some(Scale { unit, place: self.catalogue.place(Ty::Kind(*kind)) })
    }

    fn shown_unit(&self, slot: SlotId) -> Option<Unit> {
        reading_text::unit(self.sheet.get(slot)?).cloned()
    }

    /// A slot's word, by its place.
    pub(crate) fn word(&self, slot: SlotId, word: u16) -> &'a str {
        match self.slot(slot).map(|slot| &slot.kind) {
            Some(SlotKind::Words(words)) => words.get(usize::from(word)).map_or("", String::as_str),
            _ => "",
        }
    }

    /// Whether the sheet says nothing at all of a slot, not even why it was not taken.
    pub(crate) fn unsaid(&self, slot: SlotId) -> bool {
        self.sheet.get(slot).is_none()
    }

    /// Why a slot was not taken, where the sheet says it.
    pub(crate) fn reason_not_taken(&self, slot: SlotId) -> Option<&'a str> {
        match self.sheet.get(slot)? {
            Reading::NotTaken { reason } => reason.as_deref(),
            _ => None,
        }
    }
}
