//! After a repair, what checks can find, the best order of checks, sets, and learning.

use std::collections::BTreeSet;

use truing_diagnosis::{
    Band, BandCounts, Check, Components, Cured, Evidence, Fault, Likelihood, LinkCount, Part,
    Puzzle, Shares, Signatures, Verdict, diagnoses, minimal_hitting_sets,
};

use super::cases::{self, Model, at, file, near};
use super::charging::{Charging, Needs};

#[test]
fn after_repair() {
    let file = file();
    for case in &file.after_repair {
        let charging = Charging::of(&file, &case.network, case.model, Needs::Left);
        let network = &charging.network;
        let evidence = charging.evidence(&case.evidence);
        let before = network.posterior(&evidence).unwrap();
        let none = |p: &truing_diagnosis::Posterior| p.number_of_faults()[0];
        near(none(&before), case.expect_none_before, case.tolerance, &case.id);
        let replaced = [Part(at(&charging.parts, &case.replaced))];
        let belief = network.after_repair(&before, &replaced, case.repair_success).unwrap();
        near(none(&belief), case.expect_none_after_repair, case.tolerance, &case.id);
        near(belief.iter().map(|(_, p)| p).sum(), 1.0, 1e-12, &case.id);
        let mut since = Evidence::new();
        for name in &case.retest_pass {
            let check = charging.check(name);
            let bands = charging.bands[check.0].len();
            since.read(check, Likelihood::hard(Band::OK, bands).unwrap());
        }
        let after = network.posterior_after(&belief, &since).unwrap();
        near(none(&after), case.expect_none_after_retest, case.tolerance, &case.id);
        let proof = network.proof(&evidence, &since, &after).unwrap();
        assert_eq!(proof.verdict == Verdict::Proven, case.expect_proven_at_095, "{}", case.id);
    }
}

#[test]
fn testability() {
    for case in file().testability {
        let mut parts: Vec<String> = case.part.clone();
        parts.sort();
        parts.dedup();
        let cure: Vec<usize> = case.part.iter().map(|part| at(&parts, part)).collect();
        let signatures =
            Signatures::new(&case.signature, &case.nofault, &case.prior, &cure).unwrap();
        let got = signatures.testability();
        let close = |got, expected| near(got, expected, case.tolerance, &case.id);
        close(got.detected, case.expect_ffd);
        close(got.detected_by_number, case.expect_ffd_unweighted);
        close(signatures.isolated(1), case.expect_ffi_size1);
        close(signatures.isolated(2), case.expect_ffi_size2);
        close(got.isolated_to_cure, case.expect_ffi_part);
        close(signatures.isolated_by_number(1), case.expect_ffi_size1_unweighted);
        close(got.mean_group, case.expect_mean_group_size);
        close(got.false_removals, case.expect_false_removals);
        let plain = |faults: &Vec<Fault>| faults.iter().map(|f| f.0).collect::<Vec<_>>();
        let checks = |checks: &[Check]| checks.iter().map(|c| c.0).collect::<Vec<_>>();
        let groups: Vec<Vec<usize>> = got.groups.iter().map(plain).collect();
        assert_eq!(groups, case.expect_ambiguity_groups, "{}", case.id);
        assert_eq!(plain(&got.undetected), case.expect_undetected, "{}", case.id);
        assert_eq!(checks(&got.redundant), case.expect_redundant_checks, "{}", case.id);
        assert_eq!(checks(&got.useless), case.expect_useless_checks, "{}", case.id);
        let hides: Vec<[usize; 2]> = got.hides.iter().map(|(f, g)| [f.0, g.0]).collect();
        assert_eq!(hides, case.expect_hides, "{}", case.id);
    }
}

/// The two faults of the charging system that rounded signatures call equal, and the next likest.
/// Overlaps .92 and .42: computed with a numpy prototype, to two digits.
#[test]
fn overlap_beside_rounded_signatures() {
    let charging = Charging::of(&file(), "charging", Model::Single, Needs::Said);
    let network = &charging.network;
    let fault = |name: &str| Fault(at(&charging.faults, name));
    let groups = Signatures::of(network).testability().groups;
    let weak = [fault("battery_weak"), fault("battery_sulphated")];
    assert!(groups.contains(&weak.to_vec()), "one signature: {groups:?}");
    let alike = network.alike(0.4);
    assert_eq!((alike[0].0, alike[0].1), (weak[0], weak[1]));
    near(alike[0].2, 0.92, 0.005, "battery");
    assert_eq!(alike[1].0, fault("stator_turn_short"));
    assert_eq!(alike[1].1, fault("rotor_magnets_weak"));
    near(alike[1].2, 0.42, 0.005, "stator");
    near(network.overlap(alike[1].0, alike[1].1), alike[1].2, 1e-15, "the same");
}

