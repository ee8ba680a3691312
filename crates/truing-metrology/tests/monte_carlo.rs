//! The propagation of distributions (JCGM 101:2008).

#![expect(clippy::unwrap_used, reason = "a test stops where a value is missing")]

use truing_metrology::uncertainty::monte_carlo::{
    AdaptiveOptions, Input, Options, SimulationError, agrees, numerical_tolerance, simulate,
    simulate_adaptively,
};
use truing_metrology::uncertainty::{Component, Correlation, ErrorSum, Shape};

fn input(value: f64, shape: Shape, scale: f64) -> Input {
    Input { value, component: Component::new(shape, scale).unwrap() }
}

fn total(arguments: &[f64]) -> f64 {
    arguments.iter().sum()
}

fn rectangular(u: f64) -> Input {
    input(0.0, Shape::Rectangular, 3.0_f64.sqrt() * u)
}

const OPTIONS: Options = Options { trials: 200_000, seed: 20_240_917, coverage: 0.95 };

#[test]
fn additive_models_of_the_supplement() {
    // JCGM 101:2008, 9.2.3 and 9.2.4 (from memory): the first is validated with two digits, the second,
    // where one rectangle dominates, is not: ±17.0 against ±19.9.
    let four = [rectangular(1.0); 4];
    let simulation = simulate(&four, None, total, &OPTIONS).unwrap();
    assert!(agrees((0.0, 3.92), &simulation, 1).unwrap().holds());
    let dominated = [rectangular(1.0), rectangular(1.0), rectangular(1.0), rectangular(10.0)];
    let simulation = simulate(&dominated, None, total, &OPTIONS).unwrap();
    assert!((simulation.standard_uncertainty - 10.15).abs() < 0.05, "{simulation:?}");
    assert!((simulation.shortest.1 - 17.0).abs() < 0.15, "{simulation:?}");
    let agreement = agrees((0.0, 19.9), &simulation, 2).unwrap();
    assert!(!agreement.holds() && agreement.tolerance == 0.5, "{agreement:?}");
    assert!((agreement.high_difference - 2.9).abs() < 0.15);
}

#[test]
fn every_shape_is_drawn_as_its_distribution() {
    let shapes = [
        Shape::Normal,
        Shape::Rectangular,
        Shape::Triangular,
        Shape::Trapezoidal { beta: 0.4 },
        Shape::Arcsine,
        Shape::Student { dof: 6.5 },
        Shape::Student { dof: 1.5 },
    ];
    for shape in shapes {
        let one = input(5.0, shape, 2.0);
        let mut sum = ErrorSum::new();
        sum.push(one.component);
        // The fraction within some points is binomial: five standard deviations of it.
        for z in [0.3, 0.9, 1.4] {
            let x = z * sum.standard_uncertainty();
            let mut below = 0.0;
            let count = |arguments: &[f64]| {
                below += if total(arguments) - 5.0 <= x { 1.0 } else { 0.0 };
                0.0
            };
            simulate(&[one], None, count, &OPTIONS).unwrap();
            let (trials, p) = (OPTIONS.trials as f64, sum.cdf(x));
            let allowed = 5.0 * (p * (1.0 - p) / trials).sqrt() + 1e-9;
            assert!((below / trials - p).abs() < allowed, "{shape:?} {z}: {} {p}", below / trials);
        }
    }
}

#[test]
fn the_same_seed_gives_the_same_bits() {
    let inputs =
        [rectangular(1.0), input(1.0, Shape::Normal, 0.5), input(0.0, Shape::Arcsine, 1.0)];
    let options = Options { trials: 5000, seed: 7, coverage: 0.9 };
    let simulation = simulate(&inputs, None, total, &options).unwrap();
    assert_eq!(simulate(&inputs, None, total, &options), Ok(simulation));
    // As first computed, on x86-64: every other platform has to give the same bits.
    assert_eq!(simulation.mean, 0.999_920_379_638_235_2);
    assert_eq!(simulation.standard_uncertainty, 1.295_090_594_217_259_7);
    assert_eq!(simulation.shortest, (-1.273_538_783_091_804_3, 3.027_725_457_176_482));
    let other = Options { seed: 8, ..options };
    assert_ne!(simulate(&inputs, None, total, &other), Ok(simulation));
}

