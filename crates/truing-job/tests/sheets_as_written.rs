//! What a sheet says, and every mistake that shows without a spec.

#![expect(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test fails by panicking")]

use std::io::Write;
use std::path::Path;

use truing_job::{
    JobSheet, MAX_SHEET_BYTES, SheetError, SheetFormat, read_sheet, read_sheet_bytes,
    read_sheet_file,
};
use truing_model::DecideRule;

const TOML: &str = r#"job = "PL-0704"
spec = "ostrevik_hauler_680"
date = 2026-11-03
technician = "T1"
decide = "at 95 %"

[machine]
serial = 3402
market = "eu"

[[round]]
name = "as found"
[round.readings]
battery_rest = "12.71 V"
to_ground = { U = "0.5 ohm", V = { value = "OL", range = "60 Mohm" } }
"ac_output[U-V]" = "69.6 V"
gap = ["3.52 mm", "3.50 mm"]
drain = 'not taken "no access"'
running_voltage = { value = "14.28 V", state = "idling", note = "after 60 s" }
cranking = ""

[[round]]
readings.battery_rest = "12.80 V"
"#;

const JSON: &str = r#"{
  "job": "PL-0704", "spec": "ostrevik_hauler_680", "date": "2026-11-03",
  "technician": "T1", "decide": "at 95 %",
  "machine": {
    "serial": 3402,
    "market": "eu"
  },
  "round": [
    {
      "name": "as found",
      "readings": {
        "battery_rest": "12.71 V",
        "to_ground": { "U": "0.5 ohm", "V": { "value": "OL", "range": "60 Mohm" } },
        "ac_output[U-V]": "69.6 V",
        "gap": ["3.52 mm", "3.50 mm"],
        "drain": "not taken \"no access\"",
        "running_voltage": { "value": "14.28 V", "state": "idling", "note": "after 60 s" },
        "cranking": null
      }
    },
    { "readings": { "battery_rest": "12.80 V" } }
  ]
}"#;

fn read(text: &str, format: SheetFormat) -> JobSheet {
    read_sheet("sheet", text, format).unwrap()
}

fn mistakes(text: &str, format: SheetFormat) -> Vec<SheetError> {
    read_sheet("sheet", text, format).unwrap_err()
}

/// Slug and line of each mistake.
fn brief(mistakes: &[SheetError]) -> Vec<(&str, Option<usize>)> {
    mistakes.iter().map(|mistake| (mistake.slug.0, mistake.line)).collect()
}

/// Without places, which differ between formats.
fn entries(sheet: &JobSheet, round: usize) -> Vec<(String, String)> {
    sheet.rounds[round].readings.iter().map(|e| (e.path.clone(), e.value.clone())).collect()
}

#[test]
fn toml_is_read_with_its_order_and_its_lines() {
    let sheet = read(TOML, SheetFormat::Toml);
    assert_eq!(sheet.job.as_deref(), Some("PL-0704"));
    assert_eq!(sheet.date.as_deref(), Some("2026-11-03"));
    assert_eq!(sheet.decide, Some(DecideRule::At { probability: 0.95 }));
    assert_eq!(sheet.place_of("decide").line, Some(5));
    assert_eq!(sheet.machine[0].path, "serial");
    assert_eq!(sheet.machine[0].value, "3402");
    let names: Vec<_> = sheet.rounds.iter().map(|r| r.name.as_str()).collect();
    assert_eq!(names, ["as found", "round 2"]);
    let lines: Vec<_> = sheet.rounds[0]
        .readings
        .iter()
        .map(|e| (e.path.as_str(), e.value.as_str(), e.place.line.unwrap()))
        .collect();
    assert_eq!(
        lines,
        [
            ("battery_rest", "12.71 V", 14),
            ("to_ground[U]", "0.5 ohm", 15),
            ("to_ground[V]", "OL", 15),
            ("ac_output[U-V]", "69.6 V", 16),
            ("gap", "3.52 mm, 3.50 mm", 17),
            ("drain", "not taken \"no access\"", 18),
            ("running_voltage", "14.28 V", 19),
            ("cranking", "", 20),
        ]
    );
    assert_eq!(sheet.rounds[0].readings[2].range.as_deref(), Some("60 Mohm"));
    assert_eq!(sheet.rounds[0].readings[6].state.as_deref(), Some("idling"));
    assert_eq!(sheet.rounds[0].readings[6].note.as_deref(), Some("after 60 s"));
}

#[test]
fn json_says_the_same_as_toml_and_has_lines_too() {
    let (toml, json) = (read(TOML, SheetFormat::Toml), read(JSON, SheetFormat::Json));
    for round in [0, 1] {
        assert_eq!(entries(&toml, round), entries(&json, round));
    }
    assert_eq!(toml.machine.len(), json.machine.len());
    assert_eq!(json.machine[1].place.line, Some(6));
    assert_eq!(json.rounds[0].readings[3].place.line, Some(14));
}

