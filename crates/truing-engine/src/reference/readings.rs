//! What a reading makes possible, and whether it is to be doubted.

use truing_model::{
    DecideRule, Edge, Indication, Interval, Reading, Reduction, Slot, SlotId, SlotKind,
};
use truing_units::{Exact, Floor, Kind};

use super::errors::Errors;
use super::judge::Judge;
use super::range::{End, Range};
use super::real::Real;
use super::taken::written;
use super::{Known, Unknown};
use crate::fitness::Unfit;

/// How far readings are widened.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Doubt {
    /// Not at all.
    Nothing,
    /// By so many standard uncertainties.
    Guard(f64),
    /// By all that their errors reach.
    Full,
}

/// How the errors of readings enter into a decision.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Way {
    /// By all that is possible.
    Possible(Doubt),
    /// In a straight line about the readings, by the probability or the guard of a rule.
    Straight(DecideRule),
}

impl Way {
    pub const fn is_straight(self) -> bool {
        matches!(self, Self::Straight(_))
    }

    /// How far readings are widened.
    pub const fn widening(self) -> Doubt {
        match self {
            Self::Possible(doubt) => doubt,
            Self::Straight(_) => Doubt::Nothing,
        }
    }

    /// How far readings are widened where there is no straight line.
    pub const fn doubt(self) -> Doubt {
        match self {
            Self::Possible(doubt) => doubt,
            Self::Straight(DecideRule::Simple) => Doubt::Nothing,
            Self::Straight(DecideRule::Guarded { k }) => Doubt::Guard(k),
            Self::Straight(DecideRule::At { .. }) => Doubt::Full,
        }
    }
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
fn shown_figures(reading: &Reading) -> Vec<&Indication> {
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
    let shown = match (reading, of.overload_top(slot)) {
        (Reading::Overload { range: None }, Some(top)) => {
            let top = of.corrected(slot, top, written(top));
            Range::between(End::open(top), Range::whole().high)
        }
        _ => by_itself(reading, *reduce, &|one| of.corrected(slot, one.value, figure(one)))?,
    };
    let range = of.floored(shown, *kind);
    let digit = shown_figures(reading)
        .into_iter()
        .map(half_step)
        .reduce(|a, b| if a.below(b) { b } else { a })
        .unwrap_or(Real::ZERO);
    widened(range, &of.errors(slot).0, digit, doubt)
}

impl Judge<'_> {
    /// Without the values below zero that a kind doesn't have.
    fn floored(&self, range: Range, kind: Kind) -> Range {
        let nothing_below = self.catalogue.kind(kind).floor == Floor::Zero;
        if nothing_below && range.low.at == Real::MinusInfinity && !range.high.at.below(Real::ZERO)
        {
            range.from(End::closed(Real::ZERO))
        } else {
            range
        }
    }
}

/// A point of the sweep in a slot.
pub(super) fn point(of: &Judge, slot: SlotId, figure: &Indication, doubt: Doubt) -> Known<Range> {
    let corrected = of.corrected(slot, figure.value, self::figure(figure));
    widened(Range::point(corrected), &of.errors_of_figure(slot, figure).0, half_step(figure), doubt)
}

/// A figure that nothing was measured with: the place of a point of a sweep.
pub(super) fn indication(of: &Indication, doubt: Doubt) -> Known<Range> {
    let digit = half_step(of);
    let errors = Errors { own: vec![digit.enclosed().1], ..Errors::default() };
    widened(Range::point(figure(of)), &errors, digit, doubt)
}

/// By what the errors reach, or by so many standard uncertainties. Where there is nothing but half
/// of the last `digit` as written, that is exact.
fn widened(range: Range, errors: &Errors, digit: Real, doubt: Doubt) -> Known<Range> {
    let half = digit.enclosed().1;
    let by = match doubt {
        _ if errors.reach() == 0.0 => return Ok(range),
        Doubt::Nothing | Doubt::Guard(0.0) => return Ok(range),
        Doubt::Full if errors.is_only(half) => digit,
        Doubt::Full => Real::Near(errors.reach(), errors.reach().next_up()),
        // u is a square root, or a half-width over one: from here on this is no longer exact.
        Doubt::Guard(k) => Real::Near(k * errors.standard(), (k * errors.standard()).next_up()),
    };
    range.add(Range::between(End::closed(by.negate()), End::closed(by)))
}

/// What the figures of a reading leave possible, each of them taken for what `figure` says.
fn by_itself(
    reading: &Reading,
    reduce: Reduction,
    figure: &dyn Fn(&Indication) -> Real,
) -> Known<Range> {
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
        Reading::Repeats(figures) => reduced(figures.iter().map(figure), reduce)?,
        Reading::Sweep(points) => points
            .iter()
            .map(|(_, one)| Range::point(figure(one)))
            .reduce(Range::hull)
            .ok_or(Unknown::NotTaken)?,
    })
}

fn reduced(figures: impl ExactSizeIterator<Item = Real>, reduce: Reduction) -> Known<Range> {
    let count = Real::whole(figures.len());
    let mut points = figures.map(Range::point);
    let first = points.next().ok_or(Unknown::NotTaken)?;
    match reduce {
        Reduction::Min => Ok(points.fold(first, Range::least)),
        Reduction::Max => Ok(points.fold(first, Range::greatest)),
        Reduction::Mean => points.try_fold(first, Range::add)?.divide(Range::point(count)),
    }
}

/// Whether a reading is doubted before the machine is. What its meter cannot say of its uncertainty
/// matters where that does.
pub(super) fn doubted(judge: &Judge, slot: SlotId, uncertain: bool) -> bool {
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
    let unfit = match judge.errors(slot).1 {
        Some(Unfit::NoAccuracy | Unfit::Frequency { at: None, .. }) => uncertain,
        Some(_) => true,
        None => false,
    };
    elsewhere || unfit || implausible(judge, reading, of)
}

fn implausible(judge: &Judge, reading: &Reading, of: &Slot) -> bool {
    let SlotKind::Quantity { kind, reduce, plausible: Some(plausible), .. } = &of.kind else {
        return false;
    };
    let figures = shown_figures(reading);
    if figures.is_empty() {
        // A bound is implausible where nothing that it leaves possible is plausible.
        let shown = by_itself(reading, *reduce, &figure);
        return shown.is_ok_and(|shown| apart(judge.floored(shown, *kind), plausible));
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
