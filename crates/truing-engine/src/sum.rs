//! The errors of one margin, added up: the border to the equations of uncertainty.

use truing_metrology::uncertainty::{Component, ErrorSum, Shape};

use crate::budget::Uncertainty;
use crate::propagate::Elementary;

/// How the errors of one margin are distributed together.
#[derive(Clone, Debug)]
pub(crate) struct Sum {
    /// The largest contribution, in which the others are told: so no power of them is too large.
    unit: f64,
    errors: ErrorSum,
}

impl Sum {
    pub fn new() -> Self {
        Self { unit: 1.0, errors: ErrorSum::new() }
    }

    /// Adds up these errors. What comes of it is the standard uncertainty; `None` where that is not
    /// finite.
    pub fn of(&mut self, errors: &[Elementary]) -> Option<f64> {
        *self = Self::new();
        self.unit = errors.iter().map(|error| error.contribution).fold(f64::MIN_POSITIVE, f64::max);
        for error in errors {
            let part = error.contribution / self.unit;
            // Elementary errors are told by their standard uncertainty.
            let scale = match error.shape {
                Shape::Rectangular => part * 3.0_f64.sqrt(),
                _ => part,
            };
            self.errors.push(Component::new(error.shape, scale).ok()?);
        }
        Some(self.standard()).filter(|standard| standard.is_finite())
    }

    /// The standard uncertainty.
    pub fn standard(&self) -> f64 {
        self.errors.standard_uncertainty() * self.unit
    }

    /// The probability that the sum is less than `x`.
    pub fn below(&self, x: f64) -> f64 {
        self.errors.cdf(x / self.unit)
    }

    /// Where the sum stays below with this probability.
    pub fn quantile(&self, probability: f64) -> f64 {
        self.errors.quantile(probability).unwrap_or_default() * self.unit
    }

    /// Expanded to cover the true value with this probability.
    pub fn covering(&self, coverage: f64) -> Uncertainty {
        match self.errors.coverage_factor(coverage) {
            Some(factor) => self.expanded(coverage, factor),
            None => Uncertainty::none(),
        }
    }

    /// Expanded by this factor.
    pub fn times(&self, factor: f64) -> Uncertainty {
        if self.standard() == 0.0 {
            return Uncertainty::none();
        }
        let beyond = self.errors.tail(factor * self.errors.standard_uncertainty());
        self.expanded((1.0 - 2.0 * beyond).max(0.0), factor)
    }

    fn expanded(&self, coverage: f64, coverage_factor: f64) -> Uncertainty {
        let standard = self.standard();
        let expanded = coverage_factor * standard;
        let dof = self.errors.effective_dof();
        Uncertainty { standard, dof, coverage, coverage_factor, expanded }
    }
}
