//! The elementary errors of one reading.
//!
//! The true value is the corrected reading less all of them. They are independent of each other,
//! but for those that several readings share.

use truing_model::{Indication, LimitOfError, Reading, Reduction, SlotId, SlotKind, Technique};
use truing_units::Kind;

use super::judge::Judge;
use super::taken::{Display, Taken, mean};
use crate::fitness::Unfit;
use crate::meter::MeterUse;

/// Whom an error is shared with: readings of the same meter, kind, and line of its range.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Source {
    meter: String,
    kind: Kind,
    /// The line of the range; `None` for the leads, which all ranges share.
    line: Option<usize>,
}

/// The elementary errors of a reading, in its unit. What is rectangular is given by its half-width.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Errors {
    /// The shared part of the limit of error: the gain part with its sign, and the offset part.
    pub accuracy: Option<(Source, f64, f64)>,
    /// A rectangular error that readings share by the resolution of the zero.
    pub zero: Option<(Source, f64)>,
    /// What is not known of the leads.
    pub leads: Option<(Source, f64)>,
    /// Rectangular errors of its own: limit of error, span, resolution, capture, technique,
    /// circuit.
    pub own: Vec<f64>,
    /// The standard uncertainty and the degrees of freedom of repeats.
    pub repeats: Option<(f64, f64)>,
    /// The standard uncertainty of a certificate, with its degrees of freedom.
    pub stated: Option<(f64, Option<f64>)>,
    /// Whether the sheet states how it is correlated with others.
    pub correlated: bool,
}

impl Errors {
    /// The standard uncertainty of all of them.
    pub fn standard(&self) -> f64 {
        let bounded: f64 = self.half_widths().map(|half| half * half / 3.0).sum();
        let repeats = self.repeats.map_or(0.0, |(scale, _)| scale);
        let stated = self.stated.map_or(0.0, |(standard, _)| standard);
        (bounded + repeats * repeats + stated * stated).sqrt()
    }

    /// How far they reach: all half-widths, and three standard uncertainties of what has no ends.
    pub fn reach(&self) -> f64 {
        if self.correlated {
            return 3.0 * self.standard();
        }
        let repeats = self.repeats.map_or(0.0, |(scale, _)| scale);
        let stated = self.stated.map_or(0.0, |(standard, _)| standard);
        self.half_widths().sum::<f64>() + 3.0 * (repeats + stated)
    }

    /// Whether there is nothing but half of the last digit as written.
    pub fn is_only(&self, digit: f64) -> bool {
        let own = match self.own.as_slice() {
            [own] => (own - digit).abs() <= 1e-12 * digit,
            _ => false,
        };
        own && Self { own: Vec::new(), ..self.clone() } == Self::default()
    }

    fn half_widths(&self) -> impl Iterator<Item = f64> {
        let accuracy = self.accuracy.iter().map(|(_, gain, offset)| gain.abs() + offset.abs());
        let shared = self.zero.iter().chain(&self.leads).map(|(_, half)| *half);
        accuracy.chain(shared).chain(self.own.iter().copied())
    }
}

