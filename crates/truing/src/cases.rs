//! A spec's own tests.

use std::sync::Arc;

use truing_engine::{Evaluator, Findings, MeterUse, Sheet, Value};
use truing_model::{
    Case, CheckId, Expectation, NumberId, NumberNode, OutcomePattern, SlotId, SlotKind, Spec,
};
use truing_report::{CaseResult, ExpectationResult, reason_text};
use truing_units::{Measure, Place, Ty, figure_text, from_coherent};

use crate::case_suspects::ExpectedSuspect;
use crate::compiled::Compiled;

/// Runs every case of a spec, in the order in which they stand.
#[must_use]
pub fn run_cases(compiled: &Compiled) -> Vec<CaseResult> {
    compiled.spec().cases.iter().map(|case| run(compiled, case)).collect()
}

/// A case passes where everything came as expected, and something was expected.
fn run(compiled: &Compiled, case: &Case) -> CaseResult {
    let spec = compiled.spec();
    let (sheet, refused) = sheet_of(spec, case);
    let mut evaluator = compiled.plan().evaluator();
    let findings = evaluator.findings(spec, &sheet);
    let mut run = Run { compiled, spec, sheet: &sheet, findings: &findings, evaluator };
    let mut expectations: Vec<ExpectationResult> =
        case.expectations.iter().map(|it| run.expectation(it)).collect();
    expectations.extend(refused);
    CaseResult {
        name: case.name.clone(),
        title: case.title.clone(),
        place: case.place.clone(),
        passed: !expectations.is_empty() && expectations.iter().all(|it| it.passed),
        expectations,
    }
}

/// The case's readings on a sheet. What cannot stand there fails the case by itself.
fn sheet_of(spec: &Spec, case: &Case) -> (Sheet, Vec<ExpectationResult>) {
    let mut sheet = Sheet::new(spec);
    let mut refused = Vec::new();
    for (slot, reading) in &case.readings {
        if let Err(error) = sheet.set(*slot, reading.clone()) {
            let label = spec.slot(*slot).map_or("", |slot| slot.label.as_str());
            refused.push(refusal(label, &error));
        }
    }
    for (slot, meter) in measured(spec, case) {
        if let Err(error) = sheet.measure_with(slot, meter) {
            let label = spec.slot(slot).map_or("", |slot| slot.label.as_str());
            refused.push(refusal(label, &error));
        }
    }
    for (property, value) in &case.properties {
        if let Err(error) = sheet.set_property(*property, value.clone()) {
            let label = spec.property(*property).map_or("", |property| property.name.as_str());
            refused.push(refusal(label, &error));
        }
    }
    if let Some(rule) = case.decide
        && let Err(error) = sheet.decide(rule)
    {
        refused.push(refusal("decide", &error));
    }
    (sheet, refused)
}

/// The readings of a case that its meter takes, each with the meter.
fn measured<'c>(spec: &'c Spec, case: &'c Case) -> impl Iterator<Item = (SlotId, MeterUse)> + 'c {
    let meter = case.meter.as_deref().and_then(|name| spec.instrument_named(name));
    let instrument = meter.and_then(|id| spec.instrument(id)).cloned().map(Arc::new);
    case.readings.iter().filter_map(move |(slot, _)| {
        let instrument = instrument.as_ref()?;
        match spec.slot(*slot)?.kind {
            SlotKind::Quantity { kind, .. } => instrument.function(kind)?,
            SlotKind::Words(_) => return None,
        };
        Some((*slot, MeterUse::new(instrument.name.as_str(), Arc::clone(instrument))))
    })
}

fn refusal(subject: &str, error: &truing_engine::SheetError) -> ExpectationResult {
    ExpectationResult {
        subject: subject.to_owned(),
        expected: "a value that can stand there".to_owned(),
        came: "one that cannot".to_owned(),
        passed: false,
        check: None,
        why: Some(error.to_string()),
    }
}

