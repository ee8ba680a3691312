//! Readings as job sheets write them, and the unit calculator.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "helpers of tests may panic"
)]

mod support;

use support::spec;
use truing_compile::{calculate_in, lower_property, lower_reading};
use truing_model::{PropertyId, PropertyValue, Reading, SlotId};
use truing_syntax::{FileId, parse_calc, parse_reading};

const ITEMS: &str = "
reading battery_rest \"Battery at rest\" : dc_voltage
reading teeth \"Teeth\" : count
observation connector \"Connector\" : clean, burnt
reading output \"Output\" : ac_voltage { over rotational_speed }
reading oil \"Oil\" : temperature
property serial \"Serial\" : count
property market \"Market\" : eu, us
";

fn read(slot: u32, text: &str) -> Result<Reading, String> {
    let value = parse_reading(FileId(0), text).map_err(|f| format!("{f:?}"))?;
    lower_reading(&spec(ITEMS), SlotId(slot), &value)
        .map_err(|finding| format!("{}: {}", finding.slug().0, finding.message()))
}

#[test]
fn every_form_of_a_reading() {
    let Reading::Figure(shown) = read(0, "12.50 V").unwrap() else { panic!() };
    assert_eq!((shown.value, shown.half_step), (12.5, 0.005));
    assert_eq!(shown.shown.to_string(), "12.50 V");
    // 20 degC as a point is 293.15 K; its half step an amount.
    let Reading::Figure(warm) = read(4, "20 degC").unwrap() else { panic!() };
    assert_eq!((warm.value, warm.half_step), (293.15, 0.5));
    assert!(matches!(read(0, "OL").unwrap(), Reading::Overload { range: None }));
    assert!(matches!(read(0, "OL on 60 V").unwrap(), Reading::Overload { range: Some(_) }));
    assert!(matches!(read(0, "> 20 V").unwrap(), Reading::Above { inclusive: false, .. }));
    assert!(matches!(read(0, "<= 20 V").unwrap(), Reading::Below { inclusive: true, .. }));
    let Reading::Between { low, high } = read(0, "12 .. 13 V").unwrap() else { panic!() };
    assert_eq!((low.value, high.value), (12.0, 13.0));
    let unsteady = read(0, "12 V .. 900 mV unsteady \"when tapped\"");
    assert!(unsteady.unwrap_err().starts_with("upside-down-interval"));
    let Reading::Repeats(all) = read(0, "3.52, 3.50, 3.55 V").unwrap() else { panic!() };
    assert_eq!(all.iter().map(|one| one.value).collect::<Vec<_>>(), [3.52, 3.5, 3.55]);
    let Reading::Sweep(points) = read(3, "1200 rpm : 18.1 V, 5000 rpm : 69.5 V").unwrap() else {
        panic!()
    };
    assert_eq!(points.len(), 2);
    assert_eq!(read(2, "burnt").unwrap(), Reading::Word(1));
    assert_eq!(
        read(2, "not taken \"no access\"").unwrap(),
        Reading::NotTaken { reason: Some("no access".into()) }
    );
    assert!(matches!(read(1, "41").unwrap(), Reading::Figure(_)));
}

#[test]
fn mistakes_in_readings_are_named() {
    assert_eq!(
        read(0, "12.5 A").unwrap_err(),
        "unit-mismatch: 12.5 A is a dc current; battery_rest is a dc voltage"
    );
    assert_eq!(
        read(0, "12.5").unwrap_err(),
        "unit-missing: a number without its unit; `battery_rest` is a dc voltage"
    );
    assert_eq!(
        read(2, "brunt").unwrap_err(),
        "word-unknown: `connector` is never `brunt`; its words are `clean` and `burnt`"
    );
    assert_eq!(read(2, "12 V").unwrap_err(), "wrong-sort: `connector` has a word, not a figure");
    assert_eq!(read(0, "burnt").unwrap_err(), "wrong-sort: `battery_rest` has a figure, not this");
    assert!(read(0, "1 rpm : 2 V, 2 rpm : 3 V").unwrap_err().starts_with("wrong-sort"));
    assert!(read(3, "5 rpm : 2 V, 2 rpm : 3 V").unwrap_err().starts_with("curve-not-rising"));
    assert!(read(0, "12 KV").unwrap_err().starts_with("unit-look-alike"));
}

