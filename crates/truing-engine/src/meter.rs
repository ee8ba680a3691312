//! What readings were taken with.

use std::sync::Arc;

use truing_model::{ErrorTerms, Instrument, MeterFunction, MeterRange, SlotId, Technique};
use truing_units::Kind;

use crate::correlations::Correlations;
use crate::doubt::source_count;
use crate::sheet::{Sheet, SheetError, place};

/// How one reading was taken.
#[derive(Clone, Debug, PartialEq)]
pub struct MeterUse {
    /// Which one it is. Two readings share errors where this is equal.
    pub meter: String,
    /// What it can do.
    pub instrument: Arc<Instrument>,
    /// The top of the range in use, where it is stated, in the coherent unit of the reading.
    pub range: Option<f64>,
    /// Whether what the leads add was taken off the reading, by zeroing or by a null key. Of a
    /// function that has no leads this says nothing.
    pub zeroed: bool,
    /// The temperature of the surroundings, in kelvins.
    pub ambient: Option<f64>,
    /// The time since it was calibrated, in seconds.
    pub since_calibration: Option<f64>,
    /// The frequency, where it is stated, in hertz; else the reading's own counts.
    pub frequency: Option<f64>,
}

impl MeterUse {
    /// A meter at rest in its own surroundings: nothing stated besides what it is.
    #[must_use]
    pub fn new(meter: impl Into<String>, instrument: Arc<Instrument>) -> Self {
        Self {
            meter: meter.into(),
            instrument,
            range: None,
            zeroed: false,
            ambient: None,
            since_calibration: None,
            frequency: None,
        }
    }
}

/// One meter, as it measures one kind: what readings share errors by.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Source {
    meter: String,
    kind: Kind,
    instrument: Arc<Instrument>,
    /// The first of its numbers.
    first: u32,
    /// The first that is no more its own.
    end: u32,
}

/// The uncertainty of a reading as a certificate states it.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Stated {
    pub standard: f64,
    pub dof: Option<f64>,
}

impl Sheet {
    /// Says what a reading was taken with, before or after it is set.
    ///
    /// # Errors
    /// [`SheetError`] where the spec has no such slot, words are seen there, or a figure makes no
    /// sense; the sheet is unchanged.
    pub fn measure_with(&mut self, slot: SlotId, mut meter: MeterUse) -> Result<(), SheetError> {
        self.figures_at(slot)?;
        meter_is_sound(&meter)?;
        let kind = self.facts(slot.0).and_then(|facts| facts.kind);
        let function = kind.and_then(|kind| meter.instrument.function(kind));
        // Leads that are zeroed for ohms leave the volts of the same meter as they are.
        meter.zeroed &= function.is_some_and(|function| function.leads.is_some());
        let source = self.source(slot, &meter);
        if let Some(kept) = self.source_of.get_mut(place(slot.0)) {
            *kept = source;
        }
        if let Some(kept) = self.meters.get_mut(place(slot.0)) {
            *kept = Some(meter);
        }
        self.reconsider(slot);
        Ok(())
    }

    /// States the standard uncertainty of a reading, from a certificate, with its degrees of
    /// freedom where it gives them. It stands in place of everything that comes of the meter.
    ///
    /// # Errors
    /// [`SheetError`] where the spec has no such slot, words are seen there, the uncertainty is
    /// below nought or the degrees of freedom are not above it; the sheet is unchanged.
    pub fn state_uncertainty(
        &mut self,
        slot: SlotId,
        standard: f64,
        dof: Option<f64>,
    ) -> Result<(), SheetError> {
        self.figures_at(slot)?;
        let sound =
            (0.0..=MOST).contains(&standard) && dof.is_none_or(|dof| dof.is_finite() && dof > 0.0);
        if !sound {
            return Err(SheetError::Uncertainty);
        }
        if let Some(kept) = self.stated.get_mut(place(slot.0)) {
            *kept = Some(Stated { standard, dof });
        }
        self.reconsider(slot);
        Ok(())
    }

    /// States correlation coefficients between readings, from a certificate or an analysis of its
    /// own; pairs that are not named are uncorrelated. Named anew they stand in place of those
    /// stated before.
    ///
    /// # Errors
    /// [`SheetError`] where the spec has no such slot, words are seen there, a coefficient lies
    /// outside −1 .. 1 or is of a reading with itself, or where all of them together are not
    /// positive semidefinite; the sheet is unchanged.
    pub fn correlate(&mut self, pairs: &[(SlotId, SlotId, f64)]) -> Result<(), SheetError> {
        let mut stated = self.correlations.pairs().to_vec();
        for (one, other, coefficient) in pairs {
            self.figures_at(*one)?;
            self.figures_at(*other)?;
            if one == other || !(-1.0..=1.0).contains(coefficient) {
                return Err(SheetError::Correlation);
            }
            let (low, high) = (*one.min(other), *one.max(other));
            stated.retain(|(a, b, _)| (*a, *b) != (low, high));
            stated.push((low, high, *coefficient));
        }
        self.correlations =
            Correlations::new(stated).map_err(|_| SheetError::NotPositiveSemidefinite)?;
        self.reconsider_all();
        Ok(())
    }

