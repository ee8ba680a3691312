//! Each table that the language can say.

use std::collections::BTreeMap;

use truing::{Compiled, SuspectRound};
use truing_compile::{NoLibrary, check};
use truing_diagnosis::{
    CheckDraft, Draft, Fault, Hypothesis, Likely, MaxFaults, Network, Part, Posterior,
    REPAIR_SUCCEEDS,
};
use truing_engine::suspects::{
    Complaint, Points, Ranking, Recommended, Remedy, RepairVerdict, Stage, WhyUnused,
};
use truing_model::{CheckId, FixId};
use truing_syntax::Sources;
use truing_tests::place;

use super::cases::{self, ByName, File, Model, at};
use super::charging::{Charging, Needs, evidence};
use super::text::Text;

/// Two figures of the same arithmetic.
const SAME: f64 = 1e-12;

fn file() -> File {
    cases::read(&place::root().join("tests/reference/diagnosis.toml"))
}

/// What came of a text and its readings, and after fixes of more of them.
struct Told {
    spec: Compiled,
    stages: Vec<Stage>,
}

impl Told {
    fn of(text: &Text, open: &[String]) -> Self {
        let spec = text.compiled();
        let sheet = text.sheet(&spec, open).build();
        let rounds = [SuspectRound { sheet: &sheet, fitted: &[] }];
        let stages = spec.suspects(&rounds, Complaint::None).unwrap();
        Self { spec, stages }
    }

    fn ranking(&self) -> &Ranking {
        self.stages.last().unwrap().ranking.as_ref().unwrap()
    }

    fn probability(&self, name: &str) -> f64 {
        let ranking = self.ranking();
        match name {
            "none" => ranking.none,
            "other" => ranking.other,
            fault => {
                let id = self.spec.spec().fault_labelled(fault).unwrap();
                ranking.faults.iter().find(|of| of.fault == id).unwrap().probability
            }
        }
    }

    fn check(&self, id: CheckId) -> String {
        self.spec.spec().check(id).unwrap().name.clone()
    }

    fn fix(&self, part: &str) -> FixId {
        self.spec.spec().fix_named(&format!("renew_{part}")).unwrap()
    }

    fn part(&self, remedy: Remedy) -> String {
        match remedy {
            Remedy::Nothing => "none".to_owned(),
            Remedy::NotListed => "other".to_owned(),
            Remedy::Fix(fix) => {
                let name = &self.spec.spec().fix(fix).unwrap().name;
                name.strip_prefix("renew_").unwrap().to_owned()
            }
            Remedy::Unmended(_) => panic!("every fault has a fix"),
        }
    }

    fn holds(&self, expected: &ByName, id: &str) {
        for (name, p) in expected {
            cases::near(self.probability(name), *p, SAME, &format!("{id}: {name}"));
        }
    }

    /// As the library has it of a network that says the same, one fault at a time.
    fn agrees(&self, faults: &[String], posterior: &Posterior, id: &str) {
        for (at, name) in faults.iter().enumerate() {
            let p = posterior.probability(Hypothesis::Single(Fault(at)));
            cases::near(self.probability(name), p, SAME, &format!("{id}: {name}"));
        }
        cases::near(self.probability("none"), posterior.probability(Hypothesis::None), SAME, id);
        cases::near(self.probability("other"), posterior.probability(Hypothesis::Other), SAME, id);
    }

    fn alarm(&self, pair_mass: f64, id: &str) {
        let alarm = self.ranking().pair.map(|pair| pair.probability);
        assert_eq!(alarm.is_some(), pair_mass > 0.5, "{id}: {alarm:?} {pair_mass}");
        if let Some(alarm) = alarm {
            cases::near(alarm, pair_mass, SAME, id);
        }
    }
}

/// The findings of a text that is refused.
fn refused(text: &str) -> Vec<&'static str> {
    let mut sources = Sources::new();
    let file = sources.add("written.truing", text);
    let checked = check(&mut sources, file, &NoLibrary);
    assert!(checked.has_errors(), "{text}");
    checked.findings.iter().map(|finding| finding.slug().0).collect()
}

fn network(case: &cases::Posterior) -> Network {
    let mut draft = Draft::new();
    draft.none_weight = f64::from(u8::from(case.none_allowed));
    draft.other_weight = case.other_weight.unwrap_or(0.0);
    draft.max_faults = MaxFaults::One;
    for prior in &case.prior {
        let part = draft.part();
        draft.fault(Likely::Probability(*prior), vec![part]);
    }
    for ((leak, slip), fail) in case.leak.iter().zip(&case.slip).zip(&case.fail) {
        let pushes: Vec<_> = fail.iter().enumerate().map(|(f, p)| (Fault(f), *p)).collect();
        draft.check(CheckDraft::pass_fail(*leak, *slip, 1.0, &pushes));
    }
    draft.build().unwrap()
}

