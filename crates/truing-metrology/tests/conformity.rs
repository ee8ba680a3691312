//! Rules of decision, what would settle a value, and risks with closed forms.

#![expect(clippy::unwrap_used, reason = "a test stops where a value is missing")]

use proptest::prelude::*;
use truing_metrology::conformity::{
    Decision, GradedDecision, Limits, Prior, PriorError, acceptance_limits, by_guard_band,
    by_probability, capability_index, conformance_probability, global_risk, guard_factor,
    non_binary, process_capability, rss_tolerance_factor, settling_repeats, settling_uncertainty,
    simple,
};
use truing_metrology::uncertainty::{Component, ErrorSum};

fn sum(components: &[Component]) -> ErrorSum {
    let mut sum = ErrorSum::new();
    components.iter().for_each(|component| sum.push(*component));
    sum
}

fn normal(u: f64) -> ErrorSum {
    sum(&[Component::normal(u).unwrap()])
}

fn rectangular(half_width: f64) -> ErrorSum {
    sum(&[Component::rectangular(half_width).unwrap()])
}

#[test]
fn a_rectangular_error_decides_outright_beyond_its_half_width() {
    let limits = Limits::between(10.0, 12.0);
    let at = |value| conformance_probability(&rectangular(0.5), value, limits);
    assert_eq!(at(10.5).within, 1.0);
    // A quarter of the true values that 10.25 may stand for is below the limit.
    assert!((at(10.25).below - 0.25).abs() < 1e-15 && at(10.25).above == 0.0);
    assert!((at(12.3).above - 0.8).abs() < 1e-12);
    assert_eq!(at(9.4).within, 0.0);
    let open = conformance_probability(&rectangular(0.5), 1.0, Limits::default());
    assert_eq!((open.within, open.below, open.above), (1.0, 0.0, 0.0));
}

#[test]
fn without_an_error_the_value_decides() {
    let limits = Limits::between(10.0, 12.0);
    for (value, decision) in [
        (10.0, Decision::Pass),
        (12.0, Decision::Pass),
        (12.1, Decision::Fail),
        (9.0, Decision::Fail),
    ] {
        let conformance = conformance_probability(&ErrorSum::new(), value, limits);
        assert_eq!(by_probability(&conformance, 0.95), decision, "{value}");
        assert_eq!(simple(value, limits), decision);
    }
}

#[test]
fn rules_at_their_edges() {
    // Binary fractions: nothing is rounded.
    let limits = Limits::between(1.0, 2.0);
    let graded = |value| non_binary(value, limits, 0.125).unwrap();
    assert_eq!(graded(1.125), GradedDecision::Pass);
    assert_eq!(graded(1.0625), GradedDecision::ConditionalPass);
    assert_eq!(graded(2.0), GradedDecision::ConditionalPass);
    assert_eq!(graded(2.125), GradedDecision::ConditionalFail);
    assert_eq!(graded(2.25), GradedDecision::Fail);
    assert_eq!(by_guard_band(1.5, limits, 0.125), Decision::Pass);
    assert_eq!(by_guard_band(2.0625, limits, 0.125), Decision::Undecided);
    assert_eq!(by_guard_band(0.5, limits, 0.125), Decision::Fail);
    // A guard band of more than half the tolerance lets nothing pass.
    assert_eq!(by_guard_band(1.5, limits, 0.75), Decision::Undecided);
    assert_eq!(non_binary(f64::NAN, limits, 0.1), None);
    assert_eq!(simple(f64::NAN, limits), Decision::Undecided);
    assert!(Limits::new(Some(2.0), Some(1.0)).is_err());
    assert!(Limits::new(Some(f64::NAN), None).is_err());
}

#[test]
fn figures_without_meaning_give_nothing() {
    assert_eq!(capability_index(1.0, 0.0), None);
    assert_eq!(guard_factor(1.0), None);
    assert_eq!(rss_tolerance_factor(0.9), None);
    assert_eq!(process_capability(0.0, 1.0, Limits::default()), None);
    let prior = Prior::Normal { mean: 0.0, deviation: 0.0 };
    let limits = Limits::at_most(1.0);
    let risk = global_risk(&prior, limits, limits, &normal(1.0));
    assert_eq!(risk, Err(PriorError::Parameters));
}

#[test]
fn settling_a_normal_error_at_one_limit() {
    let limits = Limits::at_least(10.0);
    for value in [10.3, 9.7] {
        let u = settling_uncertainty(value, limits, 0.95, &normal(1.0)).unwrap();
        assert!((u - 0.3 / 1.644_853_626_951_472_2).abs() < 1e-9, "{u}");
    }
    assert_eq!(settling_uncertainty(10.0, limits, 0.95, &normal(1.0)), None);
    assert_eq!(settling_uncertainty(10.3, limits, 0.95, &ErrorSum::new()), None);
    let open = settling_uncertainty(10.3, Limits::default(), 0.95, &normal(1.0));
    assert_eq!(open, Some(f64::INFINITY));
}

