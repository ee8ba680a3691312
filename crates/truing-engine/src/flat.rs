//! A reading as a few flat numbers, made once when it is put on a sheet.
//!
//! What a reading makes possible is laid down in [`crate::reference`].

use truing_model::{
    Circuit, Edge, Indication, Interval, Reading, Reduction, Slot, SlotKind, StateId,
};
use truing_units::{Catalogue, Exact, Floor, Kind};

use crate::doubt::Doubt;
use crate::enclosure::{Enclosure, Fixed, dyadic};
use crate::finding::Slip;
use crate::fitness::Unfit;
use crate::sheet::word_count;
use crate::span::{Mark, Span};

/// What a sheet knows of a slot.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct FlatSlot {
    /// How many words can be seen; `None` where a figure is read.
    pub words: Option<usize>,
    pub reduce: Reduction,
    pub plausible: Option<Interval>,
    /// No value of this kind is below zero.
    pub never_negative: bool,
    pub during: Option<StateId>,
    pub over: Option<Kind>,
    /// What a figure is of; `None` where words are seen.
    pub kind: Option<Kind>,
    pub circuit: Option<Circuit>,
    /// The instrument itself holds the least or the greatest value.
    pub captured: bool,
    /// It says at which frequency it is read.
    pub has_frequency: bool,
}

impl FlatSlot {
    pub fn new(slot: &Slot, catalogue: &Catalogue) -> Self {
        let words = word_count(&slot.kind);
        let (reduce, plausible, never_negative, over) = match &slot.kind {
            SlotKind::Quantity { kind, plausible, reduce, over, .. } => {
                let never_negative = catalogue.kind(*kind).floor == Floor::Zero;
                (*reduce, plausible.clone(), never_negative, *over)
            }
            SlotKind::Words(_) => (Reduction::default(), None, false, None),
        };
        let captured = matches!(slot.kind, SlotKind::Quantity { capture: Some(_), .. });
        let kind = match slot.kind {
            SlotKind::Quantity { kind, .. } => Some(kind),
            SlotKind::Words(_) => None,
        };
        Self {
            words,
            reduce,
            plausible,
            never_negative,
            during: slot.during,
            over,
            kind,
            circuit: slot.circuit,
            captured,
            has_frequency: slot.frequency.is_some(),
        }
    }
}

/// The flat form of a reading.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct FlatReading {
    /// What is possible by the reading alone.
    pub near: Enclosure,
    /// How far the true value may lie from it: half a unit of the last digit, and what comes of
    /// the meter; nought where none applies.
    pub half: f64,
    /// Its standard uncertainty.
    pub standard: f64,
    pub flags: u16,
    pub word: u16,
}

impl FlatReading {
    /// There is a reading.
    pub const TAKEN: u16 = 1;
    /// It is a single figure.
    pub const POINT: u16 = 2;
    /// It lies outside what is plausible.
    pub const IMPLAUSIBLE: u16 = 4;
    /// It was taken in another state.
    pub const OTHER_STATE: u16 = 8;
    /// It is overload.
    pub const OVERLOAD: u16 = 16;
    /// It is a sweep.
    pub const SWEEP: u16 = 32;
    /// It is a word.
    pub const WORD: u16 = 64;
    /// Its meter is not fit for it.
    pub const UNFIT: u16 = 128;
    /// Its meter is not fit for saying how uncertain it is.
    pub const UNFIT_FOR_DOUBT: u16 = 256;
    /// One of its errors has no ends: `half` is where three standard uncertainties are.
    pub const TAILED: u16 = 512;
    /// Its errors and the fitness of its meter go by a frequency that is to be worked out.
    pub const BANDED: u16 = 1024;
    /// There is more to its errors than half of the last digit as written.
    pub const METERED: u16 = 2048;
    /// It was taken with a diode function that applies a voltage of its own.
    pub const DIODE: u16 = 4096;
    /// Other readings share some of its errors, or are correlated with it.
    pub const SHARED: u16 = 8192;
    /// More has to be asked than how it stands to a limit.
    pub const SPECIAL: u16 = Self::BANDED | Self::DIODE;
    /// Doubted for one reason or another.
    pub const DOUBTED: u16 = Self::IMPLAUSIBLE | Self::OTHER_STATE | Self::UNFIT;

    pub const NOTHING: Self =
        Self { near: Enclosure::WHOLE, half: 0.0, standard: 0.0, flags: 0, word: 0 };

