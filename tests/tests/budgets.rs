//! 200 uncertainty budgets against GTC and the Python library uncertainties.
//!
//! `reference/budgets.json` says how it was made, and with which versions. Each budget is a spec with one
//! derived quantity; the inputs are readings whose standard uncertainty, degrees of freedom and
//! correlations the sheet states. Both evaluators work it out.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

use std::fmt::Write as _;

use serde::Deserialize;
use truing::Compiled;
use truing_engine::{Sheet, reference};
use truing_model::{DecideRule, NumberId, SlotId, Spec};
use truing_tests::place;

/// How far a figure may lie off, as a part of it. The file's sources agree to 10⁻¹¹.
const TOLERANCE: f64 = 1e-9;

#[derive(Deserialize)]
struct File {
    budgets: Vec<Budget>,
}

#[derive(Deserialize)]
struct Budget {
    id: String,
    model: String,
    inputs: Vec<Input>,
    correlations: Vec<(usize, usize, f64)>,
    expected: Expected,
}

#[derive(Deserialize)]
struct Input {
    name: String,
    value: String,
    u: String,
    dof: Option<f64>,
}

#[derive(Deserialize)]
struct Expected {
    value: f64,
    u: f64,
    dof: Option<f64>,
    sensitivities: Vec<f64>,
}

fn budgets() -> Vec<Budget> {
    let text = place::read("tests/reference/budgets.json").unwrap();
    serde_json::from_str::<File>(&text).unwrap().budgets
}

impl Budget {
    fn compiled(&self) -> Compiled {
        let mut text = "spec budget \"Budget\" { edition \"1\" }\n".to_owned();
        for input in &self.inputs {
            writeln!(text, "reading {} \"Input\" : ratio", input.name).unwrap();
        }
        writeln!(text, "derived result = {}", self.model).unwrap();
        Compiled::from_text(&self.id, &text)
            .unwrap_or_else(|error| panic!("{}: {error}\n{text}", self.id))
    }

    fn sheet(&self, compiled: &Compiled) -> Sheet {
        let spec = compiled.spec();
        let mut sheet = compiled.sheet();
        for input in &self.inputs {
            sheet = sheet.read(&input.name, &input.value).unwrap();
        }
        let mut sheet = sheet.build();
        let slots: Vec<SlotId> = self.inputs.iter().map(|input| slot(spec, &input.name)).collect();
        for (slot, input) in slots.iter().zip(&self.inputs) {
            sheet.state_uncertainty(*slot, input.u.parse().unwrap(), input.dof).unwrap();
        }
        let pairs: Vec<(SlotId, SlotId, f64)> =
            self.correlations.iter().map(|(i, j, r)| (slots[*i], slots[*j], *r)).collect();
        sheet.correlate(&pairs).unwrap_or_else(|error| panic!("{}: {error}", self.id));
        sheet.decide(DecideRule::At { probability: 0.95 }).unwrap();
        sheet
    }

    /// What is wrong with the figures that an evaluator gives.
    fn wrong(&self, by: &str, value: f64, u: f64, dof: Option<f64>) -> Vec<String> {
        let figures = [
            ("value", Some(value), Some(self.expected.value)),
            ("u", Some(u), Some(self.expected.u)),
            ("degrees of freedom", dof, self.expected.dof),
        ];
        figures
            .into_iter()
            .filter(|(_, got, wanted)| match (got, wanted) {
                (Some(got), Some(wanted)) => (got - wanted).abs() > TOLERANCE * wanted.abs(),
                (got, wanted) => got != wanted,
            })
            .map(|(what, got, wanted)| {
                format!("{} {}: {what} {got:?} by {by}, not {wanted:?}", self.id, self.model)
            })
            .collect()
    }

    /// What is wrong with the slopes of the reference. Where terms cancel a slope may be rounding
    /// of what the file gives, or of nought.
    fn wrong_slopes(&self, spec: &Spec, sheet: &Sheet, number: NumberId) -> Vec<String> {
        let gradient = reference::gradients(spec, sheet).swap_remove(number.0 as usize);
        let Some(slopes) = gradient.map(|gradient| gradient.slopes) else { return Vec::new() };
        let inputs = self.inputs.iter().zip(&self.expected.sensitivities);
        inputs
            .filter_map(|(input, wanted)| {
                let got = slopes.get(&slot(spec, &input.name)).copied().unwrap_or_default();
                let rounding = self.expected.u / input.u.parse::<f64>().unwrap();
                let allowed = TOLERANCE * wanted.abs().max(rounding);
                let wrong = (got - wanted).abs() > allowed;
                wrong.then(|| format!("{}: d/d{} {got}, not {wanted}", self.id, input.name))
            })
            .collect()
    }
}

fn slot(spec: &Spec, label: &str) -> SlotId {
    spec.slot_ids().find(|(_, slot)| slot.label == label).expect("a reading for each input").0
}

#[test]
fn budgets_come_out_as_by_gtc() {
    let budgets = budgets();
    assert_eq!(budgets.len(), 200);
    let mut wrong = Vec::new();
    for budget in &budgets {
        let compiled = budget.compiled();
        let sheet = budget.sheet(&compiled);
        let findings = compiled.assess(&sheet);
        let found = &findings.derived[0];
        let value = found.value.and_then(|value| value.best);
        match (value, found.uncertainty) {
            (Some(value), Some(of)) => {
                wrong.extend(budget.wrong("the compiled evaluator", value, of.standard, of.dof));
            }
            none => wrong.push(format!("{} {}: {none:?}", budget.id, budget.model)),
        }
        let number = compiled.spec().derived[0].number;
        match reference::uncertainty(compiled.spec(), &sheet, number) {
            Some((value, u, dof)) => {
                wrong.extend(budget.wrong("the reference evaluator", value, u, dof));
            }
            None => wrong.push(format!("{} {}: no line", budget.id, budget.model)),
        }
        wrong.extend(budget.wrong_slopes(compiled.spec(), &sheet, number));
    }
    assert!(wrong.is_empty(), "{} figures:\n{}", wrong.len(), wrong.join("\n"));
}
