//! The whole report, as people read it and as programs do. The limits are invented.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that panics has failed")]

mod fixture;

use fixture::*;
use serde_json::Value as Json;
use truing_engine::{Because, Findings, Sheet};
use truing_job::JobSheet;
use truing_job::edition::Standing;
use truing_model::{CheckId, Outcome, PropertyId, PropertyValue, Reading, Side, Spec};
use truing_report::{Report, Round, Style, findings_json, render_findings, render_report};

const LOW: Outcome = Outcome::Outside(Some(Side::Low));

fn job() -> JobSheet {
    JobSheet {
        file: "monday.toml".to_owned(),
        job: Some("PL-0704".to_owned()),
        date: Some("2026-11-03".to_owned()),
        technician: Some("T1".to_owned()),
        complaint: Some("weak charge since washing".to_owned()),
        ..JobSheet::default()
    }
}

fn needs_battery() -> Because {
    Because::Precondition {
        unmet: true,
        checks: vec![CHARGED],
        missing: Vec::new(),
        properties: Vec::new(),
    }
}

/// As found: the battery is low, a winding is grounded, the rest is in order or blocked.
fn as_found(spec: &Spec) -> (Sheet, Findings) {
    let mut sheet = sheet(
        spec,
        &[
            (BATTERY, figure("12.31", "V")),
            (GROUND, figure("0.3", "ohm")),
            (CONNECTOR, Reading::Word(0)),
            (GAP, figure("0.41", "mm")),
            (OUTPUT, figure("13.2", "V")),
        ],
    );
    sheet.set_property(PropertyId(0), PropertyValue::Word(1)).unwrap();
    sheet.note(GROUND, "wet").unwrap();
    let rest = standard(interval(Some("12.4"), None, "V"));
    let insulation = standard(interval(Some("1"), None, "Mohm"));
    let all = vec![
        against(CHARGED, Some(0), rest, point("12.31", "V"), LOW, Because::Below),
        against(INSULATED, Some(1), insulation, point("0.3", "ohm"), LOW, Because::Below),
        open(CHARGES, Outcome::Blocked, needs_battery()),
        open(SOUND, Outcome::Within, Because::WordSeen { slot: CONNECTOR, word: 0 }),
        against(
            RING,
            Some(3),
            ring_band(),
            point("0.41", "mm"),
            Outcome::Worn,
            Because::InsideServiceOnly,
        ),
        open(BALANCED, Outcome::NotTaken, Because::Missing { slots: vec![SPEED] }),
    ];
    (sheet, findings(all))
}

/// As left: the battery is charged, the winding mended.
fn as_left(spec: &Spec) -> (Sheet, Findings) {
    let (mut sheet, found) = as_found(spec);
    sheet.set(BATTERY, figure("12.71", "V")).unwrap();
    sheet.set(GROUND, Reading::Overload { range: Some(shown("60", "Mohm")) }).unwrap();
    sheet.set(SPEED, figure("5020", "rpm")).unwrap();
    let rest = standard(interval(Some("12.4"), None, "V"));
    let insulation = standard(interval(Some("1"), None, "Mohm"));
    let charge = standard(interval(Some("13.6"), Some("14.8"), "V"));
    let above = truing_engine::Value { best: None, high: None, ..point("60", "Mohm") };
    let imbalance = standard(interval(None, Some("10"), "%"));
    let mut all = found.findings;
    all[0] = against(CHARGED, Some(0), rest, point("12.71", "V"), Outcome::Within, Because::Inside);
    all[1] = against(INSULATED, Some(1), insulation, above, Outcome::Within, Because::Inside);
    all[2] = against(CHARGES, Some(2), charge, point("13.2", "V"), LOW, Because::Below);
    all[5] =
        against(BALANCED, None, imbalance, point("1.7241", "%"), Outcome::Within, Because::Inside);
    all[5].reason.used = vec![SPEED, OUTPUT];
    (sheet, findings(all))
}

#[test]
fn one_round_as_a_technician_reads_it() {
    let spec = spec();
    let (sheet, findings) = as_found(&spec);
    let job = job();
    let text = render_findings(&spec, &sheet, &findings, Some(&job), "as found", Style::PLAIN);
    insta::assert_snapshot!(text);
}

#[test]
fn two_rounds_stand_side_by_side() {
    let spec = spec();
    let (found, left) = (as_found(&spec), as_left(&spec));
    let job = job();
    insta::assert_snapshot!(render_report(&two_rounds(&spec, &job, &found, &left), Style::PLAIN));
}

fn two_rounds<'a>(
    spec: &'a Spec,
    job: &'a JobSheet,
    found: &'a (Sheet, Findings),
    left: &'a (Sheet, Findings),
) -> Report<'a> {
    let round = |name, (sheet, findings): &'a (Sheet, Findings)| Round {
        name,
        sheet,
        findings,
        remedies: &[],
        simulations: &[],
    };
    Report {
        spec,
        job: Some(job),
        standing: Standing::Unrecorded,
        rounds: vec![round("as found", found), round("as left", left)],
        suspects: &[],
        only: None,
        all: false,
        budgets: false,
    }
}

#[test]
fn the_report_fits_into_its_width_whatever_that_is() {
    let spec = spec();
    let (found, left) = (as_found(&spec), as_left(&spec));
    let job = job();
    for width in [40, 60, 80, 100] {
        let style = Style { color: false, width };
        let text = render_report(&two_rounds(&spec, &job, &found, &left), style);
        for line in text.lines() {
            assert!(line.chars().count() <= width, "{width}: {line:?}");
            assert_eq!(line, line.trim_end());
        }
    }
}

