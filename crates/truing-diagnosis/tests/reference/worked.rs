//! The charging system worked through. Figures: computed with the numpy prototype that made the
//! file's cases, to the digits given.

use truing_diagnosis::{
    Advice, Check, CheckDraft, Cure, Draft, Evidence, Fault, Hypothesis, Likelihood, Likely, Part,
    Puzzle, RepairCosts, Shares, Situation, StopRules, Strength, Verdict, credit,
};

use super::cases::{Model, at, file, near};
use super::charging::{Charging, Needs, hypothesis};

/// A diode that is open: nine readings.
const RUN: [(&str, &str); 9] = [
    ("main_fuse", "ok"),
    ("charge_voltage", "low"),
    ("connector_visual", "ok"),
    ("ground_drop", "ok"),
    ("phase_to_ground", "ok"),
    ("ac_balance", "ok"),
    ("ac_level", "ok"),
    ("diode_reverse", "ok"),
    ("diode_forward", "open"),
];

fn observed(charging: &Charging, readings: &[(&str, &str)]) -> Evidence {
    let owned = readings.iter().map(|(c, b)| ((*c).to_owned(), (*b).to_owned()));
    charging.observed(&owned.collect())
}

fn advice(charging: &Charging, evidence: &Evidence) -> Advice {
    let posterior = charging.network.posterior(evidence).unwrap();
    let rules = StopRules::default();
    charging.network.next(&posterior, evidence, &Situation::default(), &rules).unwrap().advice
}

#[test]
fn a_run_and_why() {
    let charging = Charging::of(&file(), "charging", Model::Single, Needs::Said);
    let network = &charging.network;
    let evidence = observed(&charging, &RUN);
    let posterior = network.posterior(&evidence).unwrap();
    let (cure, p) = &posterior.cures(network)[0];
    assert_eq!(charging.cure_name(cure), "regulator_rectifier");
    near(*p, 0.962, 5e-4, "after nine readings");
    let Advice::Settled { cure: settled, probability } = advice(&charging, &evidence) else {
        panic!("one cure is certain enough")
    };
    assert_eq!(settled, *cure);
    near(probability, *p, 1e-12, "the same");

    let leader = hypothesis(&charging.faults, "rr_diode_open");
    let rival = hypothesis(&charging.faults, "battery_weak");
    let weighing = network.weigh(&posterior, &evidence, leader, rival).unwrap();
    near(weighing.prior_decibans, -6.1, 0.05, "prior");
    near(weighing.total_decibans, 17.4, 0.05, "total");
    let telling = weighing.most_telling(2);
    assert_eq!(telling[0].check, charging.check("diode_forward"));
    near(telling[0].decibans, 15.0, 0.05, "diode forward");
    assert_eq!(telling[0].strength, Strength::Strongly);
    assert_eq!(telling[1].check, charging.check("charge_voltage"));
    near(telling[1].decibans, 8.5, 0.05, "charge voltage");
    assert_eq!(telling[1].strength, Strength::Clearly);
    near(telling[1].leader_gives, 0.98 * 0.8824 + 0.02 / 3.0, 1e-12, "how often it does this");
    assert_eq!(weighing.silent().count(), 7);

    let explanation = network.explain(&posterior, &evidence);
    let own = explanation.weighing.unwrap();
    assert_eq!(own.leader, leader);
    assert_ne!(network.cure(own.rival), network.cure(leader));
    let down = |fault: &str, check: &str| {
        let fault = Fault(at(&charging.faults, fault));
        let check = charging.check(check);
        explanation.ruled_down.iter().any(|r| r.fault == fault && r.check == check)
    };
    assert!(down("ground_strap_high_r", "ground_drop"));
    assert!(down("connector_corroded", "connector_visual"));
    assert!(!down("stator_phase_open", "ac_level"), "fails it with .7 only");
    assert_eq!(explanation.pair_alarm, None);
}

