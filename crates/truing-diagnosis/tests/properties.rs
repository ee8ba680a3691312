//! Generated networks against brute force, and what must never change a result.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    missing_docs,
    reason = "a test that panics has failed"
)]

use proptest::prelude::*;
use truing_diagnosis::{
    Band, Check, CheckDraft, Draft, Evidence, EvidenceError, Fault, Hypothesis, Likelihood, Likely,
    MaxFaults, Network, Part, Push, RepairCosts, Situation, StopRules,
};

#[allow(dead_code, reason = "each test file uses its own part")]
mod large;
mod oracle;
use oracle::{Net, NetCheck, Truth};

/// A generated network: the plain one, the parts of its faults, what was read, and what the
/// engine's own side needs.
#[derive(Clone, Debug)]
struct Made {
    net: Net,
    parts: Vec<Vec<usize>>,
    minutes: Vec<f64>,
    evidence: Vec<(usize, Vec<f64>)>,
}

/// Of eight places, some are 0 and the rest add up to `all`.
fn shares(bands: usize, touched: bool) -> impl Strategy<Value = Vec<f64>> {
    proptest::collection::vec(prop_oneof![2 => Just(0.0), 3 => 0.001..1.0_f64], bands - 1).prop_map(
        move |mut over| {
            if !touched {
                over.iter_mut().for_each(|p| *p = 0.0);
            }
            let sum: f64 = over.iter().sum();
            let scale = if sum > 1.0 { 1.0 / (sum * 1.000_001) } else { 1.0 };
            let mut out: Vec<f64> = over.iter().map(|p| p * scale).collect();
            out.insert(0, 1.0 - out.iter().sum::<f64>());
            out
        },
    )
}

fn check(faults: usize) -> impl Strategy<Value = NetCheck> {
    let push =
        |bands| prop::bool::weighted(0.5).prop_flat_map(move |touched| shares(bands, touched));
    (2..=4_usize).prop_flat_map(move |bands| {
        let leak = prop_oneof![4 => shares(bands, true), 1 => shares(bands, false)];
        let slip = prop_oneof![3 => 0.0..0.2_f64, 1 => Just(0.0)];
        (leak, slip, proptest::collection::vec(push(bands), faults))
            .prop_map(|(leak, slip, push)| NetCheck { leak, slip, push })
    })
}

fn reading(bands: usize) -> impl Strategy<Value = Vec<f64>> {
    prop_oneof![
        (0..bands).prop_map(move |k| (0..bands).map(|j| f64::from(u8::from(j == k))).collect()),
        proptest::collection::vec(0.001..3.0_f64, bands),
        Just(vec![1e-250; bands]),
    ]
}

fn made() -> impl Strategy<Value = Made> {
    (1..=5_usize, 1..=4_usize)
        .prop_flat_map(|(faults, checks)| network(faults, checks))
        .prop_flat_map(|made| {
            let reading = |c: &NetCheck| proptest::option::weighted(0.7, reading(c.leak.len()));
            let readings: Vec<_> = made.net.checks.iter().map(reading).collect();
            (Just(made), readings).prop_map(|(made, readings)| {
                let read = readings.into_iter().enumerate();
                Made { evidence: read.filter_map(|(c, r)| Some((c, r?))).collect(), ..made }
            })
        })
}

fn network(faults: usize, checks: usize) -> impl Strategy<Value = Made> {
    let odds = proptest::collection::vec(0.001..0.5_f64, faults);
    let parts = proptest::collection::vec(proptest::collection::vec(0..3_usize, 1..=2), faults);
    let none = prop_oneof![3 => Just(1.0), 1 => 0.0..0.1_f64, 1 => Just(0.0)];
    let other = prop_oneof![1 => Just(0.0), 1 => 0.0..0.1_f64];
    let minutes = proptest::collection::vec(1.0..20.0_f64, checks);
    let checks = proptest::collection::vec(check(faults), checks);
    (odds, parts, none, other, 1..=2_u32, minutes, checks).prop_map(
        |(odds, parts, none, other, most, minutes, checks)| Made {
            net: Net { odds, none, other, most, checks },
            parts,
            minutes,
            evidence: Vec::new(),
        },
    )
}

fn over_ok(all: &[f64]) -> Vec<(Band, f64)> {
    all.iter().enumerate().skip(1).map(|(k, p)| (Band(k), *p)).collect()
}