    pub const fn has(&self, flags: u16) -> bool {
        self.flags & flags != 0
    }

    /// Takes in the errors of the reading.
    pub fn doubt(&mut self, doubt: &Doubt, unfit: Option<&Unfit>, banded: bool) {
        if !self.has(Self::TAKEN) || self.has(Self::WORD) {
            return;
        }
        let mut set = |flag: u16, on: bool| self.flags |= if on { flag } else { 0 };
        set(Self::METERED, !doubt.is_digit(self.half));
        set(Self::TAILED, doubt.is_tailed());
        set(Self::SHARED, doubt.is_shared());
        set(Self::BANDED, banded);
        match unfit {
            Some(_) if banded => {}
            Some(unfit) if unfit.is_of_doubt_only() => set(Self::UNFIT_FOR_DOUBT, true),
            Some(_) => set(Self::UNFIT, true),
            None => {}
        }
        self.half = doubt.reach();
        self.standard = doubt.standard();
    }
}

/// The flat form of what is judged of a reading in a slot; `shown` is what the display showed.
pub(crate) fn flatten(
    slot: &FlatSlot,
    reading: &Reading,
    shown: &Reading,
    state: Option<StateId>,
) -> FlatReading {
    let mut flat = FlatReading { flags: FlatReading::TAKEN, ..FlatReading::NOTHING };
    match reading {
        Reading::NotTaken { .. } => return FlatReading::NOTHING,
        Reading::Word(word) => {
            flat.word = *word;
            flat.flags |= FlatReading::WORD;
        }
        Reading::Figure(figure) => {
            flat.near = around(figure);
            flat.half = figure.half_step;
            flat.flags |= FlatReading::POINT;
        }
        Reading::Overload { range } => {
            flat.near.lo = range.as_ref().map_or(f64::NEG_INFINITY, |range| around(range).lo);
            flat.flags |= FlatReading::OVERLOAD;
        }
        Reading::Above { bound, .. } => flat.near.lo = around(bound).lo,
        Reading::Below { bound, .. } => flat.near.hi = around(bound).hi,
        Reading::Between { low, high } => flat.near = around(low).hull(around(high)),
        Reading::Unsteady { low, high, .. } => {
            flat.near = around(low).hull(around(high));
            flat.half = low.half_step.max(high.half_step);
        }
        Reading::Repeats(figures) => {
            flat.near = reduced(figures, slot.reduce);
            flat.half = coarsest(figures.iter());
            flat.flags |= FlatReading::POINT;
        }
        Reading::Sweep(points) => {
            let hull = points.iter().map(|(_, figure)| around(figure)).reduce(Enclosure::hull);
            flat.near = hull.unwrap_or(Enclosure::WHOLE);
            flat.half = coarsest(points.iter().map(|(_, figure)| figure));
            flat.flags |= FlatReading::SWEEP;
        }
    }
    if slot.never_negative && flat.near.lo == f64::NEG_INFINITY && flat.near.hi >= 0.0 {
        flat.near.lo = 0.0;
    }
    if implausible(slot, shown).is_some() {
        flat.flags |= FlatReading::IMPLAUSIBLE;
    }
    flat.flags |= other_state(slot, state);
    flat
}

/// The flat form of a single figure, which is judged as it was shown. Its standard uncertainty is
/// that of its errors.
pub(crate) fn flat_figure(
    slot: &FlatSlot,
    figure: &Indication,
    state: Option<StateId>,
) -> FlatReading {
    let mut flags = FlatReading::TAKEN | FlatReading::POINT | other_state(slot, state);
    if slot.plausible.as_ref().is_some_and(|plausible| !holds(plausible, figure)) {
        flags |= FlatReading::IMPLAUSIBLE;
    }
    let (near, half) = (around(figure), figure.half_step);
    FlatReading { near, half, standard: 0.0, flags, word: 0 }
}

fn other_state(slot: &FlatSlot, state: Option<StateId>) -> u16 {
    match (slot.during, state) {
        (Some(wanted), Some(taken)) if wanted != taken => FlatReading::OTHER_STATE,
        _ => 0,
    }
}

fn around(figure: &Indication) -> Enclosure {
    Enclosure::around(figure.value, figure.exact.or_else(|| dyadic(figure.value)))
}

fn coarsest<'a>(figures: impl Iterator<Item = &'a Indication>) -> f64 {
    figures.map(|figure| figure.half_step).fold(0.0, f64::max)
}

