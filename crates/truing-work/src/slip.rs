//! Slips of the hand and of the meter, noticed before a reading is recorded.
//!
//! Each is asked back once, and the same reading said again is taken. Nothing is put right by itself.

use truing::engine::{Because, Finding, Sheet, Unfit};
use truing::model::{Band, Edge, Indication, Interval, Outcome, Reading, SlotId, SlotKind, Spec};
use truing::report::reason_text;
use truing::units::Kind;

use crate::bench::{Bench, Judged};
use crate::meters::is_electrical;
use crate::scale::{Gauge, judges};
use crate::typed::Typed;

/// What may have gone wrong with a reading.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Slip {
    /// The number with another unit would be plausible, or within its limit.
    Thousand {
        /// The reading with the other unit: `138 mV`.
        other: String,
    },
    /// It is plausible with the other sign.
    Sign,
    /// It is not plausible, and no slip is known that explains it.
    Implausible,
    /// Next to nothing where the limit asks for much: the meter may stand on the wrong function.
    NextToNothing,
    /// The meter cannot have shown it: it does not reach so far, or shows fewer digits.
    Unfit {
        /// Why, in a sentence.
        why: String,
    },
    /// The same figure so many times in a row: the display may be held.
    Held,
}

/// A reading that fails by less than this is a reading: it is not asked for another unit.
const FAR: f64 = 30.0;

/// The sixth of the same figure in a row is asked back.
pub const HELD: usize = 6;

/// The slips that would explain a reading, the gravest first. `judged` is the round with the reading
/// in it; `with` gives the round with another text in its place.
#[must_use]
pub fn slips(
    bench: &Bench,
    slot: SlotId,
    typed: &Typed,
    judged: &Judged,
    with: impl Fn(&str) -> Option<Judged>,
) -> Vec<Slip> {
    let spec = bench.spec();
    let Some(Reading::Figure(shown)) = judged.sheet.get(slot) else {
        return implausible_bound(spec, slot, &judged.sheet);
    };
    let (Some(gauge), Some((number, unit))) = (Gauge::of(spec, slot), &typed.figure) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    let plausible = is_plausible(spec, slot, shown.value);
    let far = far_outside(bench, slot, judged);
    if !plausible || far {
        let others = gauge.neighbours(unit).into_iter().map(|unit| format!("{number} {unit}"));
        let fits = |other: &String| {
            with(other).is_some_and(|round| {
                let value = figure(&round.sheet, slot).map(|figure| figure.value);
                let better = value.is_some_and(|value| is_plausible(spec, slot, value));
                let fits = passes(bench, slot, &round);
                better && (fits || (!plausible && !far_outside(bench, slot, &round)))
            })
        };
        if let Some(other) = others.into_iter().find(fits) {
            found.push(Slip::Thousand { other });
        }
    }
    if !plausible && found.is_empty() {
        let turned = is_plausible(spec, slot, -shown.value);
        found.push(if turned { Slip::Sign } else { Slip::Implausible });
    }
    found.extend(unfit(bench, slot, judged));
    if found.is_empty() && next_to_nothing(bench, slot, judged, shown, gauge.kind) {
        found.push(Slip::NextToNothing);
    }
    found
}

/// That the meter cannot have shown this.
fn unfit(bench: &Bench, slot: SlotId, judged: &Judged) -> Option<Slip> {
    let cannot = |unfit: &Unfit| {
        matches!(unfit, Unfit::AboveRange { .. } | Unfit::Digits { .. } | Unfit::NoSuchRange { .. })
    };
    let shown_by_none = |finding: &&Finding| matches!(&finding.reason.because, Because::Unfit { slot: of, unfit } if *of == slot && cannot(unfit));
    let finding = judged.findings.findings.iter().find(shown_by_none)?;
    let why = reason_text(bench.spec(), &judged.sheet, &judged.findings, finding);
    Some(Slip::Unfit { why })
}

/// A bound or a range of figures that lies outside what is plausible as a whole.
fn implausible_bound(spec: &Spec, slot: SlotId, sheet: &Sheet) -> Vec<Slip> {
    let outside = match sheet.get(slot) {
        Some(Reading::Repeats(figures)) => {
            figures.iter().any(|figure| !is_plausible(spec, slot, figure.value))
        }
        Some(Reading::Unsteady { low, high, .. } | Reading::Between { low, high }) => {
            [low, high].iter().any(|figure| !is_plausible(spec, slot, figure.value))
        }
        _ => false,
    };
    if outside { vec![Slip::Implausible] } else { Vec::new() }
}

