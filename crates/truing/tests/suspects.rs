//! From findings to suspects: what counts, how much, and what is proposed.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

use truing::engine::suspects::{
    Complaint, Contribution, Ranking, Recommended, RepairVerdict, Seen, WhyUnused, counted_with,
};
use truing::{Compiled, SheetBuilder, SuspectRound};

/// Limits, odds and chances are invented.
const BENCH: &str = r#"
spec bench "Bench (invented)" { edition "1"  decide simple }
source sheet "Service sheet (invented)"
property bridge "Bridge" : plain, switched

limit rest_limit : dc_voltage = min 12.40 V cite sheet
limit charge_limit : dc_voltage = 13.8 .. 14.8 V cite sheet
limit gap_limit : length = standard 0.10 .. 0.20 mm, service 0.08 .. 0.25 mm cite sheet

reading rest "Battery at rest" : dc_voltage { takes 2 min }
reading charge "Charge voltage" : dc_voltage { takes 5 min }
reading diode "Diode" : dc_voltage { takes 5 min }
reading gap "Gap" : length { takes 5 min }

check charged "Battery is charged" : rest within rest_limit
check charges "System charges" : charge within charge_limit { when charged passes }
check conducts "Diode conducts" : diode <= 0.75 V { applies if bridge is plain }
check gap_right "Gap is right" : gap within gap_limit

fault battery_worn "Battery worn" { odds 10 of 100  makes charged low 90 %  fix renew_battery }
fault regulator_low "Regulator low" { odds 10 of 100  makes charges low 90 %  fix renew_regulator }
fault diode_open "Diode open" {
    odds 10 of 100
    makes charges low 50 %
    makes conducts high 95 %
    fix renew_rectifier
}
fault gap_worn "Points worn" { odds 10 of 100  makes gap_right worn 80 %  fix set_points }

fix renew_battery "Renew the battery" { part "battery" }
fix renew_regulator "Renew the regulator" { part "regulator" }
fix renew_rectifier "Renew the rectifier" { part "rectifier" }
fix set_points "Set the points" { takes 10 min }
"#;

fn bench() -> Compiled {
    Compiled::from_text("bench.truing", BENCH).unwrap()
}

fn rank(sheet: SheetBuilder) -> Ranking {
    let (spec, sheet) = (bench(), sheet.build());
    let round = SuspectRound { sheet: &sheet, fitted: &[] };
    let mut stages = spec.suspects(&[round], Complaint::None).unwrap();
    stages.pop().unwrap().ranking.unwrap()
}

fn probability(ranking: &Ranking, label: &str) -> f64 {
    let fault = bench().spec().fault_labelled(label).unwrap();
    ranking.faults.iter().find(|of| of.fault == fault).unwrap().probability
}

fn says(ranking: &Ranking, label: &str) -> Contribution {
    let check = bench().spec().check_labelled(label).unwrap();
    let told = &ranking.weighing.as_ref().unwrap().contributions;
    *told.iter().find(|of| of.check == check).unwrap()
}

#[test]
fn a_reading_near_its_limit_says_less_than_one_far_from_it() {
    let at = |volts: &str| {
        let sheet = bench().sheet().read("rest", volts).unwrap();
        probability(&rank(sheet), "battery_worn")
    };
    // By the last digit alone: 12.4 V to 0.1 V lies half below the limit.
    let (far, near, edge) = (at("11.90 V"), at("12.39 V"), at("12.4 V"));
    assert!((far - near).abs() < 1e-12, "both are certain by their digits: {far} {near}");
    // Arithmetic: read low by no fault 0.98 · 0.02 + 0.01 = 0.0296, with a worn battery
    // 0.98 · 0.90 + 0.01 = 0.892. Odds 1/9 each; weights 0.0296 (none), 0.892 / 9, three times
    // 0.0296 / 9, and 0.01 / 2 (not listed).
    let worn = 0.892 / 9.0;
    let wanted = worn / (0.0296 + worn + 3.0 * 0.0296 / 9.0 + 0.005);
    assert!((far - wanted).abs() < 1e-12, "{far} {wanted}");
    // Half and half is no evidence for a check of two bands: the odds stay as they are.
    let nothing = probability(&rank(bench().sheet()), "battery_worn");
    assert!((edge - nothing).abs() < 0.01, "{edge} {nothing}");
    let sheet = bench().sheet().read("rest", "12.4 V").unwrap();
    let told = says(&rank(sheet), "charged");
    assert!((told.share - 0.5).abs() < 1e-9, "{told:?}");
}

