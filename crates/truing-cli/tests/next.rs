//! `truing next`, and the suspects of `truing assess`

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use call::Shop;

/// Limits, odds and chances are invented.
const CART: &str = "\
spec cart \"Orchard cart (invented)\" { edition \"1\" }
source sheet \"Service sheet (invented)\"

limit rest_voltage : dc_voltage = min 12.4 V cite sheet
limit charging : dc_voltage = 13.8 .. 14.8 V cite sheet
limit ground : resistance = min 1 Mohm cite sheet

reading rest \"Battery at rest\" : dc_voltage { takes 2 min }
reading charge \"Charge voltage\" : dc_voltage { takes 5 min }
reading to_ground \"Winding to ground\" : resistance { takes 10 min }
observation eyelet \"Ground eyelet\" : clean, corroded { takes 1 min }

check charged \"Battery is charged\" : rest within rest_voltage
check charges \"System charges\" : charge within charging { when charged passes }
check insulated \"Winding is clear of ground\" : to_ground within ground
check eyelet_clean \"Eyelet is clean\" : eyelet is clean

fault stator_grounded \"Stator grounded\" {
    odds 10 of 100
    makes charges low 90 %
    makes insulated low 95 %
    fix renew_stator
}
fault eyelet_corroded \"Eyelet corroded\" {
    odds 10 of 100
    makes charges low 80 %
    makes eyelet_clean fail 95 %
    fix clean_eyelet
}
fault regulator_high \"Regulator too high\" {
    odds 3 of 100
    makes charges high 90 %
    fix renew_regulator
}

fix renew_stator \"Renew the stator\" { part \"stator\"  takes 130 min  proves insulated, charges }
fix clean_eyelet \"Clean the eyelet\" { takes 10 min  proves charges }
fix renew_regulator \"Renew the regulator\" { part \"regulator\"  takes 30 min  proves charges }

case grounded \"Grounded\" {
    rest = 12.71 V
    charge = 12.50 V
    to_ground = 0.30 ohm
    eyelet = clean
    expect suspect stator_grounded first, at least 90 %
}
";

const FOUND: &str = "\
[[round]]
name = \"as found\"
[round.readings]
rest = \"12.71 V\"
charge = \"12.50 V\"
";

const GROUNDED: &str = "\
to_ground = \"0.30 ohm\"
eyelet = \"clean\"
";

const LEFT: &str = "\
[[round]]
name = \"as left\"
fitted = [\"renew_stator\"]
[round.readings]
rest = \"12.71 V\"
charge = \"14.20 V\"
";

fn shop(sheet: &str) -> Shop {
    let shop = Shop::empty();
    shop.write("cart.truing", CART);
    shop.write("job.toml", sheet);
    shop
}

fn next(shop: &Shop) -> call::Called {
    shop.call(&["next", "cart.truing", "job.toml"])
}

#[test]
fn the_next_measurement_comes_with_its_minutes_and_what_each_outcome_points_to() {
    let called = next(&shop(FOUND)).exits(3);
    insta::assert_snapshot!(called.out);
}

#[test]
fn enough_is_known_where_one_cure_is_certain() {
    let called = next(&shop(&format!("{FOUND}{GROUNDED}"))).exits(0);
    insta::assert_snapshot!(called.out);
}

#[test]
fn without_a_reading_no_suspect_is_named_but_the_first_measurement_is() {
    let shop = shop("");
    let called = shop.call(&["next", "cart.truing"]).exits(3);
    assert!(called.out.contains("no suspect is named"), "{}", called.out);
    assert!(!called.out.contains("Most likely"), "{}", called.out);
    assert!(called.out.contains("measure "), "{}", called.out);
}

#[test]
fn where_nothing_failed_no_fault_is_named() {
    let sheet = FOUND.replace("12.50", "14.20");
    let called = shop(&sheet).call(&["assess", "cart.truing", "job.toml"]).exits(3);
    assert!(called.out.contains("No fault shows in what was measured."), "{}", called.out);
    assert!(called.out.contains("Not measured insulated, eyelet_clean"), "{}", called.out);
    assert!(!called.out.contains("Most likely"), "{}", called.out);
}

#[test]
fn a_repair_is_proven_only_by_what_had_failed() {
    let found = format!("{FOUND}{GROUNDED}");
    let called = next(&shop(&format!("{found}{LEFT}"))).exits(0);
    let told = called.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("The repair is not proven: take insulated again."), "{}", called.out);
    let called = next(&shop(&format!("{found}{LEFT}to_ground = \"30 Mohm\"\n"))).exits(0);
    assert!(called.out.contains("The repair is proven"), "{}", called.out);
    let worse = LEFT.replace("14.20", "12.40");
    let called = next(&shop(&format!("{found}{worse}to_ground = \"30 Mohm\"\n")));
    assert!(
        called.out.contains("Still faulty. charges failed after the repair."),
        "{}",
        called.out
    );
}

