//! The errors of one margin, added up: the border to the equations of uncertainty.

use truing_metrology::uncertainty::{Component, ErrorSum, Shape};

use crate::budget::Uncertainty;
use crate::errors::Elementary;

/// How the errors of one margin are distributed together.
#[derive(Clone, Debug)]
pub(crate) struct Sum {
    /// The largest contribution, in which the others are told: so no power of them is too large.
    unit: f64,
    errors: ErrorSum,
    /// The commonest sum: an accuracy and a resolution.
    pair: Option<Trapezoid>,
}

/// The sum of two rectangular errors, of which the narrower may be nought (JCGM 101:2008, 6.4.4).
#[derive(Copy, Clone, Debug)]
struct Trapezoid {
    wide: f64,
    narrow: f64,
}

impl Trapezoid {
    fn of(errors: &[Elementary], unit: f64) -> Option<Self> {
        let (one, other) = match errors {
            [one] => (one, None),
            [one, other] => (one, Some(other)),
            _ => return None,
        };
        let half = |error: &Elementary| {
            let rectangular = error.shape == Shape::Rectangular;
            rectangular.then(|| error.contribution / unit * 3.0_f64.sqrt())
        };
        let (one, other) = (half(one)?, other.map_or(Some(0.0), half)?);
        Some(Self { wide: one.max(other), narrow: one.min(other) })
    }

    /// The probability of more than `x`, which is not negative.
    fn tail(self, x: f64) -> f64 {
        let Self { wide, narrow } = self;
        if x <= wide - narrow {
            return 0.5 - 0.5 * x / wide;
        }
        let left = (wide + narrow - x).max(0.0);
        if left == 0.0 { 0.0 } else { left * left / (8.0 * wide * narrow) }
    }

    /// Where no more than this probability, at most one half, lies above.
    fn upper(self, tail: f64) -> f64 {
        let Self { wide, narrow } = self;
        if tail >= 0.5 * narrow / wide {
            wide * (1.0 - 2.0 * tail)
        } else {
            wide + narrow - (8.0 * wide * narrow * tail).sqrt()
        }
    }
}

impl Sum {
    pub fn new() -> Self {
        Self { unit: 1.0, errors: ErrorSum::new(), pair: None }
    }

    /// Adds up these errors. What comes of it is the standard uncertainty; `None` where that is not
    /// finite.
    pub fn of(&mut self, errors: &[Elementary]) -> Option<f64> {
        self.errors.clear();
        self.pair = None;
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
        self.pair = Trapezoid::of(errors, self.unit);
        // What is wider is no error that anything could be decided by, as for `Component`.
        const WIDEST: f64 = 1e150;
        Some(self.standard()).filter(|standard| *standard <= WIDEST)
    }

    /// The standard uncertainty.
    pub fn standard(&self) -> f64 {
        self.errors.standard_uncertainty() * self.unit
    }

    /// The probability that the sum is less than `x`.
    pub fn below(&self, x: f64) -> f64 {
        let x = x / self.unit;
        if x < 0.0 { self.tail(-x) } else { 1.0 - self.tail(x) }
    }

    /// The probability of more than `x` units.
    fn tail(&self, x: f64) -> f64 {
        self.pair.map_or_else(|| self.errors.tail(x), |pair| pair.tail(x))
    }

    /// Where the sum stays below with this probability.
    pub fn quantile(&self, probability: f64) -> f64 {
        if let (Some(pair), true) = (self.pair, probability > 0.5) {
            return pair.upper(1.0 - probability) * self.unit;
        }
        self.errors.quantile(probability).unwrap_or_default() * self.unit
    }

    /// Expanded to cover the true value with this probability.
    pub fn covering(&self, coverage: f64) -> Uncertainty {
        let standard = self.errors.standard_uncertainty();
        let factor = match self.pair {
            Some(pair) => Some(pair.upper(0.5 * (1.0 - coverage)) / standard),
            None => self.errors.coverage_factor(coverage),
        };
        match factor {
            Some(factor) => self.expanded(coverage, factor),
            None => Uncertainty::none(),
        }
    }

    /// Expanded by this factor.
    pub fn times(&self, factor: f64) -> Uncertainty {
        if self.standard() == 0.0 {
            return Uncertainty::none();
        }
        let beyond = self.tail(factor * self.errors.standard_uncertainty());
        self.expanded((1.0 - 2.0 * beyond).max(0.0), factor)
    }

    fn expanded(&self, coverage: f64, coverage_factor: f64) -> Uncertainty {
        let standard = self.standard();
        let expanded = coverage_factor * standard;
        let dof = self.errors.effective_dof();
        Uncertainty { standard, dof, coverage, coverage_factor, expanded }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::budget::BudgetPart;

    fn error(contribution: f64, shape: Shape) -> Elementary {
        let part = BudgetPart::Accuracy;
        let (slot, readings, dof) = (0, 1, None);
        let sensitivity = Some(1.0);
        Elementary {
            part,
            slot,
            readings,
            shape,
            standard: contribution,
            sensitivity,
            contribution,
            dof,
        }
    }

    fn sum(errors: &[Elementary]) -> Sum {
        let mut sum = Sum::new();
        sum.of(errors);
        sum
    }

    #[test]
    fn a_pair_of_rectangles_is_what_their_sum_is() {
        for (one, other) in [(1.0, 0.0), (3.0, 0.1), (0.5, 0.5), (1e150, 1e140), (1e-150, 3e-150)] {
            let mut errors = vec![error(one, Shape::Rectangular)];
            if other > 0.0 {
                errors.push(error(other, Shape::Rectangular));
            }
            let told = sum(&errors);
            let plain = Sum { pair: None, ..told.clone() };
            for step in -30..=30 {
                let x = f64::from(step) / 10.0 * (one + other);
                assert!((told.below(x) - plain.below(x)).abs() < 1e-9, "{x} of {one} and {other}");
            }
            for p in [0.55, 0.9, 0.95, 0.999] {
                let (a, b) = (told.quantile(p), plain.quantile(p));
                assert!((a - b).abs() <= 1e-7 * a.abs(), "{p} of {one} and {other}: {a}, {b}");
                let (a, b) = (told.covering(p).expanded, plain.covering(p).expanded);
                assert!((a - b).abs() <= 1e-7 * a.abs(), "{p} of {one} and {other}: {a}, {b}");
            }
        }
    }

    #[test]
    fn nothing_is_certain() {
        let nothing = sum(&[]);
        assert_eq!(nothing.covering(0.95), Uncertainty::none());
        assert_eq!(nothing.times(2.0), Uncertainty::none());
    }
}
