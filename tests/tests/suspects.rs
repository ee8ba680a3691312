//! The workshop's six jobs: where the ranking of their faults ends.
//!
//! Specs, sheets, odds and readings are invented; where each job ends was written down with them.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

use std::collections::BTreeSet;

use truing::{Compiled, SuspectRound};
use truing_engine::Sheet;
use truing_engine::suspects::{
    Complaint, Points, Ranking, Recommended, Remedy, RepairVerdict, Seen, Stage,
};
use truing_job::{JobSheet, fitted, read_sheet_file};
use truing_model::{CheckId, FixId};
use truing_tests::place;

const HAULER: &str = "specs/demo/ostrevik-hauler-680.truing";
const TRIO: &str = "specs/demo/tarnwick-trio-300.truing";

struct Job {
    spec: Compiled,
    rounds: Vec<(Sheet, Vec<FixId>)>,
}

impl Job {
    fn of(name: &str, path: &str) -> Self {
        let spec = Compiled::from_path(place::root().join(path)).unwrap();
        let sheet = sheet(name);
        let rounds = 0..sheet.rounds.len();
        let rounds = rounds
            .map(|round| {
                let bound = spec.bind(&sheet, round).unwrap();
                (bound, fitted(&sheet, round, spec.spec()).unwrap())
            })
            .collect();
        Self { spec, rounds }
    }

    /// After so many rounds.
    fn after(&self, rounds: usize) -> Vec<Stage> {
        let rounds: Vec<_> = self.rounds[..rounds]
            .iter()
            .map(|(sheet, fitted)| SuspectRound { sheet, fitted })
            .collect();
        self.spec.suspects(&rounds, Complaint::Told).unwrap()
    }

    fn last(&self, rounds: usize) -> Ranking {
        self.after(rounds).pop().unwrap().ranking.unwrap()
    }

    fn fault(&self, ranking: &Ranking) -> (String, f64) {
        let first = ranking.faults[0];
        (self.spec.spec().fault(first.fault).unwrap().label.clone(), first.probability)
    }

    /// The fix of the likeliest cure, and the parts that it needs.
    fn cure(&self, ranking: &Ranking) -> (String, usize) {
        let Remedy::Fix(fix) = ranking.cures[0].remedy else {
            panic!("{:?}", ranking.cures[0]);
        };
        let fix = self.spec.spec().fix(fix).unwrap();
        (fix.name.clone(), fix.parts.len())
    }

    fn labels(&self, checks: &[CheckId]) -> BTreeSet<String> {
        let labels = checks.iter().map(|id| self.spec.spec().check(*id).unwrap().name.clone());
        labels.collect()
    }
}

fn sheet(name: &str) -> JobSheet {
    read_sheet_file(&place::root().join("specs/demo/jobs").join(name)).unwrap()
}

#[test]
fn flat_after_three_weeks_needs_no_part_and_says_what_was_not_tested() {
    let job = Job::of("pl-0701.toml", HAULER);
    let ranking = job.last(1);
    assert_eq!(job.fault(&ranking).0, "battery_discharged");
    assert_eq!(job.cure(&ranking), ("charge_and_advise".to_owned(), 0));
    assert!(ranking.no_part > 0.8, "{}", ranking.no_part);
    assert!(job.labels(&ranking.unmeasured).contains("insulated_hot"));
}

#[test]
fn an_open_diode_is_the_regulator_rectifier_and_proven_after_it() {
    let job = Job::of("pl-0702.toml", HAULER);
    let ranking = job.last(1);
    assert_eq!(job.fault(&ranking).0, "upper_diode_open[V]");
    assert_eq!(job.cure(&ranking), ("renew_regulator".to_owned(), 1));
    assert!(ranking.cures[0].probability > 0.85, "{:?}", ranking.cures);
    let proof = job.last(2).proof.unwrap();
    assert_eq!(proof.verdict, RepairVerdict::Proven, "{proof:?}");
}

