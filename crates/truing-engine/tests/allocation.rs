//! Judging and weighing allocate nothing once the evaluator is made; explaining does.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

#[allow(dead_code, reason = "each test file uses its own part")]
mod support;

use support::{Choices, Maker};
use truing_engine::Plan;
use truing_model::CheckId;

fn stream(seed: u64) -> Vec<u16> {
    let mut state = seed.wrapping_add(77);
    let next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (state >> 40) as u16
    };
    std::iter::repeat_with(next).take(500).collect()
}

#[test]
fn outcomes_budgets_and_quantities_are_made_without_allocating() {
    let maker = Maker::new();
    let mut explained = 0;
    for seed in 0..200 {
        let all = stream(seed);
        let mut choices = Choices::new(&all);
        let spec = maker.spec(&mut choices);
        let plan = Plan::new(&spec);
        let mut evaluator = plan.evaluator();
        let mut lines = Vec::new();
        let sheets: Vec<_> = (0..3).map(|_| maker.sheet(&spec, &mut choices)).collect();
        for sheet in &sheets {
            // A sheet with more meters than any before makes room for them.
            evaluator.outcomes(sheet);
            let counted = allocation_counter::measure(|| {
                evaluator.outcomes(sheet);
            });
            assert_eq!(counted.count_total, 0, "spec {seed}");
            for check in (0..).map(CheckId).take(spec.checks.len()) {
                evaluator.budget(sheet, check, &mut lines);
                let counted = allocation_counter::measure(|| {
                    evaluator.budget(sheet, check, &mut lines);
                });
                assert_eq!(counted.count_total, 0, "budget, spec {seed}");
            }
            let counted = allocation_counter::measure(|| {
                evaluator.quantities(sheet);
            });
            assert_eq!(counted.count_total, 0, "quantities, spec {seed}");
        }
        // The counter counts: reasons are lists.
        explained += allocation_counter::measure(|| {
            drop(evaluator.findings(&spec, &sheets[0]));
        })
        .count_total;
    }
    assert!(explained > 200);
}
