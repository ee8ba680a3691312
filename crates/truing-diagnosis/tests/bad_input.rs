//! What must never bring a program down or give a figure that isn't one: refusals, no evidence,
//! contradictions, very large networks. And what a large one takes in memory.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    clippy::cast_precision_loss,
    dead_code,
    missing_docs,
    reason = "a test that panics has failed"
)]

use truing_diagnosis::{
    Advice, Band, Check, CheckDraft, Cure, Draft, Evidence, EvidenceError, Fault, Hypothesis,
    Likelihood, Likely, MaxFaults, Network, NetworkError, Next, NotUsed, PAIR_FAULTS, PairScope,
    Part, Place, Posterior, Push, Puzzle, Reading, RepairCosts, Requirement, Setup, Signatures,
    Situation, State, StateChange, StopRules, StrategyCost,
};

mod large;

fn one_fault() -> Draft {
    let mut draft = Draft::new();
    let part = draft.part();
    let fault = draft.fault(Likely::Probability(0.1), vec![part]);
    draft.check(CheckDraft::pass_fail(0.02, 0.02, 3.0, &[(fault, 0.9)]));
    draft
}

fn refusal(change: impl FnOnce(&mut Draft)) -> NetworkError {
    let mut draft = one_fault();
    change(&mut draft);
    draft.build().unwrap_err()
}

#[test]
fn drafts_are_refused_for_what_is_wrong_with_them() {
    let likely = |l: Likely| refusal(|d| d.faults[0].likely = l);
    let fault = Fault(0);
    assert_eq!(
        likely(Likely::Probability(0.0)),
        NetworkError::NeverOccurs { fault, probability: 0.0 }
    );
    assert_eq!(
        likely(Likely::Probability(1.0)),
        NetworkError::AlwaysOccurs { fault, probability: 1.0 }
    );
    assert!(matches!(likely(Likely::Probability(1.5)), NetworkError::AlwaysOccurs { .. }));
    assert!(matches!(likely(Likely::Probability(-0.5)), NetworkError::NeverOccurs { .. }));
    for bad in [Likely::Probability(f64::NAN), Likely::Odds(0.0), Likely::Odds(f64::INFINITY)] {
        assert!(matches!(likely(bad), NetworkError::Figure { what: Place::Fault(Fault(0)), .. }));
    }
    assert_eq!(refusal(|d| d.faults[0].parts.clear()), NetworkError::NoPart { fault });
    let missing = NetworkError::Missing { what: Place::Fault(fault) };
    assert_eq!(refusal(|d| d.faults[0].parts = vec![Part(9)]), missing);
    let check = Check(0);
    for bands in [0, 1, 9] {
        assert_eq!(refusal(|d| d.checks[0].bands = bands), NetworkError::Bands { check, bands });
    }
    let push = Place::Push(check, fault);
    let over = refusal(|d| {
        d.checks[0].bands = 3;
        d.checks[0].pushes[0].into = vec![(Band(1), 0.7), (Band(2), 0.4)];
    });
    assert!(matches!(over, NetworkError::OverOne { what, .. } if what == push));
    for band in [Band(0), Band(2), Band(99)] {
        let got = refusal(|d| d.checks[0].pushes[0].into = vec![(band, 0.1)]);
        assert_eq!(got, NetworkError::NoSuchBand { what: push, band });
    }
    let twice = refusal(|d| d.checks[0].pushes[0].into = vec![(Band(1), 0.1), (Band(1), 0.2)]);
    assert_eq!(twice, NetworkError::Twice { what: push });
    let again = Push { fault, into: vec![(Band(1), 0.2)] };
    assert_eq!(refusal(|d| d.checks[0].pushes.push(again)), NetworkError::Twice { what: push });
    let slip = refusal(|d| d.checks[0].slip = 1.0);
    assert_eq!(slip, NetworkError::Figure { what: Place::Slip(check), value: 1.0 });
    assert!(matches!(refusal(|d| d.checks[0].minutes = 0.0), NetworkError::Figure { .. }));
    let needs = NetworkError::Missing { what: Place::Needs(check) };
    assert_eq!(refusal(|d| d.checks[0].setups = vec![Setup(0)]), needs);
    assert_eq!(refusal(|d| d.checks[0].state = Some(State(0))), needs);
    let costs = |part| RepairCosts { part, nothing: 5.0, verify: 5.0, escalate: 100.0 };
    let few = refusal(|d| d.costs = Some(costs(vec![])));
    assert_eq!(few, NetworkError::Costs { given: 0, parts: 1 });
    assert!(matches!(refusal(|d| d.none_weight = -1.0), NetworkError::Figure { .. }));
    let unreachable = refusal(|d| {
        d.checks[0] = CheckDraft::pass_fail(0.0, 0.0, 1.0, &[(fault, 0.0)]);
    });
    assert_eq!(unreachable, NetworkError::Unreachable { check, band: Band(1) });
    let nothing = Draft { none_weight: 0.0, ..Draft::new() };
    assert_eq!(nothing.build().unwrap_err(), NetworkError::NoHypothesis);
}