#[test]
fn correlated_normal_inputs() {
    let correlation = Correlation::new(3, &[(0, 2, -0.8)]).unwrap();
    let inputs = [input(1.0, Shape::Normal, 0.3), rectangular(0.2), input(2.0, Shape::Normal, 0.4)];
    let simulation = simulate(&inputs, Some(&correlation), total, &OPTIONS).unwrap();
    let expected = correlation.combine(&[0.3, 0.2, 0.4]);
    let allowed = 5.0 * expected / (2.0 * OPTIONS.trials as f64).sqrt();
    assert!((simulation.standard_uncertainty - expected).abs() < allowed, "{simulation:?}");
    assert!((simulation.mean - 3.0).abs() < 5e-3);
    let wrong = Correlation::new(3, &[(0, 1, 0.1)]).unwrap();
    assert_eq!(
        simulate(&inputs, Some(&wrong), total, &OPTIONS),
        Err(SimulationError::NotNormal(1))
    );
}

#[test]
fn what_cannot_be_simulated_is_refused() {
    let inputs = [rectangular(1.0)];
    let with = |options: Options| simulate(&inputs, None, total, &options);
    assert_eq!(with(Options { coverage: 1.0, ..OPTIONS }), Err(SimulationError::Coverage(1.0)));
    assert_eq!(with(Options { trials: 3, ..OPTIONS }), Err(SimulationError::Trials(3)));
    assert_eq!(with(Options { trials: 0, ..OPTIONS }), Err(SimulationError::Trials(0)));
    let stopped = simulate(&inputs, None, |_| f64::INFINITY, &OPTIONS);
    assert_eq!(stopped, Err(SimulationError::NotFinite { trial: 0, value: f64::INFINITY }));
    let two = Correlation::new(2, &[]).unwrap();
    let size = SimulationError::Size { correlated: 2, inputs: 1 };
    assert_eq!(simulate(&inputs, Some(&two), total, &OPTIONS), Err(size));
}

#[test]
fn numerical_tolerances() {
    // JCGM 101:2008, 7.9.2, examples (from memory): 0.00035 g with two digits, 2 K with one.
    assert_eq!(numerical_tolerance(0.000_35, 2), Ok(0.000_005));
    assert_eq!(numerical_tolerance(2.0, 1), Ok(0.5));
    // Rounding carries into the next digit.
    assert_eq!(numerical_tolerance(0.0996, 1), Ok(0.05));
    assert_eq!(numerical_tolerance(9.96, 2), Ok(0.5));
    assert_eq!(numerical_tolerance(0.0, 2), Ok(0.0));
    assert_eq!(numerical_tolerance(1.0, 0), Err(SimulationError::Digits(0)));
}

#[test]
fn adaptively_until_the_digits_hold() {
    let inputs = [rectangular(1.0), rectangular(1.0), input(0.0, Shape::Normal, 1.0)];
    let options = AdaptiveOptions { digits: 1, ..AdaptiveOptions::default() };
    let adaptive = simulate_adaptively(&inputs, None, total, &options).unwrap();
    assert!(adaptive.stable && adaptive.tolerance == 0.5, "{adaptive:?}");
    let finer = AdaptiveOptions { digits: 2, ..options };
    let finer = simulate_adaptively(&inputs, None, total, &finer).unwrap();
    assert!(finer.stable && finer.tolerance == 0.05, "{finer:?}");
    assert!((finer.simulation.standard_uncertainty - 3.0_f64.sqrt()).abs() < 0.05);
    assert!(finer.simulation.trials >= adaptive.simulation.trials);
    let short = AdaptiveOptions { digits: 4, most_trials: 30_000, ..options };
    let short = simulate_adaptively(&inputs, None, total, &short).unwrap();
    assert!(!short.stable && short.simulation.trials == 30_000);
}