#[test]
fn a_bound_counts_as_far_as_it_goes() {
    let at = |text: &str| {
        rank(bench().sheet().read("charge", text).unwrap().read("rest", "12.7 V").unwrap())
    };
    let low = at("13.0 V .. 13.5 V unsteady");
    assert_eq!(low.seen, Seen::Failed);
    // Low or in order, and not high: no fault drives it high, so that says next to nothing.
    let open = at("13.0 V .. 14.0 V unsteady");
    let nothing = rank(bench().sheet().read("rest", "12.7 V").unwrap());
    let (open, nothing) =
        (probability(&open, "regulator_low"), probability(&nothing, "regulator_low"));
    assert!((open - nothing).abs() < 0.01, "{open} {nothing}");
}

#[test]
fn what_waits_for_another_check_is_kept_and_named() {
    let sheet = bench().sheet().read("rest", "11.0 V").unwrap().read("charge", "12.5 V").unwrap();
    let ranking = rank(sheet);
    let charges = bench().spec().check_labelled("charges").unwrap();
    let unused = ranking.unused.iter().find(|unused| unused.check == charges).unwrap();
    assert_eq!(unused.why, WhyUnused::Blocked);
    assert!(probability(&ranking, "battery_worn") > probability(&ranking, "regulator_low"));
}

#[test]
fn what_this_machine_has_not_is_never_proposed() {
    let base = || bench().sheet().read("rest", "12.7 V").unwrap().read("charge", "12.5 V").unwrap();
    let conducts = bench().spec().check_labelled("conducts").unwrap();
    let plain = rank(base().machine("bridge", "plain").unwrap());
    assert_eq!(plain.recommended, Recommended::Measure(conducts));
    let switched = rank(base().machine("bridge", "switched").unwrap());
    assert_ne!(switched.recommended, Recommended::Measure(conducts));
    assert!(!switched.unmeasured.contains(&conducts), "{:?}", switched.unmeasured);
}

#[test]
fn worn_is_a_band_of_its_own() {
    let at = |gap: &str| rank(bench().sheet().read("gap", gap).unwrap());
    let (fine, worn) = (at("0.15 mm"), at("0.23 mm"));
    assert_eq!((fine.seen, worn.seen), (Seen::NothingFailed, Seen::Failed));
    assert!(probability(&worn, "gap_worn") > 0.7, "{}", probability(&worn, "gap_worn"));
    assert!(probability(&fine, "gap_worn") < 0.05);
}

#[test]
fn a_spec_without_faults_ranks_nothing() {
    let text = BENCH.lines().take_while(|line| !line.starts_with("fault")).collect::<Vec<_>>();
    let spec = Compiled::from_text("bench.truing", &text.join("\n")).unwrap();
    let sheet = spec.sheet().read("rest", "11.0 V").unwrap().build();
    let round = SuspectRound { sheet: &sheet, fitted: &[] };
    assert!(spec.suspects(&[round], Complaint::None).unwrap().is_empty());
    assert!(spec.suspects(&[], Complaint::None).unwrap().is_empty());
    assert!(bench().suspects(&[], Complaint::None).unwrap().is_empty());
}

/// Three windings that one fault grounds together, three diodes that fail one by one; invented.
const FAMILIES: &str = r#"
spec families "Families (invented)" { edition "1"  decide simple }
source sheet "Service sheet (invented)"
family phase = U, V, W
reading to_ground[phase] "Winding {phase} to ground" : resistance { takes 1 min }
reading forward[phase] "Diode {phase}" : dc_voltage { takes 1 min }
reading rest "Battery at rest" : dc_voltage { takes 1 min }
check insulated[phase] "Winding {phase} is clear" : to_ground[phase] within min 1 Mohm { leak 2 % }
check conducts[phase] "Diode {phase} conducts" : forward[phase] <= 0.75 V
check charged "Battery is charged" : rest >= 12.4 V { WHEN }
fault grounded "Winding grounded" { odds 10 of 100  makes insulated low 95 %  fix stator }
fault open[phase] "Diode {phase} open" { odds 2 of 100  makes conducts high 95 %  fix bridge }
fault worn "Battery worn" { odds 10 of 100  makes charged low 90 %  fix battery }
fix stator "Renew the stator" { part "stator" }
fix bridge "Renew the bridge" { part "bridge" }
fix battery "Renew the battery" { part "battery" }
"#;

fn families(when: &str) -> Compiled {
    Compiled::from_text("families.truing", &FAMILIES.replace("WHEN", when)).unwrap()
}

