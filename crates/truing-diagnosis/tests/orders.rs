//! Orders of checks with what they need, what no order can do without, and channel capacities.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::cast_precision_loss,
    reason = "a test that panics has failed"
)]

#[path = "large/mod.rs"]
#[allow(dead_code, reason = "only its generator is taken")]
mod large;

use large::Dice;
use truing_diagnosis::{
    Band, Check, CheckDraft, Draft, Fault, Likely, Part, Puzzle, Requirement, State, StateChange,
    capacity,
};

/// Faults with parts of their own, equally likely, and no "no fault".
fn faults(draft: &mut Draft, count: usize) -> Vec<Fault> {
    draft.none_weight = 0.0;
    (0..count)
        .map(|_| {
            let part = draft.part();
            draft.fault(Likely::Odds(1.0), vec![part])
        })
        .collect()
}

fn sure(fault: Fault) -> (Fault, f64) {
    (fault, 0.95)
}

/// Worked by hand. Three faults, three checks that each show one. A and B need the cover off
/// (10 min, once), C stands in another state (2 min to get there). Own times 1, 1 and 3 min.
/// First C (5 min), then for two faults in three A (11 min): 5 + 2/3 · 11 = 37/3.
/// First A (11), then B (1) with the cover off already: 11 + 2/3 · 1 = 35/3, which is least.
#[test]
fn preparation_is_paid_once() {
    let mut draft = Draft::new();
    let all = faults(&mut draft, 3);
    draft.states = 1;
    draft.state_changes = vec![StateChange { from: None, to: State(0), minutes: 2.0 }];
    let cover = draft.setup(10.0, vec![]);
    for (fault, minutes) in [(all[0], 1.0), (all[1], 1.0)] {
        let mut check = CheckDraft::pass_fail(0.0, 0.0, minutes, &[sure(fault)]);
        check.setups = vec![cover];
        draft.check(check);
    }
    let mut check = CheckDraft::pass_fail(0.0, 0.0, 3.0, &[sure(all[2])]);
    check.state = Some(State(0));
    draft.check(check);
    let network = draft.build().unwrap();
    let minutes = Puzzle::in_minutes(&network).unwrap();
    let best = minutes.optimum().unwrap();
    assert!((best.cost - 35.0 / 3.0).abs() < 1e-12, "{best:?}");
    assert!((best.checks - 5.0 / 3.0).abs() < 1e-12, "{best:?}");
    assert_eq!(best.first, Some(Check(0)));
    // By bits per minute C comes first: 5 min for as many bits as A's 11.
    let greedy = minutes.greedy();
    assert_eq!(greedy.first, Some(Check(2)));
    assert!((greedy.cost - 37.0 / 3.0).abs() < 1e-12, "{greedy:?}");
    // Huffman of three equal shares: 5/3 checks. The cheapest take 5 (C) and 1 + 10/2 (A and B share
    // the cover): 5 + 2/3 · 6 = 9. That A is not B is told by A or B, with the cover off, 11; that C is
    // neither by C, 5: (11 + 11 + 5)/3 = 9 too.
    let least = minutes.least();
    assert!((least.checks - 5.0 / 3.0).abs() < 1e-12, "{least:?}");
    assert!((least.cost - 9.0).abs() < 1e-12, "{least:?}");
}

/// Worked by hand. B counts only where A is in order. Faults 0 (shown by A alone), 1 (by B) and 2:
/// A first (1), then for two in three B (1): 5/3. B cannot come first, since A is not known then.
/// A third check D, in order under all, has to be made before A: it costs one measurement more.
#[test]
fn what_comes_first_is_counted() {
    let mut draft = Draft::new();
    let all = faults(&mut draft, 3);
    let a = draft.check(CheckDraft::pass_fail(0.0, 0.0, 1.0, &[sure(all[0])]));
    let mut b = CheckDraft::pass_fail(0.0, 0.0, 1.0, &[sure(all[1])]);
    b.requires = vec![Requirement { check: a, band: Band::OK }];
    draft.check(b);
    let best = |draft: &Draft| {
        let network = draft.build().unwrap();
        Puzzle::in_measurements(&network).unwrap().optimum().unwrap()
    };
    let found = best(&draft);
    assert_eq!(found.first, Some(a));
    assert!((found.cost - 5.0 / 3.0).abs() < 1e-12, "{found:?}");
    let d = draft.check(CheckDraft::pass_fail(0.1, 0.0, 1.0, &[]));
    draft.checks[a.0].requires = vec![Requirement { check: d, band: Band::OK }];
    let found = best(&draft);
    assert!((found.cost - 8.0 / 3.0).abs() < 1e-12, "{found:?}");
    // Where D had to come out of order nothing could ever be told apart.
    draft.checks[a.0].requires = vec![Requirement { check: d, band: Band(1) }];
    assert_eq!(best(&draft).first, None);
}

