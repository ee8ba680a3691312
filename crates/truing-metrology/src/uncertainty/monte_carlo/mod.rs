//! Propagation of distributions by a Monte Carlo method (JCGM 101:2008).

mod adaptive;
mod agreement;
mod sampling;
mod summary;

pub use adaptive::{Adaptive, AdaptiveOptions, simulate_adaptively};
pub use agreement::{Agreement, agrees, numerical_tolerance};
pub use sampling::Source;
pub use summary::Simulation;

use super::{Component, Correlation, Shape};

/// An input quantity: its estimate and the distribution of its error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Input {
    /// The estimate.
    pub value: f64,
    /// The error about it.
    pub component: Component,
}

/// How to simulate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Options {
    /// How many trials M; at least 10⁴/(1 − p) is advised (JCGM 101:2008, 7.2.1, from memory).
    pub trials: usize,
    /// The seed: the same seed gives the same result on every platform.
    pub seed: u64,
    /// The coverage probability p of the intervals.
    pub coverage: f64,
}

impl Default for Options {
    fn default() -> Self {
        Options { trials: 1_000_000, seed: 1, coverage: 0.95 }
    }
}

/// Why a simulation was refused, or stopped.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum SimulationError {
    /// A coverage probability that is not between 0 and 1.
    #[error("a coverage probability is between 0 and 1, not {0}")]
    Coverage(f64),
    /// Too few trials for an interval of this probability.
    #[error("{0} trials are too few for the interval")]
    Trials(usize),
    /// No number of significant digits of an uncertainty.
    #[error("an uncertainty is given with 1 to 6 significant digits, not {0}")]
    Digits(u32),
    /// The correlation matrix has another size.
    #[error("{correlated} quantities have correlations, but there are {inputs} inputs")]
    Size {
        /// How many the matrix is for.
        correlated: usize,
        /// How many inputs there are.
        inputs: usize,
    },
    /// A correlated input that is not normal: the coefficient alone gives no joint distribution
    /// (JCGM 101:2008, 6.4.8).
    #[error("input {0} is correlated and not normal: its joint distribution is not known")]
    NotNormal(usize),
    /// The model gave a value that is not finite.
    #[error("the model gave {value} in trial {trial}")]
    NotFinite {
        /// The trial, from 0.
        trial: usize,
        /// What it gave.
        value: f64,
    },
}

/// The distribution of the output of a model by `trials` draws of its inputs. Inputs are independent, but
/// for normal ones that `correlation` binds together.
///
/// # Errors
/// A coverage probability or a number of trials that gives no interval; a correlation of another size
/// or of inputs that are not normal; a model that gives a value that is not finite.
pub fn simulate(
    inputs: &[Input],
    correlation: Option<&Correlation>,
    mut model: impl FnMut(&[f64]) -> f64,
    options: &Options,
) -> Result<Simulation, SimulationError> {
    let mut draws = Draws::new(inputs, correlation, options.seed)?;
    let values = draws.take(options.trials, &mut model)?;
    Simulation::of(values, options.coverage)
}

/// A stream of trials.
struct Draws<'a> {
    inputs: &'a [Input],
    correlation: Option<&'a Correlation>,
    source: Source,
    independent: Vec<f64>,
    arguments: Vec<f64>,
    trial: usize,
}

impl<'a> Draws<'a> {
    fn new(
        inputs: &'a [Input],
        correlation: Option<&'a Correlation>,
        seed: u64,
    ) -> Result<Self, SimulationError> {
        if let Some(matrix) = correlation {
            if matrix.size() != inputs.len() {
                let (correlated, inputs) = (matrix.size(), inputs.len());
                return Err(SimulationError::Size { correlated, inputs });
            }
            let unknown = |(index, input): &(usize, &Input)| {
                input.component.shape() != Shape::Normal && matrix.is_correlated(*index)
            };
            if let Some((index, _)) = inputs.iter().enumerate().find(unknown) {
                return Err(SimulationError::NotNormal(index));
            }
        }
        Ok(Draws {
            inputs,
            correlation,
            source: Source::new(seed),
            independent: Vec::with_capacity(inputs.len()),
            arguments: Vec::with_capacity(inputs.len()),
            trial: 0,
        })
    }

    fn take(
        &mut self,
        trials: usize,
        model: &mut impl FnMut(&[f64]) -> f64,
    ) -> Result<Vec<f64>, SimulationError> {
        let mut values = Vec::new();
        for _ in 0..trials {
            self.draw();
            let value = model(&self.arguments);
            if !value.is_finite() {
                return Err(SimulationError::NotFinite { trial: self.trial, value });
            }
            self.trial += 1;
            values.push(value);
        }
        Ok(values)
    }

    fn draw(&mut self) {
        self.arguments.clear();
        let Some(matrix) = self.correlation else {
            let source = &mut self.source;
            let drawn =
                self.inputs.iter().map(|input| input.value + source.error(&input.component));
            self.arguments.extend(drawn);
            return;
        };
        self.independent.clear();
        for (index, input) in self.inputs.iter().enumerate() {
            let drawn = if matrix.is_correlated(index) {
                self.source.normal()
            } else {
                self.source.error(&input.component)
            };
            self.independent.push(drawn);
        }
        for (index, (input, row)) in self.inputs.iter().zip(matrix.cholesky()).enumerate() {
            let error = if matrix.is_correlated(index) {
                let parts = row.iter().zip(&self.independent);
                parts.map(|(factor, z)| factor * z).sum::<f64>() * input.component.scale()
            } else {
                self.independent.get(index).copied().unwrap_or(0.0)
            };
            self.arguments.push(input.value + error);
        }
    }
}