fn draft(made: &Made) -> Draft {
    let Made { net, parts, minutes, .. } = made;
    let mut draft = Draft::new();
    draft.parts = 3;
    for (odds, parts) in net.odds.iter().zip(parts) {
        draft.fault(Likely::Odds(*odds), parts.iter().map(|p| Part(*p)).collect());
    }
    for (check, minutes) in net.checks.iter().zip(minutes) {
        let push = |(f, all): (usize, &Vec<f64>)| Push { fault: Fault(f), into: over_ok(all) };
        let mut out = CheckDraft::pass_fail(0.0, check.slip, *minutes, &[]);
        out.bands = check.leak.len();
        out.leak = over_ok(&check.leak);
        out.pushes = check.push.iter().enumerate().map(push).collect();
        draft.check(out);
    }
    draft.none_weight = net.none;
    draft.other_weight = net.other;
    draft.max_faults = if net.most == 1 { MaxFaults::One } else { MaxFaults::Two };
    draft.costs = Some(RepairCosts {
        part: vec![30.0, 60.0, 120.0],
        nothing: 5.0,
        verify: 10.0,
        escalate: 300.0,
    });
    draft
}

fn evidence(made: &Made) -> Evidence {
    let mut out = Evidence::new();
    for (check, weights) in &made.evidence {
        out.read(Check(*check), Likelihood::given(weights).unwrap());
    }
    out
}

fn expected(truth: &Truth, hypothesis: Hypothesis) -> f64 {
    let set: u32 = hypothesis.faults().map(|f| 1 << f.0).sum();
    match hypothesis {
        Hypothesis::Other => truth.other,
        _ => truth.subsets.iter().find(|(s, _)| *s == set).map_or(0.0, |(_, p)| *p),
    }
}

fn agrees(made: &Made) -> Result<(), TestCaseError> {
    // A band without slip that nothing leads to is refused at once.
    let Ok(network) = draft(made).build() else { return Ok(()) };
    let evidence = evidence(made);
    let truth = made.net.truth(&made.evidence);
    match (network.posterior(&evidence), truth) {
        (Ok(posterior), Some(truth)) => {
            for (h, p) in posterior.iter() {
                let truth = expected(&truth, h);
                prop_assert!((p - truth).abs() <= 1e-12, "{h:?}: {p} is not {truth}");
            }
            let log = truth.log_evidence;
            // Weights of 1e-250 times several readings are beyond plain products.
            if log.is_finite() && log > -600.0 {
                prop_assert!((posterior.log_evidence() - log).abs() <= 1e-9 * log.abs().max(1.0));
            }
            next_is_sound(&network, &posterior, &evidence, &made.minutes)
        }
        (Err(EvidenceError::Contradiction(checks)), None) => irreducible(made, &network, &checks),
        (Ok(_), None) => {
            // Plain products run out of range where logarithms don't.
            prop_assert!(made.evidence.iter().filter(|(_, w)| w[0] == 1e-250).count() > 1);
            Ok(())
        }
        (got, _) => Err(TestCaseError::fail(format!("brute force allows it: {got:?}"))),
    }
}

/// The readings named by a contradiction contradict, and no fewer of them do.
fn irreducible(made: &Made, network: &Network, checks: &[Check]) -> Result<(), TestCaseError> {
    let only = |keep: &dyn Fn(usize) -> bool| {
        let mut less = made.clone();
        less.evidence.retain(|(c, _)| checks.contains(&Check(*c)) && keep(*c));
        network.posterior(&evidence(&less)).is_err()
    };
    prop_assert!(only(&|_| true), "{checks:?} don't contradict");
    for check in checks {
        prop_assert!(!only(&|c| c != check.0), "{checks:?} do without {check:?}");
    }
    Ok(())
}

/// Bits by direct summing over hypotheses, and every figure finite.
fn next_is_sound(
    network: &Network,
    posterior: &truing_diagnosis::Posterior,
    evidence: &Evidence,
    minutes: &[f64],
) -> Result<(), TestCaseError> {
    for (check, bits) in network.bits(posterior, evidence).unwrap() {
        let direct = directly(network, posterior, check);
        prop_assert!((bits - direct).abs() <= 1e-10, "{check:?}: {bits} is not {direct}");
    }
    let rules = StopRules::default();
    let next = network.next(posterior, evidence, &Situation::default(), &rules).unwrap();
    for c in &next.candidates {
        prop_assert!(c.bits.is_finite() && c.minutes > 0.0);
    }
    for pointer in &next.pointers {
        prop_assert!(pointer.chance > 0.0 && pointer.chance <= 1.0 + 1e-12);
        prop_assert!(pointer.cures.iter().all(|(_, p)| p.is_finite()));
        branch(network, evidence, next.proposed.unwrap(), pointer)?;
    }
    let values = network.values(posterior, evidence, &Situation::default()).unwrap();
    let ecr =
        |posterior: &truing_diagnosis::Posterior| network.repair_plan(posterior).unwrap().minutes;
    for (check, value) in &values {
        let mut after = 0.0;
        for band in 0..network.bands(*check).unwrap() {
            let Some((chance, then)) = after_band(network, posterior, evidence, *check, band)
            else {
                continue;
            };
            after += chance * ecr(&then);
        }
        let direct = ecr(posterior) - after - minutes[check.0];
        prop_assert!((value - direct).abs() <= 1e-8, "{check:?}: {value} is not {direct}");
    }
    if let Some(value) = next.value {
        let most = values.iter().map(|(_, v)| *v).fold(f64::NEG_INFINITY, f64::max);
        prop_assert!(value.one_step <= most + 1e-9, "{value:?} of {values:?}");
        let stops = value.one_step <= 0.0 && value.two_step.is_some_and(|two| two <= 0.0);
        prop_assert!(!stops || most <= 1e-9, "{value:?} of {values:?}");
    }
    Ok(())
}