#[test]
fn posterior() {
    let mut said: BTreeMap<&str, usize> = BTreeMap::new();
    for case in file().posterior {
        let text = Text::of_posterior(&case);
        let certain = |at: usize| case.leak[at] <= 0.0 && case.slip[at] <= 0.0;
        if (0..case.checks.len()).any(certain) {
            assert!(refused(&text.spec()).contains(&"leak-and-slip-nought"), "{}", case.id);
            *said.entry("refused").or_default() += 1;
            continue;
        }
        if case.model == Model::Independent {
            *said.entry("cannot be said").or_default() += 1;
            continue;
        }
        let told = Told::of(&text, &[]);
        let read = evidence(&case.checks, &case.evidence);
        told.agrees(&case.faults, &network(&case).posterior(&read).unwrap(), &case.id);
        if case.model == Model::Single {
            told.holds(case.expect_posterior.as_ref().unwrap(), &case.id);
            *said.entry("ranked").or_default() += 1;
        } else {
            told.alarm(case.expect_number_of_faults.unwrap()[2], &case.id);
            *said.entry("alarm").or_default() += 1;
        }
    }
    let wanted = [("alarm", 10), ("cannot be said", 13), ("ranked", 13), ("refused", 3)];
    assert_eq!(said, BTreeMap::from(wanted));
}

#[test]
fn bands_posterior() {
    let file = file();
    let mut pairs = 0;
    for case in &file.bands_posterior {
        let mut text = Text::of_bands(&file, &case.network, false);
        text.reads(&case.evidence);
        let told = Told::of(&text, &[]);
        let charging = Charging::of(&file, &case.network, Model::Single, Needs::Left);
        let read = charging.evidence(&case.evidence);
        told.agrees(&charging.faults, &charging.network.posterior(&read).unwrap(), &case.id);
        if case.model == Model::Upto2 {
            pairs += 1;
            // Pairs of one cure need no alarm, so it may only be missed where some share a part.
            let alarm = told.ranking().pair.map_or(0.0, |pair| pair.probability);
            assert!(alarm <= case.expect_pair_mass.unwrap() + SAME, "{}", case.id);
            continue;
        }
        told.holds(case.expect_posterior.as_ref().unwrap(), &case.id);
        for cure in &told.ranking().cures {
            let p = case.expect_part.as_ref().unwrap()[&told.part(cure.remedy)];
            cases::near(cure.probability, p, SAME, &case.id);
        }
        // The bits of what is proposed and of those named beside it.
        let bits = case.expect_gain_bits.as_ref().unwrap();
        let next = told.ranking().next.as_ref().unwrap();
        let named = next.others.iter().map(|of| (of.check, of.bits));
        for (check, found) in named.chain([(next.check, next.bits)]) {
            cases::near(found, bits[&told.check(check)], SAME, &case.id);
        }
    }
    assert_eq!((file.bands_posterior.len(), pairs), (14, 3));
}

#[test]
fn applicability() {
    let file = file();
    for case in &file.applicability {
        let mut text = Text::of_bands(&file, &case.network, true);
        text.reads(&case.evidence);
        let told = Told::of(&text, &[]);
        told.holds(&case.expect_posterior, &case.id);
        let unused = told.ranking().unused.iter();
        let unused: Vec<String> = unused
            .inspect(|of| assert_eq!(of.why, WhyUnused::Blocked))
            .map(|of| told.check(of.check))
            .collect();
        assert_eq!(unused, case.expect_ignored, "{}", case.id);
    }
}

#[test]
fn next_test() {
    let file = file();
    for case in &file.next_test {
        let mut text = Text::of_bands(&file, &case.network, true);
        let def = file.bands_network.iter().find(|n| n.id == case.network).unwrap();
        for (name, band) in &case.observed {
            let of = def.check.iter().find(|of| of.id == *name).unwrap();
            text.observes(name, at(&of.bands, band));
        }
        let told = Told::of(&text, &case.opened);
        let next = told.ranking().next.as_ref().unwrap();
        assert_eq!(told.check(next.check), case.expect_best_two_step, "{}", case.id);
        let settled = matches!(told.ranking().recommended, Recommended::Act(_));
        assert!(
            settled || told.ranking().recommended == Recommended::Measure(next.check),
            "no times of repairs are said: {:?}",
            told.ranking().recommended
        );
        let named = next.others.iter().map(|of| (of.check, of.bits, of.minutes));
        for (check, bits, minutes) in named.chain([(next.check, next.bits, next.minutes)]) {
            let name = told.check(check);
            assert!(!case.expect_not_applicable.contains(&name), "{}: {name}", case.id);
            let mut listed = case.expect_candidates.iter().filter(|of| of.first == name);
            // The file lists the best few only.
            let Some(expected) = listed.clone().find(|of| of.chain.len() == 1).or(listed.next())
            else {
                continue;
            };
            cases::near(bits, expected.gain_bits, SAME, &format!("{}: {name}", case.id));
            cases::near(minutes, expected.minutes, SAME, &format!("{}: {name}", case.id));
        }
    }
    assert_eq!(file.next_test.len(), 11);
}