#[test]
fn strategy() {
    for case in file().strategy {
        let apart: Vec<usize> = (0..case.prior.len()).collect();
        let group = case.group.as_ref().unwrap_or(&apart);
        let puzzle = Puzzle::new(&case.prior, &case.signature, &case.costs, group).unwrap();
        let optimum = puzzle.optimum().unwrap();
        let close = |got: f64, expected: Option<f64>, what: &str| {
            if let Some(expected) = expected {
                near(got, expected, case.tolerance, &format!("{}: {what}", case.id));
            }
        };
        close(optimum.cost, Some(case.expect_optimal_cost), "optimum");
        close(optimum.checks, case.expect_tests_of_that_strategy, "checks");
        if let Some(first) = case.expect_first_check {
            assert_eq!(optimum.first, Some(Check(first)), "{}", case.id);
        }
        close(puzzle.greedy().cost, case.expect_greedy_one_step, "greedy");
        close(puzzle.entropy(), case.expect_entropy_bits, "entropy");
        close(puzzle.huffman(), case.expect_huffman, "Huffman");
        close(puzzle.least_cost(), case.expect_cost_lower_bound, "bound");
        let least = puzzle.least();
        assert!(least.checks <= optimum.checks + 1e-12, "{}: {least:?}", case.id);
        assert!(least.cost <= optimum.cost + 1e-12, "{}: {least:?}", case.id);
        assert!(puzzle.two_step().cost >= optimum.cost - 1e-12, "{}", case.id);
        if let Some(isolable) = case.fully_isolable {
            assert_eq!(puzzle.isolable(), isolable, "{}", case.id);
        }
        let bits = puzzle.bits();
        for (got, expected) in bits.iter().zip(case.expect_gain_bits.iter().flatten()) {
            close(*got, Some(*expected), "bits");
        }
        if let Some(expected) = &case.expect_best_gain_checks {
            let most = bits.iter().copied().fold(0.0, f64::max);
            let best = bits.iter().enumerate().filter(|(_, b)| most - **b < 1e-12);
            assert_eq!(&best.map(|(c, _)| c).collect::<Vec<_>>(), expected, "{}", case.id);
        }
    }
}

fn numbered(names: &[String], sets: &[Vec<String>]) -> Vec<Components> {
    sets.iter().map(|set| set.iter().map(|name| at(names, name)).collect()).collect()
}

#[test]
fn hitting_sets() {
    for case in file().hitting_sets {
        let names: BTreeSet<String> = case.conflicts.iter().flatten().cloned().collect();
        let names: Vec<String> = names.into_iter().collect();
        let got = minimal_hitting_sets(&numbered(&names, &case.conflicts), 10_000).unwrap();
        assert_eq!(got, numbered(&names, &case.expect), "{}", case.id);
    }
}

#[test]
fn polybox() {
    for case in file().polybox {
        let conflicts = numbered(&case.components, &case.minimal_conflicts);
        let minimal = minimal_hitting_sets(&conflicts, 10_000).unwrap();
        let expected = numbered(&case.components, &case.expect_minimal_diagnoses);
        assert_eq!(minimal, expected, "{}", case.id);
        assert!(case.rule.contains("hit every conflict"));
        let diagnoses = diagnoses(&case.prior, &conflicts).unwrap();
        for (name, expected) in &case.expect_marginal {
            let one = at(&case.components, name);
            let got = diagnoses.iter().filter(|(set, _)| set.contains(&one)).map(|(_, p)| p).sum();
            near(got, *expected, case.tolerance, &format!("{}: {name}", case.id));
        }
        for (names, expected) in &case.expect_top {
            let set: Components = names.split('+').map(|n| at(&case.components, n)).collect();
            let got = diagnoses.iter().find(|(s, _)| *s == set).unwrap().1;
            near(got, *expected, case.tolerance, &format!("{}: {names}", case.id));
        }
    }
}

