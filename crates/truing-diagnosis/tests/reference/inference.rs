//! Posteriors, combined causes, likelihoods, applicability, refusals.

use truing_diagnosis::{
    Band, Check, CheckDraft, Draft, Evidence, Fault, Hypothesis, Intervals, Likelihood, Likely,
    MaxFaults, Network, Reading, noisy_max,
};

use super::cases::{self, ByName, Given, Model, at, file, near};
use super::charging::{Charging, Needs, evidence, hypothesis, most, over_ok};
use super::oracle::{Net, NetCheck};

/// A pass/fail network: `fail[check][fault]`.
fn pass_fail(prior: &[f64], leak: &[f64], slip: &[f64], fail: &[Vec<f64>]) -> Draft {
    let mut draft = Draft::new();
    for p in prior {
        let part = draft.part();
        draft.fault(Likely::Probability(*p), vec![part]);
    }
    for ((leak, slip), fail) in leak.iter().zip(slip).zip(fail) {
        let pushes: Vec<_> = fail.iter().enumerate().map(|(f, p)| (Fault(f), *p)).collect();
        draft.check(CheckDraft::pass_fail(*leak, *slip, 1.0, &pushes));
    }
    draft
}

fn oracle_of(case: &cases::Posterior) -> Net {
    let two = |p: f64| vec![1.0 - p, p];
    Net {
        odds: case.prior.iter().map(|p| p / (1.0 - p)).collect(),
        none: f64::from(u8::from(case.none_allowed)),
        other: case.other_weight.unwrap_or(0.0),
        most: match case.model {
            Model::Single => 1,
            Model::Upto2 => 2,
            Model::Independent => u32::MAX,
        },
        checks: (0..case.checks.len())
            .map(|c| NetCheck {
                leak: two(case.leak[c]),
                slip: case.slip[c],
                push: case.fail[c].iter().map(|p| two(*p)).collect(),
            })
            .collect(),
    }
}

fn plain(checks: &[String], given: &[Given]) -> Vec<(usize, Vec<f64>)> {
    given.iter().map(|g| (at(checks, &g.check), g.likelihood.clone())).collect()
}

fn as_set(hypothesis: Hypothesis) -> u32 {
    hypothesis.faults().map(|f| 1 << f.0).sum()
}

fn compare(
    posterior: &truing_diagnosis::Posterior,
    faults: &[String],
    expected: &ByName,
    tolerance: f64,
    id: &str,
) {
    for (name, p) in expected {
        let got = posterior.probability(hypothesis(faults, name));
        near(got, *p, tolerance, &format!("{id}: {name}"));
    }
}

fn top_is(
    posterior: &truing_diagnosis::Posterior,
    faults: &[String],
    expected: &ByName,
    tolerance: f64,
    id: &str,
) {
    compare(posterior, faults, expected, tolerance, id);
    for (h, p) in posterior.top(expected.len()) {
        let named = expected.keys().any(|name| hypothesis(faults, name) == h);
        assert!(named, "{id}: {h:?} with {p} is among the likeliest");
    }
}

