//! The corrections of the trade, through the language, against published figures.
//!
//! Each reading bears the digits of its table, so what the law may be off by is half of the last of
//! them, carried along the law's own slope: a wrong slope fails as a wrong value does.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

use serde::Deserialize;
use truing::Compiled;
use truing_engine::Sheet;
use truing_model::{DerivedId, Outcome};
use truing_tests::place;

#[derive(Deserialize)]
struct Checks {
    check: Vec<Published>,
}

#[derive(Deserialize)]
struct Published {
    id: String,
    inputs: toml::Table,
    expected: toml::Value,
}

fn published(path: &str) -> Vec<Published> {
    toml::from_str::<Checks>(&place::read(path).unwrap()).unwrap().check
}

fn number(value: &toml::Value) -> f64 {
    value.as_float().unwrap()
}

/// A spec of one derived quantity, and the sheet of its case.
fn compiled(readings: &[(&str, &str, &str)], derived: &str) -> (Compiled, Sheet) {
    let mut text = String::from("spec law \"Law\" { edition \"1\" decide simple }\n");
    for (name, kind, _) in readings {
        text += &format!("reading {name} \"{name}\" : {kind}\n");
    }
    text += &format!("derived found = {derived}\ncase inputs \"Inputs\" {{\n");
    for (name, _, figure) in readings {
        text += &format!("    {name} = {figure}\n");
    }
    text += "}\n";
    let compiled =
        Compiled::from_text("law.truing", &text).unwrap_or_else(|error| panic!("{text}{error}"));
    let mut sheet = Sheet::new(compiled.spec());
    for (slot, reading) in &compiled.spec().cases[0].readings {
        sheet.set(*slot, reading.clone()).unwrap();
    }
    (compiled, sheet)
}

/// What the language works out, with how far half of the last digits reach.
fn worked_out(readings: &[(&str, &str, &str)], derived: &str) -> Option<(f64, f64)> {
    let (compiled, sheet) = compiled(readings, derived);
    let mut evaluator = compiled.plan().evaluator();
    let (value, standard) = evaluator.quantity(&sheet, DerivedId(0))?;
    Some((value, standard * 3.0_f64.sqrt()))
}

fn celsius(readings: &[(&str, &str, &str)], derived: &str) -> (f64, f64) {
    let (value, reach) =
        worked_out(readings, derived).unwrap_or_else(|| panic!("{derived} of {readings:?}"));
    (value - 273.15, reach)
}

#[test]
fn platinum_thermometers_follow_their_table() {
    let mut reached = 0;
    for check in published("tests/reference/materials.toml") {
        if !check.id.starts_with("materials.pt100.R_") {
            continue;
        }
        let wanted = number(&check.inputs["T_degC"]);
        // Rounded, the ends of the table lie outside the law or just inside it.
        if wanted == -200.0 {
            continue;
        }
        let ohms = number(&check.expected);
        for (call, figure) in [
            ("pt100(r)", format!("{ohms:.2} ohm")),
            ("pt1000(r)", format!("{:.1} ohm", 10.0 * ohms)),
        ] {
            let (got, reach) = celsius(&[("r", "resistance", &figure)], call);
            let allowed = reach * 1.003;
            assert!((got - wanted).abs() <= allowed, "{call} {figure}: {got} ± {allowed}");
            // 0.29 to 0.43 ohm/K over the table (IEC 60751), and 0.005 ohm.
            assert!((0.011..0.018).contains(&reach), "{call} {figure}: {reach}");
        }
        reached += 1;
    }
    assert!(reached >= 10, "{reached}");
    let (got, _) = celsius(&[("r", "resistance", "119.40 ohm")], "pt100(r)");
    // materials.pt100.inverse_119.40.
    assert!((got - 50.007_466).abs() <= 1e-5, "{got}");
}

#[test]
fn thermocouples_follow_their_table() {
    let mut reached = 0;
    for check in published("tests/reference/materials.toml") {
        let Some(wanted) = check.id.strip_prefix("materials.type_k.E_") else { continue };
        let wanted: f64 = wanted.parse().unwrap();
        // Its rounded voltage lies outside the law.
        if wanted == -270.0 {
            continue;
        }
        let figure = format!("{:.3} mV", number(&check.expected));
        let (got, reach) = celsius(&[("v", "dc_voltage", &figure)], "thermocouple_k(v)");
        assert!((got - wanted).abs() <= reach * 1.03, "{figure}: {got} ± {reach}, not {wanted}");
        reached += 1;
    }
    assert!(reached >= 9, "{reached}");
    // materials.type_k.cold_junction: 95.7258 °C; adding temperatures instead is the usual mistake.
    let call = "thermocouple_k(v, reference: 23 degC)";
    let (got, _) = celsius(&[("v", "dc_voltage", "3.000 mV")], call);
    assert!((got - 95.7258).abs() <= 0.002, "{got}");
}

