//! What a reading was taken with: the function of the meter, its range and the band of frequencies,
//! or why it cannot have been so. And what the reading is once leads and load are taken off.

use truing_model::{
    Circuit, Indication, MeterFunction, MeterRange, Reading, Reduction, SlotId, SlotKind,
};
use truing_units::{Decimal, Exact, Kind};

use super::judge::Judge;
use super::real::Real;
use crate::fitness::Unfit;
use crate::meter::MeterUse;

/// What a display showed.
#[derive(Copy, Clone, Debug)]
pub(super) struct Display {
    pub least: f64,
    pub greatest: f64,
    /// The value that parts of the reading are taken of.
    pub value: f64,
    /// The coarsest last digit; `None` of bounds and gauges, which have none.
    pub step: Option<f64>,
}

/// The function, the line of its range, and the meter.
#[derive(Copy, Clone, Debug)]
pub(super) struct Taken<'a> {
    pub meter: &'a MeterUse,
    pub function: &'a MeterFunction,
    pub line: usize,
    pub range: &'a MeterRange,
}

impl Display {
    pub fn figure(of: &Indication) -> Self {
        Self::between(of.value, of.value, Some(2.0 * of.half_step))
    }

    fn between(least: f64, greatest: f64, step: Option<f64>) -> Self {
        // An interval counts with its larger end.
        let value = if greatest.abs() >= least.abs() { greatest } else { least };
        Self { least, greatest, value, step }
    }

    /// `None` where nothing was shown, and for a sweep, which is many.
    pub fn of(reading: &Reading, reduce: Reduction) -> Option<Self> {
        let coarsest =
            |of: &[&Indication]| Some(2.0 * of.iter().map(|one| one.half_step).fold(0.0, f64::max));
        Some(match reading {
            Reading::Figure(of) => Self::figure(of),
            Reading::Overload { range } => {
                let top = range.as_ref().map_or(0.0, |top| top.value);
                Self::between(top, top, None)
            }
            Reading::Above { bound, .. } | Reading::Below { bound, .. } => {
                Self::between(bound.value, bound.value, None)
            }
            Reading::Between { low, high } => Self::between(low.value, high.value, None),
            Reading::Unsteady { low, high, .. } => {
                Self::between(low.value, high.value, coarsest(&[low, high]))
            }
            Reading::Repeats(figures) => {
                let values = || figures.iter().map(|one| one.value);
                let least = values().fold(f64::INFINITY, f64::min);
                let greatest = values().fold(f64::NEG_INFINITY, f64::max);
                let value = match reduce {
                    Reduction::Min => least,
                    Reduction::Max => greatest,
                    Reduction::Mean => mean(figures),
                };
                let step = coarsest(&figures.iter().collect::<Vec<_>>());
                Self { value, ..Self::between(least, greatest, step) }
            }
            Reading::Sweep(_) | Reading::Word(_) | Reading::NotTaken { .. } => return None,
        })
    }

    /// Whether its digits are those of a range with this step.
    fn has_the_digits_of(self, range: &MeterRange) -> bool {
        matches!((self.step, range.step), (Some(shown), Some(step)) if alike(shown, step))
    }

    /// Whether a range with this step can have shown them: someone may have rounded.
    fn can_be_of(self, range: &MeterRange) -> bool {
        let (Some(shown), Some(step)) = (self.step, range.step) else { return true };
        shown == 0.0 || shown > step || alike(shown, step)
    }

    fn lies_in(self, range: &MeterRange) -> bool {
        range.bottom <= self.least && self.greatest <= range.top
    }
}

pub(super) fn mean(figures: &[Indication]) -> f64 {
    let count = figures.len() as f64;
    figures.iter().map(|one| one.value).sum::<f64>() / count
}

