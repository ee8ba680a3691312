//! The published schema of the job sheet: what Truing reads and writes is as it says, and what it
//! refuses Truing refuses, too.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

mod support;

use std::path::{Path, PathBuf};

use jsonschema::Validator;
use proptest::prelude::*;
use serde_json::{Value, json};
use truing_job::{SHEET_SCHEMA, SheetFormat, read_sheet, read_sheet_file, write_json};

fn schema() -> Validator {
    jsonschema::validator_for(&serde_json::from_str(SHEET_SCHEMA).unwrap()).unwrap()
}

fn errors(schema: &Validator, text: &str) -> Vec<String> {
    let value: Value = serde_json::from_str(text).unwrap();
    schema.iter_errors(&value).map(|e| format!("{}: {e}", e.instance_path())).collect()
}

fn demo_jobs() -> Vec<PathBuf> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../specs/demo/jobs");
    let files = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let mut files: Vec<PathBuf> = files.filter(|path| path.is_file()).collect();
    files.sort();
    files
}

#[test]
fn every_sheet_of_the_demo_is_as_the_schema_says() {
    let (schema, files) = (schema(), demo_jobs());
    assert!(files.len() >= 8, "{files:?}");
    for file in files {
        let sheet = read_sheet_file(&file).unwrap_or_else(|errors| panic!("{errors:?}"));
        assert_eq!(errors(&schema, &write_json(&sheet)), [""; 0], "{}", file.display());
        if file.extension().is_some_and(|end| end == "json") {
            let text = std::fs::read_to_string(&file).unwrap();
            assert_eq!(errors(&schema, &text), [""; 0], "{}", file.display());
        }
    }
}

#[test]
fn what_the_schema_allows_is_read() {
    for sheet in [
        json!({ "readings": {} }),
        json!({ "version": 1, "round": { "readings": { "a": 12.5, "b": null } } }),
        json!({ "version": 2, "round": [] }),
        json!({ "readings": { "a": ["1 V", 2], "b": { "U": "1 V", "V": { "value": "2 V" } } } }),
        json!({ "readings": {}, "machine": { "year": 2023, "model": "x", "serial": 12 } }),
        json!({ "round": [{ "parts": [{ "name": "a", "quantity": "3", "price": "12.50" }] }] }),
        json!({ "round": [{ "fitted": "a", "cautions": ["b"], "meter": null }], "closed": {} }),
    ] {
        let text = sheet.to_string();
        assert_eq!(errors(&schema(), &text), [""; 0], "{text}");
        let read = read_sheet("sheet", &text, SheetFormat::Json);
        assert!(read.is_ok(), "{text}: {read:?}");
    }
}

#[test]
fn what_the_schema_refuses_is_refused() {
    let of_round = |key: &str, value: Value| json!({ "version": 2, "round": [{ key: value }] });
    let schema = schema();
    for sheet in [
        json!({}),
        json!([]),
        json!({ "version": 3, "readings": {} }),
        json!({ "version": "2", "readings": {} }),
        json!({ "readings": {}, "round": [] }),
        json!({ "version": 2, "readings": {}, "date": "last week" }),
        json!({ "version": 2, "readings": {}, "spec_hash": "sha256:12" }),
        json!({ "version": 2, "readings": {}, "decide": "95 %" }),
        json!({ "version": 2, "readings": {}, "tecnician": "T1" }),
        json!({ "version": 2, "readings": {}, "closed": { "why": "x" } }),
        json!({ "version": 2, "readings": { "a": true } }),
        json!({ "version": 2, "readings": { "a": { "value": true } } }),
        json!({ "version": 2, "readings": { "a": { "value": "1 V", "time": "noon" } } }),
        json!({ "version": 2, "readings": {}, "instrument": [{ "name": "M-B" }] }),
        json!({ "version": 2, "readings": {}, "judged": [{ "check": "a" }] }),
        of_round("time", json!("nine")),
        of_round("parts", json!([{ "number": "1" }])),
        of_round("parts", json!([{ "name": "a", "quantity": 0 }])),
        of_round("parts", json!([{ "name": "a", "price": "12,50" }])),
        of_round("parts", json!([{ "name": "a", "price": -1 }])),
        of_round("skipped", json!([{ "check": "a" }])),
        of_round("skipped", json!([{ "check": "a", "why": " " }])),
        of_round("remarks", json!([{ "of": "a" }])),
        of_round("bypasses", json!([{ "what": "a", "removed": "no" }])),
        of_round("photos", json!([{ "path": "../a.jpg" }])),
        of_round("photos", json!([{ "path": "/etc/passwd" }])),
        of_round("photos", json!([{ "path": "C:\\a.jpg" }])),
        of_round("photos", json!([{ "path": "http://host/a.jpg" }])),
        of_round("photos", json!([{ "path": "photos/%2e%2e/a.jpg" }])),
        of_round("photos", json!([{ "path": "photos/../../a.jpg" }])),
        of_round("photos", json!([{ "path": "" }])),
    ] {
        let text = sheet.to_string();
        assert_ne!(errors(&schema, &text), [""; 0], "{text}");
        assert!(read_sheet("sheet", &text, SheetFormat::Json).is_err(), "{text}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..Default::default() })]

    #[test]
    fn any_sheet_is_written_as_the_schema_says(sheet in support::sheets()) {
        prop_assert_eq!(errors(&schema(), &write_json(&sheet)), [""; 0]);
    }
}