#[test]
fn thermistors_follow_the_beta_law() {
    // materials.ntc.beta_R50: 3563.1319 ohm at 50 °C.
    let call = "ntc(r, r: 10 kohm, at: 25 degC, beta: 3977 K)";
    let (got, _) = celsius(&[("r", "resistance", "3563.1319 ohm")], call);
    assert!((got - 50.0).abs() <= 1e-5, "{got}");
    // Where nothing is said, at 25 °C it is 10 kohm, and falls by B/T² = 4.44 % a kelvin
    // (arithmetic).
    let (got, reach) = celsius(&[("r", "resistance", "10.000 kohm")], "ntc(r)");
    assert!((got - 25.0).abs() <= 1e-9, "{got}");
    let wanted = 0.5e-4 / (3950.0 / (298.15 * 298.15));
    assert!((reach / wanted - 1.0).abs() <= 1e-9, "{reach}");
}

#[test]
fn the_air_thins_by_the_standard_atmosphere() {
    // trade-facts.toml, pressure-ratio-1500m; ISO 2533 at sea level: 101 325 Pa.
    let (got, _) = worked_out(&[("h", "length", "1500 m")], "standard_pressure(h)").unwrap();
    assert!((got / 101_325.0 - 0.834_502_743_879_312_6).abs() <= 1e-6, "{got}");
    let (got, reach) = worked_out(&[("h", "length", "0 m")], "standard_pressure(h)").unwrap();
    assert!((got - 101_325.0).abs() <= 1e-6, "{got}");
    // ρ·g = 1.225 kg/m³ · 9.806 65 m/s² = 12.013 Pa/m at sea level (ISO 2533), and 0.5 m.
    assert!((reach - 0.5 * 12.013).abs() <= 1e-3, "{reach}");
}

#[test]
fn windings_tell_their_temperature() {
    let mut reached = 0;
    for check in published("tests/reference/three-phase.toml") {
        if !check.id.starts_with("tp.winding_") {
            continue;
        }
        let input = |key: &str| check.inputs.get(key).map(number);
        let inputs = (input("R1"), input("t1"), input("R2"), input("k"), input("ta"));
        let (Some(cold), Some(at), Some(hot), Some(k), None) = inputs else { continue };
        let material = match k {
            234.5 => "copper",
            235.0 => "copper_iec_60034",
            225.0 => "aluminium",
            other => panic!("a material with k = {other}"),
        };
        let readings = [
            ("hot", "resistance", format!("{hot:.3} ohm")),
            ("cold", "resistance", format!("{cold:.3} ohm")),
            ("air", "temperature", format!("{at:.1} degC")),
        ];
        let readings = readings.each_ref().map(|(name, kind, figure)| (*name, *kind, &**figure));
        for of in [material.to_owned(), k.to_string()] {
            let call = format!("hot_temperature(hot: hot, cold: cold, at: air, of: {of})");
            let (got, reach) = celsius(&readings, &call);
            let wanted = number(&check.expected.as_array().unwrap()[0]);
            assert!((got - wanted).abs() <= 1e-7, "{}: {got}, not {wanted}", check.id);
            // The sensitivities of t2 by R2, R1 and t1 (arithmetic), with half of each last digit.
            let by = [(k + at) / cold, (k + at) * hot / (cold * cold), hot / cold];
            let halves = [0.0005, 0.0005, 0.05];
            let squares = by.iter().zip(halves).map(|(by, half)| (by * half) * (by * half));
            let all = squares.sum::<f64>().sqrt();
            assert!((reach / all - 1.0).abs() <= 1e-9, "{}: {reach}, not {all}", check.id);
        }
        reached += 1;
    }
    assert!(reached >= 4, "{reached}");
}

#[test]
fn sequences_follow_their_formula() {
    let mut reached = 0;
    for check in published("tests/reference/three-phase.toml") {
        if !check.id.starts_with("tp.iec_") {
            continue;
        }
        let line: Vec<f64> =
            check.inputs["V_line"].as_array().unwrap().iter().map(number).collect();
        let figures: Vec<String> = line.iter().map(|volts| format!("{volts:.1} V")).collect();
        let readings: Vec<(&str, &str, &str)> = ["a", "b", "c"]
            .into_iter()
            .zip(&figures)
            .map(|(n, f)| (n, "ac_voltage", &**f))
            .collect();
        let (got, reach) = worked_out(&readings, "sequence_unbalance(a, b, c)").unwrap();
        let wanted = number(&check.expected) / 100.0;
        assert!((got - wanted).abs() <= 2e-8, "{}: {got}, not {wanted}", check.id);
        // Near balance u² is a quadratic form of the voltages with equal parts: each of three
        // independent half-digits of 0.05 V moves it by about √(2/3) of itself over the mean.
        let mean = line.iter().sum::<f64>() / 3.0;
        let about = 0.05 / mean * (2.0_f64 / 3.0).sqrt();
        assert!((reach / about - 1.0).abs() <= 0.05, "{}: {reach}, not about {about}", check.id);
        reached += 1;
    }
    assert!(reached >= 4, "{reached}");
}

