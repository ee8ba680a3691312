//! Intervals: made of two ends, joined, held inside one another.

use std::cmp::Ordering;

use truing_model::{Band, Edge, Interval};
use truing_syntax::tree::Joint;

use crate::typing::Value;

/// The value of an end.
pub(crate) fn value(edge: &Edge) -> Value {
    Value { value: edge.value, exact: edge.exact }
}

pub(crate) fn edge(value: Value, open: bool) -> Edge {
    Edge { value: value.value, exact: value.exact, open }
}

fn order(left: &Edge, right: &Edge) -> Ordering {
    value(left).compare(value(right))
}

/// What is wrong with an interval, if anything.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum Fault {
    UpsideDown,
    Empty,
}

pub(crate) fn fault(interval: &Interval) -> Option<Fault> {
    let (Some(low), Some(high)) = (&interval.low, &interval.high) else { return None };
    match order(low, high) {
        Ordering::Greater => Some(Fault::UpsideDown),
        Ordering::Equal if low.open || high.open => Some(Fault::Empty),
        _ => None,
    }
}

/// Whether every value of `inner` lies in `outer`.
pub(crate) fn contains(outer: &Interval, inner: &Interval) -> bool {
    let low = match (&outer.low, &inner.low) {
        (None, _) => true,
        (Some(_), None) => false,
        (Some(outer), Some(inner)) => match order(outer, inner) {
            Ordering::Less => true,
            Ordering::Equal => !outer.open || inner.open,
            Ordering::Greater => false,
        },
    };
    let high = match (&outer.high, &inner.high) {
        (None, _) => true,
        (Some(_), None) => false,
        (Some(outer), Some(inner)) => match order(outer, inner) {
            Ordering::Greater => true,
            Ordering::Equal => !outer.open || inner.open,
            Ordering::Less => false,
        },
    };
    low && high
}

/// Whether a value lies in an interval.
pub(crate) fn holds(interval: &Interval, at: Value) -> bool {
    let point = edge(at, false);
    contains(interval, &Interval { low: Some(point.clone()), high: Some(point) })
}

/// Two bands joined: the lesser or the greater of each end, or both kept.
pub(crate) fn joined(left: &Band, right: &Band, joint: Joint) -> Band {
    let standard = join(&left.standard, &right.standard, joint);
    let service = match (&left.service, &right.service) {
        (None, None) => None,
        (left_service, right_service) => {
            let one = left_service.as_ref().unwrap_or(&left.standard);
            let other = right_service.as_ref().unwrap_or(&right.standard);
            Some(join(one, other, joint))
        }
    };
    Band { standard, service }
}

fn join(left: &Interval, right: &Interval, joint: Joint) -> Interval {
    let (low, high) = match joint {
        Joint::Less => (Ordering::Less, Ordering::Less),
        Joint::Greater => (Ordering::Greater, Ordering::Greater),
        Joint::First => (Ordering::Greater, Ordering::Less),
    };
    Interval {
        low: pick(left.low.as_ref(), right.low.as_ref(), low),
        high: pick(left.high.as_ref(), right.high.as_ref(), high),
    }
}

/// The end that stands in this order to the other; the only one where one is missing. Of two equal
/// ends the excluded one.
fn pick(left: Option<&Edge>, right: Option<&Edge>, wanted: Ordering) -> Option<Edge> {
    let (left, right) = match (left, right) {
        (Some(left), Some(right)) => (left, right),
        (one, other) => return one.or(other).cloned(),
    };
    let order = order(left, right);
    let keep_left = order == wanted || (order == Ordering::Equal && left.open);
    Some(if keep_left { left.clone() } else { right.clone() })
}
