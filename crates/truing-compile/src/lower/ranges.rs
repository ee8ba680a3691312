//! The ranges of one function of an instrument, with their limits of error.

use truing_model::{ErrorTerms, LimitOfError, MeterRange};
use truing_syntax::tree::{
    Accuracy, AccuracyBasis, AccuracyTerm, ErrorSum, Figure, FunctionMember, RangeLine,
};
use truing_syntax::{Diagnostic, Span};
use truing_units::{Decimal, Kind, Measure, Nature, Ty, Unit};

use super::instruments::{difference, not_negative, upward, value};
use crate::context::Context;
use crate::lint;

/// The ranges so far, each with its place in the text.
pub(super) struct Ranges<'c, 'a> {
    cx: &'c Context<'a>,
    kind: Kind,
    /// The band of frequencies of the ranges that say none.
    band: Option<(f64, f64)>,
    /// What capture adds on every range.
    capture: Option<Vec<Vec<Term>>>,
    ranges: Vec<(MeterRange, Span)>,
}

impl<'c, 'a> Ranges<'c, 'a> {
    /// None yet; the band and what capture adds are found first, wherever in the function they stand.
    pub(super) fn new(cx: &'c Context<'a>, kind: Kind, members: &[FunctionMember]) -> Self {
        let mut bands = members.iter().filter_map(|member| match member {
            FunctionMember::Band { low, high } => Some((low, high)),
            _ => None,
        });
        let first = bands.next();
        let band = first.and_then(|(low, high)| frequencies(cx, low, high));
        if let (Some((low, high)), Some((again, to))) = (first, bands.next()) {
            let (first, again) = (low.span.to(high.span), again.span.to(to.span));
            cx.findings.push(lint::defined_twice::given(again, first, "band"));
        }
        let mut new = Self { cx, kind, band, capture: None, ranges: Vec::new() };
        let limit = members.iter().find_map(|member| match member {
            FunctionMember::Capture(limit) => Some(limit),
            _ => None,
        });
        new.capture = limit.and_then(|limit| new.capture(limit, members));
        new
    }

    /// What capture adds, before the step and the span of a range are known.
    fn capture(&self, limit: &Accuracy, members: &[FunctionMember]) -> Option<Vec<Vec<Term>>> {
        let stepless = members.iter().any(|member| match member {
            FunctionMember::Range(line) => line.step.is_none() && !self.cx.is_torn(line.span),
            _ => false,
        });
        let finding: StepFinding = lint::counts_without_step::of_capture;
        let finding = stepless.then_some(finding);
        let each = limit.sums.iter().map(|sum| self.terms(sum, finding, "what capture adds"));
        each.collect::<Vec<_>>().into_iter().collect()
    }

    /// Adds a line, if its ends are sound.
    pub(super) fn line(&mut self, line: &RangeLine) {
        let cx = self.cx;
        let band = match &line.band {
            Some((low, high)) => frequencies(cx, low, high),
            None => self.band,
        };
        let ends = self.ends(line);
        // Its accuracy and its step are looked at even where its ends are not sound.
        let step = line.step.as_ref().map(|figure| self.step(figure, ends.as_ref()));
        let accuracy = line.accuracy.as_ref().and_then(|accuracy| {
            let span = ends.as_ref().map_or(1.0, |ends| ends.top - ends.written_bottom);
            self.accuracy(accuracy, step, span)
        });
        if line.accuracy.is_none() && !cx.is_torn(line.span) {
            cx.findings.push(lint::accuracy_missing::finding(line.span));
        }
        let Some(ends) = ends else { return };
        let span = ends.top - ends.written_bottom;
        let capture = self.capture.as_ref().and_then(|sums| {
            sums.iter().map(|terms| added(terms, step.flatten(), span)).collect::<Option<Vec<_>>>()
        });
        if line.band.is_some() && band.is_none() {
            return;
        }
        let range = MeterRange {
            bottom: ends.bottom,
            top: ends.top,
            printed: Measure { figure: line.top.number, unit: ends.unit },
            nought: ends.nought,
            step: step.flatten(),
            accuracy,
            accuracy_printed: line.accuracy.as_ref().map(|of| cx.files.printed(of.span)),
            capture: capture.map(|sums| LimitOfError { sums }),
            band,
        };
        self.rises(&range, line.top.span);
        self.ranges.push((range, line.top.span));
    }