impl Judge<'_> {
    /// The errors of what stands in a slot, and why its meter is not fit for it. A sweep has those
    /// of its most doubtful point.
    pub fn errors(&self, slot: SlotId) -> (Errors, Option<Unfit>) {
        let Some(SlotKind::Quantity { reduce, .. }) = self.spec.slot(slot).map(|slot| &slot.kind)
        else {
            return (Errors::default(), None);
        };
        let Some(reading) = self.sheet.get(slot) else { return (Errors::default(), None) };
        if let Reading::Sweep(points) = reading {
            let each = || points.iter().map(|(_, figure)| self.errors_of_figure(slot, figure));
            let widest = each()
                .map(|(errors, _)| errors)
                .reduce(|a, b| if b.reach() > a.reach() { b } else { a });
            return (widest.unwrap_or_default(), each().find_map(|(_, unfit)| unfit));
        }
        let Some(mut display) = Display::of(reading, *reduce) else {
            return (Errors::default(), None);
        };
        if let (Reading::Overload { range: None }, Some(top)) = (reading, self.overload_top(slot)) {
            display.value = top;
        }
        let (mut errors, unfit) = self.errors_of(slot, display);
        if let (Reading::Repeats(figures), Reduction::Mean) = (reading, reduce) {
            errors.repeats = scatter(figures).map(|(scale, dof)| (scale * self.factor(slot), dof));
        }
        (errors, unfit)
    }

    /// The errors of a point of a sweep.
    pub fn errors_of_figure(&self, slot: SlotId, figure: &Indication) -> (Errors, Option<Unfit>) {
        self.errors_of(slot, Display::figure(figure))
    }

    fn errors_of(&self, slot: SlotId, display: Display) -> (Errors, Option<Unfit>) {
        let correlated =
            self.sheet.correlations.pairs().iter().any(|(a, b, _)| *a == slot || *b == slot);
        let stated = self.sheet.stated.get(slot.0 as usize).and_then(Option::as_ref);
        let taken = self.taken(slot, display);
        if let Some(stated) = stated {
            let stated = Some((stated.standard, stated.dof));
            return (Errors { stated, correlated, ..Errors::default() }, taken.err());
        }
        match taken {
            Ok(Some(taken)) => {
                let errors = Errors { correlated, ..self.instrumental(slot, display, taken) };
                (errors, taken.range.accuracy.is_none().then_some(Unfit::NoAccuracy))
            }
            other => {
                let own = display.step.map(|step| step / 2.0).into_iter().collect();
                (Errors { own, correlated, ..Errors::default() }, other.err())
            }
        }
    }

    fn instrumental(&self, slot: SlotId, display: Display, taken: Taken) -> Errors {
        let Taken { meter, function, line, range } = taken;
        let factor = self.factor(slot);
        let source = |line| Source { meter: meter.meter.clone(), kind: function.kind, line };
        let from_nought = display.value - range.nought;
        let mut errors = Errors::default();

        if let Some(accuracy) = &range.accuracy {
            let [gain, offset, span] =
                limit_of_error(accuracy, from_nought).map(|part| part * widening(meter) * factor);
            let offset = if meter.zeroed { 0.0 } else { offset };
            let common = function.common;
            let shared = |is: bool, part: f64| if is { part } else { 0.0 };
            errors.accuracy = Some((
                source(Some(line)),
                shared(common.gain, gain),
                shared(common.offset, offset),
            ));
            // Both parts of one limit: where neither is shared they are one rectangular error.
            errors.own.push(shared(!common.gain, gain).abs() + shared(!common.offset, offset));
            errors.own.push(span);
        }
        if let Some(digit) = display.step {
            errors.own.push(digit.max(range.step.unwrap_or(0.0)) / 2.0 * factor);
        }
        if let (true, Some(capture)) = (self.is_captured(slot), &range.capture) {
            let parts = limit_of_error(capture, from_nought).map(f64::abs);
            errors.own.push(parts.iter().sum::<f64>() * widening(meter) * factor);
        }
        errors.own.extend(function.technique.map(|technique| match technique {
            Technique::Amount(amount) => amount * factor,
            Technique::Reading(part) => part * from_nought.abs() * factor,
        }));
        if let Some(circuit) = self.circuit(slot) {
            // The derivative of x·(1 + R/R_in), or of x·(1 + R_b/R), by R.
            let slope = match (function.input, function.burden) {
                (Some(input), _) => 1.0 / input,
                (None, Some(burden)) if circuit.resistance > 0.0 => {
                    burden / (circuit.resistance * circuit.resistance)
                }
                (None, _) => 0.0,
            };
            errors.own.push(display.value.abs() * slope * circuit.doubt);
        }
        if meter.zeroed {
            let step = range.step.or(display.step).unwrap_or(0.0);
            errors.zero = Some((source(Some(line)), step / 2.0 * factor));
        } else if let Some(leads) = function.leads {
            errors.leads = Some((source(None), leads.doubt * factor));
        }
        errors
    }
}

/// The gain part with its sign, the offset part, and the part of the span.
fn limit_of_error(of: &LimitOfError, from_nought: f64) -> [f64; 3] {
    let terms = of.greatest(from_nought);
    [terms.reading * from_nought, terms.counts + terms.absolute, terms.span]
}

fn widening(meter: &MeterUse) -> f64 {
    let outside = match (meter.instrument.valid, meter.ambient) {
        (Some(valid), Some(ambient)) if ambient < valid.low => valid.widens * (valid.low - ambient),
        (Some(valid), Some(ambient)) if ambient > valid.high => {
            valid.widens * (ambient - valid.high)
        }
        _ => 0.0,
    };
    let overdue = match (meter.instrument.calibration, meter.since_calibration) {
        (Some(interval), Some(time)) if time > interval && interval > 0.0 => time / interval,
        _ => 1.0,
    };
    (1.0 + outside) * overdue
}

/// The experimental standard deviation of the mean with its degrees of freedom
/// (JCGM 100:2008, eq. 5).
fn scatter(figures: &[Indication]) -> Option<(f64, f64)> {
    let count = figures.len() as f64;
    let mean = mean(figures);
    let squares: f64 = figures.iter().map(|one| (one.value - mean).powi(2)).sum();
    let equal = figures.windows(2).all(|pair| match pair {
        [a, b] => a.value == b.value,
        _ => true,
    });
    (!equal).then(|| ((squares / (count - 1.0) / count).sqrt(), count - 1.0))
}
