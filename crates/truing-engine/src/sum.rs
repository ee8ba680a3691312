//! The sum of the errors of a margin: the border to the equations of uncertainty.

use truing_metrology::uncertainty::Shape;

use crate::budget::Uncertainty;
use crate::propagate::Elementary;

/// How the errors of one margin are distributed together.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sum {
    parts: Vec<(Shape, f64)>,
}

impl Sum {
    pub fn with_capacity(parts: usize) -> Self {
        Self { parts: Vec::with_capacity(parts) }
    }

    pub fn clear(&mut self) {
        self.parts.clear();
    }

    pub fn push(&mut self, of: &Elementary) {
        self.parts.push((of.shape, of.contribution));
    }

    pub fn standard(&self) -> f64 {
        self.parts.iter().fold(0.0, |sum, (_, u)| sum + u * u).sqrt()
    }

    /// The probability that the sum is less than `x`.
    pub fn below(&self, x: f64) -> f64 {
        match self.parts.as_slice() {
            [(Shape::Rectangular, u)] => {
                let half = u * 3.0_f64.sqrt();
                ((x + half) / (2.0 * half)).clamp(0.0, 1.0)
            }
            _ => 0.5 * libm::erfc(-x / self.standard() / 2.0_f64.sqrt()),
        }
    }

    /// Where the sum stays below with this probability.
    pub fn quantile(&self, probability: f64) -> f64 {
        if self.parts.is_empty() {
            return 0.0;
        }
        let reach = 20.0 * self.standard();
        let (mut low, mut high) = (-reach, reach);
        for _ in 0..80 {
            let middle = low / 2.0 + high / 2.0;
            if self.below(middle) < probability { low = middle } else { high = middle }
        }
        high
    }

    pub fn dof(&self) -> Option<f64> {
        None
    }

    pub fn covering(&self, coverage: f64) -> Uncertainty {
        let standard = self.standard();
        if standard == 0.0 {
            return Uncertainty::none();
        }
        let expanded = self.quantile((1.0 + coverage) / 2.0);
        let coverage_factor = expanded / standard;
        Uncertainty { standard, dof: self.dof(), coverage, coverage_factor, expanded }
    }

    pub fn times(&self, coverage_factor: f64) -> Uncertainty {
        let standard = self.standard();
        if standard == 0.0 {
            return Uncertainty::none();
        }
        let expanded = coverage_factor * standard;
        let coverage = 2.0 * self.below(expanded) - 1.0;
        Uncertainty { standard, dof: self.dof(), coverage, coverage_factor, expanded }
    }
}
