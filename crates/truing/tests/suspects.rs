//! From findings to suspects: what counts, how much, and what is proposed.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

use truing::engine::suspects::{Complaint, Contribution, Ranking, Recommended, Seen, WhyUnused};
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
    // 0.98 · (1 − 0.98 · 0.1) + 0.01 = 0.8940. Odds 1/9 each; weights 0.0296 (none), 0.0993, three
    // times 0.0033, and 0.01 / 2 (not listed): 0.0993 of 0.1438.
    assert!((far - 0.0993 / 0.1438).abs() < 1e-3, "{far}");
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
