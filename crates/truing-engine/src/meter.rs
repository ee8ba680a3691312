//! What readings were taken with.

use std::sync::Arc;

use truing_model::{Instrument, SlotId};

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
    /// Whether the leads were taken off the reading, by zeroing or by a null key.
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
    pub fn measure_with(&mut self, slot: SlotId, meter: MeterUse) -> Result<(), SheetError> {
        self.figures_at(slot)?;
        meter_is_sound(&meter)?;
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
        let mut correlations = self.correlations.clone();
        for (one, other, coefficient) in pairs {
            self.figures_at(*one)?;
            self.figures_at(*other)?;
            if one == other || !(-1.0..=1.0).contains(coefficient) {
                return Err(SheetError::Correlation);
            }
            let (low, high) = (*one.min(other), *one.max(other));
            correlations.retain(|(a, b, _)| (*a, *b) != (low, high));
            correlations.push((low, high, *coefficient));
        }
        correlations.sort_by_key(|(one, other, _)| (*one, *other));
        if !is_positive_semidefinite(&correlations) {
            return Err(SheetError::NotPositiveSemidefinite);
        }
        self.correlations = correlations;
        Ok(())
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
    if figures { Ok(()) } else { Err(SheetError::NotFinite) }
}

/// Whether there are readings that are correlated so: no pivot of the matrix of coefficients falls
/// below nought (Cholesky's factorisation, to within rounding).
fn is_positive_semidefinite(correlations: &[(SlotId, SlotId, f64)]) -> bool {
    const ROUNDING: f64 = 1e-12;
    let mut named: Vec<SlotId> =
        correlations.iter().flat_map(|(one, other, _)| [*one, *other]).collect();
    named.sort_unstable();
    named.dedup();
    let between = |one: SlotId, other: SlotId| {
        let pair = (one.min(other), one.max(other));
        let found = correlations.iter().find(|(a, b, _)| (*a, *b) == pair);
        if one == other { 1.0 } else { found.map_or(0.0, |(_, _, coefficient)| *coefficient) }
    };
    let mut rows: Vec<Vec<f64>> = Vec::with_capacity(named.len());
    for one in &named {
        let mut row: Vec<f64> = Vec::with_capacity(rows.len() + 1);
        for (above, other) in rows.iter().zip(&named) {
            let shared: f64 = row.iter().zip(above).map(|(a, b)| a * b).sum();
            let rest = between(*one, *other) - shared;
            match above.last() {
                Some(pivot) if *pivot > 0.0 => row.push(rest / pivot),
                _ if rest.abs() <= ROUNDING.sqrt() => row.push(0.0),
                _ => return false,
            }
        }
        let left = 1.0 - row.iter().map(|part| part * part).sum::<f64>();
        if left < -ROUNDING {
            return false;
        }
        row.push(if left <= ROUNDING { 0.0 } else { left.sqrt() });
        rows.push(row);
    }
    true
}
