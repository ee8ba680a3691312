use super::{Draws, Input, Simulation, SimulationError, numerical_tolerance};
use crate::statistics::Summary;
use crate::uncertainty::Correlation;

/// How to simulate until the digits hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdaptiveOptions {
    /// Significant digits of the standard uncertainty, usually 1 or 2.
    pub digits: u32,
    /// The seed.
    pub seed: u64,
    /// The coverage probability p of the intervals.
    pub coverage: f64,
    /// No more trials than this, rounded up to whole sequences.
    pub most_trials: usize,
}

impl Default for AdaptiveOptions {
    fn default() -> Self {
        AdaptiveOptions { digits: 2, seed: 1, coverage: 0.95, most_trials: 10_000_000 }
    }
}

/// The outcome of an adaptive simulation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adaptive {
    /// Over all trials.
    pub simulation: Simulation,
    /// The numerical tolerance δ of the standard uncertainty.
    pub tolerance: f64,
    /// Whether the results settled within δ before the trials ran out.
    pub stable: bool,
}

/// Sequences of trials until twice the standard deviations of the averages of estimate, standard
/// uncertainty and both ends of the symmetric interval are within the numerical tolerance
/// (JCGM 101:2008, 7.9.4).
///
/// # Errors
/// As [`simulate`](super::simulate), and digits outside 1 to 6.
pub fn simulate_adaptively(
    inputs: &[Input],
    correlation: Option<&Correlation>,
    mut model: impl FnMut(&[f64]) -> f64,
    options: &AdaptiveOptions,
) -> Result<Adaptive, SimulationError> {
    let coverage = options.coverage;
    if !(coverage > 0.0 && coverage < 1.0) {
        return Err(SimulationError::Coverage(coverage));
    }
    let length = ((100.0 / (1.0 - coverage)).ceil() as usize).max(10_000);
    if length > options.most_trials.max(10_000) {
        return Err(SimulationError::Trials(options.most_trials));
    }
    let mut draws = Draws::new(inputs, correlation, options.seed)?;
    let mut all = Vec::new();
    // Estimate, standard uncertainty, low and high end of each sequence.
    let mut results: [Vec<f64>; 4] = Default::default();
    loop {
        let values = draws.take(length, &mut model)?;
        all.extend_from_slice(&values);
        let sequence = Simulation::of(values, coverage)?;
        let (low, high) = sequence.symmetric;
        let news = [sequence.mean, sequence.standard_uncertainty, low, high];
        for (of, new) in results.iter_mut().zip(news) {
            of.push(new);
        }
        let exhausted = all.len() >= options.most_trials;
        let spread = Summary::of(&all).and_then(|summary| summary.deviation).unwrap_or(0.0);
        let tolerance = numerical_tolerance(spread, options.digits)?;
        let settled = |of: &Vec<f64>| {
            Summary::of(of)
                .and_then(|summary| summary.uncertainty_of_mean())
                .is_some_and(|deviation| 2.0 * deviation <= tolerance)
        };
        let stable = results.iter().all(settled);
        if stable || exhausted {
            let simulation = Simulation::of(all, coverage)?;
            return Ok(Adaptive { simulation, tolerance, stable });
        }
    }
}