/// The chance of a band, and the posterior after it, as the reading itself would give it.
fn after_band(
    network: &Network,
    posterior: &truing_diagnosis::Posterior,
    evidence: &Evidence,
    check: Check,
    band: usize,
) -> Option<(f64, truing_diagnosis::Posterior)> {
    let read = |h| network.outcome_read(check, h).unwrap()[band];
    let chance: f64 = posterior.iter().map(|(h, p)| p * read(h)).sum();
    let mut evidence = evidence.clone();
    evidence.read(check, Likelihood::hard(Band(band), network.bands(check).unwrap()).unwrap());
    Some((chance, network.posterior(&evidence).ok()?))
}

/// Looking ahead gives the posterior that the reading itself would give.
fn branch(
    network: &Network,
    evidence: &Evidence,
    check: Check,
    pointer: &truing_diagnosis::Pointer,
) -> Result<(), TestCaseError> {
    let mut read = evidence.clone();
    let bands = network.bands(check).unwrap();
    read.read(check, Likelihood::hard(pointer.band, bands).unwrap());
    let cures = network.posterior(&read).unwrap().cures(network);
    for (cure, p) in &pointer.cures {
        let then = cures.iter().find(|(c, _)| c == cure).map_or(0.0, |(_, p)| *p);
        prop_assert!((p - then).abs() <= 1e-10, "{cure:?}: {p} is not {then}");
    }
    Ok(())
}

fn directly(network: &Network, posterior: &truing_diagnosis::Posterior, check: Check) -> f64 {
    let bands = network.bands(check).unwrap();
    let mut joint = std::collections::BTreeMap::new();
    for (h, p) in posterior.iter() {
        let row = joint.entry(network.cure(h)).or_insert_with(|| vec![0.0; bands]);
        let read = network.outcome_read(check, h).unwrap();
        row.iter_mut().zip(&read).for_each(|(sum, q)| *sum += p * q);
    }
    let band = |k: usize| joint.values().map(|row| row[k]).sum::<f64>();
    let mut bits = 0.0;
    for row in joint.values() {
        let p: f64 = row.iter().sum();
        for (k, j) in row.iter().enumerate().filter(|(_, j)| **j > 0.0) {
            bits += j * (j / (p * band(k))).log2();
        }
    }
    bits
}

/// The same with faults and checks in another order.
fn shuffled(made: &Made, by_fault: &[usize], by_check: &[usize]) -> Made {
    let net = &made.net;
    let check = |c: &usize| {
        let old = &net.checks[*c];
        let push = by_fault.iter().map(|f| old.push[*f].clone()).collect();
        NetCheck { leak: old.leak.clone(), slip: old.slip, push }
    };
    let at = |c: usize| by_check.iter().position(|b| *b == c).unwrap();
    Made {
        net: Net {
            odds: by_fault.iter().map(|f| net.odds[*f]).collect(),
            checks: by_check.iter().map(check).collect(),
            ..net.clone()
        },
        parts: by_fault.iter().map(|f| made.parts[*f].clone()).collect(),
        minutes: by_check.iter().map(|c| made.minutes[*c]).collect(),
        evidence: made.evidence.iter().rev().map(|(c, w)| (at(*c), w.clone())).collect(),
    }
}