#[test]
fn update_prior() {
    for case in file().update_prior {
        let mut shares = Shares::new(&case.author_share, case.equivalent_jobs).unwrap();
        shares.add(&case.confirmed).unwrap();
        for (got, expected) in shares.mean().iter().zip(&case.expect_share) {
            near(*got, *expected, case.tolerance, &case.id);
        }
    }
}

#[test]
fn update_check() {
    for case in file().update_check {
        let mut link = LinkCount::new(case.author_fail_probability, case.equivalent_jobs).unwrap();
        link.add(case.failed, case.passed).unwrap();
        near(link.mean(), case.expect_mean, case.tolerance, &case.id);
        near(link.standard_deviation(), case.expect_sd, case.tolerance, &case.id);
    }
}

/// Networks of several layers are beyond the engine, which has two. These cases hold a plain
/// enumerator to published figures, as a check on how the file's evidence is to be read; tables:
/// Lauritzen & Spiegelhalter 1988 (seen in the gRain manual), Pearl 1988 (from memory).
#[test]
fn general_bn() {
    for case in file().general_bn {
        let net = general(&case.network);
        let (mut all, mut yes) = (0.0, vec![0.0; net.len()]);
        for bits in 0..1_u32 << net.len() {
            let is = |name: &str| bits >> net.iter().position(|n| n.0 == name).unwrap() & 1;
            let mut p = 1.0;
            for (name, parents, table) in &net {
                let row = parents.iter().fold(0, |row, parent| row << 1 | is(parent));
                let t = table[row as usize];
                p *= if is(name) == 1 { t } else { 1.0 - t };
            }
            let weight = |(name, pair): (&String, &[f64; 2])| pair[is(name) as usize];
            p *= case.evidence.iter().map(weight).product::<f64>();
            all += p;
            (0..net.len()).filter(|n| bits >> n & 1 == 1).for_each(|n| yes[n] += p);
        }
        for (name, expected) in &case.expect_yes {
            let n = net.iter().position(|n| n.0 == name).unwrap();
            near(yes[n] / all, *expected, case.tolerance, &format!("{}: {name}", case.id));
        }
    }
}