fn alike(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

impl<'a> Judge<'a> {
    fn kind_of(&self, slot: SlotId) -> Option<Kind> {
        match &self.spec.slot(slot)?.kind {
            SlotKind::Quantity { kind, .. } => Some(*kind),
            SlotKind::Words(_) => None,
        }
    }

    /// Whether the instrument itself has to hold the least or the greatest value.
    pub fn is_captured(&self, slot: SlotId) -> bool {
        self.spec
            .slot(slot)
            .is_some_and(|slot| matches!(slot.kind, SlotKind::Quantity { capture: Some(_), .. }))
    }

    /// The function that a slot's meter measured it with; `None` where no meter is said.
    pub fn function(
        &self,
        slot: SlotId,
    ) -> Result<Option<(&'a MeterUse, &'a MeterFunction)>, Unfit> {
        let Some(meter) = self.sheet.meter(slot) else { return Ok(None) };
        let function = self.kind_of(slot).and_then(|kind| meter.instrument.function(kind));
        function.map(|function| Some((meter, function))).ok_or(Unfit::NoFunction)
    }

    /// Which line of its function the meter of a slot showed this on.
    pub fn taken(&self, slot: SlotId, shown: Display) -> Result<Option<Taken<'a>>, Unfit> {
        let Some((meter, function)) = self.function(slot)? else { return Ok(None) };
        if self.is_captured(slot) && function.ranges.iter().all(|range| range.capture.is_none()) {
            return Err(Unfit::NoCapture);
        }
        let (top, overload) = match self.sheet.get(slot) {
            Some(Reading::Overload { range }) => (range.as_ref().map(|top| top.value), true),
            _ => (None, false),
        };
        let range = match meter.range.or(top) {
            Some(stated) => stated_range(function, stated, shown, overload)?,
            None if overload => highest(function).ok_or(Unfit::NoFunction)?,
            None => automatic_range(function, shown)?,
        };
        let frequency = meter.frequency.or(self.frequencies.get(&slot).copied());
        let (line, range) = for_frequency(function, range, frequency)?;
        Ok(Some(Taken { meter, function, line, range }))
    }

    /// What overload says with a meter that has ranges, where the reading itself doesn't say it.
    pub fn overload_top(&self, slot: SlotId) -> Option<f64> {
        let (meter, function) = self.function(slot).ok()??;
        let range = match meter.range {
            Some(stated) => function.ranges.iter().find(|range| alike(range.top, stated)),
            None => highest(function),
        }?;
        let top = match function.test_voltage {
            Some(test) if function.kind == Kind::DIODE_DROP && meter.range.is_none() => {
                test.min(range.top)
            }
            _ => range.top,
        };
        Some(top)
    }

    /// A figure without what the leads add to it, and without what the meter takes from the
    /// circuit. Exact, as the limits are that it is held against; where exact arithmetic doesn't
    /// reach, the double is what is meant.
    pub fn corrected(&self, slot: SlotId, value: f64, shown: Real) -> Real {
        let Ok(Some((meter, function))) = self.function(slot) else { return shown };
        let leads = match function.leads {
            Some(leads) if !meter.zeroed => leads.value,
            _ => 0.0,
        };
        let exactly = || {
            let factor = match self.load(slot, function) {
                Some((over, under)) => Real::ONE.add(written(over).divide(written(under))?)?,
                None => Real::ONE,
            };
            shown.add(written(leads).negate())?.multiply(factor)
        };
        match exactly() {
            Ok(exact) if exact.is_exact() => exact,
            _ => Real::figure((value - leads) * self.factor(slot), None),
        }
    }

    /// What the reading is too small by, as a part of it: one resistance over another.
    fn load(&self, slot: SlotId, function: &MeterFunction) -> Option<(f64, f64)> {
        let circuit = self.circuit(slot)?;
        let of = match (function.input, function.burden) {
            (Some(input), _) => Some((circuit.resistance, input)),
            (None, Some(burden)) => Some((burden, circuit.resistance)),
            (None, None) => None,
        };
        // A circuit without resistance takes nothing, however a current would go through it.
        of.filter(|(_, under)| *under > 0.0)
    }

    pub fn circuit(&self, slot: SlotId) -> Option<Circuit> {
        self.spec.slot(slot)?.circuit
    }

    /// What every error of the instrument is multiplied by, since the reading is.
    pub fn factor(&self, slot: SlotId) -> f64 {
        let Ok(Some((_, function))) = self.function(slot) else { return 1.0 };
        self.load(slot, function).map_or(1.0, |(over, under)| 1.0 + over / under)
    }
}

fn highest(function: &MeterFunction) -> Option<&MeterRange> {
    function.ranges.iter().reduce(|a, b| if b.top > a.top { b } else { a })
}

fn stated_range(
    function: &MeterFunction,
    stated: f64,
    shown: Display,
    overload: bool,
) -> Result<&MeterRange, Unfit> {
    let range = function.ranges.iter().find(|range| alike(range.top, stated));
    let range = range.ok_or(Unfit::NoSuchRange { stated })?;
    if overload {
        return Ok(range);
    }
    if !shown.lies_in(range) {
        return Err(Unfit::AboveRange { top: range.top });
    }
    if !shown.can_be_of(range) {
        return Err(wrong_digits(shown, range.step));
    }
    Ok(range)
}

/// The lowest range whose step is the last digit written; else the lowest whose step is finer.
fn automatic_range(function: &MeterFunction, shown: Display) -> Result<&MeterRange, Unfit> {
    let holding: Vec<&MeterRange> =
        function.ranges.iter().filter(|range| shown.lies_in(range)).collect();
    let Some(last) = holding.last() else {
        return Err(Unfit::AboveRange { top: highest(function).map_or(0.0, |range| range.top) });
    };
    let exactly = holding.iter().find(|range| shown.has_the_digits_of(range));
    let rounded = || holding.iter().find(|range| shown.can_be_of(range));
    exactly.or_else(rounded).copied().ok_or_else(|| wrong_digits(shown, last.step))
}

fn wrong_digits(shown: Display, step: Option<f64>) -> Unfit {
    Unfit::Digits { step: shown.step.unwrap_or(0.0), range_step: step.unwrap_or(0.0), from: None }
}

/// Of the lines with the same top, the one whose band the frequency lies in.
fn for_frequency<'a>(
    function: &'a MeterFunction,
    range: &MeterRange,
    frequency: Option<f64>,
) -> Result<(usize, &'a MeterRange), Unfit> {
    let mut lines = function.ranges.iter().enumerate().filter(|(_, line)| line.top == range.top);
    lines
        .find(|(_, line)| match (line.band, frequency) {
            (None, _) => true,
            (Some((low, high)), Some(at)) => {
                low <= at && at <= high || alike(low, at) || alike(high, at)
            }
            (Some(_), None) => false,
        })
        .ok_or_else(|| {
            let (low, high) = range.band.unwrap_or_default();
            Unfit::Frequency { at: frequency, low, high }
        })
}

/// A figure of an instrument as its author wrote it: the shortest decimal that the double is the
/// nearest to.
pub(super) fn written(value: f64) -> Real {
    let decimal = Decimal::parse(&format!("{value}")).ok();
    let exact = decimal.and_then(|decimal| decimal.to_rational()).map(Exact::from);
    Real::figure(value, exact)
}
