//! The readings of one machine at one time, each in its slot.
//!
//! A sheet checks what is put on it (a word is one of the slot's, a figure is finite) and keeps,
//! beside each reading, the few flat numbers that judging needs, so that judging touches no text.

use std::sync::Arc;

use thiserror::Error;
use truing_model::{
    DecideRule, Domain, Indication, PropertyId, PropertyValue, Reading, SlotId, SlotKind, Spec,
    StateId,
};

use crate::correlations::Correlations;
use crate::doubt::Doubt;
use crate::fitness::Unfit;
use crate::flat::{FlatReading, FlatSlot};
use crate::meter::{MOST, MeterUse, Source, Stated};

/// Why something cannot be put on a sheet.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum SheetError {
    /// The spec has no such slot.
    #[error("the spec has no slot number {}", slot.0)]
    NoSuchSlot {
        /// The slot.
        slot: SlotId,
    },
    /// The spec has no such property.
    #[error("the spec has no property number {}", property.0)]
    NoSuchProperty {
        /// The property.
        property: PropertyId,
    },
    /// The spec has no such state.
    #[error("the spec has no state number {}", state.0)]
    NoSuchState {
        /// The state.
        state: StateId,
    },
    /// A word stands where a figure is due.
    #[error("a figure is read here, not a word")]
    WordForFigure,
    /// A figure stands where a word is due.
    #[error("a word is seen here, not a figure")]
    FigureForWord,
    /// The word is none of those that can be seen here.
    #[error("there is no word number {word} here")]
    NoSuchWord {
        /// Its place.
        word: u16,
    },
    /// A figure is infinite, not a number, or has a last digit that is.
    #[error("a figure must be finite")]
    NotFinite,
    /// The lower end of an interval lies above the upper one.
    #[error("the lower figure is above the upper one")]
    UpsideDown,
    /// Repeats or a sweep without a single figure.
    #[error("there is no figure in it")]
    Empty,
    /// A factor below zero, or a probability outside 0.5 .. 1.
    #[error(
        "a decision rule takes a factor of zero or more, or a probability above 0.5 and below 1"
    )]
    DecideRule,
    /// A standard uncertainty below zero, or degrees of freedom that are not above it.
    #[error("a standard uncertainty is zero or more, and degrees of freedom are more than zero")]
    Uncertainty,
    /// A correlation of a reading with itself, or one outside -1 .. 1.
    #[error("a correlation is between two readings, and from -1 to 1")]
    Correlation,
    /// Correlations that cannot all be true at once.
    #[error("these correlations cannot all be true at once")]
    NotPositiveSemidefinite,
    /// An instrument whose ranges overlap or do not rise, or with a figure that makes no sense.
    #[error("the ranges of instrument {name} do not make sense")]
    Instrument {
        /// Its name.
        name: String,
    },
}

/// The readings of one machine at one time.
#[derive(Clone, Debug, PartialEq)]
pub struct Sheet {
    pub(crate) slots: Arc<[FlatSlot]>,
    /// For each property how many words it has; `None` where it is a figure.
    domains: Arc<[Option<usize>]>,
    state_count: usize,
    readings: Vec<Option<Reading>>,
    pub(crate) flat: Vec<FlatReading>,
    pub(crate) states: Vec<Option<StateId>>,
    notes: Vec<Option<String>>,
    properties: Vec<Option<PropertyValue>>,
    rule: Option<DecideRule>,
    pub(crate) meters: Vec<Option<MeterUse>>,
    pub(crate) stated: Vec<Option<Stated>>,
    pub(crate) correlations: Correlations,
    /// The meters by kind, each with the first of its numbers of sources of errors.
    pub(crate) sources: Vec<Source>,
    /// For each slot the first of the numbers of its sources.
    pub(crate) source_of: Vec<u32>,
    /// The readings corrected for leads and load, where that changes them.
    pub(crate) corrected: Vec<Option<Reading>>,
    /// Their errors, as far as these do not go by a frequency that is read itself.
    pub(crate) doubts: Vec<Doubt>,
    pub(crate) unfits: Vec<Option<Unfit>>,
}

