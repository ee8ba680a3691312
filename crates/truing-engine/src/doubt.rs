//! The elementary errors of one reading, as a few flat numbers.
//!
//! The true value is the (corrected) reading less the sum of its errors. Errors are independent of
//! each other; those that several readings share name their source by its number on the sheet, and
//! so add up before they are squared. Half-widths are those of rectangular errors (JCGM 100:2008,
//! 4.3.7). Everything is already multiplied by what the circuit's correction multiplies the
//! reading by.

use truing_model::{Circuit, Indication, MeterFunction, MeterRange, Reading, Reduction, Technique};
use truing_units::Kind;

use crate::fitness::{Shown, Unfit, line, overload_bound};
use crate::flat::FlatSlot;
use crate::meter::{MeterUse, Stated};

/// The elementary errors of one reading.
#[derive(Copy, Clone, Debug, Default, PartialEq)]
pub(crate) struct Doubt {
    /// The limit of error of the instrument as far as readings share it.
    pub accuracy: Option<SharedAccuracy>,
    /// The part of the limit of error that is the reading's own, half-width.
    pub own_accuracy: f64,
    /// The part that goes by the span, half-width; own.
    pub span: f64,
    /// Half of the last digit, of the display or as written; own.
    pub resolution: f64,
    /// What holding the least or the greatest value adds, half-width; own.
    pub capture: f64,
    /// How the instrument was applied, half-width; own.
    pub technique: f64,
    /// What is not known of the circuit that the meter loads, half-width; own.
    pub circuit: f64,
    /// What is not known of the leads: source and half-width.
    pub leads: Option<(u32, f64)>,
    /// With which resolution the instrument was zeroed: source and half-width.
    pub zero: Option<(u32, f64)>,
    /// The scatter of repeats; own.
    pub repeats: Option<Scatter>,
    /// Stated by the sheet, in place of everything that comes of the instrument; own.
    pub stated: Option<Stated>,
    /// The sheet states its correlation with others: it counts by its whole standard uncertainty,
    /// as one normal error with theirs, and shares nothing else.
    pub correlated: bool,
}

/// An error with one limit that all readings of a source share: for the sensitivities c its
/// half-width is |Σ c·gain| + |Σ c·offset|.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct SharedAccuracy {
    pub source: u32,
    /// The part of the reading, with its sign.
    pub gain: f64,
    /// Counts and amounts.
    pub offset: f64,
}

/// The mean of repeats about its true value: Student's t (JCGM 101:2008, 6.4.9).
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Scatter {
    /// s/√n.
    pub scale: f64,
    /// n − 1.
    pub dof: f64,
}

impl Doubt {
    /// Half the last digit as written, and nothing else.
    pub fn digit(half: f64) -> Self {
        Self { resolution: half, ..Self::default() }
    }

    /// Whether there is nothing but half of the last digit as written.
    pub fn is_digit(&self, half: f64) -> bool {
        *self == Self::digit(half)
    }

    /// The half-widths of its bounded errors, in a fixed order.
    fn bounded(&self) -> [f64; 9] {
        let accuracy = self.accuracy.map_or(0.0, |of| of.gain.abs() + of.offset.abs());
        [
            accuracy,
            self.own_accuracy,
            self.span,
            self.resolution,
            self.capture,
            self.technique,
            self.circuit,
            self.leads.map_or(0.0, |(_, half)| half),
            self.zero.map_or(0.0, |(_, half)| half),
        ]
    }

    /// The standard uncertainty of the reading by itself (JCGM 100:2008, eq. 10).
    pub fn standard(&self) -> f64 {
        let bounded: f64 = self.bounded().iter().map(|half| half * half / 3.0).sum();
        let repeats = self.repeats.map_or(0.0, |of| of.scale * of.scale);
        let stated = self.stated.map_or(0.0, |of| of.standard * of.standard);
        (bounded + repeats + stated).sqrt()
    }

    /// How far the true value may lie from the reading: the sum of all half-widths, where errors
    /// without ends count with three standard uncertainties.
    pub fn reach(&self) -> f64 {
        if self.correlated {
            return 3.0 * self.standard();
        }
        let bounded: f64 = self.bounded().iter().sum();
        let repeats = self.repeats.map_or(0.0, |of| of.scale);
        let stated = self.stated.map_or(0.0, |of| of.standard);
        bounded + 3.0 * (repeats + stated)
    }

    /// Whether one of its errors has no ends.
    pub fn is_tailed(&self) -> bool {
        self.correlated || self.repeats.is_some() || self.stated.is_some()
    }

    /// Whether one of its errors may be another reading's too.
    pub fn is_shared(&self) -> bool {
        let source = self.accuracy.is_some() || self.leads.is_some() || self.zero.is_some();
        self.correlated || source
    }
}

