//! What holds of every sum of errors.

#![expect(clippy::unwrap_used, reason = "a test stops where a value is missing")]

use proptest::prelude::*;
use truing_metrology::uncertainty::coverage::normal_cdf;
use truing_metrology::uncertainty::{Component, ErrorSum, Shape};

fn component(shape: Shape, scale: f64) -> Component {
    Component::new(shape, scale).unwrap()
}

fn sum(components: &[Component]) -> ErrorSum {
    let mut sum = ErrorSum::new();
    components.iter().for_each(|component| sum.push(*component));
    sum
}

fn smoothed_shape() -> impl Strategy<Value = Shape> {
    prop_oneof![
        Just(Shape::Normal),
        Just(Shape::Rectangular),
        Just(Shape::Triangular),
        (0.0..=1.0).prop_map(|beta| Shape::Trapezoidal { beta }),
    ]
}

/// Up to six components over twelve decades.
fn components(decades: f64) -> impl Strategy<Value = Vec<Component>> {
    let one = (smoothed_shape(), -decades..=decades);
    proptest::collection::vec(one, 1..=6).prop_map(|parts| {
        parts.into_iter().map(|(shape, power)| component(shape, 10_f64.powf(power))).collect()
    })
}

/// With up to six Student or arcsine errors among them.
fn mixed() -> impl Strategy<Value = Vec<Component>> {
    let slow = prop_oneof![
        Just(Shape::Arcsine),
        (0.7..90.0).prop_map(|dof| Shape::Student { dof }),
        (1_u32..=200).prop_map(|dof| Shape::Student { dof: dof.into() })
    ];
    let slow = proptest::collection::vec((slow, -2.0..=2.0), 1..=6);
    (slow, components(2.0)).prop_map(|(slow, mut all)| {
        all.truncate(2);
        all.extend(slow.into_iter().map(|(shape, power)| component(shape, 10_f64.powf(power))));
        all
    })
}

/// Cdf rises, is symmetric and is undone by the quantile.
fn is_a_distribution(all: &[Component], tolerance: f64) {
    let sum = sum(all);
    let u = sum.standard_uncertainty();
    let mut before = 0.0;
    for step in -20_i32..=20 {
        let x = u * f64::from(step) / 5.0;
        let cdf = sum.cdf(x);
        assert!((0.0..=1.0).contains(&cdf), "{cdf} at {x}");
        assert!(cdf >= before - tolerance, "{before} falls to {cdf} at {x}: {all:?}");
        assert!((cdf + sum.cdf(-x) - 1.0).abs() <= 1e-15, "{x}");
        assert!((sum.tail(x) - (1.0 - cdf)).abs() <= 1e-15);
        before = cdf;
    }
    for p in [1e-7, 0.025, 0.3, 0.5, 0.95, 0.999] {
        let x = sum.quantile(p).unwrap();
        assert!((sum.cdf(x) - p).abs() <= tolerance.max(1e-9), "{p}: {x} {}", sum.cdf(x));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(100) })]

    #[test]
    fn sums_are_distributions(all in components(6.0)) {
        is_a_distribution(&all, 1e-9);
    }

    #[test]
    fn a_factor_scales_everything(all in components(3.0), power in -100.0..100.0) {
        let sum = sum(&all);
        let factor = 10_f64.powf(power);
        let scaled = sum.scaled(factor).unwrap();
        let u = sum.standard_uncertainty();
        prop_assert!((scaled.standard_uncertainty() / (factor * u) - 1.0).abs() < 1e-12);
        for z in [0.1, 1.0, 1.9, 3.3] {
            prop_assert!((scaled.tail(z * u * factor) - sum.tail(z * u)).abs() < 1e-9);
        }
        let (before, after) = (sum.dominant().unwrap(), scaled.dominant().unwrap());
        prop_assert_eq!(before.index, after.index);
        prop_assert!((before.share - after.share).abs() < 1e-12);
    }

    #[test]
    fn the_order_does_not_matter(all in components(3.0)) {
        let forwards = sum(&all);
        let mut reversed = all.clone();
        reversed.reverse();
        let backwards = sum(&reversed);
        let u = forwards.standard_uncertainty();
        for z in [0.2, 1.1, 2.5] {
            prop_assert!((forwards.tail(z * u) - backwards.tail(z * u)).abs() < 1e-9);
        }
    }

    #[test]
    fn nothing_is_not_a_number(
        all in proptest::collection::vec((smoothed_shape(), -300.0..=150.0), 0..=20),
        x in -200.0..200.0,
    ) {
        let all: Vec<Component> =
            all.into_iter().map(|(shape, power)| component(shape, 10_f64.powf(power))).collect();
        let sum = sum(&all);
        for x in [0.0, 10_f64.powf(x), -10_f64.powf(x), f64::INFINITY, f64::NEG_INFINITY] {
            let cdf = sum.cdf(x);
            prop_assert!((0.0..=1.0).contains(&cdf), "{} at {}", cdf, x);
        }
        prop_assert!(!sum.quantile(0.975).unwrap().is_nan());
    }

    /// One rectangle more is a mean of the cdf over its width: Simpson's rule, 4000 steps.
    #[test]
    fn a_rectangle_more_is_a_running_mean(all in components(1.0), power in -1.0..1.0, z in -2.5..2.5) {
        let half_width = 10_f64.powf(power);
        let rest = sum(&all);
        let mut whole = rest.clone();
        whole.push(Component::rectangular(half_width).unwrap());
        let x = z * whole.standard_uncertainty();
        let steps = 4000;
        let mut mean = 0.0;
        for step in 0..=steps {
            let at = half_width * (2.0 * f64::from(step) / f64::from(steps) - 1.0);
            let weight = match step {
                0 => 1.0,
                step if step == steps => 1.0,
                step if step % 2 == 0 => 2.0,
                _ => 4.0,
            };
            mean += weight * rest.cdf(x - at) / (3.0 * f64::from(steps));
        }
        prop_assert!((mean - whole.cdf(x)).abs() < 1e-6, "{} {}", mean, whole.cdf(x));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(30) })]

    #[test]
    fn sums_with_slow_parts_are_distributions(all in mixed()) {
        is_a_distribution(&all, 1e-10);
    }

    #[test]
    fn nor_does_the_order_of_slow_parts(all in mixed()) {
        let forwards = sum(&all);
        let mut reversed = all.clone();
        reversed.reverse();
        let backwards = sum(&reversed);
        let u = forwards.standard_uncertainty();
        for z in [0.2, 1.1, 2.5] {
            let off = (forwards.tail(z * u) - backwards.tail(z * u)).abs();
            prop_assert!(off <= 2e-11, "{} at {}", off, z);
        }
    }
}