/// The same readings, the same fix, the same readings again: as the library has it with one fault at
/// a time and its own chance that a repair succeeds.
#[test]
fn after_repair() {
    let file = file();
    for case in &file.after_repair {
        let charging = Charging::of(&file, &case.network, Model::Single, Needs::Left);
        let network = &charging.network;
        let read = charging.evidence(&case.evidence);
        let before = network.posterior(&read).unwrap();
        let replaced = [Part(at(&charging.parts, &case.replaced))];
        let belief = network.after_repair(&before, &replaced, REPAIR_SUCCEEDS).unwrap();

        let mut text = Text::of_bands(&file, &case.network, false);
        let mut again = text.clone();
        text.reads(&case.evidence);
        case.retest_pass.iter().for_each(|name| again.observes(name, 0));
        let since = charging.observed(
            &case.retest_pass.iter().map(|name| (name.clone(), "ok".to_owned())).collect(),
        );
        let after = network.posterior_after(&belief, &since).unwrap();
        let proof = network.proof(&read, &since, &after).unwrap();

        // One spec has one set of limits: what is read again lies elsewhere.
        let spec = text.compiled();
        let found = text.sheet(&spec, &[]).build();
        let mut left = spec.sheet();
        for name in &case.retest_pass {
            let of = text.checks.iter().find(|of| of.name == *name).unwrap();
            left = left.read(&format!("read_{name}"), &of.passing()).unwrap();
        }
        let left = left.build();
        let fitted = [spec.spec().fix_named(&format!("renew_{}", case.replaced)).unwrap()];
        let rounds = [
            SuspectRound { sheet: &found, fitted: &[] },
            SuspectRound { sheet: &left, fitted: &fitted },
        ];
        let stages = spec.suspects(&rounds, Complaint::None).unwrap();
        let told = Told { spec, stages };
        assert_eq!(told.fix(&case.replaced), fitted[0]);
        told.agrees(&charging.faults, &after, &case.id);
        let said = told.ranking().proof.as_ref().unwrap();
        cases::near(said.none, proof.none, SAME, &case.id);
        let names = |ids: &[CheckId]| ids.iter().map(|id| told.check(*id)).collect::<Vec<_>>();
        let missing: Vec<String> =
            proof.missing.iter().map(|check| charging.checks[check.0].clone()).collect();
        assert_eq!(names(&said.missing), missing, "{}", case.id);
        let proven = said.verdict == RepairVerdict::Proven;
        assert_eq!(proven, proof.verdict == RepairVerdict::Proven, "{}", case.id);
        // Two cases suppose another chance of success; with that one more repair is proven.
        assert!(proven || !case.expect_proven_at_095, "{}", case.id);
    }
    assert_eq!(file.after_repair.len(), 6);
}

/// Where the two that the file weighs are the two that the engine weighs.
#[test]
fn weight_of_evidence() {
    let file = file();
    let mut said = 0;
    for case in &file.weight_of_evidence {
        let mut text = Text::of_bands(&file, &case.network, false);
        text.reads(&case.evidence);
        let told = Told::of(&text, &[]);
        let weighing = told.ranking().weighing.as_ref().unwrap();
        let named = |points: Points| match points {
            Points::None => "none".to_owned(),
            Points::NotListed => "other".to_owned(),
            Points::Fault(id) => told.spec.spec().fault(id).unwrap().name.clone(),
        };
        if [named(weighing.leader), named(weighing.rival)]
            != [case.best.clone(), case.rival.clone()]
        {
            continue;
        }
        said += 1;
        cases::near(weighing.prior_decibans, case.expect_prior_db, case.tolerance, &case.id);
        cases::near(weighing.total_decibans, case.expect_total_db, case.tolerance, &case.id);
        assert_eq!(weighing.contributions.len(), case.expect_db.len(), "{}", case.id);
        for of in &weighing.contributions {
            let expected = case.expect_db[&told.check(of.check)];
            cases::near(of.decibans, expected, case.tolerance, &case.id);
        }
    }
    assert_eq!((said, file.weight_of_evidence.len()), (2, 6));
}

/// Refused as texts, or by what reads a sheet: an author can write no likelihood below nought.
#[test]
fn reject() {
    for case in file().reject {
        let plain = cases::Posterior {
            id: case.id.clone(),
            provenance: None,
            source: None,
            note: None,
            model: Model::Single,
            none_allowed: true,
            other_weight: None,
            faults: case.faults.clone(),
            prior: case.prior.clone(),
            checks: case.checks.clone(),
            leak: case.leak.clone(),
            slip: case.slip.clone(),
            fail: case.fail.clone(),
            evidence: Vec::new(),
            expect_posterior: None,
            expect_fault_marginal: None,
            expect_number_of_faults: None,
            expect_top_hypotheses: None,
            expect_log_evidence: None,
            tolerance: 0.0,
        };
        let text = Text::of_posterior(&plain);
        match case.id.as_str() {
            "zero-evidence" => assert!(refused(&text.spec()).contains(&"leak-and-slip-nought")),
            "prior-one" | "prior-zero" => {
                assert!(refused(&text.spec()).contains(&"chance-outside"));
            }
            "unknown-check" => assert!(text.compiled().sheet().read("read_z", "10 V").is_err()),
            "likelihood-all-zero" | "likelihood-negative" => {}
            other => panic!("{other}"),
        }
    }
}
