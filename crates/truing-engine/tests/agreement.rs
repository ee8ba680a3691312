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
use truing_engine::{
    Because, BudgetLine, Conformance, Detail, Findings, Plan, Sheet, Uncertainty, Value, reference,
};
use truing_model::{Outcome, Reading, Spec};

fn finite(value: &Value) -> bool {
    let ends = [value.low, value.high];
    value.best.is_none_or(f64::is_finite)
        && ends.iter().flatten().all(|bound| bound.value.is_finite())
}

/// Every figure of an uncertainty is one, and the shares of a budget make a whole.
fn figures(
    conformance: Option<&Conformance>,
    uncertainty: Option<&Uncertainty>,
    budget: &[BudgetLine],
) -> Result<(), f64> {
    let probabilities = conformance.map(|of| [of.within, of.passes, of.low, of.high]);
    let amounts = uncertainty.map(|of| {
        [of.standard, of.coverage, of.coverage_factor, of.expanded, of.dof.unwrap_or(1.0)]
    });
    let lines = budget
        .iter()
        .flat_map(|of| [of.standard_uncertainty, of.contribution, of.share, of.dof.unwrap_or(1.0)]);
    let found = probabilities.into_iter().flatten().find(|p| !(-1e-9..=1.0 + 1e-9).contains(p));
    let found =
        found.or(amounts.into_iter().flatten().chain(lines).find(|of| !(0.0..1e300).contains(of)));
    let whole: f64 = budget.iter().map(|line| line.share).sum();
    let found = found.or(Some(whole).filter(|of| !budget.is_empty() && (of - 1.0).abs() > 1e-6));
    found.map_or(Ok(()), Err)
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
        let reason = &finding.reason;
        figures(reason.conformance.as_ref(), reason.uncertainty.as_ref(), &reason.budget)
            .map_err(|figure| format!("{figure} in {finding:?}"))?;
        if let Because::Spans { probability: Some(probability), .. } = finding.reason.because
            && !(0.0..=1.0).contains(&probability)
        {
            return Err(format!("no probability: {finding:?}"));
        }
    }
    Ok(())
}

/// Whether two figures that both evaluators work out are the same.
fn alike(a: f64, b: f64, least: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(least)
}

/// The size of the figures of a reading whose errors are carried along.
fn magnitude(reading: &Reading) -> f64 {
    match reading {
        Reading::Figure(figure) => figure.value.abs(),
        Reading::Repeats(figures) => figures.iter().map(|of| of.value.abs()).fold(0.0, f64::max),
        _ => 0.0,
    }
}