fn chain(length: usize, closed: bool) -> Draft {
    let mut draft = one_fault();
    let check = draft.checks[0].clone();
    for before in 0..length - 1 {
        let requires = vec![Requirement { check: Check(before), band: Band::OK }];
        draft.check(CheckDraft { requires, ..check.clone() });
    }
    if closed {
        let last = Check(length - 1);
        draft.checks[0].requires = vec![Requirement { check: last, band: Band::OK }];
    }
    draft
}

#[test]
fn requirements_in_a_ring_are_named_and_long_chains_overflow_nothing() {
    let ring = chain(3, true).build().unwrap_err();
    assert!(matches!(&ring, NetworkError::Ring { checks } if checks.len() == 3), "{ring:?}");
    let long = chain(20_000, true).build().unwrap_err();
    assert!(matches!(&long, NetworkError::Ring { checks } if checks.len() == 20_000));
    let network = chain(20_000, false).build().unwrap();
    let (_, next) = next(&network, &Evidence::new());
    assert_eq!(next.proposed, Some(Check(0)));
}

fn next(network: &Network, evidence: &Evidence) -> (Posterior, Next) {
    let posterior = network.posterior(evidence).unwrap();
    let rules = StopRules::default();
    let next = network.next(&posterior, evidence, &Situation::default(), &rules).unwrap();
    (posterior, next)
}

#[test]
fn nothing_read_leaves_the_priors() {
    let network = one_fault().build().unwrap();
    let (posterior, next) = next(&network, &Evidence::new());
    assert!((posterior.probability(Hypothesis::Single(Fault(0))) - 0.1).abs() < 1e-15);
    assert_eq!(posterior.log_evidence(), 0.0);
    assert_eq!(next.advice, Advice::Measure { check: Check(0) });
    let explanation = network.explain(&posterior, &Evidence::new());
    assert!(explanation.weighing.unwrap().contributions.is_empty());
    let empty = Draft::new().build().unwrap();
    let (posterior, next) = self::next(&empty, &Evidence::new());
    assert_eq!(posterior.probability(Hypothesis::None), 1.0);
    assert_eq!(next.advice, Advice::Settled { cure: Cure::Nothing, probability: 1.0 });
    let figures = Signatures::of(&empty).testability();
    assert_eq!((figures.detected, figures.mean_group), (0.0, 0.0));
    assert!(empty.explain(&posterior, &Evidence::new()).weighing.is_none());
}

#[test]
fn readings_of_what_is_not_there_are_refused() {
    let network = one_fault().build().unwrap();
    let mut evidence = Evidence::new();
    evidence.read(Check(7), Likelihood::hard(Band::OK, 2).unwrap());
    assert_eq!(network.posterior(&evidence).unwrap_err(), EvidenceError::UnknownCheck(Check(7)));
    let mut evidence = Evidence::new();
    evidence.read(Check(0), Likelihood::hard(Band::OK, 3).unwrap());
    let wrong = EvidenceError::Bands { check: Check(0), bands: 2, given: 3 };
    assert_eq!(network.posterior(&evidence).unwrap_err(), wrong);
    assert!(Likelihood::given(&[0.0, 0.0]).is_err());
    assert!(Likelihood::given(&[f64::NAN, 1.0]).is_err());
    assert!(Likelihood::given(&[-0.1, 1.1]).is_err());
    assert!(Likelihood::hard(Band(2), 2).is_err());
    assert!(Reading::new(f64::INFINITY, 0.1).is_err());
    assert!(Reading::new(1.0, -0.1).is_err());
    assert!(Reading::merged(&[], None, 0.1).is_err());
}

/// Three checks without leak or slip: the first two can't both be bad, the third has no part in it.
#[test]
fn a_contradiction_names_its_readings_and_no_others() {
    let mut draft = Draft::new();
    let part = draft.part();
    let [f, g] = [0.1, 0.2].map(|p| draft.fault(Likely::Probability(p), vec![part]));
    for fault in [f, g] {
        draft.check(CheckDraft::pass_fail(0.0, 0.0, 1.0, &[(fault, 0.9)]));
    }
    draft.check(CheckDraft::pass_fail(0.1, 0.0, 1.0, &[(f, 0.5)]));
    let network = draft.build().unwrap();
    let bad = Likelihood::hard(Band(1), 2).unwrap();
    let mut evidence = Evidence::new();
    for check in [2, 1, 0] {
        evidence.read(Check(check), bad.clone());
    }
    let error = network.posterior(&evidence).unwrap_err();
    assert_eq!(error, EvidenceError::Contradiction(vec![Check(0), Check(1)]));
    assert_eq!(network.unforgiving(), [(Check(0), Band(1)), (Check(1), Band(1))]);
    draft.max_faults = MaxFaults::Two;
    let posterior = draft.build().unwrap().posterior(&evidence).unwrap();
    assert_eq!(posterior.probability(Hypothesis::Pair(f, g)), 1.0);
}