fn order_is_nothing(
    made: &Made,
    by_fault: &[usize],
    by_check: &[usize],
) -> Result<(), TestCaseError> {
    let Ok(network) = draft(made).build() else { return Ok(()) };
    let other = shuffled(made, by_fault, by_check);
    let again = draft(&other).build().unwrap();
    let (one, two) = (network.posterior(&evidence(made)), again.posterior(&evidence(&other)));
    let (Ok(one), Ok(two)) = (&one, &two) else {
        prop_assert!(one.is_err() && two.is_err());
        return Ok(());
    };
    let new = |f: Fault| Fault(by_fault.iter().position(|b| *b == f.0).unwrap());
    for (h, p) in one.iter() {
        let mut faults = h.faults().map(new);
        let moved = match (faults.next(), faults.next()) {
            (Some(f), Some(g)) => Hypothesis::pair(f, g),
            (Some(f), None) => Hypothesis::Single(f),
            _ => h,
        };
        prop_assert!((two.probability(moved) - p).abs() <= 1e-12, "{h:?}");
    }
    let next = |network: &Network, posterior, evidence: &Evidence| {
        let rules = StopRules::default();
        network.next(posterior, evidence, &Situation::default(), &rules).unwrap()
    };
    let (a, b) = (next(&network, one, &evidence(made)), next(&again, two, &evidence(&other)));
    for (x, y) in a.candidates.iter().zip(&b.candidates) {
        prop_assert!((x.bits - y.bits).abs() <= 1e-10);
        prop_assert!((x.score() - y.score()).abs() <= 1e-10);
    }
    prop_assert!((a.plan.unwrap().minutes - b.plan.unwrap().minutes).abs() <= 1e-9);
    Ok(())
}

/// So many clear readings that their products leave the range of doubles, at once and in turn.
#[test]
fn readings_at_once_say_what_they_say_in_turn() {
    let mut draft = Draft::new();
    draft.max_faults = MaxFaults::Two;
    let part = draft.part();
    let faults: Vec<Fault> =
        (0..5).map(|_| draft.fault(Likely::Probability(0.01), vec![part])).collect();
    for at in 0..100 {
        let pushes: Vec<(Fault, f64)> =
            faults.iter().map(|f| (*f, if f.0 == at % 5 { 0.2 } else { 0.999 })).collect();
        draft.check(CheckDraft::pass_fail(1e-5, 1e-5, 1.0, &pushes));
    }
    let network = draft.build().unwrap();
    let reading = |at: usize| Likelihood::hard(Band(usize::from(at % 10 != 3)), 2).unwrap();
    let read = |checks: std::ops::Range<usize>| {
        let mut evidence = Evidence::new();
        checks.for_each(|at| drop(evidence.read(Check(at), reading(at))));
        evidence
    };
    let at_once = network.posterior(&read(0..100)).unwrap();
    let mut in_turn = network.posterior(&read(0..5)).unwrap();
    let mut log = in_turn.log_evidence();
    for from in (5..100).step_by(5) {
        in_turn = network.posterior_after(&in_turn, &read(from..from + 5)).unwrap();
        log += in_turn.log_evidence();
    }
    assert!(at_once.probability(Hypothesis::None) == 0.0);
    assert!((at_once.log_evidence() - log).abs() < 1e-9, "{} {log}", at_once.log_evidence());
    for ((h, p), (_, q)) in at_once.iter().zip(in_turn.iter()) {
        assert!((p - q).abs() < 1e-12, "{h:?}: {p} {q}");
    }
}

/// Many repairs in turn, since giving up costs far more than all of them; few faults on each check,
/// and more of them than are kept in pairs.
#[test]
fn what_measuring_saves_with_many_repairs_is_that_of_their_plans() {
    for (checks, most) in [(60, MaxFaults::One), (60, MaxFaults::Two), (15, MaxFaults::Two)] {
        let mut draft = large::draft(40, checks, most);
        draft.costs.as_mut().unwrap().escalate = 1e6;
        let network = draft.build().unwrap();
        let minutes: Vec<f64> = draft.checks.iter().map(|check| check.minutes).collect();
        for read in [0, 6] {
            let evidence = large::readings(&draft, Fault(17), read);
            let posterior = network.posterior(&evidence).unwrap();
            let steps = network.repair_plan(&posterior).unwrap().steps.len();
            assert!(steps > 20, "{steps} steps");
            next_is_sound(&network, &posterior, &evidence, &minutes).unwrap();
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 10_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// 10⁴ networks of up to 5 faults and 4 checks of up to 4 bands, against enumeration.
    #[test]
    fn posterior_is_that_of_brute_force(made in made()) {
        agrees(&made)?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1_000, failure_persistence: None, ..ProptestConfig::default() })]

    /// The order of faults, checks and readings.
    #[test]
    fn order_never_changes_a_result(
        (made, by_fault, by_check) in made().prop_flat_map(|made| {
            let faults: Vec<usize> = (0..made.net.odds.len()).collect();
            let checks: Vec<usize> = (0..made.net.checks.len()).collect();
            (Just(made), Just(faults).prop_shuffle(), Just(checks).prop_shuffle())
        })
    ) {
        order_is_nothing(&made, &by_fault, &by_check)?;
    }
}