fn told(spec: &Compiled, read: &[(&str, &str)]) -> Ranking {
    let sheet =
        read.iter().fold(spec.sheet(), |sheet, (name, text)| sheet.read(name, text).unwrap());
    let sheet = sheet.build();
    let round = SuspectRound { sheet: &sheet, fitted: &[] };
    spec.suspects(&[round], Complaint::None).unwrap().pop().unwrap().ranking.unwrap()
}

#[test]
fn a_family_that_one_fault_upsets_counts_as_one() {
    let spec = families("");
    let counted = |label: &str| {
        let id = spec.spec().check_labelled(label).unwrap();
        counted_with(spec.spec(), id).len()
    };
    assert_eq!((counted("insulated[V]"), counted("conducts[V]"), counted("charged")), (3, 1, 1));
    let bad =
        [("to_ground[U]", "0.5 ohm"), ("to_ground[V]", "0.3 ohm"), ("to_ground[W]", "0.5 ohm")];
    let ranking = told(&spec, &bad);
    let weighing = ranking.weighing.as_ref().unwrap();
    let insulated = |of: &&Contribution| spec.spec().check(of.check).unwrap().name == "insulated";
    let said: Vec<&Contribution> = weighing.contributions.iter().filter(insulated).collect();
    // One term: 0.98 · 0.95 + 0.01 against 0.98 · 0.02 + 0.01, whether one member fails or three.
    let [one] = said[..] else { panic!("{said:?}") };
    let wanted = 10.0 * f64::log10(0.941 / 0.0296);
    assert!((one.decibans - wanted).abs() < 1e-9, "{one:?}");
    let single = told(&spec, &bad[..1]);
    let sum: f64 = weighing.contributions.iter().map(|of| of.decibans).sum();
    let odds = weighing.leader_probability / weighing.rival_probability;
    assert!((sum + weighing.prior_decibans - 10.0 * odds.log10()).abs() < 1e-9);
    for (one, three) in single.faults.iter().zip(&ranking.faults) {
        assert!((one.probability - three.probability).abs() < 1e-12, "{one:?} {three:?}");
    }
    // What was read of it is no longer missing; the rest of it is.
    assert_eq!(single.unmeasured.len(), 2 + 3 + 1);
}

#[test]
fn a_family_is_in_order_when_all_of_it_is() {
    let spec = families("");
    let good = [("to_ground[U]", "5 Mohm"), ("to_ground[V]", "5 Mohm"), ("to_ground[W]", "5 Mohm")];
    let grounded = |read: &[(&str, &str)]| {
        let ranking = told(&spec, read);
        let id = spec.spec().fault_labelled("grounded").unwrap();
        ranking.faults.iter().find(|of| of.fault == id).unwrap().probability
    };
    let (none, one, two, all) =
        (grounded(&[]), grounded(&good[..1]), grounded(&good[..2]), grounded(&good));
    assert!(none > one && one > two && two > all, "{none} {one} {two} {all}");
    // In all: 0.98 · 0.05 + 0.01 against 0.98 · 0.98 + 0.01.
    let odds = |p: f64, none: f64| p / none;
    let ranking = told(&spec, &good);
    let before = (0.1 / 0.9) / 1.0;
    let wanted = before * (0.98 * 0.05 + 0.01) / (0.98 * 0.98 + 0.01);
    assert!((odds(all, ranking.none) - wanted).abs() < 1e-12);
}

#[test]
fn what_waits_for_one_member_keeps_the_members_apart() {
    let apart = families("when insulated[V] passes");
    let together = families("when all of insulated passes");
    for (spec, members) in [(apart, 1), (together, 3)] {
        let id = spec.spec().check_labelled("insulated[V]").unwrap();
        assert_eq!(counted_with(spec.spec(), id).len(), members);
        let next = told(&spec, &[]).next.unwrap();
        assert!(next.minutes > 0.0);
    }
}

