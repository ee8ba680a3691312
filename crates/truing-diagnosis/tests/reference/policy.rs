//! What following the advice costs on the charging system, over the whole tree of what may be read.
//!
//! The expected figures come of a numpy prototype of the same model, with branches below a joint
//! probability of 1e-5 settled where they stand. It had no rule for readings that fit nothing, and
//! took a prerequisite as met by its most probable band, so that the last digit may differ.

use truing_diagnosis::{Does, MaxFaults, Policy, PolicyLimits, StopRules};

use super::cases::{File, Model, file};
use super::charging::{Charging, Needs};

const EXACT: PolicyLimits = PolicyLimits { cut_off: 1e-5, most: 200_000 };

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
    let policy = charging.network.policy(&EXACT, &StopRules::default()).unwrap();
    let [measurements, minutes, right] = figures(&policy);
    within_a_percent(measurements, 6.40);
    within_a_percent(minutes, 30.3);
    within_a_percent(right, 0.876);
}

#[test]
fn two_steps_until_certain() {
    let file = file();
    let (_, mut draft) = charging(&file);
    draft.costs = None;
    let policy = draft.build().unwrap().policy(&EXACT, &StopRules::default()).unwrap();
    let [measurements, minutes, right] = figures(&policy);
    within_a_percent(measurements, 8.40);
    within_a_percent(minutes, 50.7);
    within_a_percent(right, 0.918);
}

#[test]
fn the_tree_holds_all_probability_and_says_what_it_cut() {
    let file = file();
    let (_, mut draft) = charging(&file);
    draft.max_faults = MaxFaults::One;
    let network = draft.build().unwrap();
    let rules = StopRules::default();
    let coarse = PolicyLimits { cut_off: 1e-2, most: 20_000 };
    let policy = network.policy(&coarse, &rules).unwrap();
    let ends = policy.nodes.iter().filter(|n| !matches!(n.does, Does::Measure { .. }));
    let all: f64 = ends.map(|node| node.probability).sum();
    assert!((all - 1.0).abs() < 1e-9, "{all}");
    assert!(policy.cut() > 0.0 && policy.cut() < 0.5, "{}", policy.cut());
    for (place, node) in policy.nodes.iter().enumerate() {
        assert!(node.before.is_none_or(|(before, _)| before < place));
    }
    // Of the finest cut nothing more than the most measurements is worked out.
    let few = PolicyLimits { cut_off: 0.0, most: 10 };
    let policy = network.policy(&few, &rules).unwrap();
    let made = policy.nodes.iter().filter(|n| matches!(n.does, Does::Measure { .. })).count();
    assert_eq!(made, 10);
    assert!(policy.cut() > 0.0);
    assert_eq!(network.policy(&few, &rules).unwrap(), policy);
}
