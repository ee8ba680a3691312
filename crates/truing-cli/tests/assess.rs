//! `truing assess`

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use call::{Shop, TRIKE};

const ALL_GOOD: &str = "\
[readings]
battery_rest = \"12.71 V\"
to_ground = \"OL on 60 Mohm\"
connector = \"clean\"
";

const TWO_ROUNDS: &str = "\
job = \"PL-0704\"
spec = \"trike\"
date = \"2026-11-03\"
technician = \"T1\"
complaint = \"weak charge since washing\"

[[round]]
name = \"as found\"
[round.readings]
battery_rest = { value = \"12.31 V\", note = \"on the posts\" }
to_ground = \"0.3 ohm\"
connector = \"burnt\"

[[round]]
name = \"as left\"
[round.readings]
battery_rest = \"12.71 V\"
to_ground = \"OL on 60 Mohm\"
connector = 'not taken \"no access\"'
";

fn shop(sheet: &str) -> Shop {
    let shop = Shop::with_trike();
    shop.write("job.toml", sheet);
    shop
}

#[test]
fn exit_0_where_everything_passes() {
    let called = shop(ALL_GOOD).call(&["assess", "trike.truing", "job.toml"]).exits(0);
    insta::assert_snapshot!(called.out);
    assert_eq!(called.err, "");
}

#[test]
fn exit_1_where_something_is_outside() {
    let sheet = ALL_GOOD.replace("clean", "burnt");
    let called = shop(&sheet).call(&["assess", "trike.truing", "job.toml"]).exits(1);
    assert!(called.out.contains("connector is burnt"), "{}", called.out);
    assert!(called.out.contains("Exit status 1"), "{}", called.out);
}

#[test]
fn exit_3_where_something_is_open_and_nothing_outside() {
    let sheet = ALL_GOOD.replace("OL on 60 Mohm", "OL on 600 ohm");
    let called = shop(&sheet).call(&["assess", "trike.truing", "job.toml"]).exits(3);
    let why = "why     OL on the 600 ohm range only says more than 600 ohm: change the\n            range.\n";
    assert!(called.out.contains(why), "{}", called.out);
}

#[test]
fn exit_2_where_the_spec_or_the_sheet_is_in_error() {
    let shop = shop(
        "[readings]\nbatery_rest = \"12.71 V\"\nto_ground = \"0,3 ohm\"\nconnector = \"rusty\"\n",
    );
    let called = shop.call(&["assess", "trike.truing", "job.toml"]).exits(2);
    assert_eq!(called.out, "");
    for line in ["job.toml:2", "job.toml:3", "job.toml:4"] {
        assert!(called.err.contains(line), "{}", called.err);
    }
    assert!(called.err.contains("did you mean `battery_rest`?"), "{}", called.err);
    shop.write("bad.truing", "limit = = 3\n");
    let called = shop.call(&["assess", "bad.truing", "job.toml"]).exits(2);
    assert!(called.err.contains("bad.truing:1:"), "{}", called.err);
    shop.call(&["assess", "gone.truing", "job.toml"]).exits(2);
    shop.call(&["assess", "trike.truing", "gone.toml"]).exits(2);
    shop.call(&["assess", "."]).exits(2);
}

#[test]
fn rounds_stand_side_by_side_and_the_last_gives_the_status() {
    let called = shop(TWO_ROUNDS).call(&["assess", "trike.truing", "job.toml"]).exits(3);
    insta::assert_snapshot!(called.out);
}

#[test]
fn one_round_by_its_name_or_its_number() {
    let shop = shop(TWO_ROUNDS);
    for round in ["as found", "1"] {
        let called = shop.call(&["assess", "trike.truing", "job.toml", "--round", round]).exits(1);
        assert!(!called.out.contains("side by side"), "{}", called.out);
    }
    let called = shop.call(&["assess", "trike.truing", "job.toml", "--round", "3"]).exits(2);
    assert!(called.err.contains("its rounds are as found, as left"), "{}", called.err);
}

#[test]
fn readings_on_the_command_line_need_no_sheet_and_go_before_one() {
    let shop = shop(ALL_GOOD);
    let called = shop.call(&["assess", "trike.truing", "--set", "battery_rest=12.31 V"]).exits(1);
    assert!(called.out.contains("12.31 V is below min 12.4 V."), "{}", called.out);
    shop.call(&["assess", "trike.truing", "job.toml", "--set", "battery_rest = 12.31 V"]).exits(1);
    shop.call(&["assess", "trike.truing", "job.toml", "--set", "connector="]).exits(3);
    let called = shop
        .call(&[
            "assess",
            "trike.truing",
            "job.toml",
            "--set",
            "conector=clean",
            "--set",
            "nonsense",
        ])
        .exits(2);
    assert!(called.err.contains("did you mean `connector`?"), "{}", called.err);
    assert!(called.err.contains("nonsense"), "{}", called.err);
}

#[test]
fn no_readings_at_all_is_a_call_in_error() {
    let called = Shop::with_trike().call(&["assess", "trike.truing"]).exits(2);
    assert!(called.err.contains("no readings are given"), "{}", called.err);
}

#[test]
fn a_sheet_comes_from_standard_input_in_any_form() {
    let shop = Shop::with_trike();
    let csv = "reading,value\nbattery_rest,12.71 V\nto_ground,OL on 60 Mohm\nconnector,clean\n";
    let json = r#"{"readings": {"battery_rest": "12.71 V", "to_ground": "OL on 60 Mohm", "connector": "clean"}}"#;
    for (form, text) in [("toml", ALL_GOOD), ("csv", csv), ("json", json)] {
        let arguments = ["assess", "trike.truing", "-", "--sheet-format", form];
        shop.call_with_input(&arguments, text).exits(0);
        shop.call_with_input(&["assess", "trike.truing", "-"], text).exits(0);
        shop.write(&format!("sheet.{form}"), text);
        shop.call(&["assess", "trike.truing", &format!("sheet.{form}")]).exits(0);
        shop.write("sheet.txt", text);
        shop.call(&["assess", "trike.truing", "sheet.txt", "--sheet-format", form]).exits(0);
    }
}

#[test]
fn several_sheets_give_the_gravest_status() {
    let shop = shop(ALL_GOOD);
    shop.write("bad.toml", ALL_GOOD.replace("12.71", "12.31"));
    let called = shop.call(&["assess", "trike.truing", "job.toml", "bad.toml"]).exits(1);
    assert_eq!(called.out.matches("This report advises.").count(), 2);
}

#[test]
fn the_decision_rule_can_be_given() {
    let sheet = ALL_GOOD.replace("12.71", "12.4");
    let shop = shop(&sheet);
    let assess = |rule: &str| shop.call(&["assess", "trike.truing", "job.toml", "--decide", rule]);
    // Arithmetic: 12.4 V was read to 0.1 V, so the true indication lies within 12.35 .. 12.45 V,
    // half of it below the limit.
    assess("simple").exits(0);
    let called = assess("at 95 %").exits(3);
    let told = called.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("the probability that it conforms is 50 %"), "{}", called.out);
    let called = assess("perhaps").exits(2);
    assert!(called.err.contains("--decide"), "{}", called.err);
}