/// The probabilities and the standard uncertainties of both evaluators are the same, to 10⁻⁹.
fn weigh_alike(spec: &Spec, sheet: &Sheet, findings: &Findings) -> Result<(), String> {
    for (finding, weighed) in findings.findings.iter().zip(reference::weighed(spec, sheet)) {
        let (conformance, uncertainty) = (finding.reason.conformance, finding.reason.uncertainty);
        let same = match (uncertainty, weighed) {
            (None, None) => true,
            (Some(uncertainty), Some(weighed)) => {
                let value = finding.reason.value.and_then(|value| value.best).unwrap_or_default();
                // Slopes that cancel leave the rounding of what they were of: the figures that were
                // read, and one where they are ratios.
                let size = finding.reason.used.iter().fold(value.abs().max(1.0), |size, slot| {
                    size.max(sheet.get(*slot).map_or(0.0, magnitude))
                });
                // What beside that counts as nought decides nothing.
                (weighed.standard == 0.0
                    || alike(uncertainty.standard, weighed.standard, 1e-3 * size))
                    && match (conformance, weighed.conformance) {
                        (Some(of), Some(expected)) => {
                            alike(of.within, expected.within, 1.0)
                                && alike(of.passes, expected.passes, 1.0)
                                && alike(of.low, expected.low, 1.0)
                                && alike(of.high, expected.high, 1.0)
                        }
                        // Without errors a limit and a comparison say it in different ways.
                        _ => weighed.standard == 0.0,
                    }
            }
            // A reading clear of its limit is weighed whatever else the rule would read.
            (Some(_), None) => {
                let certain = |share: f64| share == 0.0 || share == 1.0;
                conformance.is_some_and(|of| certain(of.passes) && certain(of.within))
            }
            // A value wider than all reckoning has no budget, though it is certain against itself.
            (None, Some(weighed)) => {
                let best = finding.reason.value.and_then(|value| value.best);
                weighed.standard == 0.0 && best.is_some_and(|best| best.abs() > 1e100)
            }
        };
        if !same {
            return Err(format!(
                "{:?}: {conformance:?}, {uncertainty:?} and {weighed:?}\n{}",
                finding.check,
                shown(spec, sheet)
            ));
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2500, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn both_evaluators_agree(all in proptest::collection::vec(any::<u16>(), 100..1500)) {
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
            prop_assert_eq!(weigh_alike(&spec, &sheet, &findings), Ok(()));
        }
    }

    #[test]
    fn budgets_change_no_outcome(all in proptest::collection::vec(any::<u16>(), 100..1500)) {
        let maker = Maker::new();
        let mut choices = Choices::new(&all);
        let spec = maker.spec(&mut choices);
        let plan = Plan::new(&spec);
        let mut evaluator = plan.evaluator();
        for _ in 0..3 {
            let sheet = maker.sheet(&spec, &mut choices);
            let outcomes = evaluator.outcomes(&sheet).to_vec();
            for detail in [Detail::Reasons, Detail::Budgets] {
                let findings = evaluator.findings_with(&spec, &sheet, detail);
                let explained: Vec<_> =
                    findings.findings.iter().map(|finding| finding.outcome).collect();
                prop_assert_eq!(&explained, &outcomes, "{}", shown(&spec, &sheet));
                prop_assert_eq!(sound(&findings), Ok(()), "{}", shown(&spec, &sheet));
            }
        }
    }
}

/// The made-up specs would show nothing if every check came out the same way, or if meters made no
/// difference.
#[test]
fn the_made_up_specs_come_out_every_way() {
    let maker = Maker::new();
    let mut outcomes = std::collections::BTreeSet::new();
    let mut reasons = std::collections::BTreeSet::new();
    let mut unfit = std::collections::BTreeSet::new();
    let mut parts = std::collections::BTreeMap::new();
    let (mut shared, mut undecided_by_errors) = (0, 0);
    for seed in 0..4000 {
        let all = support::stream(seed);
        let mut choices = Choices::new(&all);
        let spec = maker.spec(&mut choices);
        let sheet = maker.sheet(&spec, &mut choices);
        for finding in truing_engine::assess(&spec, &sheet).findings {
            outcomes.insert(finding.outcome.words());
            let because = serde_json::to_value(&finding.reason.because).unwrap();
            reasons.insert(because["why"].as_str().unwrap().to_owned());
            if let Because::Unfit { unfit: why, .. } = finding.reason.because {
                unfit.insert(
                    serde_json::to_value(why).unwrap()["unfit"].as_str().unwrap().to_owned(),
                );
            }
            for line in &finding.reason.budget {
                *parts.entry(line.part).or_insert(0) += 1;
                shared += usize::from(line.readings > 1);
            }
            let errors = finding.reason.uncertainty.is_some_and(|of| of.standard > 0.0);
            undecided_by_errors += usize::from(errors && finding.outcome == Outcome::Undecided);
        }
    }
    assert_eq!(outcomes.len(), 9, "{outcomes:?}");
    assert_eq!(reasons.len(), 21, "{reasons:?}");
    assert_eq!(unfit.len(), 8, "{unfit:?}");
    assert_eq!(parts.len(), 11, "{parts:?}");
    assert!(shared >= 10, "{shared} in {parts:?}");
    assert!(undecided_by_errors >= 40, "{undecided_by_errors}");
}
