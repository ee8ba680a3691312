//! What is known of each reading by how it was taken: corrected, with its errors, and whether its
//! meter is fit for it. Worked out once, when the reading or its meter is put on the sheet.

use truing_model::{Indication, Reading, SlotId};

use crate::doubt::{Doubt, Taking, test_voltage};
use crate::fitness::Unfit;
use crate::flat::{FlatReading, flat_figure, flatten};
use crate::sheet::{Sheet, place};

impl Sheet {
    /// Works out anew what is known of every reading.
    pub(crate) fn reconsider_all(&mut self) {
        for slot in (0_u32..).take(self.slots.len()) {
            self.reconsider(SlotId(slot));
        }
    }

    /// Works out anew what is known of a slot's reading.
    pub(crate) fn reconsider(&mut self, slot: SlotId) {
        let at = place(slot.0);
        let (corrected, doubt, unfit, flat) = match (self.taking(slot.0, None), self.get(slot)) {
            (Some(taking), Some(reading)) => {
                let corrected = taking.corrected(reading);
                let (doubt, unfit) = taking.doubt(reading);
                let judged = corrected.as_ref().unwrap_or(reading);
                let state = self.state(slot);
                let mut flat = flatten(taking.facts, judged, reading, state);
                flat.doubt(&doubt, unfit.as_ref(), taking.goes_by_frequency());
                if taking.function().and_then(test_voltage).is_some() {
                    flat.flags |= FlatReading::DIODE;
                }
                (corrected, doubt, unfit, flat)
            }
            _ => (None, Doubt::default(), None, FlatReading::NOTHING),
        };
        if let Some(kept) = self.corrected.get_mut(at) {
            *kept = corrected;
        }
        if let Some(kept) = self.doubts.get_mut(at) {
            *kept = doubt;
        }
        if let Some(kept) = self.unfits.get_mut(at) {
            *kept = unfit;
        }
        if let Some(kept) = self.flat.get_mut(at) {
            *kept = flat;
        }
    }

    /// The same for a single figure of which nothing is known but what it says, in place of another
    /// such figure; whether it is one.
    pub(crate) fn reconsider_bare(&mut self, slot: SlotId, figure: &Indication) -> bool {
        const BARE: u16 = FlatReading::TAKEN | FlatReading::POINT;
        const NOT_BARE: u16 = FlatReading::METERED | FlatReading::SHARED | FlatReading::BANDED;
        let at = place(slot.0);
        let (Some(flat), Some(doubt)) = (self.flat.get_mut(at), self.doubts.get_mut(at)) else {
            return false;
        };
        // Whatever is stated of how a reading was taken shows in its flat form, but for a meter or
        // a statement that adds nothing.
        let bare = flat.flags & (BARE | NOT_BARE) == BARE
            && matches!(self.meters.get(at), Some(None))
            && matches!(self.stated.get(at), Some(None));
        let (true, Some(facts)) = (bare, self.slots.get(at)) else { return false };
        *flat = flat_figure(facts, figure, self.states.get(at).copied().flatten());
        // What stood there had half of its last digit for a doubt, and nothing else.
        doubt.resolution = figure.half_step;
        flat.standard = doubt.standard();
        true
    }

    /// How a slot's reading was taken; `frequency` is that of the slot's own, where it is known.
    fn taking(&self, slot: u32, frequency: Option<f64>) -> Option<Taking<'_>> {
        let at = place(slot);
        Some(Taking {
            facts: self.slots.get(at)?,
            meter: self.meters.get(at)?.as_ref(),
            sources: self.source_of.get(at).copied().unwrap_or_default(),
            stated: self.stated.get(at).copied().flatten(),
            correlated: self.is_correlated(SlotId(slot)),
            frequency,
        })
    }

    /// What is judged of a slot: the reading, corrected for leads and load. What is plausible goes
    /// by what was shown, [`Sheet::get`].
    pub(crate) fn judged(&self, slot: u32) -> Option<&Reading> {
        match self.corrected.get(place(slot)) {
            Some(Some(corrected)) => Some(corrected),
            _ => self.get(SlotId(slot)),
        }
    }

    /// The errors of a slot's reading, unless they go by a frequency that is read itself.
    pub(crate) fn doubt(&self, slot: u32) -> &Doubt {
        const NONE: &Doubt = &Doubt {
            accuracy: None,
            own_accuracy: 0.0,
            span: 0.0,
            resolution: 0.0,
            capture: 0.0,
            technique: 0.0,
            circuit: 0.0,
            leads: None,
            zero: None,
            repeats: None,
            stated: None,
            correlated: false,
        };
        self.doubts.get(place(slot)).unwrap_or(NONE)
    }

    /// Why the meter of a slot is not fit for its reading, unless that goes by a frequency that is
    /// read itself.
    pub(crate) fn unfit(&self, slot: u32) -> Option<Unfit> {
        self.unfits.get(place(slot)).copied().flatten()
    }

    /// The errors of a slot's reading at a frequency of the slot's own, with why its meter is not
    /// fit for it, where it is not.
    pub(crate) fn doubt_at(&self, slot: u32, frequency: Option<f64>) -> (Doubt, Option<Unfit>) {
        match (self.taking(slot, frequency), self.get(SlotId(slot))) {
            (Some(taking), Some(reading)) => taking.doubt(reading),
            _ => (Doubt::default(), None),
        }
    }

    /// The errors of one point of a sweep.
    pub(crate) fn doubt_of_point(&self, slot: u32, point: usize, frequency: Option<f64>) -> Doubt {
        match (self.taking(slot, frequency), self.get(SlotId(slot))) {
            (Some(taking), Some(Reading::Sweep(points))) => {
                points.get(point).map_or_else(Doubt::default, |(_, figure)| taking.figure(figure).0)
            }
            _ => Doubt::default(),
        }
    }

    /// The voltage that the diode function applies that a slot was read with.
    pub(crate) fn test_voltage(&self, slot: u32) -> Option<f64> {
        if !self.flat(slot).has(FlatReading::DIODE) {
            return None;
        }
        test_voltage(self.taking(slot, None)?.function()?)
    }

    /// Whether the frequency at which a slot is read has to be worked out to know its errors.
    pub(crate) fn goes_by_frequency(&self, slot: u32) -> bool {
        self.flat(slot).has(FlatReading::BANDED)
    }
}