/// One good reading isn't proof; and a check that had failed has to be made again.
#[test]
fn proof_after_the_run() {
    let charging = Charging::of(&file(), "charging", Model::Upto2, Needs::Left);
    let network = &charging.network;
    let before = observed(&charging, &RUN);
    let posterior = network.posterior(&before).unwrap();
    let part = Part(at(&charging.parts, "regulator_rectifier"));
    let belief = network.after_repair(&posterior, &[part], 0.98).unwrap();
    let none = |p: &truing_diagnosis::Posterior| p.number_of_faults()[0];
    let prove = |readings: &[(&str, &str)]| {
        let since = observed(&charging, readings);
        let after = network.posterior_after(&belief, &since).unwrap();
        (network.proof(&before, &since, &after).unwrap(), none(&after))
    };
    let more = [("charge_voltage", "ok"), ("load_test", "ok"), ("rest_voltage", "ok")];
    let all = [more.as_slice(), &[("key_off_current", "ok")]].concat();
    let again = [all.as_slice(), &[("diode_forward", "ok")]].concat();
    near(none(&belief), 0.841, 5e-4, "after the repair");
    near(prove(&more[..1]).1, 0.889, 5e-4, "charge voltage ok");
    let (proof, p) = prove(&all);
    near(p, 0.995, 5e-4, "four ok");
    assert_eq!((proof.verdict, proof.none), (Verdict::NotProven, p));
    assert_eq!(proof.missing, [charging.check("diode_forward")]);
    let (proof, p) = prove(&again);
    assert_eq!(proof.verdict, Verdict::Proven);
    assert!(p > 0.99 && proof.missing.is_empty() && proof.unclear.is_empty());
    let (proof, _) = prove(&[("charge_voltage", "low")]);
    assert_eq!(proof.verdict, Verdict::StillFaulty);
    assert_eq!(proof.failed, [charging.check("charge_voltage")]);

    let counts = credit(network, &posterior, &[part], Verdict::Proven);
    near(counts.iter().sum(), 1.0, 1e-12, "one job");
    assert!(counts[at(&charging.faults, "rr_diode_open")] > 0.9);
    assert!(credit(network, &posterior, &[part], Verdict::NotProven).iter().all(|n| *n == 0.0));
    let mut shares = Shares::new(&vec![1.0; counts.len()], 20.0).unwrap();
    assert!(shares.add(&counts[1..]).is_err());
    shares.add(&counts).unwrap();
    near(shares.mean().iter().sum(), 1.0, 1e-12, "shares");
}

/// How much pairs leave out, and what the spec would cost if every check told the truth.
#[test]
fn figures_of_the_spec() {
    let charging = Charging::of(&file(), "charging", Model::Single, Needs::Said);
    let [none, one, two, more] = charging.network.faults_at_once();
    near(none, 0.79, 0.005, "none");
    near(one, 0.19, 0.005, "one");
    near(two, 0.020, 5e-4, "two");
    near(more, 0.0013, 5e-5, "three or more");
    let puzzle = Puzzle::of(&charging.network).unwrap();
    near(puzzle.optimum().unwrap().cost, 10.17, 0.005, "minutes at best");
    near(puzzle.greedy().cost, 11.27, 0.005, "minutes by bits per minute");
    near(puzzle.two_step().cost, 10.25, 0.005, "minutes two steps deep");
    near(puzzle.entropy(), 2.66, 0.005, "bits");
}

/// Noise-free, each check one: best 2.80, by bits 2.801, two steps deep 2.836; strict bound 1.73.
/// Computed with a numpy prototype, without prerequisites.
#[test]
fn measurements_of_the_best_order() {
    let charging = Charging::of(&file(), "charging", Model::Single, Needs::Left);
    let puzzle = Puzzle::in_measurements(&charging.network).unwrap();
    near(puzzle.optimum().unwrap().cost, 2.80, 0.005, "best");
    near(puzzle.greedy().cost, 2.801, 5e-4, "by bits");
    near(puzzle.two_step().cost, 2.836, 5e-4, "two steps deep");
    near(puzzle.huffman(), 1.73, 0.005, "Huffman, three branches");
    let cost = puzzle.cost().unwrap();
    assert!(cost.exact && cost.least >= puzzle.huffman() && cost.least <= cost.found.cost);
}