/// Name, parents, chance of yes by the parents' bits (the first parent the highest).
type Node = (&'static str, &'static [&'static str], &'static [f64]);

fn general(name: &str) -> Vec<Node> {
    match name {
        "asia" => vec![
            ("A", &[], &[0.01]),
            ("S", &[], &[0.5]),
            ("T", &["A"], &[0.01, 0.05]),
            ("L", &["S"], &[0.01, 0.1]),
            ("B", &["S"], &[0.3, 0.6]),
            ("E", &["T", "L"], &[0.0, 1.0, 1.0, 1.0]),
            ("X", &["E"], &[0.05, 0.98]),
            ("D", &["E", "B"], &[0.1, 0.8, 0.7, 0.9]),
        ],
        "burglary" => vec![
            ("Bu", &[], &[0.001]),
            ("Eq", &[], &[0.002]),
            ("Al", &["Bu", "Eq"], &[0.001, 0.29, 0.94, 0.95]),
            ("J", &["Al"], &[0.05, 0.9]),
            ("Ma", &["Al"], &[0.01, 0.7]),
        ],
        other => panic!("no tables for `{other}`"),
    }
}

/// Every table is a field of `File`, and unknown ones are refused; so the cases are these, and each
/// of them is gone through by the test of its table.
#[test]
fn all_cases_are_there() {
    let cases::File {
        posterior,
        bands_network,
        bands_posterior,
        next_test,
        applicability,
        after_repair,
        strategy,
        testability,
        hitting_sets,
        polybox,
        repair_order,
        likelihood,
        weight_of_evidence,
        update_prior,
        update_check,
        noisy_or,
        noisy_max,
        general_bn,
        reject,
    } = file();
    assert_eq!(bands_network.len(), 1, "a definition, not a case");
    let cases = [posterior.len(), bands_posterior.len(), next_test.len(), applicability.len()];
    let more = [after_repair.len(), strategy.len(), testability.len(), hitting_sets.len()];
    let sets = [polybox.len(), repair_order.len(), likelihood.len(), weight_of_evidence.len()];
    let rest = [update_prior.len(), update_check.len(), noisy_or.len(), noisy_max.len()];
    let last = [general_bn.len(), reject.len(), 0, 0];
    let total: usize = [cases, more, sets, rest, last].iter().flatten().sum();
    assert_eq!(total, 155);
}

/// One band more than pass and fail: its counts are the Beta ones of each band against the rest.
#[test]
fn counts_of_bands_are_those_of_links() {
    for case in file().update_check {
        let mut counts =
            BandCounts::new(&[case.author_fail_probability], case.equivalent_jobs).unwrap();
        counts.add(&[case.failed], case.failed + case.passed).unwrap();
        near(counts.mean()[0], case.expect_mean, case.tolerance, &case.id);
        near(counts.standard_deviation()[0], case.expect_sd, case.tolerance, &case.id);
    }
    // By hand: 20 jobs' worth of .6 high, .2 low; five more, one high, four low: 13/25 and 8/25.
    let mut counts = BandCounts::new(&[0.6, 0.2], 20.0).unwrap();
    counts.add(&[1.0, 4.0], 5.0).unwrap();
    near(counts.mean()[0], 13.0 / 25.0, 1e-15, "high");
    near(counts.mean()[1], 8.0 / 25.0, 1e-15, "low");
    near(counts.standard_deviation()[0], (0.52_f64 * 0.48 / 26.0).sqrt(), 1e-15, "high");
    assert!(counts.add(&[1.0], 1.0).is_err());
    assert!(counts.add(&[1.0, 1.0], 1.0).is_err());
    assert!(counts.add(&[-1.0, 1.0], 1.0).is_err());
    assert!(BandCounts::new(&[0.6, 0.5], 20.0).is_err());
    assert!(BandCounts::new(&[0.0], 20.0).is_err());
    assert!(BandCounts::new(&[1.0], f64::NAN).is_err());
}

/// The shares of 40 equal faults after 20 jobs' worth of nobody's word: sd by hand.
#[test]
fn standard_deviations_of_shares() {
    let mut shares = Shares::new(&[3.0, 1.0], 20.0).unwrap();
    shares.add(&[1.0, 4.0]).unwrap();
    // (15 + 1)/25 and (5 + 4)/25; the same spread for two.
    near(shares.mean()[0], 0.64, 1e-15, "mean");
    for sd in shares.standard_deviation() {
        near(sd, (0.64_f64 * 0.36 / 26.0).sqrt(), 1e-15, "sd");
    }
}

/// What a job counts for: with one repair as by `credit`; with two in turn the one that was followed
/// by failing readings counts for next to nothing.
#[test]
fn repairs_in_turn_share_a_job() {
    let file = file();
    let charging = Charging::of(&file, "charging", Model::Single, Needs::Left);
    let network = &charging.network;
    let read = |bands: &[(&str, &str)]| {
        let mut evidence = Evidence::new();
        for (check, band) in bands {
            let (check, band) = charging.band(check, band);
            let bands = charging.bands[check.0].len();
            evidence.read(check, Likelihood::hard(band, bands).unwrap());
        }
        evidence
    };
    let part = |name: &str| Part(at(&charging.parts, name));
    let first = network.posterior(&read(&[("charge_voltage", "low")])).unwrap();
    let mut cured = Cured::new(network);
    let (stator, regulator) = (part("stator"), part("regulator_rectifier"));
    cured.repaired(network, &first, &[stator, regulator], 0.98);
    let both = truing_diagnosis::credit(network, &first, &[stator, regulator], Verdict::Proven);
    for (got, expected) in cured.shares().iter().zip(&both) {
        near(*got, *expected, 1e-12, "both at once");
    }
    let mut cured = Cured::new(network);
    let mut belief = first;
    for (replaced, found) in [(stator, "low"), (regulator, "ok")] {
        cured.repaired(network, &belief, &[replaced], 0.98);
        let after = network.after_repair(&belief, &[replaced], 0.98).unwrap();
        let read = network.posterior_after(&after, &read(&[("charge_voltage", found)])).unwrap();
        cured.read(&after, &read);
        belief = read;
    }
    let shares = cured.shares();
    near(shares.iter().sum(), 1.0, 1e-12, "one job");
    let of = |part: Part| -> f64 {
        let own = |f: &usize| network.parts_of(Fault(*f)) == [part];
        (0..network.faults()).filter(own).map(|f| shares[f]).sum()
    };
    assert!(of(regulator) > 0.9, "{shares:?}");
    // By hand: the stator's share of what was cured, times how much less "nothing is wrong" gives a
    // low voltage than the regulator's faults do, which stayed.
    assert!(of(stator) > 0.0 && of(stator) < 0.1, "{shares:?}");
    assert_eq!(Cured::new(network).shares().iter().sum::<f64>(), 0.0);
}