fn reduced(figures: &[Indication], reduce: Reduction) -> Enclosure {
    let each = figures.iter().map(around);
    let reduced = match reduce {
        Reduction::Min => each.reduce(Enclosure::least),
        Reduction::Max => each.reduce(Enclosure::greatest),
        Reduction::Mean => {
            // Figures and their number are far below where doubles end: neither step can fail.
            let sum = each.reduce(|sum, next| sum.add(next).unwrap_or(Enclosure::WHOLE));
            let count = Enclosure::point(figures.len() as f64);
            sum.and_then(|sum| if figures.len() == 1 { Some(sum) } else { sum.divide(count).ok() })
        }
    };
    reduced.unwrap_or(Enclosure::WHOLE)
}

/// What is possible by the reading alone, exactly.
pub(crate) fn exact_span(slot: &FlatSlot, reading: &Reading) -> Option<Span> {
    let open = |figure: &Indication, open: bool| exact(figure).map(|at| Mark { at, open });
    let span = match reading {
        Reading::NotTaken { .. } | Reading::Word(_) => return None,
        Reading::Figure(figure) => Span::point(exact(figure)?),
        Reading::Overload { range: None } => Span { low: None, high: None },
        Reading::Overload { range: Some(range) } => {
            Span { low: Some(open(range, true)?), high: None }
        }
        Reading::Above { bound, inclusive } => {
            Span { low: Some(open(bound, !inclusive)?), high: None }
        }
        Reading::Below { bound, inclusive } => {
            Span { low: None, high: Some(open(bound, !inclusive)?) }
        }
        Reading::Between { low, high } => {
            Span { low: Some(open(low, false)?), high: Some(open(high, true)?) }
        }
        Reading::Unsteady { low, high, .. } => {
            Span { low: Some(open(low, false)?), high: Some(open(high, false)?) }
        }
        Reading::Repeats(figures) => exact_reduced(figures, slot.reduce)?,
        Reading::Sweep(points) => exact_hull(points)?,
    };
    let floor = Some(Mark::closed(Exact::ZERO));
    match span.high {
        Some(high) if high.at.ratio().numer() < 0 => Some(span),
        _ if slot.never_negative && span.low.is_none() => Some(Span { low: floor, ..span }),
        _ => Some(span),
    }
}

fn exact_hull(points: &[(Indication, Indication)]) -> Option<Span> {
    let mut hull: Option<Span> = None;
    for (_, figure) in points {
        let point = Span::point(exact(figure)?);
        hull = Some(hull.map_or(point, |hull| hull.hull(point)));
    }
    hull
}

fn exact_reduced(figures: &[Indication], reduce: Reduction) -> Option<Span> {
    let mut total: Option<Span> = None;
    for figure in figures {
        let next = Span::point(exact(figure)?);
        total = Some(match (total, reduce) {
            (None, _) => next,
            (Some(total), Reduction::Min) => total.least(next),
            (Some(total), Reduction::Max) => total.greatest(next),
            (Some(total), Reduction::Mean) => total.add(next)?,
        });
    }
    if reduce == Reduction::Mean {
        let count = i64::try_from(figures.len()).ok()?;
        return total?
            .divide(Span::point(Exact::from(truing_units::Rational::from_integer(count))));
    }
    total
}

/// A figure exactly; where its digits exceed what exact arithmetic holds, the double is meant.
pub(crate) fn exact(figure: &Indication) -> Option<Exact> {
    figure.exact.or_else(|| dyadic(figure.value))
}

/// Half a unit of the coarsest last digit of a reading, exactly.
pub(crate) fn exact_half(reading: &Reading) -> Option<Exact> {
    let coarser = |a: Exact, b: Exact| if a.compare(b).is_lt() { b } else { a };
    match reading {
        Reading::Figure(figure) => half_step(figure),
        Reading::Unsteady { low, high, .. } => Some(coarser(half_step(low)?, half_step(high)?)),
        Reading::Repeats(figures) => figures
            .iter()
            .try_fold(Exact::ZERO, |most, figure| Some(coarser(most, half_step(figure)?))),
        Reading::Sweep(points) => points
            .iter()
            .try_fold(Exact::ZERO, |most, (_, figure)| Some(coarser(most, half_step(figure)?))),
        _ => Some(Exact::ZERO),
    }
}