    /// The ranges, rising by their tops, those of one top by their bands.
    pub(super) fn finish(self) -> Vec<MeterRange> {
        let mut ranges: Vec<MeterRange> = self.ranges.into_iter().map(|(range, _)| range).collect();
        let low = |range: &MeterRange| range.band.map_or(0.0, |(low, _)| low);
        ranges.sort_by(|a, b| a.top.total_cmp(&b.top).then(low(a).total_cmp(&low(b))));
        ranges
    }

    /// Among ranges for one band the next one's top lies higher; one top stands twice for bands
    /// that do not overlap.
    fn rises(&self, range: &MeterRange, span: Span) {
        let findings = &self.cx.findings;
        let same = self
            .ranges
            .iter()
            .find(|(other, _)| other.top == range.top && bands_overlap(other.band, range.band));
        if let Some((_, first)) = same {
            findings.push(lint::ranges_overlap::finding(span, *first));
            return;
        }
        let before = self.ranges.iter().rev().find(|(other, _)| other.band == range.band);
        if let Some((before, first)) = before
            && before.top > range.top
        {
            findings.push(lint::ranges_not_rising::finding(span, *first));
        }
    }

    fn ends(&self, line: &RangeLine) -> Option<Ends> {
        let (cx, kind) = (self.cx, self.kind);
        let unit = |figure: &Figure| figure.unit.as_ref().and_then(|text| cx.unit(text));
        let (written, top, unit) = match &line.bottom {
            Some(bottom) => {
                let (low, high) = upward(cx, bottom, &line.top, kind)?;
                (Some(low), high, unit(&line.top).or_else(|| unit(bottom)))
            }
            None => {
                let top = value(cx, &line.top, kind)?;
                (None, top, unit(&line.top))
            }
        };
        let unit = unit.unwrap_or_else(|| cx.catalogue.coherent_unit(kind));
        let nought = self.nought(&unit);
        let written_bottom = written.unwrap_or(nought);
        if top <= written_bottom {
            cx.findings
                .push(lint::figure_too_low::not_positive(line.top.span, "the top of a range"));
            return None;
        }
        let bottom = match written {
            None if shows_its_sign(kind) => -top,
            _ => written_bottom,
        };
        Some(Ends { bottom, written_bottom, top, nought, unit })
    }

    /// What counts as nought for a part of the reading: where the unit's own scale has it.
    fn nought(&self, unit: &Unit) -> f64 {
        if !matches!(self.cx.catalogue.kind(self.kind).nature, Nature::Point { .. }) {
            return 0.0;
        }
        let nought = Measure { figure: Decimal::new(0, 0), unit: unit.clone() };
        nought.coherent(self.cx.catalogue.place(Ty::Kind(self.kind)))
    }

    fn step(&self, figure: &Figure, ends: Option<&Ends>) -> Option<f64> {
        let cx = self.cx;
        let step = value(cx, figure, difference(cx, self.kind))?;
        if step <= 0.0 {
            cx.findings.push(lint::step_unfit::not_positive(figure.span));
            return None;
        }
        if ends.is_some_and(|ends| step > ends.top - ends.written_bottom) {
            cx.findings.push(lint::step_unfit::coarse(figure.span));
            return None;
        }
        Some(step)
    }