#[test]
fn a_grounded_stator_is_certain_with_and_without_the_four_wires() {
    let job = Job::of("pl-0703.toml", HAULER);
    for rounds in [1, 2] {
        let ranking = job.last(rounds);
        assert_eq!(job.fault(&ranking).0, "stator_grounded");
        assert_eq!(job.cure(&ranking).0, "renew_stator");
        let Recommended::Act(Remedy::Fix(_)) = ranking.recommended else {
            panic!("{:?}", ranking.recommended);
        };
    }
    assert_eq!(job.after(2).len(), 1, "nothing was fitted between the first two rounds");
    for rounds in [3, 4] {
        let proof = job.last(rounds).proof.unwrap();
        assert_eq!(proof.verdict, RepairVerdict::Proven, "{proof:?}");
    }
}

#[test]
fn a_bad_ground_eyelet_is_cleaned_and_needs_no_part() {
    let job = Job::of("pl-0704.toml", HAULER);
    let ranking = job.last(1);
    assert_eq!(job.fault(&ranking).0, "ground_wire_bad");
    assert_eq!(job.cure(&ranking), ("clean_regulator_ground".to_owned(), 0));
    let proof = job.last(2).proof.unwrap();
    assert_eq!(proof.verdict, RepairVerdict::Proven, "{proof:?}");
}

#[test]
fn a_worn_battery_is_the_battery_and_no_starter() {
    let job = Job::of("pl-0705.toml", TRIO);
    let ranking = job.last(1);
    assert_eq!(job.cure(&ranking), ("renew_battery".to_owned(), 1));
    assert!(ranking.cures[0].probability > 0.95, "{:?}", ranking.cures);
    assert_eq!(ranking.pair, None, "two faults of one battery are no two repairs");
    let proof = job.last(2).proof.unwrap();
    assert_eq!(proof.verdict, RepairVerdict::Proven, "{proof:?}");
    assert_eq!(job.labels(&proof.excused), BTreeSet::from(["arrived_charged".to_owned()]));
}

#[test]
fn a_hot_fault_is_open_while_cold_and_not_proven_until_it_is_hot_again() {
    let job = Job::of("pl-0706.toml", HAULER);
    let cold = job.last(1);
    assert!(cold.cures[0].probability < 0.9, "{:?}", cold.cures);
    let Recommended::Measure(_) = cold.recommended else { panic!("{:?}", cold.recommended) };
    assert!(job.labels(&cold.unmeasured).contains("insulated_hot"));
    let hot = job.last(2);
    assert_eq!(job.fault(&hot).0, "stator_grounds_hot");
    // The connector was bad as well, and no single fault upsets both.
    let pair = hot.pair.unwrap().faults.map(|f| job.spec.spec().fault(f).unwrap().name.clone());
    assert_eq!(pair, ["connector_burnt".to_owned(), "stator_grounds_hot".to_owned()]);
    let repaired = job.last(3);
    let proof = repaired.proof.clone().unwrap();
    assert_eq!(proof.verdict, RepairVerdict::StillFaulty, "{proof:?}");
    assert!(job.labels(&proof.failed).contains("insulated_hot"));
    assert_eq!(job.cure(&repaired).0, "renew_stator");
    let proof = job.last(4).proof.unwrap();
    assert_eq!(proof.verdict, RepairVerdict::Proven, "{proof:?}");
}

#[test]
fn cold_readings_alone_do_not_prove_a_hot_repair() {
    let mut job = Job::of("pl-0706.toml", HAULER);
    let spec = job.spec.spec();
    for slot in spec.slots_named("to_ground_hot").collect::<Vec<_>>() {
        job.rounds[3].0.remove(slot);
    }
    let proof = job.last(4).proof.unwrap();
    assert_eq!(proof.verdict, RepairVerdict::NotProven, "{proof:?}");
    assert_eq!(job.labels(&proof.missing), BTreeSet::from(["insulated_hot".to_owned()]));
}