/// In balance it has a point and no slope: what errors make of it is told by intervals, or not.
#[test]
fn in_balance_there_is_no_slope_to_go_by() {
    let text = "spec three \"Three\" { edition \"1\" decide at 95 % }
reading a \"A\" : ac_voltage
reading b \"B\" : ac_voltage
reading c \"C\" : ac_voltage
derived even = sequence_unbalance(a, b, c)
check narrow \"Narrow\" : even <= 0.02 %
check wide \"Wide\" : even <= 5 %
case inputs \"Inputs\" { a = 230.0 V  b = 230.0 V  c = 230.0 V }\n";
    let compiled =
        Compiled::from_text("three.truing", text).unwrap_or_else(|error| panic!("{error}"));
    let mut sheet = Sheet::new(compiled.spec());
    for (slot, reading) in &compiled.spec().cases[0].readings {
        sheet.set(*slot, reading.clone()).unwrap();
    }
    assert_eq!(compiled.spec().derived.len(), 1);
    assert_eq!(compiled.plan().evaluator().quantity(&sheet, DerivedId(0)), None);
    let outcomes: Vec<Outcome> =
        compiled.assess(&sheet).findings.iter().map(|finding| finding.outcome).collect();
    assert_eq!(outcomes, [Outcome::Undecided, Outcome::Within]);
    sheet.decide(truing_model::DecideRule::Simple).unwrap();
    let outcomes: Vec<Outcome> =
        compiled.assess(&sheet).findings.iter().map(|finding| finding.outcome).collect();
    assert_eq!(outcomes, [Outcome::Within, Outcome::Within]);
}

/// The demonstration: a case for each, all as the case says.
#[test]
fn every_law_has_a_case() {
    let path = place::root().join("tests/published/laws.truing");
    let compiled = Compiled::from_path(path).unwrap_or_else(|error| panic!("{error}"));
    assert!(compiled.warnings().is_empty(), "{:?}", compiled.warnings());
    let results = truing::run_cases(&compiled);
    assert!(results.len() >= 12, "{}", results.len());
    for result in results {
        assert!(result.passed, "{}: {:?}", result.name, result.expectations);
    }
}

/// k of each material by name: R at 20 °C of 1 ohm at 0 °C is (k + 20)/k.
#[test]
fn materials_are_those_of_their_standards() {
    // IEC 60028; IEC 60034-1, 8.6.2; the same; IEC 60889 (all but the first from memory).
    for (name, k) in [
        ("copper", 234.5),
        ("copper_iec_60034", 235.0),
        ("aluminium", 225.0),
        ("aluminium_ec", 228.0),
    ] {
        let call = format!("refer(r, from: 0 degC, to: 20 degC, of: {name})");
        let (got, _) = worked_out(&[("r", "resistance", "1.000 ohm")], &call).unwrap();
        assert!((got - (k + 20.0) / k).abs() <= 1e-12, "{name}: {got}");
    }
}

#[test]
fn outside_its_law_a_reading_gives_no_number() {
    for (kind, figure, call) in [
        ("resistance", "12.00 ohm", "pt100(x)"),
        ("resistance", "0.0 ohm", "ntc(x)"),
        ("dc_voltage", "61.000 mV", "thermocouple_k(x)"),
        ("length", "12000 m", "standard_pressure(x)"),
        ("resistance", "OL on 60 Mohm", "pt100(x)"),
    ] {
        let (compiled, sheet) = compiled(&[("x", kind, figure)], call);
        let findings = compiled.assess(&sheet);
        assert_eq!(findings.derived[0].value, None, "{call} of {figure}");
    }
}

/// By the whole of a bound or a range, a law has a range too.
#[test]
fn a_range_of_readings_is_judged_by_its_ends() {
    let text = "spec law \"Law\" { edition \"1\" decide simple }
reading r \"R\" : resistance
check warm \"Warm\" : pt100(r) within 90 .. 110 degC
check cool \"Cool\" : pt100(r) <= 95 degC
case inputs \"Inputs\" { r = 138.0 ohm .. 139.0 ohm }\n";
    let compiled =
        Compiled::from_text("law.truing", text).unwrap_or_else(|error| panic!("{error}"));
    let mut sheet = Sheet::new(compiled.spec());
    for (slot, reading) in &compiled.spec().cases[0].readings {
        sheet.set(*slot, reading.clone()).unwrap();
    }
    let outcomes: Vec<Outcome> =
        compiled.assess(&sheet).findings.iter().map(|finding| finding.outcome).collect();
    // 98.7 °C to 101.3 °C (the table of IEC 60751: 138.51 ohm at 100 °C, 0.379 ohm/K).
    assert_eq!(outcomes, [Outcome::Within, Outcome::Outside(Some(truing_model::Side::High))]);
}