#[test]
fn settling_repeats_of_a_normal_error() {
    let limits = Limits::at_least(10.0);
    let repeatable = Component::normal(0.5).unwrap();
    let repeats = |value, fixed| {
        let fixed = normal(fixed);
        settling_repeats(value, limits, 0.95, (&fixed, repeatable), 10_000)
    };
    // 0.5/√n at most 0.3/1.645: n = (0.5·1.645/0.3)², the next whole number.
    assert_eq!(repeats(10.3, 0.0), Some(8));
    assert_eq!(repeats(12.0, 0.0), Some(1));
    assert_eq!(repeats(10.3, 0.2), None);
    assert!(repeats(9.7, 0.15).unwrap() > 8);
}

#[test]
fn risks_with_closed_forms() {
    // A prior that is level far beyond the limit: R_C = u/√(2π) per unit of its density, and so is R_P.
    let prior = Prior::Rectangular { low: -20.0, high: 30.0 };
    let limits = Limits::at_most(5.0);
    let risk = global_risk(&prior, limits, limits, &normal(0.5)).unwrap();
    let expected = 0.5 / (2.0 * std::f64::consts::PI).sqrt() / 50.0;
    assert!((risk.consumer - expected).abs() < 1e-10, "{risk:?}");
    assert!((risk.producer - expected).abs() < 1e-10);
    assert!((risk.conforming - 0.5).abs() < 1e-10 && (risk.accepted - 0.5).abs() < 1e-10);
    // An exponential prior (gamma with shape 1), and one with a pole at zero.
    let prior = Prior::Gamma { shape: 1.0, rate: 2.0 };
    let risk =
        global_risk(&prior, Limits::at_most(1.0), Limits::at_most(1.0), &normal(0.1)).unwrap();
    assert!((risk.conforming - (1.0 - (-2.0_f64).exp())).abs() < 1e-9);
    // Chi-squared with one degree of freedom: within 1 as often as a normal variable is within ±1.
    let prior = Prior::Gamma { shape: 0.5, rate: 0.5 };
    let risk =
        global_risk(&prior, Limits::at_most(1.0), Limits::at_most(1.0), &normal(0.1)).unwrap();
    assert!((risk.conforming - 0.682_689_492_137_086).abs() < 1e-9, "{risk:?}");
    // A smaller risk wants a wider guard band.
    let prior = Prior::Normal { mean: 0.0, deviation: 1.0 };
    let limits = Limits::between(-1.5, 1.5);
    let guarded = |risk| acceptance_limits(&prior, limits, &normal(0.2), risk).unwrap();
    let (loose, tight) = (guarded(0.01), guarded(0.001));
    assert!(tight.high.unwrap() < loose.high.unwrap());
    let risk = global_risk(&prior, limits, tight, &normal(0.2)).unwrap();
    assert!((risk.consumer - 0.001).abs() < 1e-9, "{risk:?}");
    assert_eq!(acceptance_limits(&prior, limits, &normal(0.2), 0.9), Err(PriorError::Unreachable));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(200) })]

    #[test]
    fn probabilities_sum_to_one(
        value in -3.0..3.0, a in 0.01..2.0, u in 0.0..1.0, low in -2.0..0.0, width in 0.0..3.0,
    ) {
        let error = sum(&[Component::rectangular(a).unwrap(), Component::normal(u).unwrap()]);
        let limits = Limits::between(low, low + width);
        let got = conformance_probability(&error, value, limits);
        prop_assert!((got.within + got.below + got.above - 1.0).abs() < 1e-9, "{:?}", got);
    }

    #[test]
    fn what_settles_is_just_enough(
        value in -1.0..4.0, a in 0.1..2.0, u in 0.01..1.0, p in 0.6..0.99,
    ) {
        let error = sum(&[Component::rectangular(a).unwrap(), Component::normal(u).unwrap()]);
        let limits = Limits::between(0.0, 3.0);
        let settling = settling_uncertainty(value, limits, p, &error).unwrap();
        let right = |factor: f64| {
            let error = error.scaled(factor * settling / error.standard_uncertainty()).unwrap();
            let conformance = conformance_probability(&error, value, limits);
            if limits.contains(value) {
                conformance.within
            } else {
                conformance.below.max(conformance.above)
            }
        };
        prop_assert!((right(1.0) - p).abs() < 1e-7, "{} {}", right(1.0), p);
        prop_assert!(right(0.98) > p && right(1.02) < p);
    }
}
