//! What a reading would have been on an instrument without leads and without load: the reading that
//! is judged. It stays exact, so that a tie with a limit is one.

use truing_model::{Indication, MeterFunction, Reading};
use truing_units::{Catalogue, Decimal, Exact, Measure};

use crate::doubt::{Taking, load};
use crate::fitness::overload_bound;
use crate::flat::exact;

impl Taking<'_> {
    /// The corrected reading, where that differs from what was shown. An overload gets the top of
    /// the range that it was shown on.
    pub fn corrected(&self, reading: &Reading) -> Option<Reading> {
        let function = self.function()?;
        let filled = self.overload_filled(function, reading);
        let correction = Correction { leads: self.leads(), factor: self.factor() };
        if correction.leads == 0.0 && correction.factor == 1.0 {
            return filled;
        }
        let exact_factor = self.exact_factor(function);
        let one = |figure: &Indication| correction.of(figure, exact_factor);
        let boxed = |figure: &Option<Indication>| figure.as_ref().map(one);
        Some(match filled.as_ref().unwrap_or(reading) {
            Reading::Figure(figure) => Reading::Figure(one(figure)),
            Reading::Overload { range } => Reading::Overload { range: boxed(range) },
            Reading::Above { bound, inclusive } => {
                Reading::Above { bound: one(bound), inclusive: *inclusive }
            }
            Reading::Below { bound, inclusive } => {
                Reading::Below { bound: one(bound), inclusive: *inclusive }
            }
            Reading::Between { low, high } => Reading::Between { low: one(low), high: one(high) },
            Reading::Unsteady { low, high, moved_by } => {
                Reading::Unsteady { low: one(low), high: one(high), moved_by: moved_by.clone() }
            }
            Reading::Repeats(figures) => Reading::Repeats(figures.iter().map(one).collect()),
            Reading::Sweep(points) => {
                Reading::Sweep(points.iter().map(|(x, figure)| (x.clone(), one(figure))).collect())
            }
            Reading::Word(_) | Reading::NotTaken { .. } => return None,
        })
    }

    fn overload_filled(&self, function: &MeterFunction, reading: &Reading) -> Option<Reading> {
        let Reading::Overload { range: None } = reading else { return None };
        let meter = self.meter?;
        let (bound, range) = overload_bound(function, meter)?;
        let range = if bound == range.top { nominal(&range.printed, bound) } else { volts(bound)? };
        Some(Reading::Overload { range: Some(range) })
    }

    fn exact_factor(&self, function: &MeterFunction) -> Option<Exact> {
        let Some((over, under)) = load(self.facts.circuit, Some(function)) else {
            return Some(Exact::ONE);
        };
        Exact::ONE.checked_add(as_written(over)?.checked_div(as_written(under)?)?)
    }
}

#[derive(Copy, Clone)]
struct Correction {
    leads: f64,
    factor: f64,
}

impl Correction {
    fn of(self, figure: &Indication, exact_factor: Option<Exact>) -> Indication {
        let corrected =
            || exact(figure)?.checked_sub(as_written(self.leads)?)?.checked_mul(exact_factor?);
        let exact = corrected();
        let value = exact.map_or_else(|| (figure.value - self.leads) * self.factor, Exact::to_f64);
        Indication {
            shown: figure.shown.clone(),
            value,
            exact,
            half_step: figure.half_step * self.factor,
        }
    }
}

/// A figure without a last digit that counts.
fn nominal(shown: &Measure, value: f64) -> Indication {
    Indication { shown: shown.clone(), value, exact: as_written(value), half_step: 0.0 }
}

fn volts(value: f64) -> Option<Indication> {
    let unit = Catalogue::standard().unit("V").ok()?;
    let figure = Decimal::parse(&format!("{value}")).ok()?;
    Some(nominal(&Measure { figure, unit }, value))
}

/// The shortest decimal that a double is the nearest to: what its author wrote.
fn as_written(value: f64) -> Option<Exact> {
    Decimal::parse(&format!("{value}")).ok()?.to_rational().map(Exact::from)
}
