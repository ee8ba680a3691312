//! The short ways come to what the long ways come to: a derived quantity by plain doubles, a figure
//! that is written over, a budget without its reasons.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

#[allow(dead_code, reason = "each test file uses its own part")]
mod support;

use support::{Choices, Maker, stream};
use truing_engine::{Detail, Plan, Sheet};
use truing_model::{CheckId, DecideRule, DerivedId, Reading, SlotId, Spec};

/// Specs with a few sheets each.
fn each(mut of: impl FnMut(&Maker, &Spec, &mut Sheet, &mut Choices)) {
    let maker = Maker::new();
    for seed in 0..300 {
        let all = stream(seed);
        let mut choices = Choices::new(&all);
        let spec = maker.spec(&mut choices);
        for _ in 0..3 {
            let mut sheet = maker.sheet(&spec, &mut choices);
            of(&maker, &spec, &mut sheet, &mut choices);
        }
    }
}

/// Doubles differ by rounding, and by what sums lose of their terms: at most 10⁻⁶ of them. What a sum
/// loses nearly all of is held against its uncertainty.
fn alike(a: f64, b: f64, standard: f64, what: &str) {
    let slack = 1e-8 * a.abs().max(b.abs()).max(standard);
    assert!((a - b).abs() <= slack, "{what}: {a}, {b}, uncertain by {standard}");
}

#[test]
fn a_quantity_is_what_its_finding_says() {
    let mut compared = 0;
    each(|maker, spec, sheet, choices| {
        for slot in 0..4 {
            sheet.set(SlotId(slot), Reading::Figure(maker.some_indication(choices))).unwrap();
        }
        sheet.decide(DecideRule::Simple).unwrap();
        let plan = Plan::new(spec);
        let mut evaluator = plan.evaluator();
        let findings = evaluator.findings_with(spec, sheet, Detail::Budgets);
        for (id, finding) in (0..).map(DerivedId).zip(&findings.derived) {
            let best = finding.value.and_then(|value| value.best);
            let (Some(best), Some(uncertainty)) = (best, finding.uncertainty) else { continue };
            if uncertainty.standard == 0.0 {
                continue;
            }
            let (value, standard) = evaluator.quantity(sheet, id).expect("it has a derivative");
            alike(value, best, standard, "value");
            alike(standard, uncertainty.standard, standard, "standard uncertainty");
            compared += 1;
        }
        let ids = (0..).map(DerivedId).take(spec.derived.len());
        let each: Vec<_> = ids.map(|id| evaluator.quantity(sheet, id)).collect();
        assert_eq!(evaluator.quantities(sheet), each);
    });
    assert!(compared > 100, "{compared}");
}

#[test]
fn a_figure_written_over_is_as_one_put_there() {
    each(|maker, spec, sheet, choices| {
        let mut other = sheet.clone();
        for _ in 0..3 {
            for slot in 0..4 {
                let figure = maker.some_indication(choices);
                sheet.set_figure(SlotId(slot), &figure).unwrap();
                other.set(SlotId(slot), Reading::Figure(figure)).unwrap();
            }
            assert_eq!(*sheet, other, "{}", support::shown(spec, sheet));
        }
    });
}

#[test]
fn a_budget_is_the_one_of_the_finding() {
    let mut compared = 0;
    each(|_, spec, sheet, _| {
        let plan = Plan::new(spec);
        let mut evaluator = plan.evaluator();
        let findings = evaluator.findings_with(spec, sheet, Detail::Budgets);
        let mut lines = Vec::new();
        for finding in &findings.findings {
            let weight = evaluator.budget(sheet, finding.check, &mut lines).unwrap();
            assert_eq!(weight.outcome, finding.outcome);
            assert_eq!(weight.uncertainty, finding.reason.uncertainty);
            assert_eq!(weight.conformance, finding.reason.conformance);
            assert_eq!(lines, finding.reason.budget);
            compared += usize::from(!lines.is_empty());
        }
        assert_eq!(evaluator.budget(sheet, CheckId(u32::MAX), &mut lines), None);
        assert!(lines.is_empty());
    });
    assert!(compared > 100, "{compared}");
}
