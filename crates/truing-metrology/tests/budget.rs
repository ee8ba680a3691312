//! The law of propagation, and correlation coefficients that hold together.

use proptest::prelude::*;
use truing_metrology::uncertainty::budget::{BudgetError, Line, combine};
use truing_metrology::uncertainty::{Component, Correlation, CorrelationError};

fn line(component: Component, sensitivity: f64) -> Line {
    Line { component, sensitivity }
}

#[test]
fn what_is_fully_correlated_adds_or_cancels() {
    let correlation = Correlation::new(2, &[(0, 1, 1.0)]).unwrap();
    assert!((correlation.combine(&[3.0, 4.0]) - 7.0).abs() < 1e-15);
    assert!((correlation.combine(&[3.0, -4.0]) - 1.0).abs() < 1e-15);
    assert_eq!(correlation.combine(&[3.0, -3.0]), 0.0);
    let opposed = Correlation::new(2, &[(1, 0, -1.0)]).unwrap();
    assert_eq!(opposed.combine(&[3.0, 3.0]), 0.0);
    // Ten equal resistors calibrated against one (JCGM 100:2008, 5.2.2, example; from memory): ten times
    // 0.1 Ω is 1 Ω, not 0.32 Ω.
    let pairs: Vec<(usize, usize, f64)> =
        (0..10).flat_map(|i| (0..i).map(move |j| (i, j, 1.0))).collect();
    let resistors = Correlation::new(10, &pairs).unwrap();
    assert!((resistors.combine(&[0.1; 10]) - 1.0).abs() < 1e-12);
    let independent = Correlation::new(10, &[]).unwrap();
    assert!((independent.combine(&[0.1; 10]) - 0.1 * 10.0_f64.sqrt()).abs() < 1e-15);
}

#[test]
fn coefficients_that_cannot_be_are_refused() {
    let refused = |pairs: &[(usize, usize, f64)]| Correlation::new(3, pairs).unwrap_err();
    assert!(matches!(
        refused(&[(0, 1, 1.5)]),
        CorrelationError::Coefficient { first: 0, second: 1, .. }
    ));
    assert!(matches!(refused(&[(0, 1, f64::NAN)]), CorrelationError::Coefficient { .. }));
    assert_eq!(refused(&[(1, 1, 1.0)]), CorrelationError::WithItself(1));
    assert_eq!(refused(&[(0, 3, 0.1)]), CorrelationError::OutOfRange { index: 3, size: 3 });
    assert_eq!(
        refused(&[(0, 1, 0.5), (1, 0, 0.4)]),
        CorrelationError::Contradiction { first: 1, second: 0 }
    );
    assert!(Correlation::new(3, &[(0, 1, 0.5), (1, 0, 0.5)]).is_ok());
    // Two that go together, and a third that goes with one and against the other.
    assert_eq!(
        refused(&[(0, 1, 0.9), (0, 2, 0.9), (1, 2, -0.9)]),
        CorrelationError::NotPositive { minor: 3, first: 2, second: 2 }
    );
    assert_eq!(
        refused(&[(0, 1, 1.0), (0, 2, 0.5), (1, 2, 0.4)]),
        CorrelationError::NotPositive { minor: 3, first: 1, second: 2 }
    );
}

#[test]
fn degrees_of_freedom_are_for_independent_inputs() {
    let student = Component::student(1.0, 5.0).unwrap();
    let normal = Component::normal(1.0).unwrap();
    let lines = [line(student, 2.0), line(normal, 1.0), line(normal, 1.0)];
    let correlated = Correlation::new(3, &[(1, 2, 0.5)]).unwrap();
    let combined = combine(&lines, Some(&correlated)).unwrap();
    // 4 + 1 + 1 + 2·0.5 = 7; ν = 7²/(4²/5).
    assert!((combined.standard_uncertainty - 7.0_f64.sqrt()).abs() < 1e-14);
    assert!((combined.effective_dof.unwrap() - 49.0 / (16.0 / 5.0)).abs() < 1e-12);
    let table = combined.tabled_coverage_factor(0.95).unwrap();
    assert!((table - 2.13).abs() < 0.005, "t(15), GUM table G.2 (from memory): {table}");
    assert!(combined.coverage_factor(0.95).unwrap() < table);
    let wrong = Correlation::new(3, &[(0, 2, 0.5)]).unwrap();
    assert_eq!(combine(&lines, Some(&wrong)), Err(BudgetError::CorrelatedDof(0)));
    let small = Correlation::new(2, &[]).unwrap();
    assert_eq!(combine(&lines, Some(&small)), Err(BudgetError::Size { correlated: 2, lines: 3 }));
    assert_eq!(combine(&[line(normal, f64::NAN)], None), Err(BudgetError::NotFinite(0)));
    let none = combine(&[], None).unwrap();
    assert_eq!((none.standard_uncertainty, none.effective_dof), (0.0, None));
    assert_eq!(combine(&[line(student, 0.0)], None).unwrap().effective_dof, None);
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    /// Coefficients of random vectors hold together, and the sum over all pairs is cᵀRc.
    #[test]
    fn the_quadratic_form(
        vectors in proptest::collection::vec(proptest::array::uniform3(-1.0..1.0), 1..6),
        contributions in proptest::collection::vec(-10.0..10.0, 6),
    ) {
        let size = vectors.len();
        let dot = |a: &[f64; 3], b: &[f64; 3]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
        let mut pairs = Vec::new();
        for (i, a) in vectors.iter().enumerate() {
            for (j, b) in vectors.iter().enumerate().take(i) {
                let scale = (dot(a, a) * dot(b, b)).sqrt();
                prop_assume!(scale > 1e-3);
                pairs.push((i, j, (dot(a, b) / scale).clamp(-1.0, 1.0)));
            }
        }
        let correlation = Correlation::new(size, &pairs).unwrap();
        let (used, further) = contributions.split_at(size);
        let mut expected: f64 = contributions.iter().map(|c| c * c).sum();
        for (i, j, r) in pairs {
            let product = used.get(i).unwrap() * used.get(j).unwrap();
            expected += 2.0 * r * product;
            for (row, at) in [(i, j), (j, i)] {
                prop_assert_eq!(correlation.coefficient(row, at), Some(r));
            }
        }
        let got = correlation.combine(&contributions).powi(2);
        prop_assert!((got - expected).abs() < 1e-4, "{} {} {:?}", got, expected, further);
    }
}