fn figure(sheet: &Sheet, slot: SlotId) -> Option<&Indication> {
    match sheet.get(slot) {
        Some(Reading::Figure(figure)) => Some(figure),
        _ => None,
    }
}

fn is_plausible(spec: &Spec, slot: SlotId, value: f64) -> bool {
    let kind = spec.slot(slot).map(|slot| &slot.kind);
    let Some(SlotKind::Quantity { plausible: Some(band), .. }) = kind else { return true };
    inside(band, value)
}

fn inside(band: &Interval, value: f64) -> bool {
    let above = |edge: &Edge| if edge.open { value > edge.value } else { value >= edge.value };
    let below = |edge: &Edge| if edge.open { value < edge.value } else { value <= edge.value };
    band.low.as_ref().is_none_or(above) && band.high.as_ref().is_none_or(below)
}

/// Whether the checks that judge the reading as it is pass, as far as they are decided.
fn passes(bench: &Bench, slot: SlotId, judged: &Judged) -> bool {
    let mut decided = of_slot(bench, slot, judged)
        .map(|finding| finding.outcome)
        .filter(|outcome| outcome.passes() || outcome.fails())
        .peekable();
    decided.peek().is_some() && decided.all(Outcome::passes)
}

/// Whether a check that judges the reading as it is failed by so much that a slip is likelier.
fn far_outside(bench: &Bench, slot: SlotId, judged: &Judged) -> bool {
    of_slot(bench, slot, judged).any(|finding| {
        let band = finding.reason.limit.as_ref().map(|limit| &limit.band);
        let value = finding.reason.value.and_then(|value| value.best);
        let (Some(band), Some(value), true) = (band, value, finding.outcome.fails()) else {
            return false;
        };
        is_far(band, value.abs())
    })
}

fn is_far(band: &Band, size: f64) -> bool {
    let band = band.service.as_ref().unwrap_or(&band.standard);
    let above = band.high.as_ref().is_some_and(|edge| edge.value > 0.0 && size > FAR * edge.value);
    let below = band.low.as_ref().is_some_and(|edge| edge.value > FAR * size);
    above || below
}

/// `0.0 V` of an alternating voltage that should be tens of volts: the meter stands on dc.
fn next_to_nothing(
    bench: &Bench,
    slot: SlotId,
    judged: &Judged,
    shown: &Indication,
    kind: Kind,
) -> bool {
    const SHARE: f64 = 100.0;
    let alternating = matches!(kind, Kind::AC_VOLTAGE | Kind::AC_CURRENT);
    alternating
        && of_slot(bench, slot, judged).any(|finding| {
            let band = finding.reason.limit.as_ref().map(|limit| &limit.band.standard);
            let low = band.and_then(|band| band.low.as_ref());
            matches!(finding.outcome, Outcome::Outside(_))
                && low.is_some_and(|edge| edge.value > SHARE * shown.value.abs())
        })
}

/// The findings of the checks that judge this reading as it is.
fn of_slot<'a>(
    bench: &'a Bench,
    slot: SlotId,
    judged: &'a Judged,
) -> impl Iterator<Item = &'a Finding> {
    let spec = bench.spec();
    let of = spec.check_ids().filter(move |(_, check)| judges(spec, check, slot));
    of.filter_map(|(id, _)| judged.findings.of(id))
}

/// Counts equal figures that are typed one after the other.
#[derive(Clone, Debug, Default)]
pub struct Same {
    last: Option<String>,
    times: usize,
}

impl Same {
    /// Whether this would be one too many of the same.
    #[must_use]
    pub fn would_be_held(&self, kind: Kind, typed: &Typed) -> bool {
        is_electrical(kind)
            && typed.figure.is_some()
            && self.last.as_deref() == Some(typed.text.as_str())
            && (self.times + 1).is_multiple_of(HELD)
    }

    /// Counts one that is recorded.
    pub fn count(&mut self, kind: Kind, typed: &Typed) {
        if !is_electrical(kind) || typed.figure.is_none() {
            return;
        }
        if self.last.as_deref() == Some(typed.text.as_str()) {
            self.times += 1;
        } else {
            (self.last, self.times) = (Some(typed.text.clone()), 1);
        }
    }
}