/// How a reading was taken, as far as its errors go by that.
#[derive(Copy, Clone)]
pub(crate) struct Taking<'a> {
    pub facts: &'a FlatSlot,
    pub meter: Option<&'a MeterUse>,
    /// The first of the numbers of the sources of this meter for this kind.
    pub sources: u32,
    pub stated: Option<Stated>,
    pub correlated: bool,
    /// The frequency of the slot's own, in hertz.
    pub frequency: Option<f64>,
}

/// How many sources a function has: its leads, and for each of its lines the accuracy and the zero.
pub(crate) fn source_count(function: &MeterFunction) -> u32 {
    u32::try_from(function.ranges.len()).unwrap_or(u32::MAX / 2).saturating_mul(2).saturating_add(1)
}

impl<'a> Taking<'a> {
    /// What the meter measures of the slot's kind.
    pub fn function(&self) -> Option<&'a MeterFunction> {
        self.meter?.instrument.function(self.facts.kind?)
    }

    /// The errors of a reading, and why its meter is not fit for it, where it is not.
    pub fn doubt(&self, reading: &Reading) -> (Doubt, Option<Unfit>) {
        if let Reading::Sweep(points) = reading {
            let each = points.iter().map(|(_, figure)| self.figure(figure));
            let widest =
                each.clone().map(|(doubt, _)| doubt).max_by(|a, b| a.reach().total_cmp(&b.reach()));
            let unfit = each.filter_map(|(_, unfit)| unfit).next();
            return (widest.unwrap_or_default(), unfit);
        }
        let Some(shown) = Shown::of(reading, self.facts.reduce) else {
            return (Doubt::default(), None);
        };
        let (mut doubt, unfit) = self.of_shown(&shown);
        if let (Reading::Repeats(figures), Reduction::Mean) = (reading, self.facts.reduce) {
            doubt.repeats = scatter(figures, self.factor());
        }
        (doubt, unfit)
    }

    /// The errors of one figure: a point of a sweep.
    pub fn figure(&self, figure: &Indication) -> (Doubt, Option<Unfit>) {
        self.of_shown(&Shown::figure(figure))
    }

    fn of_shown(&self, shown: &Shown) -> (Doubt, Option<Unfit>) {
        let digit = Doubt { correlated: self.correlated, ..Doubt::digit(shown.half) };
        let with_stated = |doubt: Doubt| match self.stated {
            Some(stated) => {
                Doubt { stated: Some(stated), correlated: doubt.correlated, ..Doubt::default() }
            }
            None => doubt,
        };
        let Some(meter) = self.meter else { return (with_stated(digit), None) };
        let Some(function) = self.function() else {
            return (with_stated(digit), Some(Unfit::NoFunction));
        };
        if self.facts.captured && !function.captures() {
            return (with_stated(digit), Some(Unfit::NoCapture));
        }
        let mut shown = *shown;
        if let (true, None) = (shown.overload, shown.range) {
            shown.at = overload_bound(function, meter).map_or(0.0, |(bound, _)| bound);
        }
        let shown = &shown;
        let place = match line(function, meter, shown, self.frequency) {
            Ok(place) => place,
            Err(unfit) => return (with_stated(digit), Some(unfit)),
        };
        let Some(range) = function.ranges.get(place) else {
            return (with_stated(digit), Some(Unfit::NoAccuracy));
        };
        let doubt = self.on_range(meter, function, range, place, shown);
        let unfit = range.accuracy.is_none() && self.stated.is_none();
        (with_stated(doubt), unfit.then_some(Unfit::NoAccuracy))
    }

    fn on_range(
        &self,
        meter: &MeterUse,
        function: &MeterFunction,
        range: &MeterRange,
        place: usize,
        shown: &Shown,
    ) -> Doubt {
        let factor = self.factor();
        let from_nought = shown.from(range.nought);
        let line = u32::try_from(place).unwrap_or(u32::MAX / 2);
        let mut doubt = Doubt { correlated: self.correlated, ..Doubt::default() };
        let step = range.step.map_or(0.0, |step| step / 2.0);
        // What only bounds the true value has no last digit.
        doubt.resolution = if shown.digits { shown.half.max(step) * factor } else { 0.0 };
        if let Some(accuracy) = &range.accuracy {
            let terms = accuracy.greatest(from_nought);
            let widened = factor * widening(meter);
            let gain = terms.reading * from_nought * widened;
            let offset = (terms.counts + terms.absolute) * widened;
            let offset = if meter.zeroed { 0.0 } else { offset };
            let shared = |common: bool, part: f64| if common { part } else { 0.0 };
            let own = |common: bool, part: f64| if common { 0.0 } else { part.abs() };
            let common = function.common;
            if common.gain || common.offset {
                doubt.accuracy = Some(SharedAccuracy {
                    source: self.sources.saturating_add(1 + 2 * line),
                    gain: shared(common.gain, gain),
                    offset: shared(common.offset, offset),
                });
            }
            doubt.own_accuracy = own(common.gain, gain) + own(common.offset, offset);
            doubt.span = terms.span * widened;
        }
        if let (true, Some(capture)) = (self.facts.captured, &range.capture) {
            let half = capture.greatest(from_nought).at(from_nought);
            doubt.capture = half * factor * widening(meter);
        }
        doubt.technique = match function.technique {
            None => 0.0,
            Some(Technique::Amount(amount)) => amount * factor,
            Some(Technique::Reading(part)) => part * from_nought.abs() * factor,
        };
        doubt.circuit = self.circuit_doubt(function, shown.at.abs());
        if meter.zeroed {
            let half = range.step.map_or(shown.half, |step| step / 2.0);
            doubt.zero = Some((self.sources.saturating_add(2 + 2 * line), half * factor));
        } else if let Some(leads) = function.leads
            && leads.doubt > 0.0
        {
            doubt.leads = Some((self.sources, leads.doubt * factor));
        }
        doubt
    }

    /// What the correction for the circuit multiplies a reading by.
    pub fn factor(&self) -> f64 {
        factor(self.facts.circuit, self.function())
    }

    fn circuit_doubt(&self, function: &MeterFunction, reading: f64) -> f64 {
        let Some(circuit) = self.facts.circuit else { return 0.0 };
        let part = match (function.input, function.burden) {
            (Some(input), _) => circuit.doubt / input,
            (None, Some(burden)) => {
                burden * circuit.doubt / (circuit.resistance * circuit.resistance)
            }
            (None, None) => 0.0,
        };
        let half = reading * part.abs();
        if half.is_finite() { half } else { 0.0 }
    }

    /// What the leads add to the reading, where that is taken off.
    pub fn leads(&self) -> f64 {
        match (self.meter, self.function().and_then(|function| function.leads)) {
            (Some(meter), Some(leads)) if !meter.zeroed => leads.value,
            _ => 0.0,
        }
    }

    /// Whether the frequency has to be known, and is not stated with the meter.
    pub fn goes_by_frequency(&self) -> bool {
        self.meter.is_some_and(|meter| meter.frequency.is_none())
            && self.facts.has_frequency
            && self
                .function()
                .is_some_and(|function| function.ranges.iter().any(|range| range.band.is_some()))
    }
}

