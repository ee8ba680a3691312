//! The distribution of a sum held against convolutions worked out to 150 digits.

#![expect(clippy::unwrap_used, clippy::panic, reason = "a test stops where its data are wrong")]

use truing_metrology::uncertainty::{Component, ErrorSum, Shape};

/// Components, `x` and P(error > x): alternating sums of truncated powers and of repeated integrals of
/// the normal distribution (computed with mpmath 1.3.0, 150 digits).
const CONVOLUTIONS: &str = include_str!("convolutions.csv");

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

fn cases() -> Vec<(ErrorSum, f64, f64, &'static str)> {
    let lines = CONVOLUTIONS.lines().filter(|line| !line.starts_with('#'));
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

#[test]
fn tails_agree_with_exact_convolutions() {
    let cases = cases();
    assert!(cases.len() >= 400, "{}", cases.len());
    let mut worst: (f64, &str) = (0.0, "");
    let mut worst_relative: (f64, &str) = (0.0, "");
    for (sum, x, expected, line) in &cases {
        let error = (sum.tail(*x) - expected).abs();
        if error > worst.0 {
            worst = (error, line);
        }
        // Far out, the rounding of the argument itself is a relative error of x²·2⁻⁵³ or more.
        if *expected > 1e-30 && error / expected > worst_relative.0 {
            worst_relative = (error / expected, line);
        }
    }
    println!("largest error {worst:?}; in relation to the tail {worst_relative:?}");
    assert!(worst.0 <= 1e-9, "{worst:?}");
    assert!(worst_relative.0 <= 1e-6, "{worst_relative:?}");
}