/// One case with what came of it.
struct Run<'r> {
    compiled: &'r Compiled,
    spec: &'r Spec,
    sheet: &'r Sheet,
    findings: &'r Findings,
    evaluator: Evaluator<'r>,
}

impl Run<'_> {
    fn expectation(&mut self, expectation: &Expectation) -> ExpectationResult {
        match expectation {
            Expectation::Outcome { check, expected } => self.outcome(*check, *expected),
            Expectation::Value { label, number, expected, value, half_step } => {
                self.value(label, *number, expected, (*value, *half_step))
            }
            Expectation::Suspect { fault, faults, first, at_least } => {
                let suspect = ExpectedSuspect { fault, faults, first: *first, at_least: *at_least };
                suspect.judged(self.compiled, self.sheet)
            }
        }
    }

    fn outcome(&self, check: CheckId, expected: OutcomePattern) -> ExpectationResult {
        let subject = self.spec.check(check).map_or("", |check| check.label.as_str()).to_owned();
        let finding = self.findings.of(check);
        let passed = finding.is_some_and(|finding| expected.holds(finding.outcome));
        ExpectationResult {
            subject,
            expected: expected.words().to_owned(),
            came: finding.map_or("nothing", |finding| finding.outcome.words()).to_owned(),
            passed,
            check: Some(check),
            why: finding.map(|finding| reason_text(self.spec, self.sheet, self.findings, finding)),
        }
    }

    /// A value agrees where it lies within half a unit of the last digit that was written.
    fn value(
        &mut self,
        label: &str,
        number: NumberId,
        expected: &Measure,
        (wanted, half_step): (f64, f64),
    ) -> ExpectationResult {
        /// For values whose last bits differ from the decimal's: `0.35` is no double.
        const SLACK: f64 = 1e-12;
        let place = self.place(number);
        let known = self.evaluator.value(self.spec, self.sheet, number);
        let best = known.and_then(|value| value.best);
        let allowed = half_step + SLACK * wanted.abs();
        let came = match (known, best) {
            (_, Some(best)) => shown(best, expected, place),
            (Some(value), None) => interval(&value, expected, place),
            (None, None) => "no value".to_owned(),
        };
        ExpectationResult {
            subject: label.to_owned(),
            expected: expected.to_string(),
            came,
            passed: best.is_some_and(|best| (best - wanted).abs() <= allowed),
            check: None,
            why: None,
        }
    }

    /// Whether a reading or a derived quantity is a point of a scale.
    fn place(&self, number: NumberId) -> Place {
        let catalogue = self.spec.catalogue();
        let derived = self.spec.derived.iter().find(|derived| derived.number == number);
        if let Some(derived) = derived {
            return catalogue.place(derived.ty);
        }
        let node = self.spec.numbers.get(number.0 as usize);
        let Some(NumberNode::Slot(slot)) = node else { return Place::Amount };
        match self.spec.slot(*slot).map(|slot| &slot.kind) {
            Some(SlotKind::Quantity { kind, .. }) => catalogue.place(Ty::Kind(*kind)),
            _ => Place::Amount,
        }
    }
}

/// A value in the unit and to the digits of what was expected.
fn shown(value: f64, like: &Measure, place: Place) -> String {
    let value = from_coherent(value, &like.unit, place);
    let step = like.figure.half_step().to_f64() * 2.0;
    format!("{} {}", figure_text(value, step), like.unit)
}

fn interval(value: &Value, like: &Measure, place: Place) -> String {
    let low = value.low.map(|end| shown(end.value, like, place));
    let high = value.high.map(|end| shown(end.value, like, place));
    match (low, high) {
        (Some(low), Some(high)) => format!("{low} .. {high}"),
        (Some(low), None) => format!("above {low}"),
        (None, Some(high)) => format!("below {high}"),
        (None, None) => "anything".to_owned(),
    }
}