#[test]
fn only_some_checks_by_name() {
    let shop = shop(&ALL_GOOD.replace("clean", "burnt"));
    shop.call(&["assess", "trike.truing", "job.toml", "--only", "charged,insulated"]).exits(0);
    shop.call(&["assess", "trike.truing", "job.toml", "--only", "connector_sound"]).exits(1);
    let called = shop.call(&["assess", "trike.truing", "job.toml", "--only", "chargd"]).exits(2);
    assert!(called.err.contains("did you mean `charged`?"), "{}", called.err);
}

#[test]
fn an_end_that_lies_outside_itself_reads_as_the_author_wrote_it() {
    let shop = shop(ALL_GOOD);
    shop.write("trike.truing", TRIKE.replace("min 12.4 V", "above 12.4 V"));
    let assess = |reading| {
        let set = format!("battery_rest={reading}");
        let only = ["--only", "charged", "--all", "--set", &set];
        shop.call(&[&["assess", "trike.truing"][..], &only].concat())
    };
    let called = assess("12.4 V").exits(1);
    assert!(called.out.contains("12.4 V is not above 12.4 V."), "{}", called.out);
    let called = assess("12.5 V").exits(0);
    assert!(called.out.contains("12.5 V is above 12.4 V."), "{}", called.out);
}

#[test]
fn all_shows_what_passes_in_full() {
    let shop = shop(ALL_GOOD);
    let called = shop.call(&["assess", "trike.truing", "job.toml", "--all"]).exits(0);
    assert!(called.out.contains("12.71 V is within min 12.4 V."), "{}", called.out);
}

#[test]
fn json_is_one_document_by_its_schema() {
    let shop = shop(TWO_ROUNDS);
    let call = |arguments: &[&str]| {
        let all = [&["assess", "--format", "json", "trike.truing"], arguments].concat();
        shop.call(&all)
    };
    let json = call(&["job.toml"]).exits(3).document("truing-findings");
    let sheet = &json["sheets"][0];
    assert_eq!(sheet["job"]["complaint"], "weak charge since washing");
    assert_eq!(sheet["exit_status"], 3);
    assert_eq!(sheet["rounds"].as_array().unwrap().len(), 2);
    let check = &sheet["rounds"][0]["checks"][0];
    assert_eq!(check["check"], "charged");
    assert_eq!(check["outcome"], "outside");
    assert_eq!(check["side"], "low");
    assert_eq!(check["limit"]["unit"]["ucum"], "V");
    assert_eq!(check["value"]["best"], 12.31);
    call(&[]).exits(2).document("truing-errors");
    call(&["gone.toml"]).exits(2).document("truing-errors");
    shop.write("trike.truing", "limit = = 3\n");
    call(&["job.toml"]).exits(2).document("truing-diagnostics");
}

#[test]
fn a_sheet_beyond_any_sheet_is_refused_at_once() {
    let shop = shop("");
    let path = shop.path().join("job.toml");
    std::fs::File::options().write(true).open(path).unwrap().set_len(100_000_000).unwrap();
    let called = shop.call(&["assess", "trike.truing", "job.toml"]).exits(2);
    assert!(called.err.contains("16777216"), "{}", called.err);
}

#[test]
fn the_sheet_must_be_for_the_spec() {
    let shop = shop(&format!("spec = \"tractor\"\n{ALL_GOOD}"));
    let called = shop.call(&["assess", "trike.truing", "job.toml"]).exits(2);
    assert!(called.err.contains("`trike`"), "{}", called.err);
    assert!(TRIKE.starts_with("spec trike"));
}