/// Thousands of readings that each say next to nothing, or shout: no underflow, no NaN.
#[test]
fn extreme_weights_stay_figures() {
    let mut draft = one_fault();
    for _ in 0..3_000 {
        draft.check(CheckDraft::pass_fail(1e-9, 0.0, 1.0, &[(Fault(0), 1.0 - 1e-12)]));
    }
    let network = draft.build().unwrap();
    for weights in [[1e-300, 1e300], [1.0, 1e-300], [5e-324, 5e-324]] {
        let mut evidence = Evidence::new();
        for check in 1..3_001 {
            evidence.read(Check(check), Likelihood::given(&weights).unwrap());
        }
        let (posterior, next) = next(&network, &evidence);
        let sum: f64 = posterior.iter().map(|(_, p)| p).sum();
        assert!((sum - 1.0).abs() < 1e-12 && posterior.log_evidence().is_finite());
        assert!(next.candidates.iter().all(|c| c.bits.is_finite()));
        let weighing = network.explain(&posterior, &evidence).weighing;
        assert!(weighing.is_none_or(|w| !w.total_decibans.is_nan()));
    }
}

#[test]
fn ten_thousand_faults_are_paired_as_far_as_documented() {
    let network = large::draft(10_000, 500, MaxFaults::Two).build().unwrap();
    let draft = large::draft(10_000, 500, MaxFaults::One);
    let evidence = large::readings(&draft, Fault(17), 20);
    let (posterior, next) = next(&network, &evidence);
    let scope = PairScope::Strongest { faults: PAIR_FAULTS, of: 10_000 };
    assert_eq!(posterior.pairs(), scope);
    let sum: f64 = posterior.iter().map(|(_, p)| p).sum();
    assert!((sum - 1.0).abs() < 1e-9, "{sum}");
    assert!(posterior.faults().iter().all(|p| p.is_finite()));
    assert!(next.left_out > 0.0 && next.left_out < 1.0, "{}", next.left_out);
    assert!(next.candidates.iter().all(|c| c.bits.is_finite() && c.minutes.is_finite()));
    let puzzle = Puzzle::of(&large::draft(40, 60, MaxFaults::One).build().unwrap()).unwrap();
    let StrategyCost { found, exact, least } = puzzle.cost().unwrap();
    assert!(!exact && least > 0.0 && found.cost >= least, "41 states: {least} {found:?}");
    assert!(Puzzle::of(&network).unwrap().cost().is_none(), "10,000 states are not followed");
}

/// 200 faults, 500 checks, pairs: the network, a posterior and the choice of the next check stay
/// under 50 MB at their highest.
#[test]
fn a_large_network_stays_within_its_memory() {
    let draft = large::draft(200, 500, MaxFaults::Two);
    let evidence = large::readings(&draft, Fault(17), 20);
    let took = allocation_counter::measure(|| {
        let network = draft.build().unwrap();
        let (posterior, next) = next(&network, &evidence);
        assert!(posterior.faults()[17] > 0.9);
        assert!(next.proposed.is_some());
    });
    assert!(took.bytes_max < 50_000_000, "{} bytes", took.bytes_max);
    eprintln!("{} bytes at the highest", took.bytes_max);
}

/// From one state to another, and from nowhere.
#[test]
fn minutes_count_the_change_of_state_and_what_stands_open() {
    let mut draft = one_fault();
    draft.states = 2;
    let setup = draft.setup(6.0, vec![]);
    draft.checks[0].state = Some(State(1));
    draft.checks[0].setups = vec![setup];
    let change = |from, minutes| StateChange { from, to: State(1), minutes };
    draft.state_changes = vec![change(None, 7.0), change(Some(State(0)), 11.0)];
    let network = draft.build().unwrap();
    let posterior = network.posterior(&Evidence::new()).unwrap();
    let minutes = |state, open: &[Setup]| {
        let situation = Situation { state, open: open.iter().copied().collect() };
        let rules = StopRules::default();
        let next = network.next(&posterior, &Evidence::new(), &situation, &rules).unwrap();
        next.candidates[0].minutes
    };
    assert_eq!(minutes(None, &[]), 3.0 + 6.0 + 7.0);
    assert_eq!(minutes(Some(State(0)), &[]), 3.0 + 6.0 + 11.0);
    assert_eq!(minutes(Some(State(1)), &[setup]), 3.0);
}

/// A requirement that was read in doubt isn't met; one that couldn't be used itself isn't either.
#[test]
fn requirements_are_met_by_nine_tenths() {
    let network = chain(3, false).build().unwrap();
    let read = |first: [f64; 2]| {
        let mut evidence = Evidence::new();
        evidence.read(Check(0), Likelihood::given(&first).unwrap());
        for check in [1, 2] {
            evidence.read(Check(check), Likelihood::hard(Band::OK, 2).unwrap());
        }
        network.posterior(&evidence).unwrap().not_used().to_vec()
    };
    assert_eq!(read([0.9, 0.1]), []);
    let (check, band, found) = (Check(0), Band::OK, Band::OK);
    let unmet = NotUsed::NotInBand { check, band, found };
    let follows = NotUsed::RequiredNotUsed { check: Check(1) };
    assert_eq!(read([0.89, 0.11]), [(Check(1), unmet), (Check(2), follows)]);
}
