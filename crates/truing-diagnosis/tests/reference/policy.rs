//! What following the advice costs on the charging system, over the whole tree of what may be read.
//!
//! The expected figures come of a numpy prototype of the same model, with branches below a joint
//! probability of 1e-5 settled where they stand (here one of them is followed). It had no rule for readings that fit nothing, and
//! took a prerequisite as met by its most probable band, so that the last digit may differ.

use truing_diagnosis::{Does, MaxFaults, Policy, PolicyLimits, StopRules};

use super::cases::{File, Model, file};
use super::charging::{Charging, Needs};

const EXACT: PolicyLimits =
    PolicyLimits { cut_off: 1e-5, most: 200_000, seed: 1, tries_repairs: false };

fn charging(file: &File) -> (Charging, truing_diagnosis::Draft) {
    let name = &file.bands_network[0].id;
    let charging = Charging::of(file, name, Model::Single, Needs::Said);
    let draft = charging.draft(&file.bands_network[0], Model::Single, Needs::Said);
    (charging, draft)
}

#[track_caller]
fn within_a_percent(got: f64, expected: f64) {
    assert!((got / expected - 1.0).abs() < 0.01, "{got} for {expected}");
}

fn figures(policy: &Policy) -> [f64; 3] {
    [policy.measurements(), policy.minutes(), policy.right()]
}

#[test]
fn two_steps_with_the_stop_that_weighs_minutes() {
    let file = file();
    let (charging, _) = charging(&file);
    let limits = PolicyLimits { tries_repairs: true, ..EXACT };
    let policy = charging.network.policy(&limits, &StopRules::default()).unwrap();
    let [measurements, minutes, right] = figures(&policy);
    within_a_percent(measurements, 6.40);
    within_a_percent(minutes, 30.3);
    within_a_percent(right, 0.876);
}

#[test]
fn two_steps_until_certain() {
    let file = file();
    let (charging, mut draft) = charging(&file);
    let policy = charging.network.policy(&EXACT, &StopRules::default()).unwrap();
    let [measurements, minutes, right] = figures(&policy);
    within_a_percent(measurements, 8.40);
    within_a_percent(minutes, 50.7);
    within_a_percent(right, 0.918);
    // Without costs nothing stops it before that either.
    draft.costs = None;
    let limits = PolicyLimits { tries_repairs: true, ..EXACT };
    let same = draft.build().unwrap().policy(&limits, &StopRules::default()).unwrap();
    assert_eq!(figures(&same), figures(&policy));
}

#[test]
fn what_is_drawn_below_the_cut_off_changes_no_expectation() {
    let file = file();
    let (_, mut draft) = charging(&file);
    draft.costs = None;
    let network = draft.build().unwrap();
    let rules = StopRules::default();
    let exact = figures(&network.policy(&EXACT, &rules).unwrap());
    // Forty seeds, each with nearly everything drawn: their mean lies near, each one farther off.
    let of = |seed| {
        let coarse = PolicyLimits { cut_off: 0.1, seed, ..PolicyLimits::default() };
        let policy = network.policy(&coarse, &rules).unwrap();
        assert!(policy.drawn > 0.5 && policy.drawn <= 1.0 + 1e-9, "{}", policy.drawn);
        figures(&policy)
    };
    let all: Vec<[f64; 3]> = (0..40).map(of).collect();
    for (place, exact) in exact.iter().enumerate() {
        let values: Vec<f64> = all.iter().map(|figures| figures[place]).collect();
        let mean = values.iter().sum::<f64>() / 40.0;
        let spread = values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / 39.0;
        let standard_error = (spread / 40.0).sqrt();
        assert!(
            (mean - exact).abs() < 4.0 * standard_error,
            "{mean} for {exact} ± {standard_error}"
        );
        assert!(values.iter().any(|v| (v - exact).abs() > 2.0 * standard_error));
    }
}

#[test]
fn the_tree_holds_all_probability_and_says_what_it_cut() {
    let file = file();
    let (_, mut draft) = charging(&file);
    draft.max_faults = MaxFaults::One;
    let network = draft.build().unwrap();
    let rules = StopRules::default();
    let ends = |policy: &Policy| {
        let ends = policy.nodes.iter().filter(|n| !matches!(n.does, Does::Measure { .. }));
        ends.map(|node| node.probability).sum::<f64>()
    };
    let policy = network.policy(&PolicyLimits::default(), &rules).unwrap();
    assert!((ends(&policy) - 1.0).abs() < 1e-9, "{}", ends(&policy));
    assert_eq!(policy.cut(), 0.0);
    for (place, node) in policy.nodes.iter().enumerate() {
        assert!(node.before.is_none_or(|(before, _)| before < place));
    }
    // Nothing more than the most measurements is worked out.
    let few = PolicyLimits { cut_off: 0.0, most: 10, ..PolicyLimits::default() };
    let policy = network.policy(&few, &rules).unwrap();
    let made = policy.nodes.iter().filter(|n| matches!(n.does, Does::Measure { .. })).count();
    assert_eq!(made, 10);
    assert!(policy.cut() > 0.0 && policy.drawn == 0.0);
    assert!((ends(&policy) - 1.0).abs() < 1e-9);
    assert_eq!(network.policy(&few, &rules).unwrap(), policy);
}
