//! What a reading makes possible, and whether it is to be doubted.

use truing_model::{Edge, Indication, Interval, Reading, Reduction, Slot, SlotId, SlotKind};
use truing_units::{Exact, Floor};

use super::judge::Judge;
use super::range::{End, Range};
use super::real::Real;
use super::{Known, Unknown};

/// How far readings are widened.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Doubt {
    /// Not at all.
    Nothing,
    /// By so many standard uncertainties.
    Guard(f64),
    /// By the whole of half the last digit.
    Full,
}

pub(super) fn figure(of: &Indication) -> Real {
    Real::figure(of.value, of.exact)
}

fn half_step(of: &Indication) -> Real {
    // The digits say it exactly; should the double that is carried say another thing, it holds.
    let unit = of.shown.unit.factor();
    let digits = of.shown.figure.half_step().to_rational();
    let shown = digits.and_then(|half| Exact::from(half).checked_mul(unit));
    let near =
        |exact: &Exact| (exact.to_f64() - of.half_step).abs() <= 4.0 * f64::EPSILON * of.half_step;
    Real::figure(of.half_step, shown.filter(near))
}

pub(super) fn edge(of: &Edge) -> End {
    End { at: Real::figure(of.value, of.exact), open: of.open }
}

/// The figures of a reading that a display showed, and half a unit of the coarsest last digit.
fn shown(reading: &Reading) -> Vec<&Indication> {
    match reading {
        Reading::Figure(figure) => vec![figure],
        Reading::Unsteady { low, high, .. } => vec![low, high],
        Reading::Repeats(figures) => figures.iter().collect(),
        Reading::Sweep(points) => points.iter().map(|(_, figure)| figure).collect(),
        _ => Vec::new(),
    }
}

/// What is possible of a slot.
pub(super) fn possible(of: &Judge, slot: SlotId, doubt: Doubt) -> Known<Range> {
    let (Some(reading), Some(Slot { kind: SlotKind::Quantity { kind, reduce, .. }, .. })) =
        (of.sheet.get(slot), of.spec.slot(slot))
    else {
        return Err(Unknown::NotTaken);
    };
    let mut range = by_itself(reading, *reduce)?;
    let below_nothing = of.catalogue.kind(*kind).floor == Floor::Zero;
    if below_nothing && range.low.at == Real::MinusInfinity && !range.high.at.below(Real::ZERO) {
        range = range.from(End::closed(Real::ZERO));
    }
    let half = shown(reading)
        .into_iter()
        .map(half_step)
        .reduce(|a, b| if a.below(b) { b } else { a })
        .unwrap_or(Real::ZERO);
    widened(range, half, doubt)
}

/// A single indication outside any slot: a point of a sweep.
pub(super) fn indication(of: &Indication, doubt: Doubt) -> Known<Range> {
    widened(Range::point(figure(of)), half_step(of), doubt)
}

fn widened(range: Range, half: Real, doubt: Doubt) -> Known<Range> {
    let by = match doubt {
        _ if half == Real::ZERO => return Ok(range),
        Doubt::Nothing | Doubt::Guard(0.0) => return Ok(range),
        Doubt::Full => half,
        Doubt::Guard(k) => {
            // k·h/√3 is not rational: from here on this is no longer exact.
            let (_, half) = half.enclosed();
            let by = k * half / 3.0_f64.sqrt();
            Real::Near(by, by.next_up())
        }
    };
    range.add(Range::between(End::closed(by.negate()), End::closed(by)))
}

fn by_itself(reading: &Reading, reduce: Reduction) -> Known<Range> {
    let above = |low: End| Range::between(low, Range::whole().high);
    let below = |high: End| Range::between(Range::whole().low, high);
    Ok(match reading {
        Reading::NotTaken { .. } | Reading::Word(_) => return Err(Unknown::NotTaken),
        Reading::Figure(one) => Range::point(figure(one)),
        Reading::Overload { range: None } => Range::whole(),
        Reading::Overload { range: Some(top) } => above(End::open(figure(top))),
        Reading::Above { bound, inclusive } => above(End { at: figure(bound), open: !inclusive }),
        Reading::Below { bound, inclusive } => below(End { at: figure(bound), open: !inclusive }),
        Reading::Between { low, high } => {
            Range::between(End::closed(figure(low)), End::open(figure(high)))
        }
        Reading::Unsteady { low, high, .. } => {
            Range::between(End::closed(figure(low)), End::closed(figure(high)))
        }
        Reading::Repeats(figures) => reduced(figures, reduce)?,
        Reading::Sweep(points) => points
            .iter()
            .map(|(_, figure)| Range::point(self::figure(figure)))
            .reduce(Range::hull)
            .ok_or(Unknown::NotTaken)?,
    })
}

fn reduced(figures: &[Indication], reduce: Reduction) -> Known<Range> {
    let mut points = figures.iter().map(|one| Range::point(figure(one)));
    let first = points.next().ok_or(Unknown::NotTaken)?;
    match reduce {
        Reduction::Min => Ok(points.fold(first, Range::least)),
        Reduction::Max => Ok(points.fold(first, Range::greatest)),
        Reduction::Mean => {
            points.try_fold(first, Range::add)?.divide(Range::point(Real::whole(figures.len())))
        }
    }
}

/// Whether a reading is doubted before the machine is.
pub(super) fn doubted(judge: &Judge, slot: SlotId) -> bool {
    let (Some(reading), Some(of)) = (judge.sheet.get(slot), judge.spec.slot(slot)) else {
        return false;
    };
    if matches!(reading, Reading::NotTaken { .. }) {
        return false;
    }
    let elsewhere = match (of.during, judge.sheet.state(slot)) {
        (Some(wanted), Some(taken)) => wanted != taken,
        _ => false,
    };
    elsewhere || implausible(judge, slot, reading, of)
}

fn implausible(judge: &Judge, slot: SlotId, reading: &Reading, of: &Slot) -> bool {
    let SlotKind::Quantity { plausible: Some(plausible), .. } = &of.kind else { return false };
    let figures = shown(reading);
    if figures.is_empty() {
        // A bound is implausible where nothing that it leaves possible is plausible.
        let possible = possible(judge, slot, Doubt::Nothing);
        return possible.is_ok_and(|possible| apart(possible, plausible));
    }
    figures.into_iter().any(|one| inside(Range::point(figure(one)), plausible) == Ok(false))
}

fn apart(range: Range, interval: &Interval) -> bool {
    let under = |a: End, b: End| a.at.below(b.at) || a.at.same(b.at) && (a.open || b.open);
    interval.low.as_ref().is_some_and(|low| under(range.high, edge(low)))
        || interval.high.as_ref().is_some_and(|high| under(edge(high), range.low))
}

/// Whether all of a range lies in an interval with fixed ends.
pub(super) fn inside(range: Range, interval: &Interval) -> Known<bool> {
    let end = |edge: &Edge| Range::point(Real::figure(edge.value, edge.exact));
    let low = interval.low.as_ref().map_or(Ok(true), |low| {
        if low.open { end(low).below(range) } else { end(low).at_most(range) }
    });
    let high = interval.high.as_ref().map_or(Ok(true), |high| {
        if high.open { range.below(end(high)) } else { range.at_most(end(high)) }
    });
    match (low, high) {
        (Ok(false), _) | (_, Ok(false)) => Ok(false),
        (low, high) => Ok(low? && high?),
    }
}