/// What a reading is too small by for the circuit that the meter loads, as a part of it: one
/// resistance over another. A circuit without resistance takes nothing, however a current would go
/// through it.
pub(crate) fn load(
    circuit: Option<Circuit>,
    function: Option<&MeterFunction>,
) -> Option<(f64, f64)> {
    let (circuit, function) = circuit.zip(function)?;
    let of = match (function.input, function.burden) {
        (Some(input), _) => Some((circuit.resistance, input)),
        (None, Some(burden)) => Some((burden, circuit.resistance)),
        (None, None) => None,
    };
    of.filter(|(_, under)| *under > 0.0)
}

/// What the correction for a circuit multiplies a reading of a function by.
pub(crate) fn factor(circuit: Option<Circuit>, function: Option<&MeterFunction>) -> f64 {
    load(circuit, function).map_or(1.0, |(over, under)| 1.0 + over / under)
}

/// How much wider the accuracy is than printed: by the temperature of the surroundings, and by the
/// time since calibration.
fn widening(meter: &MeterUse) -> f64 {
    let instrument = &meter.instrument;
    let ambient = match (instrument.valid, meter.ambient) {
        (Some(valid), Some(ambient)) => {
            let outside = (valid.low - ambient).max(ambient - valid.high).max(0.0);
            1.0 + valid.widens * outside
        }
        _ => 1.0,
    };
    let overdue = match (instrument.calibration, meter.since_calibration) {
        (Some(interval), Some(since)) if interval > 0.0 => (since / interval).max(1.0),
        _ => 1.0,
    };
    ambient * overdue
}

/// The scatter of a mean (JCGM 100:2008, eq. 5).
fn scatter(figures: &[Indication], factor: f64) -> Option<Scatter> {
    if figures.len() < 2 {
        return None;
    }
    let count = figures.len() as f64;
    let mean = figures.iter().map(|figure| figure.value / count).sum::<f64>();
    let squares: f64 = figures.iter().map(|figure| (figure.value - mean).powi(2)).sum();
    let scale = (squares / (count - 1.0) / count).sqrt() * factor;
    let first = figures.first().map(|figure| figure.value);
    let equal = figures.iter().all(|figure| Some(figure.value) == first);
    (!equal && scale.is_finite()).then_some(Scatter { scale, dof: count - 1.0 })
}

/// The voltage that a diode function applies: more than that it never shows.
pub(crate) fn test_voltage(function: &MeterFunction) -> Option<f64> {
    function.test_voltage.filter(|_| function.kind == Kind::DIODE_DROP)
}