#[test]
fn a_sheet_of_one_round_writes_its_readings_at_the_top() {
    let sheet = read("[readings]\nbattery_rest = \"12.71 V\"\n", SheetFormat::Toml);
    assert_eq!(entries(&sheet, 0), [("battery_rest".to_owned(), "12.71 V".to_owned())]);
    let single = read("[round]\nname = \"a\"\n[round.readings]\nb = \"1 V\"\n", SheetFormat::Toml);
    assert_eq!(single.rounds.len(), 1);
}

#[test]
fn digits_stay_as_written() {
    let toml = read("[readings]\na = 12.50\nb = 3402\n", SheetFormat::Toml);
    assert_eq!(toml.rounds[0].readings[0].value, "12.50");
    let json = read("{\"readings\": {\"a\": 12.50, \"b\": 1e400}}", SheetFormat::Json);
    assert_eq!(json.rounds[0].readings[0].value, "12.50");
    assert_eq!(json.rounds[0].readings[1].value, "1e400");
}

#[test]
fn csv_rows_are_entries_with_their_lines() {
    let text = "# from the bench\r\nReading,Value,Round,Note\r\n\r\n# first\r\nserial,3402,,\r\n\
                battery_rest,12.71 V,as found,\"after 60 s, cold\"\r\n\
                gap,\"3.52, 3.50 mm\",as found,\r\nbattery_rest,12.80 V,as left,\r\n";
    let sheet = read(text, SheetFormat::Csv);
    let names: Vec<_> = sheet.rounds.iter().map(|r| r.name.as_str()).collect();
    assert_eq!(names, ["as found", "as left"]);
    let found = &sheet.rounds[0].readings;
    assert_eq!(found[0].note.as_deref(), Some("after 60 s, cold"));
    assert_eq!(found[1].value, "3.52, 3.50 mm");
    assert_eq!(sheet.machine[0].place.line, Some(5));
    assert_eq!(found[0].place.line, Some(6));
    assert_eq!(sheet.rounds[1].readings[0].place.line, Some(8));
}

#[test]
fn csv_may_part_its_columns_by_semicolons_or_tabs() {
    for text in ["reading;value\ngap;3.52, 3.50 mm\n", "reading\tvalue\ngap\t3.52, 3.50 mm\n"] {
        let sheet = read(text, SheetFormat::Csv);
        assert_eq!(entries(&sheet, 0), [("gap".to_owned(), "3.52, 3.50 mm".to_owned())]);
    }
}

#[test]
fn a_byte_order_mark_carriage_returns_and_tabs_are_no_matter() {
    let toml = "\u{FEFF}[readings]\r\n\tbattery_rest\t=\t\"12.71\tV\"\r\n";
    let sheet = read(toml, SheetFormat::Toml);
    assert_eq!(sheet.rounds[0].readings[0].value, "12.71\tV");
    assert_eq!(sheet.rounds[0].readings[0].place.line, Some(2));
    let csv = read("\u{FEFF}reading,value\r\nbattery_rest,12.71 V\r\n", SheetFormat::Csv);
    assert_eq!(csv.rounds[0].readings[0].value, "12.71 V");
    read("\u{FEFF}{\"readings\": {}}", SheetFormat::Json);
}

#[test]
fn an_empty_sheet_says_what_to_write() {
    for format in [SheetFormat::Toml, SheetFormat::Json, SheetFormat::Csv] {
        let found = mistakes(" \r\n\t\n", format);
        assert_eq!(brief(&found), [("empty-sheet", None)]);
        assert!(found[0].mend.as_deref().unwrap().contains("[readings]"));
    }
    assert_eq!(brief(&mistakes("job = \"1\"\n", SheetFormat::Toml)), [("empty-sheet", None)]);
    assert_eq!(brief(&mistakes("{}", SheetFormat::Json)), [("empty-sheet", None)]);
}

#[test]
fn every_mistake_of_a_sheet_is_reported_at_once() {
    let text = r#"tecnician = "T1"
decide = "95 %"
job = true

[machine]
serial = 2026-11-03

[readings]
battery_rest = { valu = "12.7 V" , note = "x" }
running_voltage = { state = "idling" }
drain = false
to_ground = { U = [true], V = "0.3 ohm", W = { value = "1 ohm", rnge = "2" } }

[[round]]
nam = "x"
readings = "none"
"#;
    let found = mistakes(text, SheetFormat::Toml);
    let expected = [
        ("unknown-key", Some(1)),
        ("decide-text", Some(2)),
        ("sheet-shape", Some(3)),
        ("sheet-shape", Some(6)),
        ("sheet-shape", Some(8)),
        ("sheet-shape", Some(10)),
        ("sheet-shape", Some(11)),
        ("sheet-shape", Some(12)),
        ("unknown-key", Some(12)),
        ("unknown-key", Some(15)),
        ("sheet-shape", Some(16)),
    ];
    assert_eq!(brief(&found), expected, "{found:#?}");
    assert_eq!(found[0].mend.as_deref(), Some("did you mean `technician`?"));
    assert!(found.iter().all(|mistake| mistake.file == "sheet"));
}