#[test]
fn coverage_factors_of_single_errors() {
    let factor = |shape, p| sum(&[component(shape, 2.0)]).coverage_factor(p).unwrap();
    // 0.95·√3, 1.96, √6(1 − √0.05), √2·sin(0.475π), t₀.₉₅(4): closed forms; GUM table G.2 for the last.
    assert!((factor(Shape::Rectangular, 0.95) - 0.95 * 3.0_f64.sqrt()).abs() < 1e-12);
    assert!((factor(Shape::Normal, 0.95) - 1.959_963_984_540_054).abs() < 1e-12);
    let triangular = 6.0_f64.sqrt() * (1.0 - 0.05_f64.sqrt());
    assert!((factor(Shape::Triangular, 0.95) - triangular).abs() < 1e-12);
    let arcsine = 2.0_f64.sqrt() * (0.475 * std::f64::consts::PI).sin();
    assert!((factor(Shape::Arcsine, 0.95) - arcsine).abs() < 1e-9);
    assert!((factor(Shape::Student { dof: 4.0 }, 0.95) - 2.78).abs() < 0.005);
}

#[test]
fn many_errors_tend_to_a_normal_one() {
    let mut before = 1.0;
    for count in [1, 2, 4, 8, 12] {
        let all = vec![component(Shape::Rectangular, 1.0); count];
        let sum = sum(&all);
        let u = sum.standard_uncertainty();
        let differences = (0..50).map(|step| {
            let z = f64::from(step) / 10.0;
            (sum.tail(z * u) - normal_cdf(-z)).abs()
        });
        let difference = differences.fold(0.0, f64::max);
        assert!(difference < before, "{count}: {difference} after {before}");
        before = difference;
    }
    assert!(before < 2.5e-3, "{before}");
}

#[test]
fn beyond_what_is_kept_the_narrowest_are_merged() {
    let mut all = vec![component(Shape::Rectangular, 1.0); 12];
    let kept = sum(&all);
    all.extend(vec![component(Shape::Rectangular, 0.1); 30]);
    let more = sum(&all);
    let variance = |sum: &ErrorSum| sum.standard_uncertainty().powi(2);
    assert!((variance(&more) - variance(&kept) - 0.1).abs() < 1e-12);
    let mut normal = kept.clone();
    normal.push(component(Shape::Normal, 0.1_f64.sqrt()));
    for x in [0.5, 2.0, 4.0, 7.0] {
        assert!((more.tail(x) - normal.tail(x)).abs() < 1e-12);
    }
}

