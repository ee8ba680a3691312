//! The errors of one margin, added up: the border to the equations of uncertainty.

use truing_metrology::uncertainty::{Component, ErrorSum, Shape};

use crate::budget::Uncertainty;
use crate::propagate::Elementary;

/// How the errors of one margin are distributed together.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sum {
    errors: ErrorSum,
    /// An error that is not finite has been put in.
    endless: bool,
}

impl Sum {
    pub fn clear(&mut self) {
        *self = Self::default();
    }

    pub fn push(&mut self, of: &Elementary) {
        // Elementary errors are told by their standard uncertainty.
        let scale = match of.shape {
            Shape::Rectangular => of.contribution * 3.0_f64.sqrt(),
            _ => of.contribution,
        };
        match Component::new(of.shape, scale) {
            Ok(component) => self.errors.push(component),
            Err(_) => self.endless = true,
        }
    }

    /// The standard uncertainty; `None` where it is not finite.
    pub fn finite(&self) -> Option<f64> {
        Some(self.standard()).filter(|standard| !self.endless && standard.is_finite())
    }

    /// The standard uncertainty.
    pub fn standard(&self) -> f64 {
        self.errors.standard_uncertainty()
    }

    /// The probability that the sum is less than `x`.
    pub fn below(&self, x: f64) -> f64 {
        self.errors.cdf(x)
    }

    /// Where the sum stays below with this probability.
    pub fn quantile(&self, probability: f64) -> f64 {
        self.errors.quantile(probability).unwrap_or_default()
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
        let beyond = self.errors.tail(factor * self.standard());
        self.expanded((1.0 - 2.0 * beyond).max(0.0), factor)
    }

    fn expanded(&self, coverage: f64, coverage_factor: f64) -> Uncertainty {
        let standard = self.standard();
        let expanded = coverage_factor * standard;
        let dof = self.errors.effective_dof();
        Uncertainty { standard, dof, coverage, coverage_factor, expanded }
    }
}