#[test]
fn an_unquoted_reading_in_toml_is_told_how_to_be_written() {
    let found =
        mistakes("[readings]\nbattery_rest = 12.71 V\ncharge = 14,2 V\n", SheetFormat::Toml);
    assert_eq!(brief(&found), [("sheet-syntax", Some(2)), ("sheet-syntax", Some(3))], "{found:#?}");
    assert_eq!(
        found[0].mend.as_deref(),
        Some("write the value in quotes: `battery_rest = \"12.71 V\"`")
    );
}

#[test]
fn a_key_given_twice_is_a_mistake_in_every_format() {
    let toml = mistakes("[readings]\na = \"1 V\"\na = \"2 V\"\n", SheetFormat::Toml);
    assert_eq!(brief(&toml), [("sheet-syntax", Some(3))]);
    let json = mistakes("{\"readings\": {\"a\": \"1 V\",\n\"a\": \"2 V\"}}", SheetFormat::Json);
    assert_eq!(brief(&json), [("key-twice", Some(2))]);
    assert_eq!(json[0].message, "`a` is given twice, first on line 1");
    let csv = mistakes("reading,value,VALUE\na,1 V,2 V\n", SheetFormat::Csv);
    assert_eq!(brief(&csv), [("key-twice", Some(1))]);
}

#[test]
fn broken_json_names_the_line() {
    let found = mistakes("{\n  \"readings\": {\n    \"a\": 12.5 V\n  }\n}", SheetFormat::Json);
    assert_eq!(brief(&found), [("sheet-syntax", Some(3))]);
    assert_eq!(brief(&mistakes("[1]", SheetFormat::Json)), [("sheet-shape", Some(1))]);
    let surrogate = mistakes("{\"readings\":\n{\"a\": \"\\ud800\"}}", SheetFormat::Json);
    assert_eq!(brief(&surrogate), [("sheet-syntax", Some(2))]);
}

/// On any row of the round, each fix once; a row may say nothing else.
#[test]
fn csv_says_what_was_fitted_before_a_round() {
    let text = "reading,value,round,fitted\nserial,3402,,\nrest,12.7 V,as found,\n\
                ,,as left,\"renew_stator, clean_clamps\"\nrest,12.7 V,as left,renew_stator\n\
                ripple,0.02 V,as left,mend_wiring\n";
    let sheet = read(text, SheetFormat::Csv);
    assert_eq!(sheet.machine.len(), 1);
    assert!(sheet.rounds[0].fitted.fixes.is_empty());
    assert_eq!(sheet.rounds[1].fitted.fixes, ["renew_stator", "clean_clamps", "mend_wiring"]);
    assert_eq!(sheet.rounds[1].fitted.place.line, Some(4));
    assert_eq!(sheet.rounds[1].readings.len(), 2);
    // A job may begin with a repair, also where it has one round only.
    let single = read("reading,value,fitted\nrest,12.7 V,renew_stator\n", SheetFormat::Csv);
    assert_eq!(single.rounds[0].fitted.fixes, ["renew_stator"]);
}

#[test]
fn csv_that_does_not_say_before_which_round_something_was_fitted_is_refused() {
    let text = "reading,value,round,fitted\nserial,3402,,renew_stator\nrest,12.7 V,as left,\n";
    assert_eq!(brief(&mistakes(text, SheetFormat::Csv)), [("sheet-shape", Some(2))]);
    // A value still wants its reading.
    let nameless = "reading,value,round,fitted\n,12.7 V,as left,renew_stator\n";
    assert_eq!(brief(&mistakes(nameless, SheetFormat::Csv)), [("sheet-shape", Some(2))]);
    let misspelt = mistakes("reading,value,fited\n", SheetFormat::Csv);
    assert!(misspelt[0].mend.as_deref().unwrap().contains("fitted"), "{misspelt:?}");
}