impl Sheet {
    /// An empty sheet for a spec.
    #[must_use]
    pub fn new(spec: &Spec) -> Self {
        let catalogue = spec.catalogue();
        let slots: Arc<[FlatSlot]> =
            spec.slots.iter().map(|slot| FlatSlot::new(slot, &catalogue)).collect();
        let domains = spec
            .properties
            .iter()
            .map(|property| match &property.domain {
                Domain::Words(words) => Some(words.len()),
                Domain::Quantity(_) => None,
            })
            .collect();
        let count = slots.len();
        Self {
            slots,
            domains,
            state_count: spec.states.len(),
            readings: vec![None; count],
            flat: vec![FlatReading::NOTHING; count],
            states: vec![None; count],
            notes: vec![None; count],
            properties: vec![None; spec.properties.len()],
            rule: None,
            meters: vec![None; count],
            stated: vec![None; count],
            correlations: Correlations::default(),
            sources: Vec::new(),
            source_of: vec![0; count],
            corrected: vec![None; count],
            doubts: vec![Doubt::default(); count],
            unfits: vec![None; count],
        }
    }

    /// Puts a reading in its slot, in place of what stood there. [`Reading::NotTaken`] leaves the
    /// slot without a figure and keeps the reason.
    ///
    /// # Errors
    /// [`SheetError`] where the reading cannot stand there; the sheet is unchanged.
    pub fn set(&mut self, slot: SlotId, reading: Reading) -> Result<(), SheetError> {
        let place = place(slot.0);
        let (Some(facts), Some(kept)) = (self.slots.get(place), self.readings.get_mut(place))
        else {
            return Err(SheetError::NoSuchSlot { slot });
        };
        check(facts, &reading)?;
        *kept = Some(reading);
        self.reconsider(slot);
        Ok(())
    }

    /// Puts a single figure in its slot, as [`Sheet::set`] does with [`Reading::Figure`]. Where a
    /// figure in the same unit stands there already it is written over: for a program that judges one
    /// set of figures after another, and keeps them.
    ///
    /// # Errors
    /// As [`Sheet::set`].
    pub fn set_figure(&mut self, slot: SlotId, figure: &Indication) -> Result<(), SheetError> {
        let place = place(slot.0);
        let (Some(facts), Some(kept)) = (self.slots.get(place), self.readings.get_mut(place))
        else {
            return Err(SheetError::NoSuchSlot { slot });
        };
        if facts.words.is_some() {
            return Err(SheetError::FigureForWord);
        }
        finite(figure)?;
        match kept {
            Some(Reading::Figure(kept)) => {
                let Indication { shown, value, exact, half_step } = kept;
                shown.figure = figure.shown.figure;
                shown.unit.clone_from(&figure.shown.unit);
                (*value, *exact, *half_step) = (figure.value, figure.exact, figure.half_step);
            }
            kept => *kept = Some(Reading::Figure(figure.clone())),
        }
        if !self.reconsider_bare(slot, figure) {
            self.reconsider(slot);
        }
        Ok(())
    }

    /// Says in which state a reading was taken. Without this it is taken to be the right one.
    ///
    /// # Errors
    /// [`SheetError`] where the spec has no such slot or state.
    pub fn set_state(&mut self, slot: SlotId, state: StateId) -> Result<(), SheetError> {
        if place(state.0) >= self.state_count {
            return Err(SheetError::NoSuchState { state });
        }
        let place = place(slot.0);
        let kept = self.states.get_mut(place).ok_or(SheetError::NoSuchSlot { slot })?;
        *kept = Some(state);
        self.reconsider(slot);
        Ok(())
    }