#[test]
fn every_student_error_is_kept() {
    // Cauchy errors (one degree of freedom) sum to a Cauchy error of the summed scales.
    let student = |scale, dof| component(Shape::Student { dof }, scale);
    for scales in [vec![1.0, 0.5, 0.25], vec![1.0; 6], vec![3.0, 1e-6, 0.2, 1e-3, 0.01, 0.7, 0.3]] {
        let all: Vec<Component> = scales.iter().map(|scale| student(*scale, 1.0)).collect();
        let cauchy = sum(&[student(scales.iter().sum(), 1.0)]);
        let sum = sum(&all);
        for x in [0.01, 0.3, 1.0, 4.0, 30.0, 1e3, 1e6, 1e9] {
            let (came, expected) = (sum.tail(x), cauchy.tail(x));
            assert!((came - expected).abs() <= 1e-11, "{x}: {came} {expected}");
        }
        let (k, u) = (sum.coverage_factor(0.95).unwrap(), sum.standard_uncertainty());
        assert!((cauchy.tail(k * u) - 0.025).abs() <= 1e-11);
        // Further out the tail is that of the one error that went there.
        let far = sum.tail(1e13) / cauchy.tail(1e13);
        assert!((far - 1.0).abs() < 0.1, "{far}");
    }
}

#[test]
fn bounded_errors_end() {
    let all = [
        component(Shape::Arcsine, 1.0),
        component(Shape::Arcsine, 0.5),
        component(Shape::Rectangular, 0.25),
    ];
    let bounded = sum(&all);
    assert_eq!((bounded.tail(1.75), bounded.cdf(-2.0)), (0.0, 0.0));
    assert!(bounded.tail(1.7) > 0.0);
}

#[test]
fn no_error_is_a_step() {
    let none = sum(&[]);
    assert_eq!((none.cdf(-1e-300), none.cdf(0.0), none.cdf(1.0)), (0.0, 1.0, 1.0));
    assert_eq!(none.probability_between(0.0, 0.0), 1.0);
    assert_eq!(none.probability_between(1.0, 0.0), 0.0);
    assert_eq!(none.quantile(0.9), Some(0.0));
    assert_eq!(none.coverage_factor(0.95), None);
    assert_eq!(none.effective_dof(), None);
    assert!(none.dominant().is_none());
    let zero = sum(&[component(Shape::Rectangular, 0.0), component(Shape::Arcsine, 0.0)]);
    assert_eq!(zero.tail(0.0), 0.0);
}

#[test]
fn impossible_components_are_refused() {
    for scale in [f64::NAN, f64::INFINITY, -1.0, 1e200] {
        assert!(Component::rectangular(scale).is_err(), "{scale}");
    }
    for beta in [f64::NAN, -0.1, 1.1] {
        assert!(Component::new(Shape::Trapezoidal { beta }, 1.0).is_err());
    }
    for dof in [f64::NAN, 0.0, f64::INFINITY] {
        assert!(Component::student(1.0, dof).is_err());
    }
    assert!(Component::mean_of_readings(1.0, 1).is_err());
    assert!(Component::from_interval(1.0, 1.0).is_err());
    let mut sum = ErrorSum::new();
    assert!(sum.push_scaled(Component::normal(1.0).unwrap(), f64::NAN).is_err());
    assert_eq!(sum, ErrorSum::new());
    let text = r#"{"shape":{"trapezoidal":{"beta":0.5}},"scale":2.0}"#;
    let read: Component = serde_json::from_str(text).unwrap();
    assert_eq!(serde_json::to_string(&read).unwrap(), text);
    assert!(serde_json::from_str::<Component>(r#"{"shape":"normal","scale":-1.0}"#).is_err());
}

#[test]
fn effective_degrees_of_freedom() {
    let student = |scale, dof| component(Shape::Student { dof }, scale);
    let parts = [student(0.25, 9.0), student(0.57, 4.0), student(0.82, 14.0)];
    // JCGM 100:2008, G.4.1, example (from memory): 19.0; 18.99 unrounded, which is cut to 18.
    let all = sum(&parts);
    assert!((all.effective_dof().unwrap() - 19.0).abs() < 0.05);
    assert_eq!(all.truncated_dof(), Some(18.0));
    assert_eq!(sum(&[component(Shape::Normal, 1.0)]).effective_dof(), None);
    assert_eq!(sum(&[student(1.0, 7.0)]).truncated_dof(), Some(7.0));
}

#[test]
fn nothing_allocates() {
    let parts = [
        component(Shape::Rectangular, 1.0),
        component(Shape::Trapezoidal { beta: 0.4 }, 0.7),
        component(Shape::Triangular, 0.2),
        component(Shape::Normal, 0.1),
        component(Shape::Student { dof: 6.0 }, 0.3),
        component(Shape::Arcsine, 0.4),
    ];
    let mut held = 0.0;
    let info = allocation_counter::measure(|| {
        for count in 1..=parts.len() {
            let mut sum = ErrorSum::new();
            parts.iter().take(count).for_each(|part| sum.push(*part));
            held += sum.cdf(0.5) + sum.tail(2.0) + sum.probability_between(-0.3, 0.2);
            held += sum.coverage_factor(0.9).unwrap_or(0.0);
            held += sum.dominant().map_or(0.0, |largest| largest.share);
        }
    });
    assert_eq!(info.count_total, 0);
    assert!(held > 0.0);
}