    /// Whether the sheet states a correlation of this reading with another.
    pub(crate) fn is_correlated(&self, slot: SlotId) -> bool {
        self.correlations.has(slot)
    }

    /// How many sources of shared errors there are.
    pub(crate) fn source_total(&self) -> u32 {
        self.sources.last().map_or(0, |source| source.end)
    }

    /// The first of the numbers of a meter's sources for the kind that a slot is of.
    fn source(&mut self, slot: SlotId, meter: &MeterUse) -> u32 {
        let Some(kind) = self.facts(slot.0).and_then(|facts| facts.kind) else { return 0 };
        let known = self.sources.iter().find(|source| {
            source.kind == kind
                && source.meter == meter.meter
                && (Arc::ptr_eq(&source.instrument, &meter.instrument)
                    || source.instrument == meter.instrument)
        });
        if let Some(source) = known {
            return source.first;
        }
        let first = self.source_total();
        let count = meter.instrument.function(kind).map_or(0, source_count);
        self.sources.push(Source {
            meter: meter.meter.clone(),
            kind,
            instrument: Arc::clone(&meter.instrument),
            first,
            end: first.saturating_add(count),
        });
        first
    }

    /// Forgets what is stated of a reading's uncertainty.
    pub(crate) fn forget_uncertainty(&mut self, slot: SlotId) {
        if let Some(stated) = self.stated.get_mut(place(slot.0)) {
            *stated = None;
        }
        self.correlations.forget(slot);
        self.reconsider_all();
    }

    /// What a reading was taken with.
    #[must_use]
    pub fn meter(&self, slot: SlotId) -> Option<&MeterUse> {
        self.meters.get(place(slot.0))?.as_ref()
    }
}

/// The greatest magnitude that is reckoned with.
pub(crate) const MOST: f64 = 1e150;

fn meter_is_sound(meter: &MeterUse) -> Result<(), SheetError> {
    let amount = |of: Option<f64>| of.is_none_or(|of| (0.0..=MOST).contains(&of));
    let range = meter.range.is_none_or(|range| range.abs() <= MOST);
    let figures = range
        && amount(meter.ambient)
        && amount(meter.since_calibration)
        && amount(meter.frequency);
    if !figures {
        return Err(SheetError::NotFinite);
    }
    let instrument = &meter.instrument;
    if instrument_is_sound(instrument) {
        Ok(())
    } else {
        Err(SheetError::Instrument { name: instrument.name.clone() })
    }
}

/// Whether the figures of an instrument make sense together.
fn instrument_is_sound(instrument: &Instrument) -> bool {
    let valid = instrument.valid.is_none_or(|valid| {
        valid.low <= valid.high && [valid.low, valid.high, valid.widens].into_iter().all(amount)
    });
    let calibration =
        instrument.calibration.is_none_or(|interval| amount(interval) && interval > 0.0);
    valid && calibration && instrument.functions.iter().all(function_is_sound)
}

/// Nought or more, and not beyond all reckoning.
fn amount(of: f64) -> bool {
    (0.0..=MOST).contains(&of)
}

fn function_is_sound(function: &MeterFunction) -> bool {
    let leads = function.leads.is_none_or(|leads| leads.value.abs() <= MOST && amount(leads.doubt));
    let technique = function.technique.is_none_or(|technique| match technique {
        Technique::Amount(of) | Technique::Reading(of) => amount(of),
    });
    let loads = function.input.is_none_or(|input| amount(input) && input > 0.0)
        && function.burden.is_none_or(amount)
        && function.test_voltage.is_none_or(amount);
    let ranges = &function.ranges;
    let apart = ranges.iter().zip(ranges.iter().skip(1)).all(|(one, next)| one.top <= next.top);
    let bands = ranges.iter().enumerate().all(|(place, range)| {
        let before = ranges.iter().take(place).filter(|other| other.top == range.top);
        before.into_iter().all(|other| match (other.band, range.band) {
            // They may share an end: the first that holds it counts.
            (Some((_, high)), Some((low, _))) if high <= low => true,
            (Some((low, _)), Some((_, high))) => high <= low,
            _ => false,
        })
    });
    let each = ranges.iter().all(range_is_sound);
    !ranges.is_empty() && leads && technique && loads && apart && bands && each
}

fn range_is_sound(range: &MeterRange) -> bool {
    let ends = range.bottom < range.top && range.bottom.abs() <= MOST && range.top.abs() <= MOST;
    let nought = range.nought.abs() <= MOST;
    let step = range.step.is_none_or(|step| amount(step) && step > 0.0);
    let band = range.band.is_none_or(|(low, high)| amount(low) && amount(high) && low <= high);
    let sums = range.accuracy.iter().chain(&range.capture).all(|limit| {
        let terms =
            |of: &ErrorTerms| [of.reading, of.counts, of.span, of.absolute].into_iter().all(amount);
        !limit.sums.is_empty() && limit.sums.iter().all(terms)
    });
    ends && nought && step && band && sums
}
