//! What to measure next, in which order to repair, and why.

use truing_diagnosis::{
    Check, Cure, Setup, Situation, Step, StopRules, by_probability_over_cost, expected_cost,
};

use super::cases::{Model, NextTest, at, file, near};
use super::charging::{Charging, Needs, hypothesis};

/// Bits by direct summing over all hypotheses: `sum J log2(J / (P(R) P(k)))`.
fn bits_directly(
    charging: &Charging,
    posterior: &truing_diagnosis::Posterior,
    check: Check,
) -> f64 {
    let mut joint: std::collections::BTreeMap<Cure, Vec<f64>> = std::collections::BTreeMap::new();
    let bands = charging.bands[check.0].len();
    for (h, p) in posterior.iter() {
        let read = charging.network.outcome_read(check, h).unwrap();
        let row = joint.entry(charging.network.cure(h)).or_insert_with(|| vec![0.0; bands]);
        row.iter_mut().zip(&read).for_each(|(sum, q)| *sum += p * q);
    }
    let band = |k: usize| joint.values().map(|row| row[k]).sum::<f64>();
    let term = |row: &Vec<f64>, k: usize| {
        let (p, j): (f64, f64) = (row.iter().sum(), row[k]);
        if j > 0.0 { j * (j / (p * band(k))).log2() } else { 0.0 }
    };
    joint.values().flat_map(|row| (0..bands).map(move |k| term(row, k))).sum()
}

#[test]
fn gain_bits_of_bands_posterior() {
    let file = file();
    let mut with_figures = 0;
    for case in &file.bands_posterior {
        let charging = Charging::of(&file, &case.network, case.model, Needs::Left);
        let evidence = charging.evidence(&case.evidence);
        let posterior = charging.network.posterior(&evidence).unwrap();
        let bits = charging.network.bits(&posterior, &evidence).unwrap();
        for (check, bits) in &bits {
            let direct = bits_directly(&charging, &posterior, *check);
            near(*bits, direct, 1e-12, &format!("{}: {}", case.id, charging.checks[check.0]));
        }
        let Some(expected) = &case.expect_gain_bits else { continue };
        with_figures += 1;
        assert_eq!(bits.len(), expected.len(), "{}", case.id);
        for (check, bits) in bits {
            let name = &charging.checks[check.0];
            near(bits, expected[name], case.tolerance, &format!("{}: {name}", case.id));
        }
    }
    let single = file.bands_posterior.iter().filter(|c| c.model == Model::Single).count();
    assert_eq!(with_figures, single, "gains are given for the single-fault cases");
}

fn situation(charging: &Charging, case: &NextTest) -> Situation {
    let open = case.opened.iter().map(|name| Setup(at(&charging.setups, name)));
    Situation { open: open.collect(), state: None }
}

#[test]
fn next_test() {
    let file = file();
    for case in &file.next_test {
        let charging = Charging::of(&file, &case.network, case.model, Needs::Said);
        let network = &charging.network;
        let evidence = charging.observed(&case.observed);
        let posterior = network.posterior(&evidence).unwrap();
        let situation = situation(&charging, case);
        let next = network.next(&posterior, &evidence, &situation, &StopRules::default()).unwrap();
        let (id, tolerance) = (&case.id, case.tolerance);
        let name = |check: Check| charging.checks[check.0].as_str();
        for (got, expected) in next.candidates.iter().zip(&case.expect_candidates) {
            let place = format!("{id}: {}", expected.chain.join(", "));
            let chain: Vec<&str> = got.chain.iter().map(|c| name(*c)).collect();
            assert_eq!(chain, expected.chain, "{place}");
            assert_eq!(name(got.first().unwrap()), expected.first, "{place}");
            near(got.bits, expected.gain_bits, tolerance, &place);
            near(got.minutes, expected.minutes, tolerance, &place);
            near(got.score(), expected.bits_per_minute, tolerance, &place);
        }
        assert!(next.candidates.len() >= case.expect_candidates.len(), "{id}");
        assert_eq!(name(next.candidates[0].first().unwrap()), case.expect_best_one_step, "{id}");
        assert_eq!(name(next.proposed.unwrap()), case.expect_best_two_step, "{id}");
        let barred: Vec<&str> = next.barred.iter().map(|(c, _)| name(*c)).collect();
        assert_eq!(barred, case.expect_not_applicable, "{id}");
        let plan = next.plan.as_ref().unwrap();
        near(plan.minutes, case.expect_ecr_minutes, tolerance, id);
        let step = |step: &Step| match step {
            Step::Nothing => "none".to_owned(),
            Step::Replace(part) => charging.cure_name(&Cure::Replace(vec![*part])),
        };
        let steps: Vec<String> = plan.steps.iter().map(step).collect();
        assert_eq!(steps, case.expect_repair_order, "{id}");
        let apart = network.repair_plan(&posterior).unwrap();
        assert_eq!(apart.steps, plan.steps, "{id}");
        near(apart.minutes, plan.minutes, 1e-10, id);
        let values = network.values(&posterior, &evidence, &situation).unwrap();
        let most = values.iter().map(|(_, v)| *v).fold(f64::NEG_INFINITY, f64::max);
        near(most, case.expect_best_voi_minutes, tolerance, &format!("{id}: value"));
    }
}

#[test]
fn repair_order() {
    for case in file().repair_order {
        let order = by_probability_over_cost(&case.probability, &case.cost);
        assert_eq!(order, case.expect_order, "{}", case.id);
        let got = expected_cost(&case.probability, &case.cost, &order);
        near(got, case.expect_ecr, case.tolerance, &case.id);
        let given: Vec<usize> = (0..case.cost.len()).collect();
        let got = expected_cost(&case.probability, &case.cost, &given);
        near(got, case.expect_ecr_given_order, case.tolerance, &case.id);
    }
}

#[test]
fn weight_of_evidence() {
    let file = file();
    for case in &file.weight_of_evidence {
        let charging = Charging::of(&file, &case.network, case.model, Needs::Left);
        let evidence = charging.evidence(&case.evidence);
        let posterior = charging.network.posterior(&evidence).unwrap();
        let best = hypothesis(&charging.faults, &case.best);
        let rival = hypothesis(&charging.faults, &case.rival);
        let got = charging.network.weigh(&posterior, &evidence, best, rival).unwrap();
        near(got.prior_decibans, case.expect_prior_db, case.tolerance, &case.id);
        near(got.total_decibans, case.expect_total_db, case.tolerance, &case.id);
        assert_eq!(got.contributions.len(), case.expect_db.len(), "{}", case.id);
        for c in &got.contributions {
            let expected = case.expect_db[&charging.checks[c.check.0]];
            near(c.decibans, expected, case.tolerance, &case.id);
        }
        let sum = got.contributions.iter().map(|c| c.decibans).sum::<f64>() + got.prior_decibans;
        let odds = posterior.probability(best) / posterior.probability(rival);
        near(sum, 10.0 * odds.log10(), 1e-10, &format!("{}: the sum is the odds", case.id));
        assert_eq!(posterior.top(1)[0].0, best, "{}", case.id);
    }
}
