//! The compiled evaluator and the reference agree, on specs and sheets of every form; so do the
//! outcomes made with reasons and those made without.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

#[allow(dead_code, reason = "each test file uses its own part")]
mod support;

use proptest::prelude::*;
use support::{Choices, Maker, shown};
use truing_engine::{Because, Findings, Plan, Value, reference};

fn finite(value: &Value) -> bool {
    let ends = [value.low, value.high];
    value.best.is_none_or(f64::is_finite)
        && ends.iter().flatten().all(|bound| bound.value.is_finite())
}

/// No infinity and no NaN comes out, and a best value lies between its ends.
fn sound(findings: &Findings) -> Result<(), String> {
    let judged = findings.findings.iter().filter_map(|finding| finding.reason.value.as_ref());
    for value in judged.chain(findings.derived.iter().filter_map(|derived| derived.value.as_ref()))
    {
        if !finite(value) {
            return Err(format!("not finite: {value:?}"));
        }
        let low = value.best.zip(value.low).is_none_or(|(best, low)| low.value <= best);
        let high = value.best.zip(value.high).is_none_or(|(best, high)| best <= high.value);
        if !low || !high {
            return Err(format!("best value outside its ends: {value:?}"));
        }
    }
    for finding in &findings.findings {
        if let Because::Spans { probability: Some(probability), .. } = finding.reason.because
            && !(0.0..=1.0).contains(&probability)
        {
            return Err(format!("no probability: {finding:?}"));
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn both_evaluators_agree(all in proptest::collection::vec(any::<u16>(), 100..500)) {
        let maker = Maker::new();
        let mut choices = Choices::new(&all);
        let spec = maker.spec(&mut choices);
        let plan = Plan::new(&spec);
        let mut evaluator = plan.evaluator();
        for _ in 0..3 {
            let sheet = maker.sheet(&spec, &mut choices);
            let expected = reference::outcomes(&spec, &sheet);
            prop_assert_eq!(evaluator.outcomes(&sheet), expected.as_slice(), "{}", shown(&spec, &sheet));
            let findings = evaluator.findings(&spec, &sheet);
            let explained: Vec<_> =
                findings.findings.iter().map(|finding| finding.outcome).collect();
            prop_assert_eq!(&explained, &expected, "{}", shown(&spec, &sheet));
            prop_assert_eq!(sound(&findings), Ok(()));
        }
    }
}

/// The made-up specs would show nothing if every check came out the same way.
#[test]
fn the_made_up_specs_come_out_every_way() {
    let maker = Maker::new();
    let mut outcomes = std::collections::BTreeSet::new();
    let mut reasons = std::collections::BTreeSet::new();
    for seed in 0..1500 {
        let all = support::stream(seed);
        let mut choices = Choices::new(&all);
        let spec = maker.spec(&mut choices);
        let sheet = maker.sheet(&spec, &mut choices);
        for finding in truing_engine::assess(&spec, &sheet).findings {
            outcomes.insert(finding.outcome.words());
            let because = serde_json::to_value(&finding.reason.because).unwrap();
            reasons.insert(because["why"].as_str().unwrap().to_owned());
        }
    }
    assert_eq!(outcomes.len(), 9, "{outcomes:?}");
    assert_eq!(reasons.len(), 20, "{reasons:?}");
}
