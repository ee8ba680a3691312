//! The distribution of a sum held against convolutions worked out to 150 digits.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test stops where its data are wrong")]

use truing_metrology::uncertainty::{Component, ErrorSum, Shape};

/// Components, `x` and P(error > x): alternating sums of truncated powers and of repeated integrals of
/// the normal distribution (computed with mpmath 1.3.0, 150 digits).
const CONVOLUTIONS: &str = include_str!("convolutions.csv");

/// The same with Student and arcsine errors, by quadrature (computed with mpmath 1.3.0).
const BY_QUADRATURE: &str = include_str!("convolutions_by_quadrature.csv");

fn component(text: &str) -> Component {
    let fields: Vec<&str> = text.split(':').collect();
    let number = |at: usize| fields.get(at).unwrap().parse::<f64>().unwrap();
    let shape = match *fields.first().unwrap() {
        "normal" => Shape::Normal,
        "rectangular" => Shape::Rectangular,
        "triangular" => Shape::Triangular,
        "trapezoidal" => Shape::Trapezoidal { beta: number(2) },
        "arcsine" => Shape::Arcsine,
        "student" => Shape::Student { dof: number(2) },
        other => panic!("{other}"),
    };
    Component::new(shape, number(1)).unwrap()
}

fn cases(text: &'static str) -> Vec<(ErrorSum, f64, f64, &'static str)> {
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    lines
        .map(|line| {
            let mut fields = line.split(',');
            let components = fields.next().unwrap();
            let mut sum = ErrorSum::new();
            components.split(';').for_each(|text| sum.push(component(text)));
            let mut number = || fields.next().unwrap().parse::<f64>().unwrap();
            (sum, number(), number(), line)
        })
        .collect()
}

/// The largest errors, absolute and in relation to the tail, with their lines.
fn worst(cases: &[(ErrorSum, f64, f64, &'static str)]) -> [(f64, &'static str); 2] {
    let mut worst = [(0.0, ""); 2];
    for (sum, x, expected, line) in cases {
        let error = (sum.tail(*x) - expected).abs();
        let relative = if *expected > 1e-30 { error / expected } else { 0.0 };
        for (worst, error) in worst.iter_mut().zip([error, relative]) {
            if error > worst.0 {
                *worst = (error, line);
            }
        }
    }
    println!("largest error {:?}; in relation to the tail {:?}", worst[0], worst[1]);
    worst
}

#[test]
fn rectangular_and_normal_errors() {
    let cases = cases(CONVOLUTIONS);
    assert_eq!(cases.len(), 480);
    let [absolute, relative] = worst(&cases);
    assert!(absolute.0 <= 1e-10, "{absolute:?}");
    assert!(relative.0 <= 1e-7, "{relative:?}");
}

#[test]
fn student_errors() {
    let mut cases = cases(BY_QUADRATURE);
    cases.retain(|(_, _, _, line)| !line.contains("arcsine"));
    assert_eq!(cases.len(), 35);
    let [absolute, relative] = worst(&cases);
    assert!(absolute.0 <= 1e-9, "{absolute:?}");
    assert!(relative.0 <= 1e-7, "{relative:?}");
}

#[test]
fn arcsine_errors() {
    let mut cases = cases(BY_QUADRATURE);
    cases.retain(|(_, _, _, line)| line.contains("arcsine"));
    assert_eq!(cases.len(), 34);
    let [absolute, _] = worst(&cases);
    assert!(absolute.0 <= 1e-9, "{absolute:?}");
}