fn generated(seed: u64) -> Draft {
    let mut dice = Dice(seed);
    let mut draft = Draft::new();
    draft.none_weight = 0.5;
    draft.parts = 4;
    draft.states = 2;
    for _ in 0..6 {
        let part = Part(dice.below(4));
        draft.fault(Likely::Probability(0.02 + 0.3 * dice.unit()), vec![part]);
    }
    let setup = draft.setup(1.0 + 5.0 * dice.unit(), vec![]);
    for at in 0..7 {
        let pushes: Vec<(Fault, f64)> =
            (0..6).filter(|_| dice.below(3) == 0).map(|f| (Fault(f), 0.9)).collect();
        let mut check = CheckDraft::pass_fail(0.02, 0.02, 1.0 + 4.0 * dice.unit(), &pushes);
        check.state = (dice.below(2) == 0).then(|| State(dice.below(2)));
        if dice.below(3) == 0 {
            check.setups = vec![setup];
        }
        if at > 0 && dice.below(4) == 0 {
            check.requires = vec![Requirement { check: Check(dice.below(at)), band: Band::OK }];
        }
        draft.check(check);
    }
    let change = |from, to| StateChange { from, to: State(to), minutes: 2.5 };
    draft.state_changes = vec![
        change(None, 0),
        change(None, 1),
        change(Some(State(0)), 1),
        change(Some(State(1)), 0),
    ];
    draft
}

#[test]
fn no_order_costs_less_than_the_best_and_the_best_no_less_than_the_bound() {
    for seed in 1..1000 {
        let network = generated(seed).build().unwrap();
        for puzzle in [
            Puzzle::of(&network).unwrap(),
            Puzzle::in_measurements(&network).unwrap(),
            Puzzle::in_minutes(&network).unwrap(),
        ] {
            let best = puzzle.optimum().unwrap();
            let (greedy, two) = (puzzle.greedy(), puzzle.two_step());
            let least = puzzle.least();
            assert!(best.cost <= greedy.cost + 1e-9, "{seed}: {best:?} {greedy:?}");
            assert!(best.cost <= two.cost + 1e-9, "{seed}: {best:?} {two:?}");
            assert!(least.cost <= best.cost + 1e-9, "{seed}: {least:?} {best:?}");
            assert!(least.checks <= best.checks + 1e-9, "{seed}: {least:?} {best:?}");
        }
    }
}

/// Without preparation minutes are the plain costs, and where each takes one, measurements.
#[test]
fn without_preparation_the_three_ways_of_counting_agree() {
    for seed in 1..60 {
        let mut draft = generated(seed);
        for check in &mut draft.checks {
            check.setups.clear();
            check.state = None;
            check.requires.clear();
        }
        let network = draft.build().unwrap();
        let plain = Puzzle::of(&network).unwrap().optimum();
        assert_eq!(Puzzle::in_minutes(&network).unwrap().optimum(), plain, "{seed}");
        draft.checks.iter_mut().for_each(|check| check.minutes = 1.0);
        let network = draft.build().unwrap();
        let plain = Puzzle::of(&network).unwrap().optimum();
        assert_eq!(Puzzle::in_measurements(&network).unwrap().optimum(), plain, "{seed}");
    }
}

/// Formulas of Cover & Thomas, Elements of Information Theory, ch. 7 (from memory): binary symmetric
/// 1 - h(p), erasure 1 - e, Z-channel with 1/2: log2(5/4), noisy typewriter of four: log2(2).
#[test]
fn capacities_of_known_channels() {
    let near = |rows: &[&[f64]], expected: f64| {
        let rows: Vec<Vec<f64>> = rows.iter().map(|row| row.to_vec()).collect();
        let got = capacity(&rows);
        assert!(got >= expected - 1e-12 && got < expected + 1e-6, "{got} is not {expected}");
    };
    let h = |p: f64| -p * p.log2() - (1.0 - p) * (1.0 - p).log2();
    near(&[&[0.9, 0.1], &[0.1, 0.9]], 1.0 - h(0.1));
    near(&[&[0.7, 0.3, 0.0], &[0.0, 0.3, 0.7]], 0.7);
    near(&[&[1.0, 0.0], &[0.5, 0.5]], 1.25_f64.log2());
    let typewriter: [&[f64]; 4] = [
        &[0.5, 0.5, 0.0, 0.0],
        &[0.0, 0.5, 0.5, 0.0],
        &[0.0, 0.0, 0.5, 0.5],
        &[0.5, 0.0, 0.0, 0.5],
    ];
    near(&typewriter, 1.0);
    near(&[&[1.0, 0.0], &[0.0, 1.0]], 1.0);
    near(&[&[0.3, 0.7], &[0.3, 0.7]], 0.0);
    near(&[], 0.0);
}

/// A binary symmetric check of slip 0.2 (the wrong band in one of ten) between two equal faults tells
/// 1 - h(0.1) = 0.531 bits at most; to be 95 % sure 1 - h(0.05) = 0.714 bits are needed, which it
/// cannot; two such checks can, in 0.714/0.531 = 1.344 of them.
#[test]
fn a_bound_with_uncertain_readings() {
    let mut draft = Draft::new();
    let all = faults(&mut draft, 2);
    let check = || CheckDraft::pass_fail(0.0, 0.2, 4.0, &[(all[0], 1.0)]);
    draft.check(check());
    let effort = draft.build().unwrap().least_effort(0.95);
    assert!((effort.bits - 0.7136).abs() < 5e-5, "{effort:?}");
    assert_eq!((effort.measurements, effort.minutes), (None, None));
    draft.check(check());
    let effort = draft.build().unwrap().least_effort(0.95);
    assert!((effort.measurements.unwrap() - 1.344).abs() < 5e-4, "{effort:?}");
    assert!((effort.minutes.unwrap() - 4.0 * 1.344).abs() < 2e-3, "{effort:?}");
}