#[test]
fn colour_changes_no_word() {
    let spec = spec();
    let (sheet, findings) = as_found(&spec);
    let report = Report::of_round(&spec, &sheet, &findings);
    let plain = render_report(&report, Style::PLAIN);
    let colored = render_report(&report, Style { color: true, width: 80 });
    assert!(colored.contains("\u{1b}[1;31moutside low\u{1b}[0m"));
    let mut stripped = String::new();
    let mut chars = colored.chars();
    while let Some(c) = chars.next() {
        if c == '\u{1b}' {
            chars.by_ref().find(|c| *c == 'm');
        } else {
            stripped.push(c);
        }
    }
    assert_eq!(stripped, plain);
}

#[test]
fn with_all_nothing_is_left_out() {
    let spec = spec();
    let (sheet, findings) = as_left(&spec);
    let report = Report { all: true, ..Report::of_round(&spec, &sheet, &findings) };
    let text = render_report(&report, Style::PLAIN);
    for check in &spec.checks {
        assert!(text.contains(&format!("({})", check.label)), "{}", check.label);
    }
    assert!(text.contains("why     12.71 V is within min 12.4 V."));
}

#[test]
fn only_the_checks_asked_for_count() {
    let spec = spec();
    let (sheet, findings) = as_found(&spec);
    let one = |check: CheckId| Report {
        only: Some(vec![check]),
        ..Report::of_round(&spec, &sheet, &findings)
    };
    let text = render_report(&one(SOUND), Style::PLAIN);
    assert!(text.contains("1 check: 1 within.\nExit status 0: everything passes."));
    assert!(!text.contains("Winding V"));
    assert!(!text.contains("Before you repeat"));
    let text = render_report(&one(CHARGES), Style::PLAIN);
    assert!(text.contains("Exit status 3: nothing is outside"));
    assert!(text.contains("Run the engine only where the exhaust is led outdoors."));
    let json = findings_json(&spec, &[one(INSULATED)]);
    assert_eq!(json["sheets"][0]["rounds"][0]["checks"].as_array().unwrap().len(), 1);
    assert_eq!(json["sheets"][0]["exit_status"], 1);
}

#[test]
fn what_a_sheet_says_cannot_drive_the_terminal() {
    let spec = spec();
    let (mut sheet, findings) = as_found(&spec);
    sheet.note(GROUND, "\u{1b}[2J\u{202e}").unwrap();
    let mut job = job();
    job.complaint = Some("\u{1b}]0;x\u{7}".to_owned());
    let text = render_findings(&spec, &sheet, &findings, Some(&job), "\u{1b}c", Style::PLAIN);
    assert!(!text.contains(['\u{1b}', '\u{7}', '\u{202e}']));
}

#[test]
fn json_says_all_of_it_with_units() {
    let spec = spec();
    let (sheet, findings) = as_found(&spec);
    let job = job();
    let rounds = vec![Round {
        name: "as found",
        sheet: &sheet,
        findings: &findings,
        remedies: &[],
        simulations: &[],
    }];
    let report = Report { job: Some(&job), rounds, ..Report::of_round(&spec, &sheet, &findings) };
    insta::assert_json_snapshot!(findings_json(&spec, &[report]));
}

#[test]
fn every_form_of_a_reading_has_its_form_in_json() {
    let spec = spec();
    let forms: Vec<(&str, Reading)> = vec![
        ("figure", figure("12.71", "V")),
        ("overload", Reading::Overload { range: None }),
        ("above", Reading::Above { bound: shown("2", "V"), inclusive: true }),
        ("below", Reading::Below { bound: shown("2", "V"), inclusive: false }),
        ("between", Reading::Between { low: shown("1", "V"), high: shown("2", "V") }),
        (
            "unsteady",
            Reading::Unsteady { low: shown("1", "V"), high: shown("2", "V"), moved_by: None },
        ),
        ("repeats", Reading::Repeats(vec![shown("1", "V"), shown("2", "V")])),
        ("sweep", Reading::Sweep(vec![(shown("1000", "rpm"), shown("2", "V"))])),
        ("not-taken", Reading::NotTaken { reason: Some("no access".to_owned()) }),
    ];
    for (form, reading) in forms {
        let sheet = sheet(&spec, &[(BATTERY, reading)]);
        let findings = findings(Vec::new());
        let json = findings_json(&spec, &[Report::of_round(&spec, &sheet, &findings)]);
        assert_eq!(json["sheets"][0]["rounds"][0]["readings"][0]["value"]["form"], form);
        validate(&json);
    }
}

#[test]
fn the_findings_are_as_their_schema_says() {
    let spec = spec();
    let job = job();
    let (found, left) = (as_found(&spec), as_left(&spec));
    validate(&findings_json(&spec, &[two_rounds(&spec, &job, &found, &left)]));
    validate(&findings_json(&spec, &[]));
}

fn validate(json: &Json) {
    let schema = include_str!("../schema/truing-findings.schema.json");
    let schema = jsonschema::validator_for(&serde_json::from_str(schema).unwrap()).unwrap();
    let errors: Vec<String> =
        schema.iter_errors(json).map(|e| format!("{}: {e}", e.instance_path())).collect();
    assert!(errors.is_empty(), "{errors:#?}");
}