/// The engine against the file and against brute force. `independent` cases (any number of faults)
/// are beyond the engine, which stops at two: there brute force and Quickscore, by which the engine
/// is judged elsewhere, are held to the file.
#[test]
fn posterior() {
    let mut engine = 0;
    for case in file().posterior {
        let net = oracle_of(&case);
        let given = plain(&case.checks, &case.evidence);
        let truth = net.truth(&given).unwrap();
        if let Some(log) = case.expect_log_evidence {
            near(truth.log_evidence, log, case.tolerance, &case.id);
        }
        if case.model == Model::Independent {
            beyond_two(&case, &net, &given);
            continue;
        }
        engine += 1;
        let mut draft = pass_fail(&case.prior, &case.leak, &case.slip, &case.fail);
        draft.none_weight = net.none;
        draft.other_weight = net.other;
        draft.max_faults = most(case.model);
        let network = draft.build().unwrap();
        let posterior = network.posterior(&evidence(&case.checks, &case.evidence)).unwrap();
        for (h, p) in posterior.iter() {
            let set = as_set(h);
            let truth = match h {
                Hypothesis::Other => truth.other,
                _ => truth.subsets.iter().find(|(s, _)| *s == set).unwrap().1,
            };
            near(p, truth, 1e-12, &format!("{}: {h:?} by brute force", case.id));
        }
        near(posterior.log_evidence(), truth.log_evidence, 1e-12, &case.id);
        if let Some(expected) = &case.expect_posterior {
            compare(&posterior, &case.faults, expected, case.tolerance, &case.id);
        }
        if let Some(expected) = &case.expect_top_hypotheses {
            top_is(&posterior, &case.faults, expected, case.tolerance, &case.id);
        }
        for (f, expected) in case.expect_fault_marginal.iter().flatten().enumerate() {
            near(posterior.faults()[f], *expected, case.tolerance, &case.id);
        }
        if let Some(expected) = case.expect_number_of_faults {
            for (got, expected) in posterior.number_of_faults().iter().zip(expected) {
                near(*got, expected, case.tolerance, &case.id);
            }
        }
    }
    assert_eq!(engine, 26, "cases that the engine itself can say");
}

fn beyond_two(case: &cases::Posterior, net: &Net, given: &[(usize, Vec<f64>)]) {
    let truth = net.truth(given).unwrap();
    let all = net.quickscore(given, None);
    near(all.ln(), truth.log_evidence, 1e-10, &format!("{}: Quickscore", case.id));
    let expected = case.expect_fault_marginal.as_ref().unwrap();
    for (f, expected) in expected.iter().enumerate() {
        near(truth.marginal(f), *expected, case.tolerance, &case.id);
        let quick = net.quickscore(given, Some(f)) / all;
        near(quick, *expected, case.tolerance, &format!("{}: Quickscore", case.id));
    }
}

#[test]
fn bands_posterior() {
    let file = file();
    for case in &file.bands_posterior {
        let charging = Charging::of(&file, &case.network, case.model, Needs::Left);
        let posterior = charging.network.posterior(&charging.evidence(&case.evidence)).unwrap();
        let tolerance = case.tolerance;
        near(posterior.log_evidence(), case.expect_log_evidence, tolerance, &case.id);
        if let Some(expected) = &case.expect_posterior {
            compare(&posterior, &charging.faults, expected, tolerance, &case.id);
        }
        if let Some(expected) = &case.expect_top_hypotheses {
            top_is(&posterior, &charging.faults, expected, tolerance, &case.id);
        }
        if let Some(expected) = &case.expect_part {
            let cures = posterior.cures(&charging.network);
            assert_eq!(cures.len(), expected.len(), "{}: cures", case.id);
            for (cure, p) in cures {
                near(p, expected[&charging.cure_name(&cure)], tolerance, &case.id);
            }
        }
        for (f, expected) in case.expect_fault_marginal.iter().flatten().enumerate() {
            near(posterior.faults()[f], *expected, tolerance, &case.id);
        }
        if let Some(expected) = case.expect_pair_mass {
            near(posterior.pair_mass(), expected, tolerance, &case.id);
        }
    }
}

#[test]
fn applicability() {
    let file = file();
    for case in &file.applicability {
        let charging = Charging::of(&file, &case.network, case.model, Needs::Said);
        let posterior = charging.network.posterior(&charging.evidence(&case.evidence)).unwrap();
        compare(&posterior, &charging.faults, &case.expect_posterior, case.tolerance, &case.id);
        let ignored: Vec<&str> =
            posterior.not_used().iter().map(|(c, _)| charging.checks[c.0].as_str()).collect();
        assert_eq!(ignored, case.expect_ignored, "{}", case.id);
    }
}

#[test]
fn noisy_or() {
    for case in file().noisy_or {
        let two = |p: f64| [1.0 - p, p];
        let causes: Vec<[f64; 2]> = case.push.iter().map(|p| two(*p)).collect();
        let there = causes.iter().zip(&case.present).filter(|(_, p)| **p == 1);
        let there: Vec<&[f64]> = there.map(|(c, _)| c.as_slice()).collect();
        let got = noisy_max(&two(case.leak), &there).unwrap();
        near(got[1], case.expect_fail, case.tolerance, &case.id);
    }
}