    /// `step` is `None` where none is written, and holds `None` where it has its finding.
    fn accuracy(
        &self,
        accuracy: &Accuracy,
        step: Option<Option<f64>>,
        span: f64,
    ) -> Option<LimitOfError> {
        let sums: Vec<Option<ErrorTerms>> =
            accuracy.sums.iter().map(|sum| self.sum(sum, step, span)).collect();
        let sums = sums.into_iter().collect::<Option<Vec<_>>>()?;
        if sums.iter().all(|sum| *sum == ErrorTerms::default()) {
            self.cx.findings.push(lint::accuracy_nought::finding(accuracy.span));
        }
        Some(LimitOfError { sums })
    }

    fn sum(&self, sum: &ErrorSum, step: Option<Option<f64>>, span: f64) -> Option<ErrorTerms> {
        let finding: StepFinding = lint::counts_without_step::finding;
        let finding = step.is_none().then_some(finding);
        added(&self.terms(sum, finding, "an accuracy")?, step.flatten(), span)
    }

    /// The terms of a sum, if all are sound. `stepless` is what a count is told where no step is
    /// written that it could be of.
    fn terms(
        &self,
        sum: &ErrorSum,
        stepless: Option<StepFinding>,
        what: &str,
    ) -> Option<Vec<Term>> {
        let cx = self.cx;
        let term = |term: &AccuracyTerm| {
            let figure = &term.figure;
            let of = |kind| not_negative(cx, figure, kind, what);
            let amount = match term.basis {
                AccuracyBasis::Reading | AccuracyBasis::Span => of(Kind::RATIO),
                AccuracyBasis::Absolute => of(difference(cx, self.kind)),
                AccuracyBasis::Counts => {
                    // `1 count`: the word stands where a unit would.
                    let plain = Figure { unit: None, ..figure.clone() };
                    let counts = not_negative(cx, &plain, Kind::RATIO, what);
                    if let Some(finding) = stepless {
                        cx.findings.push(finding(figure.span));
                    }
                    counts
                }
            };
            amount.map(|amount| Term { basis: term.basis, amount })
        };
        let terms: Vec<Option<Term>> = sum.terms.iter().map(term).collect();
        terms.into_iter().collect()
    }
}

type StepFinding = fn(Span) -> Diagnostic;

/// A term of a limit of error: a part, counts, or an amount in the coherent unit.
#[derive(Copy, Clone)]
struct Term {
    basis: AccuracyBasis,
    amount: f64,
}

/// The terms added up for a range of this span; none where one counts steps that there are none of.
fn added(terms: &[Term], step: Option<f64>, span: f64) -> Option<ErrorTerms> {
    let mut out = ErrorTerms::default();
    for Term { basis, amount } in terms {
        // Terms of one sort add up.
        match basis {
            AccuracyBasis::Reading => out.reading += amount,
            AccuracyBasis::Span => out.span += amount * span,
            AccuracyBasis::Absolute => out.absolute += amount,
            AccuracyBasis::Counts => out.counts += amount * step?,
        }
    }
    Some(out)
}

/// The ends of a range.
struct Ends {
    bottom: f64,
    /// The bottom as written, or nought: what the span is counted from.
    written_bottom: f64,
    top: f64,
    nought: f64,
    unit: Unit,
}

/// Whether a meter shows readings of this kind with their sign, so that a range reaches as far
/// below nought as above it.
fn shows_its_sign(kind: Kind) -> bool {
    [Kind::DC_VOLTAGE, Kind::DC_CURRENT].contains(&kind)
}

/// A band of frequencies, from nought or more upward.
fn frequencies(cx: &Context<'_>, low: &Figure, high: &Figure) -> Option<(f64, f64)> {
    let band = upward(cx, low, high, Kind::FREQUENCY)?;
    if band.0 < 0.0 {
        cx.findings.push(lint::figure_too_low::negative(low.span, "a frequency"));
        return None;
    }
    Some(band)
}

/// Whether two bands have more in common than one end; none at all means every frequency.
fn bands_overlap(one: Option<(f64, f64)>, other: Option<(f64, f64)>) -> bool {
    match (one, other) {
        (Some((low, high)), Some((from, to))) => low < to && from < high,
        _ => true,
    }
}