#[test]
fn properties() {
    let property = |id: u32, text: &str| {
        let value = parse_reading(FileId(0), text).unwrap();
        lower_property(&spec(ITEMS), PropertyId(id), &value).map_err(|f| f.slug().0)
    };
    assert!(
        matches!(property(0, "4188"), Ok(PropertyValue::Figure(figure)) if figure.value == 4188.0)
    );
    assert_eq!(property(1, "us"), Ok(PropertyValue::Word(1)));
    assert_eq!(property(1, "uk"), Err("word-unknown"));
    assert_eq!(property(0, "eu"), Err("wrong-sort"));
    assert_eq!(property(0, "3 V"), Err("unit-mismatch"));
}

fn calc(text: &str) -> Result<(String, String), Vec<String>> {
    let line = parse_calc(text)
        .map_err(|all| all.iter().map(|f| f.slug().0.to_owned()).collect::<Vec<_>>())?;
    match calculate_in(text, &line.expr, line.to.as_ref()) {
        Ok(done) => Ok((done.text, done.long)),
        Err(all) => Err(all.iter().map(|f| f.slug().0.to_owned()).collect()),
    }
}

fn text(of: &str) -> String {
    let done = calc(of);
    assert!(done.is_ok(), "{of}: {done:?}");
    done.unwrap_or_default().0
}

#[test]
fn the_unit_calculator() {
    // 1 lbf.ft = 1.3558179483314004 N.m (NIST SP 811, exact by definition of its parts).
    assert_eq!(calc("34 N.m in lbf.ft"), Ok(("25 lbf.ft".into(), "25.07711308 lbf.ft".into())));
    assert_eq!(text("20 degC in degF"), "68 degF");
    // 1 in = 25.4 mm exactly (international inch, 1959): what has an end is given in full.
    assert_eq!(text("3.0 in in mm"), "76.2 mm");
    assert_eq!(calc("1 in in mm"), Ok(("25.4 mm".into(), "25.4 mm".into())));
    // 1 psi = 6.894757293168 kPa (NIST SP 811): no end within six digits.
    assert_eq!(text("12 psi in kPa"), "83 kPa");
    assert_eq!(text("12.0 V in V"), "12.0 V");
    // Ohm's law, arithmetic: the result has the unit's name.
    assert_eq!(text("12.0 V / 3.00 A"), "4.00 ohm");
    // 4.2 V over 2 A.
    assert_eq!(text("4.2 V / 2.00 A in ohm"), "2.10 ohm");
    assert_eq!(text("(90 degC - 20 degC) in K"), "70 K");
    assert_eq!(text("12.60 V + 0.25 V"), "12.85 V");
    assert_eq!(calc("20 degC + 10 degC"), Err(vec!["point-arithmetic".into()]));
    assert_eq!(calc("34 N.m in V"), Err(vec!["unit-mismatch".into()]));
    assert_eq!(calc("12 V + 3 A"), Err(vec!["unit-mismatch".into()]));
    assert_eq!(calc("12 vlt in V"), Err(vec!["unknown-unit".into()]));
    assert_eq!(calc("rest + 3 A"), Err(vec!["undefined-name".into()]));
}

#[test]
fn a_sum_of_two_temperatures_is_told_how_it_is_written() {
    let line = parse_calc("20 degC + 10 degC").unwrap();
    let found = calculate_in("20 degC + 10 degC", &line.expr, line.to.as_ref()).unwrap_err();
    assert!(found[0].notes().iter().any(|note| note.contains("`20 degC + 10 K`")), "{found:?}");
    assert!(
        found[0].labels().iter().any(|label| label.text == "`20 degC` is a temperature (degC)")
    );
    assert_eq!(text("20 degC + 10 K"), "30 degC");
}