#[test]
fn every_way_to_stop() {
    let charging = Charging::of(&file(), "charging", Model::Single, Needs::Said);
    let odd = ["main_fuse", "ground_drop", "phase_to_ground", "diode_forward", "diode_reverse"];
    let odd: Vec<(&str, &str)> =
        odd.iter().zip(["open", "high", "leak", "open", "leak"]).map(|(c, b)| (*c, b)).collect();
    let Advice::FitsNothing { probability, strangest } =
        advice(&charging, &observed(&charging, &odd))
    else {
        panic!("five faults at once are none that is listed")
    };
    assert!(probability > 0.5 && strangest.is_some());

    let (among, _) = told_apart_by(0.9, 0.9, None);
    let parts: Vec<Cure> = (0..2).map(|p| Cure::Replace(vec![Part(p)])).collect();
    let Advice::CannotBeToldApart { among } = among else { panic!("one signature") };
    assert_eq!(among.into_iter().map(|(cure, _)| cure).collect::<Vec<_>>(), parts);

    let costs = |part: f64| {
        Some(RepairCosts { part: vec![part; 2], nothing: 5.0, verify: 1.0, escalate: 9e3 })
    };
    // A part costs 2 and its proof 1: trying both in turn is expected to cost 3 + 3/2, and 3 + a
    // tenth of 3 once it is known which; the check takes 30.
    let (dear, value) = told_apart_by(0.9, 0.1, costs(2.0));
    assert_eq!(dear, Advice::RepairFirst { would_settle: Check(0) });
    near(value.unwrap(), 4.5 - 3.3 - 30.0, 0.3, "what measuring saves");
    let (cheap, value) = told_apart_by(0.9, 0.1, costs(200.0));
    assert_eq!(cheap, Advice::Measure { check: Check(0) });
    assert!(value.unwrap() > 0.0);
}

/// Two faults with parts of their own, as likely as each other, and a check of 30 minutes.
fn told_apart_by(one: f64, other: f64, costs: Option<RepairCosts>) -> (Advice, Option<f64>) {
    let mut draft = Draft::new();
    draft.none_weight = 0.0;
    let mut fault = || {
        let part = draft.part();
        draft.fault(Likely::Probability(0.1), vec![part])
    };
    let pushes = [(fault(), one), (fault(), other)];
    draft.check(CheckDraft::pass_fail(0.02, 0.02, 30.0, &pushes));
    draft.costs = costs;
    let network = draft.build().unwrap();
    let evidence = Evidence::new();
    let posterior = network.posterior(&evidence).unwrap();
    let rules = StopRules::default();
    let next = network.next(&posterior, &evidence, &Situation::default(), &rules).unwrap();
    (next.advice, next.value.map(|value| value.one_step))
}

/// Readings that no single fault explains: pairs are announced.
#[test]
fn two_faults_raise_the_alarm() {
    let charging = Charging::of(&file(), "charging", Model::Upto2, Needs::Said);
    let readings = [
        ("main_fuse", "ok"),
        ("ground_drop", "high"),
        ("load_test", "low"),
        ("rest_voltage", "low"),
    ];
    let mut evidence = observed(&charging, &readings);
    let (check, band) = charging.band("charge_voltage", "low");
    evidence.read(check, Likelihood::hard(band, 3).unwrap());
    let posterior = charging.network.posterior(&evidence).unwrap();
    let explanation = charging.network.explain(&posterior, &evidence);
    let fault = |name: &str| Fault(at(&charging.faults, name));
    let pair = Hypothesis::pair(fault("battery_weak"), fault("ground_strap_high_r"));
    assert_eq!(explanation.pair_alarm, Some(pair));
    assert!(explanation.pair_mass > 0.5);
}

/// The words for a weight of evidence, at their borders.
#[test]
fn words_for_decibans() {
    let words = [
        (0.0, Strength::Little),
        (1.999, Strength::Little),
        (-2.0, Strength::Slightly),
        (4.999, Strength::Slightly),
        (5.0, Strength::Clearly),
        (-10.0, Strength::Strongly),
        (20.0, Strength::Strongly),
        (20.001, Strength::RulesOut),
        (f64::NEG_INFINITY, Strength::RulesOut),
    ];
    for (decibans, strength) in words {
        assert_eq!(Strength::of(decibans), strength, "{decibans} dB");
    }
}