#[test]
fn a_fix_that_the_spec_does_not_have_is_told_with_the_nearest() {
    let sheet = format!("{FOUND}{}", LEFT.replace("renew_stator", "renew_stater"));
    for command in ["next", "assess"] {
        let called = shop(&sheet).call(&[command, "cart.truing", "job.toml"]).exits(2);
        assert!(called.err.contains("did you mean `renew_stator`?"), "{}", called.err);
    }
}

#[test]
fn a_spec_without_faults_says_so() {
    let shop = Shop::with_trike();
    let called = shop.call(&["next", "trike.truing", "--set", "battery_rest=12.71 V"]).exits(0);
    assert!(called.out.contains("lists no faults"), "{}", called.out);
}

#[test]
fn json_is_one_document_by_its_schema() {
    let shop = shop(&format!("{FOUND}{GROUNDED}{LEFT}"));
    let call = |command: &str| shop.call(&[command, "--format", "json", "cart.truing", "job.toml"]);
    let next = call("next").document("truing-next");
    assert_eq!(next["stage"]["fitted"][0], "renew_stator");
    assert_eq!(next["stage"]["ranking"]["proof"]["verdict"], "not_proven");
    assert_eq!(next["stage"]["ranking"]["proof"]["missing"][0], "insulated");
    let findings = call("assess").document("truing-findings");
    let found = &findings["sheets"][0]["suspects"][0]["ranking"];
    assert_eq!(found["cures"][0]["remedy"]["parts"][0], "stator");
    assert_eq!(found["faults"][0]["fault"], "stator_grounded");
    let weighing = &found["weighing"];
    let told = weighing["contributions"].as_array().unwrap().iter();
    let sum: f64 = told.map(|of| of["decibans"].as_f64().unwrap()).sum();
    let prior = weighing["prior_decibans"].as_f64().unwrap();
    let total = weighing["total_decibans"].as_f64().unwrap();
    assert!((prior + sum - total).abs() < 1e-9);
    shop.call(&["next", "--format", "json", "cart.truing"]).exits(3).document("truing-next");
}

#[test]
fn a_case_may_expect_a_suspect() {
    shop("").call(&["test"]).exits(0);
    let shop = shop("");
    for (from, to, came) in [
        ("stator_grounded first, at least 90 %", "eyelet_corroded first", "eyelet_corroded"),
        ("to_ground = 0.30 ohm\n", "", "at least 90.0 %"),
        ("charge = 12.50 V\n    to_ground = 0.30 ohm\n", "", "no suspect, since nothing failed"),
    ] {
        assert!(CART.contains(from));
        shop.write("cart.truing", CART.replace(from, to));
        let called = shop.call(&["test"]).exits(1);
        assert!(called.out.contains(came), "{}", called.out);
    }
}

#[test]
fn the_study_of_faults_says_what_is_told_apart() {
    let shop = shop("");
    let called = shop.call(&["study", "faults", "cart.truing"]).exits(0);
    insta::assert_snapshot!(called.out);
    let json = shop.call(&["study", "faults", "cart.truing", "--format", "json"]);
    let study = &json.document("truing-faults")["study"];
    assert_eq!(study["detected"], 1.0);
    assert_eq!(study["useless"][0], "charged");
    // By the charge voltage alone two faults with two cures look alike.
    let blind = CART
        .replace("    makes eyelet_clean fail 95 %\n", "")
        .replace("    makes insulated low 95 %\n", "");
    shop.write("cart.truing", blind);
    let json = shop.call(&["study", "faults", "cart.truing", "--format", "json"]).exits(1);
    let study = &json.document("truing-faults")["study"];
    let group = &study["groups"][0];
    assert_eq!(group["faults"], serde_json::json!(["stator_grounded", "eyelet_corroded"]));
    assert_eq!(group["one_cure"], false);
    let trike = Shop::with_trike();
    let called = trike.call(&["study", "faults", "trike.truing"]).exits(0);
    assert!(called.out.contains("lists no faults"), "{}", called.out);
}
