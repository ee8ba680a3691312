//! `truing study capability`, and what `assess` makes of meters. The meters and the machine are
//! invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use call::Shop;

const WINDING: &str = r#"spec winding "Winding of a small alternator (invented)" {
    edition "2026-11"
    machine "Lowmoor" "420 orchard trike" 2019 .. 2024
}
source sheet "Lowmoor 420 service data, issue 3 (invented)"
limit winding_limit : resistance = 0.07 .. 0.13 ohm cite sheet "6-4"
limit rest_limit : dc_voltage = min 12.5 V cite sheet "6-2"
limit insulation : resistance = min 1 Mohm cite sheet "6-5"
state at_rest "Engine off, key off"
reading winding "Winding" : resistance { during at_rest }
reading rest "Battery at rest" : dc_voltage { during at_rest }
reading to_ground "Winding to ground" : resistance { during at_rest }
check winding_sound "Winding has its resistance" : winding within winding_limit
check charged "Battery is charged" : rest within rest_limit
check insulated "Winding is clear of ground" : to_ground within insulation
"#;

fn shop() -> Shop {
    let shop = Shop::empty();
    shop.write("winding.truing", WINDING);
    shop
}

/// Two-wire meters show tenths of an ohm; a limit of hundredths is not theirs to decide (common
/// practice, no source).
#[test]
fn a_two_wire_meter_cannot_decide_hundredths_of_an_ohm_and_a_four_wire_meter_can() {
    let study = |meters: &[&str]| {
        let mut all = vec!["study", "capability", "winding.truing", "--only", "winding_sound"];
        meters.iter().for_each(|meter| all.extend(["--instrument", meter]));
        shop().call(&all)
    };
    let called = study(&["handheld_6000"]).exits(1);
    assert!(called.out.contains("cannot decide: 1 check"), "{}", called.out);
    assert!(called.out.contains("0.060 ohm"), "{}", called.out);
    let called = study(&["milliohm_meter"]).exits(0);
    assert!(called.out.contains("decides well: 1 check"), "{}", called.out);
    let called = study(&["handheld_2000", "milliohm_meter"]).exits(0);
    assert!(called.out.contains("winding_sound: milliohm_meter can"), "{}", called.out);
}

#[test]
fn json_says_it_by_its_schema() {
    let call = ["study", "capability", "winding.truing", "-i", "handheld_2000", "--format", "json"];
    let json = shop().call(&call).exits(1).document("truing-capability");
    let of = |label: &str| {
        let checks = json["checks"].as_array().unwrap();
        checks.iter().find(|check| check["check"] == label).unwrap().clone()
    };
    assert_eq!(of("winding_sound")["verdict"], "cannot-decide");
    // JCGM 106:2012, 7.6.3: C_m = T/(4u).
    let (winding, tolerance) = (of("winding_sound"), 0.06);
    let standard = |end: usize| winding["ends"][end]["standard_uncertainty"].as_f64().unwrap();
    let index = tolerance / (4.0 * standard(0).max(standard(1)));
    assert!((winding["index"].as_f64().unwrap() - index).abs() < 1e-9 * index);
    assert_eq!(of("insulated")["verdict"], "decides-well");
}

#[test]
fn instruments_come_from_a_file_or_from_the_spec_as_well() {
    let shop = shop();
    shop.write(
        "own.truing",
        "library own \"Own meters (invented)\"\n\
         instrument bridge \"Bridge (invented)\" {\n\
         measures resistance { range 1 ohm step 0.0001 ohm accuracy 0.1 % + 2 counts }\n}\n",
    );
    let call = ["study", "capability", "winding.truing", "-i", "own.truing", "--only"];
    let called = shop.call(&[&call[..], &["winding_sound"]].concat()).exits(0);
    assert!(called.out.contains("bridge"), "{}", called.out);
    let named = WINDING.replace("2024\n}", "2024\n    meter handheld_6000\n}");
    shop.write("named.truing", format!("{named}use \"meters/handheld\"\n"));
    let called = shop.call(&["study", "capability", "named.truing"]).exits(1);
    assert!(called.out.contains("handheld_6000"), "{}", called.out);
    // And `check` says it of the limit that the named meter cannot decide.
    let called = shop.call(&["check", "named.truing"]).exits(0);
    assert!(called.out.contains("limit-finer-than-meter"), "{}", called.out);
}