    /// Says what the machine is.
    ///
    /// # Errors
    /// [`SheetError`] where the value cannot stand there.
    pub fn set_property(
        &mut self,
        property: PropertyId,
        value: PropertyValue,
    ) -> Result<(), SheetError> {
        let place = place(property.0);
        let (Some(domain), Some(kept)) = (self.domains.get(place), self.properties.get_mut(place))
        else {
            return Err(SheetError::NoSuchProperty { property });
        };
        match (&value, domain) {
            (PropertyValue::Word(word), Some(words)) if usize::from(*word) >= *words => {
                return Err(SheetError::NoSuchWord { word: *word });
            }
            (PropertyValue::Word(_), None) => return Err(SheetError::WordForFigure),
            (PropertyValue::Figure(_), Some(_)) => return Err(SheetError::FigureForWord),
            (PropertyValue::Figure(figure), None) => finite(figure)?,
            (PropertyValue::Word(_), Some(_)) => {}
        }
        *kept = Some(value);
        Ok(())
    }

    /// Says how checks decide that have no rule of their own.
    ///
    /// # Errors
    /// [`SheetError::DecideRule`] where its number makes no sense.
    pub fn decide(&mut self, rule: DecideRule) -> Result<(), SheetError> {
        let sound = match rule {
            DecideRule::Simple => true,
            DecideRule::Guarded { k } => k.is_finite() && k >= 0.0,
            DecideRule::At { probability } => probability > 0.5 && probability < 1.0,
        };
        if !sound {
            return Err(SheetError::DecideRule);
        }
        self.rule = Some(rule);
        Ok(())
    }

    /// Keeps a remark beside a slot. Nothing is judged by it.
    ///
    /// # Errors
    /// [`SheetError::NoSuchSlot`].
    pub fn note(&mut self, slot: SlotId, text: impl Into<String>) -> Result<(), SheetError> {
        let kept = self.notes.get_mut(place(slot.0)).ok_or(SheetError::NoSuchSlot { slot })?;
        *kept = Some(text.into());
        Ok(())
    }

    /// Takes a reading off the sheet, with its state, its remark and what it was taken with.
    pub fn remove(&mut self, slot: SlotId) {
        let at = place(slot.0);
        if let Some(kept) = self.readings.get_mut(at) {
            *kept = None;
        }
        if let Some(state) = self.states.get_mut(at) {
            *state = None;
        }
        if let Some(note) = self.notes.get_mut(at) {
            *note = None;
        }
        if let Some(meter) = self.meters.get_mut(at) {
            *meter = None;
        }
        if let Some(stated) = self.stated.get_mut(at) {
            *stated = None;
        }
        self.correlations.forget(slot);
        self.reconsider_all();
    }

    /// Empties the sheet for the next machine and keeps its memory.
    pub fn clear(&mut self) {
        self.readings.fill(None);
        self.flat.fill(FlatReading::NOTHING);
        self.states.fill(None);
        self.notes.fill(None);
        self.properties.fill(None);
        self.meters.fill(None);
        self.stated.fill(None);
        self.correlations = Correlations::default();
        self.sources.clear();
        self.corrected.fill(None);
        self.doubts.fill(Doubt::default());
        self.unfits.fill(None);
        self.rule = None;
    }

    /// What stands in a slot.
    #[must_use]
    pub fn get(&self, slot: SlotId) -> Option<&Reading> {
        self.readings.get(place(slot.0))?.as_ref()
    }

    /// What the machine is, in one respect.
    #[must_use]
    pub fn property(&self, property: PropertyId) -> Option<&PropertyValue> {
        self.properties.get(place(property.0))?.as_ref()
    }

    /// The state that a reading was taken in, where the sheet says so.
    #[must_use]
    pub fn state(&self, slot: SlotId) -> Option<StateId> {
        *self.states.get(place(slot.0))?
    }

    /// The remark beside a slot.
    #[must_use]
    pub fn noted(&self, slot: SlotId) -> Option<&str> {
        self.notes.get(place(slot.0))?.as_deref()
    }