/// Good (1950): prior and contributions are the posterior odds.
#[test]
fn decibans_add_up_to_the_odds() {
    for (name, path) in [("pl-0702.toml", HAULER), ("pl-0704.toml", HAULER), ("pl-0705.toml", TRIO)]
    {
        for stage in Job::of(name, path).after(2) {
            let weighing = stage.ranking.unwrap().weighing.unwrap();
            let sum: f64 = weighing.contributions.iter().map(|of| of.decibans).sum();
            let sum = sum + weighing.prior_decibans;
            let odds = weighing.leader_probability / weighing.rival_probability;
            assert!((sum - weighing.total_decibans).abs() < 1e-9, "{name}");
            assert!((sum - 10.0 * odds.log10()).abs() < 1e-6, "{name}: {sum} {odds}");
            assert_ne!(weighing.leader, Points::NotListed);
        }
    }
}

#[test]
fn a_sheet_with_only_remarks_names_no_suspect() {
    let job = Job::of("pl-0701.toml", HAULER);
    let sheet = Sheet::new(job.spec.spec());
    let round = SuspectRound { sheet: &sheet, fitted: &[] };
    let ranking =
        job.spec.suspects(&[round], Complaint::None).unwrap().pop().unwrap().ranking.unwrap();
    assert_eq!(ranking.seen, Seen::Nothing);
    assert!(ranking.next.is_some(), "what to measure first is known all the same");
}

/// The same faults, fixes and readings in another order give the same suspects.
#[test]
fn the_order_of_faults_and_readings_changes_nothing() {
    let path = place::root().join("specs/std/pm-charging.truing");
    let library = std::fs::read_to_string(path).unwrap();
    let (head, rest) =
        library.split_at(library.find("## The battery has a high internal").unwrap());
    let (faults, tail) = rest.split_at(rest.find("# ----").unwrap());
    let mut blocks: Vec<&str> = faults.split("\n\n").filter(|b| !b.trim().is_empty()).collect();
    blocks.reverse();
    let turned = format!("{head}{}\n\n{tail}", blocks.join("\n\n"));
    let machine = std::fs::read_to_string(place::root().join(HAULER)).unwrap();
    let directory = tempfile::tempdir().unwrap();
    for file in ["std/battery", "meters/handheld", "meters/bench", "meters/clamp"] {
        let name = format!("{file}.truing");
        let to = directory.path().join(&name);
        std::fs::create_dir_all(to.parent().unwrap()).unwrap();
        std::fs::copy(place::root().join("specs").join(&name), to).unwrap();
    }
    std::fs::write(directory.path().join("std/pm-charging.truing"), turned).unwrap();
    let other = directory.path().join("hauler.truing");
    std::fs::write(&other, machine).unwrap();
    for name in ["pl-0701.toml", "pl-0702.toml", "pl-0703.toml", "pl-0704.toml", "pl-0706.toml"] {
        let job = Job::of(name, HAULER);
        let mut turned = sheet(name);
        for round in &mut turned.rounds {
            round.readings.reverse();
        }
        let spec = Compiled::from_path(&other).unwrap();
        let rounds = 0..turned.rounds.len();
        let rounds = rounds.map(|round| {
            (spec.bind(&turned, round).unwrap(), fitted(&turned, round, spec.spec()).unwrap())
        });
        let other = Job { rounds: rounds.collect(), spec: spec.clone() };
        assert_ne!(
            job.spec.spec().faults[0].label,
            other.spec.spec().faults[0].label,
            "the order must differ for this test to say anything"
        );
        for rounds in 1..=job.rounds.len() {
            let told = |job: &Job| {
                let ranking = job.last(rounds);
                let of = |f: &truing_engine::suspects::FaultRanked| {
                    let label = job.spec.spec().fault(f.fault).unwrap().label.clone();
                    (label, (f.probability * 1e9).round())
                };
                let faults: BTreeSet<(String, u64)> =
                    ranking.faults.iter().map(of).map(|(l, p)| (l, p as u64)).collect();
                let next = ranking.next.map(|next| next.check);
                (faults, next, ranking.unused, ranking.unmeasured)
            };
            let (one, other) = (told(&job), told(&other));
            assert_eq!(one.0, other.0, "{name}, {rounds} rounds");
            assert_eq!(one, other, "{name}, {rounds} rounds");
        }
    }
}