#[test]
fn a_call_that_names_nothing_that_is_there_is_told_what_is() {
    let shop = shop();
    let called =
        shop.call(&["study", "capability", "winding.truing", "-i", "handheld_600"]).exits(2);
    assert!(called.err.contains("did you mean `handheld_6000`?"), "{}", called.err);
    let called = shop.call(&["study", "capability", "winding.truing"]).exits(2);
    assert!(called.err.contains("--instrument"), "{}", called.err);
    shop.call(&["study", "capability", "gone.truing", "-i", "handheld_6000"]).exits(2);
    shop.call(&["study"]).exits(2);
}

const SHEET: &str = r#"
meter = "M-B"
[[instrument]]
name = "M-B"
profile = "handheld_6000"
zeroed = true
[[instrument]]
name = "M-C"
profile = "milliohm_meter"
[readings]
winding = "0.1 ohm"
rest = "12.55 V"
to_ground = "OL on 60 Mohm"
"#;

/// Common practice, no source: 0.1 ohm on steps of 0.1 ohm says nothing of 0.07 .. 0.13 ohm, and
/// 12.55 V of a meter good to 0.08 V nothing of 12.5 V.
#[test]
fn what_the_meter_cannot_decide_is_undecided_and_the_meter_at_hand_that_can_is_named() {
    let shop = shop();
    shop.write("job.toml", SHEET);
    let called = shop.call(&["assess", "winding.truing", "job.toml"]).exits(3);
    for text in ["undecided  Winding has its resistance", "M-C at hand would decide it", "(M-B)"] {
        assert!(called.out.contains(text), "{text}: {}", called.out);
    }
    assert!(called.out.contains("undecided  Battery is charged"), "{}", called.out);
    let json = shop.call(&["assess", "winding.truing", "job.toml", "--format", "json"]).exits(3);
    let json = json.document("truing-findings");
    let checks = &json["sheets"][0]["rounds"][0]["checks"];
    assert_eq!(checks[0]["settled_by"][0], "M-C");
    assert_eq!(checks[1]["budget"][0]["part"], "accuracy");
    let shares: f64 = checks[0]["budget"]
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["share"].as_f64().unwrap())
        .sum();
    assert!((shares - 1.0).abs() < 1e-9, "{shares}");
    // On the 600 ohm range an open reading proves nothing.
    shop.write("low.toml", SHEET.replace("OL on 60 Mohm", "OL on 600 ohm"));
    let only = ["--only", "insulated"];
    shop.call(&[&["assess", "winding.truing", "job.toml"][..], &only].concat()).exits(0);
    shop.call(&[&["assess", "winding.truing", "low.toml"][..], &only].concat()).exits(3);
}

#[test]
fn a_budget_is_printed_as_metrologists_print_it() {
    let shop = shop();
    shop.write("job.toml", SHEET);
    let call = ["assess", "winding.truing", "job.toml", "--budget", "--only", "charged"];
    let called = shop.call(&call).exits(3);
    for text in
        ["Quantity", "Distribution", "rectangular", "accuracy of M-B", "Share", "u = 0.048 V"]
    {
        assert!(called.out.contains(text), "{text}: {}", called.out);
    }
}

#[test]
fn a_meter_that_is_not_fit_blocks_and_says_what_would_be() {
    let shop = shop();
    let told = |reading: &str, wanted: &[&str]| {
        shop.write("job.toml", SHEET.replace("\"12.55 V\"", reading));
        let call = ["assess", "winding.truing", "job.toml", "--only", "charged"];
        let called = shop.call(&call).exits(3);
        let flat = called.out.split_whitespace().collect::<Vec<_>>().join(" ");
        wanted.iter().for_each(|text| assert!(flat.contains(text), "{text}: {}", called.out));
    };
    told("{ value = \"12.551 V\", range = \"60 V\" }", &["blocked", "must have come from"]);
    told("\"1255 V\"", &["blocked", "reaches up to"]);
    told("{ value = \"12.55 V\", range = \"20 V\" }", &["blocked", "has no range of 20 V"]);
    told("{ value = \"12.55 V\", meter = \"M-C\" }", &["blocked", "does not measure"]);
    // No meter named: the digits alone, and it is said.
    shop.write("job.toml", SHEET.replace("meter = \"M-B\"\n", ""));
    let call = ["assess", "winding.truing", "job.toml", "--all", "--only", "charged"];
    let called = shop.call(&call).exits(0);
    let flat = called.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("by the digits alone"), "{}", called.out);
}