/// A joint that fails when it is hot; all figures are invented.
const HOT: &str = r#"
spec hot "Hot (invented)" { edition "1"  decide simple }
source sheet "Service sheet (invented)"
state came_in "As it came in"
state cold "Cold" { from came_in  takes 5 min }
state warm "Running hot" { from cold  takes 40 min  BRINGS }
reading volts_cold "Voltage, cold" : dc_voltage { during cold  takes 2 min }
reading volts_warm "Voltage, hot" : dc_voltage { during warm  takes 2 min }
reading look "Any reading" : dc_voltage { takes 1 min }
check charges_cold "Charges cold" : volts_cold >= 13 V
check charges_warm "Charges hot" : volts_warm >= 13 V
check other "Another" : look >= 13 V
fault joint "Joint" { odds 10 of 100  makes charges_cold low 60 %  makes charges_warm low 90 %  fix mend }
fault winding "Winding" { odds 10 of 100  makes charges_cold low 90 %  makes other low 90 %  fix renew }
fix mend "Mend the joint" { takes 10 min  verify 5 min  price 0  proves charges_warm }
fix renew "Renew the winding" { part "winding"  takes 10 min  verify 5 min  price 10  proves other }
"#;

fn hot(brings: &str) -> Compiled {
    Compiled::from_text("hot.truing", &HOT.replace("BRINGS", brings)).unwrap()
}

#[test]
fn what_passes_where_the_complaint_does_not_show_clears_nothing() {
    let spec = hot("brings faults");
    let warm = spec.spec().state_named("warm").unwrap();
    let of = |label: &str| spec.spec().check_labelled(label).unwrap();
    let rank = |complaint: Complaint, read: &[(&str, &str)]| {
        let sheet =
            read.iter().fold(spec.sheet(), |sheet, (name, text)| sheet.read(name, text).unwrap());
        let sheet = sheet.build();
        let round = SuspectRound { sheet: &sheet, fitted: &[] };
        spec.suspects(&[round], complaint).unwrap().pop().unwrap().ranking.unwrap()
    };
    let shows = Complaint::Shows(warm);
    let (before, cold) = (rank(shows, &[]), rank(shows, &[("volts_cold", "14.0 V")]));
    assert_eq!(before.faults, cold.faults);
    let why = WhyUnused::OtherCondition { shows: warm };
    assert!(cold.unused.iter().any(|of_| of_.check == of("charges_cold") && of_.why == why));
    // It is the customer's word that makes the difference.
    let told = rank(Complaint::Told, &[("volts_cold", "14.0 V")]);
    assert_ne!(told.faults, before.faults);
    // What fails there was not as the customer said, and counts.
    let failed = rank(shows, &[("volts_cold", "12.0 V")]);
    assert_eq!(failed.seen, Seen::Failed);
    // A state that brings no faults shows them better, and is not the only one that does.
    let spec = hot("");
    let sheet = spec.sheet().read("volts_cold", "14.0 V").unwrap().build();
    let round = SuspectRound { sheet: &sheet, fitted: &[] };
    let plain = spec.suspects(&[round], shows).unwrap().pop().unwrap().ranking.unwrap();
    assert_eq!(plain.faults, told.faults);
    // The complaint is looked for first, though the other check takes a fortieth of the time.
    assert_eq!(cold.recommended, Recommended::Measure(of("charges_warm")));
    let seen = rank(shows, &[("volts_warm", "12.0 V")]);
    assert_ne!(seen.recommended, Recommended::Measure(of("charges_warm")));
}

#[test]
fn a_repair_is_proven_where_the_complaint_shows() {
    let spec = hot("");
    let warm = spec.spec().state_named("warm").unwrap();
    let mend = [spec.spec().fix_named("mend").unwrap()];
    let proof = |left: &[(&str, &str)], complaint: Complaint| {
        let found = spec.sheet().read("volts_warm", "12.0 V").unwrap();
        let found = found.read("look", "14.0 V").unwrap().build();
        let left =
            left.iter().fold(spec.sheet(), |sheet, (name, text)| sheet.read(name, text).unwrap());
        let left = left.build();
        let rounds = [
            SuspectRound { sheet: &found, fitted: &[] },
            SuspectRound { sheet: &left, fitted: &mend },
        ];
        let stages = spec.suspects(&rounds, complaint).unwrap();
        stages[1].ranking.as_ref().unwrap().proof.clone().unwrap()
    };
    let shows = Complaint::Shows(warm);
    let hot = proof(&[("volts_warm", "14.0 V"), ("look", "14.0 V")], shows);
    assert_eq!((hot.verdict, hot.condition), (RepairVerdict::Proven, None), "{hot:?}");
    let cold = proof(&[("volts_cold", "14.0 V"), ("look", "14.0 V")], shows);
    assert_eq!((cold.verdict, cold.condition), (RepairVerdict::NotProven, Some(warm)));
    let again = proof(&[("volts_warm", "12.0 V"), ("look", "14.0 V")], shows);
    assert_eq!((again.verdict, again.condition), (RepairVerdict::StillFaulty, Some(warm)));
}