#[test]
fn csv_without_its_first_line_or_with_a_stray_comma_says_so() {
    let headless = mistakes("battery_rest,12.71 V\n", SheetFormat::Csv);
    assert_eq!(brief(&headless), [("unknown-key", Some(1)), ("unknown-key", Some(1))]);
    let valueless = mistakes("reading,note\n", SheetFormat::Csv);
    assert_eq!(brief(&valueless), [("sheet-shape", Some(1))]);
    let wide = mistakes("reading,value\ncharge,14,2 V\n,1 V\n", SheetFormat::Csv);
    assert_eq!(brief(&wide), [("sheet-shape", Some(2)), ("sheet-shape", Some(3))]);
    assert!(wide[0].mend.as_deref().unwrap().contains("decimal comma"));
    let misspelt = mistakes("reading,value,rond\n", SheetFormat::Csv);
    assert_eq!(misspelt[0].mend.as_deref(), Some("did you mean `round`?"));
}

#[test]
fn what_is_nested_too_deep_is_refused_and_overflows_no_stack() {
    let deep =
        format!("{{\"readings\": {{\"a\": {}1{}}}}}", "[".repeat(100_000), "]".repeat(100_000));
    assert_eq!(brief(&mistakes(&deep, SheetFormat::Json)), [("sheet-shape", Some(1))]);
    let deep = format!("[readings]\na = {}1{}\n", "[".repeat(100_000), "]".repeat(100_000));
    assert_eq!(mistakes(&deep, SheetFormat::Toml)[0].slug.0, "sheet-syntax");
}

#[test]
fn bytes_that_are_not_utf_8_are_named_with_their_line() {
    let found = read_sheet_bytes("sheet", b"[readings]\na = \"1 \xB5A\"\n", None).unwrap_err();
    assert_eq!(brief(&found), [("sheet-encoding", Some(2))]);
    let utf16 = read_sheet_bytes("sheet", b"\xFF\xFEr\0", None).unwrap_err();
    assert_eq!(utf16[0].message, "the sheet is written in UTF-16");
}

#[test]
fn a_missing_file_a_directory_and_a_file_too_large_are_refused() {
    let dir = tempfile::tempdir().unwrap();
    let gone = read_sheet_file(&dir.path().join("gone.toml")).unwrap_err();
    assert_eq!(brief(&gone), [("sheet-unreadable", None)]);
    assert_eq!(gone[0].message, "there is no such file");
    assert_eq!(read_sheet_file(dir.path()).unwrap_err()[0].slug.0, "sheet-unreadable");
    let path = dir.path().join("large.toml");
    // A sparse file: no byte of it is written.
    std::fs::File::create(&path).unwrap().set_len(MAX_SHEET_BYTES + 1).unwrap();
    assert_eq!(brief(&read_sheet_file(&path).unwrap_err()), [("sheet-too-large", None)]);
}

#[test]
fn a_file_is_read_by_the_end_of_its_name() {
    let dir = tempfile::tempdir().unwrap();
    let write = |name: &str, text: &str| {
        let path = dir.path().join(name);
        std::fs::File::create(&path).unwrap().write_all(text.as_bytes()).unwrap();
        path
    };
    assert_eq!(read_sheet_file(&write("a.json", JSON)).unwrap().rounds.len(), 2);
    assert_eq!(read_sheet_file(&write("a.csv", "reading,value\na,1 V\n")).unwrap().rounds.len(), 1);
    assert_eq!(read_sheet_file(&write("a.job", TOML)).unwrap().rounds.len(), 2);
    let broken = read_sheet_file(&write("b.toml", JSON)).unwrap_err();
    assert!(broken.iter().all(|mistake| Path::new(&mistake.file).ends_with("b.toml")));
}

#[test]
fn a_mistake_prints_on_one_line_whatever_stands_in_the_sheet() {
    let found = mistakes("{\"a\\nb\\u001b\": 1, \"readings\": {}}", SheetFormat::Json);
    assert_eq!(
        found[0].to_string(),
        "sheet:1: `a\u{FFFD}b\u{FFFD}` is no key of a sheet; the keys are version, job, \
         spec, edition, spec_hash, date, technician, complaint, shows, decide, note, machine, \
         instrument, meter, ambient, round, readings, judged, closed"
    );
}

#[test]
fn a_sheet_that_is_none_is_given_up_before_it_costs_a_morning() {
    let toml = mistakes(&"a b\n".repeat(20_000), SheetFormat::Toml);
    assert_eq!(toml.len(), 1001);
    assert_eq!(toml[1000].slug.0, "too-many-findings");
    let csv =
        mistakes(&format!("reading,value\n{}", ",\"1 V\"\n".repeat(20_000)), SheetFormat::Csv);
    assert_eq!(csv.len(), 1001);
    let mut rounds = String::from("reading,value,round\n");
    for round in 0..20_000 {
        rounds.push_str(&format!("a,1 V,{round}\n"));
    }
    assert_eq!(read(&rounds, SheetFormat::Csv).rounds.len(), 20_000);
}