    /// The decision rule of the sheet, where it has one.
    #[must_use]
    pub const fn rule(&self) -> Option<DecideRule> {
        self.rule
    }

    /// Every slot with what stands in it, in the order of the spec.
    pub fn readings(&self) -> impl Iterator<Item = (SlotId, &Reading)> {
        (0_u32..).zip(&self.readings).filter_map(|(id, kept)| Some((SlotId(id), kept.as_ref()?)))
    }

    /// Whether there is a reading in a slot: something is there, and it is not "not taken".
    #[must_use]
    pub fn taken(&self, slot: SlotId) -> bool {
        self.get(slot).is_some_and(|reading| !matches!(reading, Reading::NotTaken { .. }))
    }

    /// That figures are read in a slot.
    pub(crate) fn figures_at(&self, slot: SlotId) -> Result<(), SheetError> {
        match self.slots.get(place(slot.0)) {
            None => Err(SheetError::NoSuchSlot { slot }),
            Some(facts) if facts.words.is_some() => Err(SheetError::FigureForWord),
            Some(_) => Ok(()),
        }
    }

    /// The flat form of a slot's reading, for the compiled evaluator.
    pub(crate) fn flat(&self, slot: u32) -> &FlatReading {
        self.flat.get(place(slot)).unwrap_or(&FlatReading::NOTHING)
    }

    /// What the sheet knows of a slot, for the compiled evaluator.
    pub(crate) fn facts(&self, slot: u32) -> Option<&FlatSlot> {
        self.slots.get(place(slot))
    }
}

/// The place of an id in its list.
pub(crate) const fn place(id: u32) -> usize {
    id as usize
}

/// Whether a reading can stand in a slot.
fn check(facts: &FlatSlot, reading: &Reading) -> Result<(), SheetError> {
    match (reading, facts.words) {
        (Reading::NotTaken { .. }, _) => Ok(()),
        (Reading::Word(word), Some(words)) if usize::from(*word) < words => Ok(()),
        (Reading::Word(word), Some(_)) => Err(SheetError::NoSuchWord { word: *word }),
        (Reading::Word(_), None) => Err(SheetError::WordForFigure),
        (_, Some(_)) => Err(SheetError::FigureForWord),
        (Reading::Figure(figure), None) => finite(figure),
        (Reading::Overload { range }, None) => range.as_ref().map_or(Ok(()), finite),
        (Reading::Above { bound, .. } | Reading::Below { bound, .. }, None) => finite(bound),
        (Reading::Between { low, high } | Reading::Unsteady { low, high, .. }, None) => {
            finite(low)?;
            finite(high)?;
            let upside_down = match reading {
                Reading::Between { .. } => low.value >= high.value,
                _ => low.value > high.value,
            };
            if upside_down { Err(SheetError::UpsideDown) } else { Ok(()) }
        }
        (Reading::Repeats(figures), None) if figures.is_empty() => Err(SheetError::Empty),
        (Reading::Repeats(figures), None) => figures.iter().try_for_each(finite),
        (Reading::Sweep(points), None) if points.is_empty() => Err(SheetError::Empty),
        (Reading::Sweep(points), None) => points.iter().try_for_each(|(at, figure)| {
            finite(at)?;
            finite(figure)
        }),
    }
}

/// Whether a figure is one. The engine reckons with magnitudes up to 1e150, so that no product of
/// two readings overflows.
fn finite(figure: &Indication) -> Result<(), SheetError> {
    let sound = figure.value.abs() <= MOST && (0.0..=MOST).contains(&figure.half_step);
    if sound { Ok(()) } else { Err(SheetError::NotFinite) }
}

/// How many words a slot has; `None` where figures stand in it.
pub(crate) fn word_count(kind: &SlotKind) -> Option<usize> {
    match kind {
        SlotKind::Words(words) => Some(words.len()),
        SlotKind::Quantity { .. } => None,
    }
}
