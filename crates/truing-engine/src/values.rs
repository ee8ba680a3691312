//! From numbers to what a finding says of them: best values, ends, the limit's edges.

use truing_model::{Edge, Interval};

use crate::arithmetic::{Arithmetic, Ends};
use crate::finding::{Bound, Value};
use crate::full::{Full, Number};
use crate::stand::Stood;

/// The single value that a number is; `single` says that it is one, even where it is enclosed only.
pub(crate) fn best(number: Number, single: bool) -> Option<f64> {
    match number.single() {
        Some(exact) => Some(exact.to_f64()),
        None if single && number.exact.is_none() => number.near.middle(),
        None => None,
    }
}

/// What is known of a number.
pub(crate) fn value(number: Number, best: Option<f64>) -> Value {
    let near = |at: f64| at.is_finite().then_some(Bound { value: at, open: false });
    let (low, high) = match number.exact {
        Some(span) => {
            let bound =
                |mark: crate::span::Mark| Bound { value: mark.at.to_f64(), open: mark.open };
            (span.low.map(bound), span.high.map(bound))
        }
        None => (near(number.near.lo), near(number.near.hi)),
    };
    Value { best, low, high }
}

pub(crate) fn half_width(value: Value) -> Option<f64> {
    value.best?;
    Some((value.high?.value - value.low?.value) / 2.0)
}

/// How far the nearest end of a limit lies from the best value.
pub(crate) fn nearest_end(best: f64, stood: &Stood<Number>) -> Option<f64> {
    let standard = stood.standard.iter().flat_map(|ends| [ends.low, ends.high]);
    let service = stood.service.iter().flat_map(|ends| [ends.low, ends.high]);
    standard
        .chain(service)
        .flatten()
        .filter_map(|(end, _)| self::best(end, true).map(|end| (best - end).abs()))
        .min_by(f64::total_cmp)
}

/// The ends inside which a value lies within the limit wherever the ends themselves may lie.
pub(crate) fn interval(ends: &Ends<Number>) -> Interval {
    let edge = |end: Option<Number>, open: bool| {
        let end = end?;
        let exact = end.single();
        let value = exact.map(|exact| exact.to_f64()).or(end.near.middle())?;
        Some(Edge { value, exact, open })
    };
    Interval {
        low: ends.low.and_then(|(low, open)| edge(inmost(low, Full::high_end), open)),
        high: ends.high.and_then(|(high, open)| edge(inmost(high, Full::low_end), open)),
    }
}

/// An end that is one value as it is, else the inner of the two that it may be.
fn inmost(end: Number, inner: fn(Number) -> Option<Number>) -> Option<Number> {
    if end.single().is_some() { Some(end) } else { inner(end) }
}