#[test]
fn noisy_max_of_bands() {
    for case in file().noisy_max {
        let causes: Vec<&[f64]> = case.push.iter().map(Vec::as_slice).collect();
        let got = noisy_max(&case.leak, &causes).unwrap();
        let within = in_a_network(&case);
        for (k, expected) in case.expect.iter().enumerate() {
            near(got[k], *expected, case.tolerance, &case.id);
            near(within[k], *expected, case.tolerance, &case.id);
        }
    }
}

/// The same through a network and its one check.
fn in_a_network(case: &cases::NoisyMax) -> Vec<f64> {
    let mut draft = Draft::new();
    draft.max_faults = MaxFaults::Two;
    let part = draft.part();
    let faults: Vec<Fault> =
        case.push.iter().map(|_| draft.fault(Likely::Odds(0.1), vec![part])).collect();
    let mut check = CheckDraft::pass_fail(0.0, 0.0, 1.0, &[]);
    check.bands = case.leak.len();
    check.leak = over_ok(&case.leak);
    let push =
        |(f, all): (&Fault, &Vec<f64>)| truing_diagnosis::Push { fault: *f, into: over_ok(all) };
    check.pushes = faults.iter().zip(&case.push).map(push).collect();
    let check = draft.check(check);
    let all = match faults.as_slice() {
        [one] => Hypothesis::Single(*one),
        [one, two] => Hypothesis::Pair(*one, *two),
        _ => panic!("{}: one or two causes", case.id),
    };
    draft.build().unwrap().outcome(check, all).unwrap()
}

#[test]
fn likelihood() {
    for case in file().likelihood {
        let band_of: Vec<Band> = case.interval_band.iter().map(|k| Band(*k)).collect();
        let bands = Intervals::new(&case.edges, &band_of, case.bands.len()).unwrap();
        let reading = Reading::new(case.reading, case.standard_uncertainty).unwrap();
        let got = Likelihood::of_reading(reading, &bands).unwrap();
        for (got, expected) in got.weights().iter().zip(&case.expect) {
            // Far tails too: 1e-198 is held to its own digits.
            let tolerance = case.tolerance * expected.min(1.0);
            near(*got, *expected, tolerance, &case.id);
        }
    }
}

/// Refused when the network is built, when the reading is made, or when it is used.
fn refused(case: &cases::Reject) -> bool {
    let draft = pass_fail(&case.prior, &case.leak, &case.slip, &case.fail);
    let Ok(network): Result<Network, _> = draft.build() else { return true };
    let mut evidence = Evidence::new();
    for given in &case.evidence {
        let Ok(likelihood) = Likelihood::given(&given.likelihood) else { return true };
        let check = case.checks.iter().position(|c| *c == given.check).unwrap_or(case.checks.len());
        evidence.read(Check(check), likelihood);
    }
    network.posterior(&evidence).is_err()
}

#[test]
fn reject() {
    for case in file().reject {
        assert_eq!(case.expect, "error");
        assert!(refused(&case), "{}: {}", case.id, case.why);
    }
}

/// Worked by hand (JCGM 100:2008, 4.2.3): readings 12.4 and 12.6 scatter by 0.1·√2; their mean has
/// 0.1 from that and 0.1 in common.
#[test]
fn repeats_are_merged_not_multiplied() {
    let merged = Reading::merged(&[12.4, 12.6], None, 0.1).unwrap();
    near(merged.value(), 12.5, 1e-14, "mean");
    near(merged.uncertainty(), 0.02_f64.sqrt(), 1e-14, "u");
    let many = Reading::merged(&[12.5; 1000], Some(0.2), 0.1).unwrap();
    near(many.uncertainty(), (0.04_f64 / 1000.0 + 0.01).sqrt(), 1e-14, "u of many");
    let one = Reading::merged(&[12.5], None, 0.1).unwrap();
    near(one.uncertainty(), 0.1, 1e-15, "u of one");
}