/// Half a unit of the last digit shown, exactly: from the digits where they agree with the figure
/// that is carried, else what the double says.
pub(crate) fn half_step(figure: &Indication) -> Option<Exact> {
    let shown = figure.shown.figure.half_step().to_rational();
    let from_digits =
        shown.and_then(|half| Exact::from(half).checked_mul(figure.shown.unit.factor()));
    let agrees = |half: &Exact| {
        (half.to_f64() - figure.half_step).abs() <= 4.0 * f64::EPSILON * figure.half_step
    };
    from_digits.filter(agrees).or_else(|| dyadic(figure.half_step))
}

/// The first figure of a reading that is not plausible, and the slip that would explain it. Each
/// figure shown has to be plausible; what is only a bound has to leave something plausible over.
pub(crate) fn implausible(slot: &FlatSlot, reading: &Reading) -> Option<Option<Slip>> {
    let plausible = slot.plausible.as_ref()?;
    let doubtful = |figure: &Indication| !holds(plausible, figure);
    let first = match reading {
        Reading::Figure(figure) => Some(figure).filter(|figure| doubtful(figure)),
        Reading::Unsteady { low, high, .. } => {
            [low, high].into_iter().find(|figure| doubtful(figure))
        }
        Reading::Repeats(figures) => figures.iter().find(|figure| doubtful(figure)),
        Reading::Sweep(points) => {
            points.iter().map(|(_, figure)| figure).find(|figure| doubtful(figure))
        }
        _ => return apart(slot, reading, plausible).then_some(None),
    };
    first.map(|figure| slip(plausible, figure))
}

/// Whether nothing of a bound is plausible.
fn apart(slot: &FlatSlot, reading: &Reading, plausible: &Interval) -> bool {
    let Some(span) = exact_span(slot, reading) else { return false };
    let edge = |edge: &Edge| Fixed::edge(edge).exact.map(|at| Mark { at, open: edge.open });
    // An empty overlap is one span wholly on one side of the other: not even the ends are shared.
    let beyond = |low: Option<Mark>, high: Option<Mark>| match (low, high) {
        (Some(low), Some(high)) => match low.at.compare(high.at) {
            std::cmp::Ordering::Greater => true,
            std::cmp::Ordering::Equal => low.open || high.open,
            std::cmp::Ordering::Less => false,
        },
        _ => false,
    };
    beyond(span.low, plausible.high.as_ref().and_then(edge))
        || beyond(plausible.low.as_ref().and_then(edge), span.high)
}

fn holds(interval: &Interval, figure: &Indication) -> bool {
    lies_within(interval, figure.value, exact(figure))
}

/// Whether a single value lies within an interval. Doubles decide where they differ by more than
/// their rounding, the exact values where they do not.
fn lies_within(interval: &Interval, value: f64, exact: Option<Exact>) -> bool {
    let against = |edge: &Edge| {
        let gap = value - edge.value;
        match (exact, edge.exact.or_else(|| dyadic(edge.value))) {
            (Some(value), Some(edge)) if gap.abs() <= 1e-14 * edge.to_f64().abs() => {
                value.compare(edge)
            }
            _ => value.total_cmp(&(edge.value + 0.0)),
        }
    };
    let above = interval.low.as_ref().is_none_or(|edge| match against(edge) {
        std::cmp::Ordering::Less => false,
        std::cmp::Ordering::Equal => !edge.open,
        std::cmp::Ordering::Greater => true,
    });
    let below = interval.high.as_ref().is_none_or(|edge| match against(edge) {
        std::cmp::Ordering::Greater => false,
        std::cmp::Ordering::Equal => !edge.open,
        std::cmp::Ordering::Less => true,
    });
    above && below
}

/// The slip that makes a figure plausible: first the sign, then a factor of a thousand.
fn slip(plausible: &Interval, figure: &Indication) -> Option<Slip> {
    let thousand = Exact::from(truing_units::Rational::from_integer(1000));
    let plain = exact(figure);
    let mended = [
        (Slip::Sign, -figure.value, plain.and_then(|at| Exact::ZERO.checked_sub(at))),
        (
            Slip::ThousandTimesTooMuch,
            figure.value / 1000.0,
            plain.and_then(|at| at.checked_div(thousand)),
        ),
        (
            Slip::ThousandTimesTooLittle,
            figure.value * 1000.0,
            plain.and_then(|at| at.checked_mul(thousand)),
        ),
    ];
    mended
        .into_iter()
        .find(|(_, value, exact)| *value != 0.0 && lies_within(plausible, *value, *exact))
        .map(|(slip, ..)| slip)
}
