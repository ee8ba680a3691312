//! Conformance probabilities and coverage factors against those of scipy and mpmath, as
//! `tests/reference/conformance.json` and `sums.json` have them; their heads say how they were made and
//! with which versions.

#![expect(clippy::unwrap_used, reason = "a test stops where a value is missing")]

use serde_json::Value;
use truing_metrology::conformity::{Limits, conformance_probability};
use truing_metrology::uncertainty::{Component, ErrorSum, Shape};

const FILE: &str = include_str!("../../../tests/reference/conformance.json");
const SUMS: &str = include_str!("../../../tests/reference/sums.json");

fn number(of: &Value, key: &str) -> f64 {
    of.get(key).and_then(Value::as_f64).unwrap()
}

fn component(written: &Value) -> Component {
    let shape = match written.get("shape").and_then(Value::as_str).unwrap() {
        "normal" => Shape::Normal,
        "rectangular" => Shape::Rectangular,
        "triangular" => Shape::Triangular,
        "trapezoidal" => Shape::Trapezoidal { beta: number(written, "beta") },
        "arcsine" => Shape::Arcsine,
        "student" => Shape::Student { dof: number(written, "dof") },
        other => unreachable!("no shape {other}"),
    };
    Component::new(shape, number(written, "scale")).unwrap()
}

fn sum(case: &Value) -> ErrorSum {
    let mut error = ErrorSum::new();
    let components = case.get("components").and_then(Value::as_array).unwrap();
    components.iter().for_each(|written| error.push(component(written)));
    error
}

#[test]
fn sums_of_many_student_errors_are_those_of_two_other_ways() {
    let file: Value = serde_json::from_str(SUMS).unwrap();
    let tolerance = number(&file, "tolerance");
    let cases = file.get("cases").and_then(Value::as_array).unwrap();
    assert_eq!(cases.len(), 72);
    let [mut worst, mut worst_factor] = [0.0_f64; 2];
    for case in cases {
        let id = case.get("id").and_then(Value::as_str).unwrap();
        let error = sum(case);
        for point in case.get("above").and_then(Value::as_array).unwrap() {
            let [x, above] = [0, 1].map(|at| point.get(at).and_then(Value::as_f64).unwrap());
            let off = (error.tail(x) - above).abs();
            assert!(off <= tolerance, "{id} at {x}: {} is {off:e} off {above}", error.tail(x));
            worst = worst.max(off);
        }
        let factor = error.coverage_factor(0.95).unwrap();
        let off = (factor / number(case, "coverage") - 1.0).abs();
        assert!(off <= 1e-8, "{id}: k = {factor} is {off:e} off");
        worst_factor = worst_factor.max(off);
    }
    println!("worst: {worst:.1e}; coverage factors {worst_factor:.1e} relative");
}

#[test]
fn two_hundred_probabilities_are_those_of_other_libraries() {
    let file: Value = serde_json::from_str(FILE).unwrap();
    let cases = file.get("cases").and_then(Value::as_array).unwrap();
    assert_eq!(cases.len(), 200);
    let (mut worst, mut worst_factor) = (0.0_f64, 0.0_f64);
    for case in cases {
        let id = case.get("id").and_then(Value::as_str).unwrap();
        let error = sum(case);
        let end = |key: &str| case.get(key).and_then(Value::as_f64);
        let limits = Limits::new(end("low"), end("high")).unwrap();
        let came = conformance_probability(&error, number(case, "y"), limits);
        let expected = case.get("expected").unwrap();
        let tolerance = number(case, "tolerance");
        for (came, key) in [(came.within, "within"), (came.below, "below"), (came.above, "above")] {
            let off = (came - number(expected, key)).abs();
            assert!(off <= tolerance, "{id} {key}: {came} is {off} off");
            worst = worst.max(off / tolerance);
        }
        // The file knows its coverage factors to 1e-8.
        let factor = error.coverage_factor(0.95).unwrap();
        let off = (factor / number(case, "coverage") - 1.0).abs();
        assert!(off <= 1e-6, "{id}: k = {factor} is {off} off");
        worst_factor = worst_factor.max(off);
    }
    println!("worst: {worst:.1e} of the tolerance; coverage factors {worst_factor:.1e} relative");
}
