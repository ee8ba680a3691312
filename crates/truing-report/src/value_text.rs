//! What is known of a quantity, as people read it: to the digits that it deserves.

use truing_engine::{Bound, Value};
use truing_model::{Edge, Interval};
use truing_units::{Place, figure_text, from_coherent, significant_text};

use crate::teller::Scale;

/// How finely a value is shown.
#[derive(Copy, Clone, Debug)]
pub(crate) enum Fineness {
    /// To so many significant digits: those of the coarsest reading that it was worked out from.
    Digits(u32),
    /// To the decimals that a doubt of this size, in the coherent unit, leaves standing.
    Doubt(f64),
}

impl Fineness {
    fn finer(self, steps: u32) -> Self {
        match self {
            Self::Digits(digits) => Self::Digits(digits + steps),
            Self::Doubt(doubt) => Self::Doubt(doubt / f64::from(10_u32.pow(steps))),
        }
    }
}

/// Ends of limits are shown to this many significant digits; they are printed with fewer.
const LIMIT_DIGITS: u32 = 6;

impl Scale {
    /// A coherent value as a figure without its unit.
    pub(crate) fn figure(&self, value: f64, fineness: Fineness) -> String {
        let figure = from_coherent(value, &self.unit, self.place);
        match fineness {
            Fineness::Digits(digits) => significant_text(figure, digits),
            Fineness::Doubt(doubt) => {
                let doubt = from_coherent(doubt, &self.unit, Place::Amount);
                // At most three units of the last digit shown are in doubt.
                figure_text(figure, 10_f64.powf(((doubt / 3.0).log10() - 1e-9).ceil()))
            }
        }
    }

    /// A coherent value with its unit.
    pub(crate) fn value(&self, value: f64, fineness: Fineness) -> String {
        format!("{} {}", self.figure(value, fineness), self.unit)
    }

    /// As fine as it takes for a value to be seen on the side of `edges` on which it lies: 10.04 %
    /// is not shown as 10 % where the limit is 10 %.
    pub(crate) fn apart(&self, value: f64, fineness: Fineness, edges: &[f64]) -> Fineness {
        const MORE: u32 = 6;
        let figure = from_coherent(value, &self.unit, self.place);
        let edges: Vec<f64> =
            edges.iter().map(|edge| from_coherent(*edge, &self.unit, self.place)).collect();
        let seen = |fineness: &Fineness| {
            let shown = self.figure(value, *fineness).parse().unwrap_or(figure);
            edges.iter().all(|edge| shown.partial_cmp(edge) == figure.partial_cmp(edge))
        };
        (0..MORE).map(|steps| fineness.finer(steps)).find(seen).unwrap_or(fineness)
    }

    /// A coherent amount, such as a doubt, to two digits and with its unit.
    pub(crate) fn amount(&self, amount: f64) -> String {
        let figure = from_coherent(amount, &self.unit, Place::Amount);
        format!("{} {}", significant_text(figure, 2), self.unit)
    }

    /// An end of a limit, without zeros that were not printed.
    fn edge(&self, edge: &Edge) -> String {
        let figure = from_coherent(edge.value, &self.unit, self.place);
        significant_text(figure, LIMIT_DIGITS).parse::<f64>().unwrap_or(figure).to_string()
    }

    /// The point of a curve or an end of its range.
    pub(crate) fn point(&self, value: f64) -> String {
        format!("{} {}", self.edge(&Edge { value, exact: None, open: false }), self.unit)
    }

    /// An interval as a limit is written: `13.6 .. 14.8 V`, `min 12.4 V`, `above 0 V`.
    pub(crate) fn interval(&self, interval: &Interval) -> String {
        let unit = &self.unit;
        match (&interval.low, &interval.high) {
            (None, None) => "any value".to_owned(),
            (Some(low), None) => format!("{} {} {unit}", low_word(low), self.edge(low)),
            (None, Some(high)) => format!("{} {} {unit}", high_word(high), self.edge(high)),
            (Some(low), Some(high)) if low.value == high.value => {
                format!("{} {unit}", self.edge(low))
            }
            (Some(low), Some(high)) if low.open || high.open => format!(
                "{} {}, {} {} {unit}",
                low_word(low),
                self.edge(low),
                high_word(high),
                self.edge(high)
            ),
            (Some(low), Some(high)) => format!("{} .. {} {unit}", self.edge(low), self.edge(high)),
        }
    }

    /// What is known of a quantity, as the subject of a sentence.
    pub(crate) fn known(&self, value: &Value, fineness: Fineness) -> String {
        if let Some(best) = value.best {
            return self.value(best, fineness);
        }
        match (value.low, value.high) {
            (Some(low), Some(high)) if low.value == high.value => self.value(low.value, fineness),
            (Some(low), Some(high)) => format!(
                "between {} and {}",
                self.figure(low.value, fineness),
                self.value(high.value, fineness)
            ),
            (Some(low), None) => {
                format!(
                    "{} {}",
                    open_word(low, "more than", "at least"),
                    self.value(low.value, fineness)
                )
            }
            (None, Some(high)) => {
                format!(
                    "{} {}",
                    open_word(high, "less than", "at most"),
                    self.value(high.value, fineness)
                )
            }
            (None, None) => "of unknown size".to_owned(),
        }
    }
}

/// Half the width of what is possible, where it has two ends that differ.
pub(crate) fn half_width(value: &Value) -> Option<f64> {
    let half = (value.high?.value - value.low?.value) / 2.0;
    (half > 0.0).then_some(half)
}

fn open_word(bound: Bound, open: &'static str, closed: &'static str) -> &'static str {
    if bound.open { open } else { closed }
}

const fn low_word(edge: &Edge) -> &'static str {
    if edge.open { "above" } else { "min" }
}

const fn high_word(edge: &Edge) -> &'static str {
    if edge.open { "below" } else { "max" }
}
