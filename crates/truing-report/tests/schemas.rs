//! What goes out to programs is as its schema says, and a schema refuses what is not.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that panics has failed")]

use serde_json::{Value, json};
use truing_report::{
    CaseResult, ExpectationResult, Problem, cases_json, diagnostics_json, problems_json,
};
use truing_syntax::{Diagnostic, FileId, Slug, Sources, Span};

macro_rules! schema {
    ($name:literal) => {
        include_str!(concat!("../schema/", $name, ".schema.json"))
    };
}

fn errors(schema: &str, json: &Value) -> Vec<String> {
    let schema = jsonschema::validator_for(&serde_json::from_str(schema).unwrap()).unwrap();
    schema.iter_errors(json).map(|e| format!("{}: {e}", e.instance_path())).collect()
}

fn diagnostics() -> Value {
    let mut sources = Sources::new();
    let file = sources.add("a.truing", "limit rest = min 12.4\n");
    let known = Diagnostic::error(Slug("missing-unit"), Span::new(file, 17, 21), "no unit")
        .here("here")
        .label(Span::new(file, 6, 10), "there")
        .note("a note")
        .mend_by("write it", vec![(Span::new(file, 21, 21), " V".to_owned())]);
    let nowhere = Diagnostic::warning(Slug("x"), Span::new(FileId(9), 0, 1), "no such file");
    diagnostics_json(&sources, &[known, nowhere])
}

fn cases() -> Value {
    let expectation = ExpectationResult {
        subject: "insulated[V]".to_owned(),
        expected: "outside low".to_owned(),
        came: "within".to_owned(),
        passed: false,
        check: None,
        why: None,
    };
    cases_json(&[CaseResult {
        name: "grounded".to_owned(),
        title: "Grounded".to_owned(),
        place: "a.truing:3".to_owned(),
        passed: false,
        expectations: vec![expectation],
    }])
}

#[test]
fn diagnostics_are_as_their_schema_says() {
    assert_eq!(errors(schema!("truing-diagnostics"), &diagnostics()), [""; 0]);
}

#[test]
fn cases_are_as_their_schema_says() {
    assert_eq!(errors(schema!("truing-cases"), &cases()), [""; 0]);
}

#[test]
fn problems_are_as_their_schema_says() {
    let json = problems_json(&[Problem::new("x", "y"), Problem::new("x", "y").file("f").mend("m")]);
    assert_eq!(errors(schema!("truing-errors"), &json), [""; 0]);
}

/// A schema that takes anything would pass the tests above.
#[test]
fn a_schema_refuses_another_version_and_an_unknown_field() {
    let documents = [
        (schema!("truing-diagnostics"), diagnostics()),
        (schema!("truing-cases"), cases()),
        (schema!("truing-errors"), problems_json(&[Problem::new("x", "y")])),
    ];
    for (schema, document) in documents {
        let mut other = document.clone();
        other["version"] = json!(2);
        assert!(!errors(schema, &other).is_empty());
        let mut other = document.clone();
        other["surprise"] = json!(true);
        assert!(!errors(schema, &other).is_empty());
    }
}
