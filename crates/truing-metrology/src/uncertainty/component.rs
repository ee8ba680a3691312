use serde::{Deserialize, Serialize};

use super::coverage::normal_quantile;

/// The shape of the distribution of an error about zero.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shape {
    /// Normal; the scale is the standard uncertainty (JCGM 100:2008, 4.3.4 to 4.3.6).
    Normal,
    /// Rectangular; the scale is the half-width a, u = a/√3 (JCGM 100:2008, eq. 7).
    Rectangular,
    /// Symmetric triangular; the scale is the half-width a, u = a/√6 (JCGM 100:2008, eq. 9b).
    Triangular,
    /// Symmetric trapezoidal; the scale is the half-width of the base a, the top has the half-width
    /// βa, u² = a²(1 + β²)/6 (JCGM 100:2008, eq. 9a).
    Trapezoidal {
        /// The width of the top over that of the base, from 0 (triangular) to 1 (rectangular).
        beta: f64,
    },
    /// Arcsine, of an error that swings as a sine; the scale is the amplitude a, u = a/√2
    /// (JCGM 101:2008, 6.4.6).
    Arcsine,
    /// Scaled Student, of a mean of n readings; the scale is s/√n, which is its standard
    /// uncertainty in the sense of the GUM, not inflated by √(ν/(ν − 2)) (JCGM 100:2008, 4.2.3,
    /// G.3.2).
    Student {
        /// Degrees of freedom ν, above zero, not necessarily whole.
        dof: f64,
    },
}

/// Why a component of uncertainty was refused.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ComponentError {
    /// The half-width or standard uncertainty is negative, above 1e150 or not a number.
    #[error("a half-width or standard uncertainty is a number from 0 to 1e150, not {0}")]
    Scale(f64),
    /// The ratio of top to base of a trapezoid is outside 0 to 1.
    #[error("the ratio of top to base of a trapezoid is from 0 to 1, not {0}")]
    Beta(f64),
    /// The degrees of freedom are not above zero and finite.
    #[error("degrees of freedom are a finite number above 0, not {0}")]
    Dof(f64),
    /// A probability that is not between 0 and 1.
    #[error("a coverage probability is between 0 and 1, not {0}")]
    Probability(f64),
    /// A sensitivity coefficient that is infinite or not a number.
    #[error("a sensitivity coefficient is a finite number, not {0}")]
    Sensitivity(f64),
    /// No reading to take a mean of.
    #[error("a mean wants at least two readings for its spread, not {0}")]
    Readings(usize),
    /// The relative uncertainty of a standard uncertainty is not above zero and finite.
    #[error(
        "the relative uncertainty of a standard uncertainty is a finite number above 0, not {0}"
    )]
    RelativeUncertainty(f64),
}

/// Scales beyond this have squares that no `f64` holds.
const WIDEST: f64 = 1e150;

/// One source of error, centred on zero, in a unit that the caller keeps.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Unchecked")]
pub struct Component {
    shape: Shape,
    scale: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Unchecked {
    shape: Shape,
    scale: f64,
}

impl TryFrom<Unchecked> for Component {
    type Error = ComponentError;

    fn try_from(unchecked: Unchecked) -> Result<Self, ComponentError> {
        Component::new(unchecked.shape, unchecked.scale)
    }
}

impl Component {
    /// A component of this shape and scale; see [`Shape`] for what the scale is.
    ///
    /// # Errors
    /// A scale that is negative, above 1e150 or not a number; β outside 0 to 1; degrees of freedom not above zero.
    pub fn new(shape: Shape, scale: f64) -> Result<Self, ComponentError> {
        if !(0.0..=WIDEST).contains(&scale) {
            return Err(ComponentError::Scale(scale));
        }
        match shape {
            Shape::Trapezoidal { beta } if !(0.0..=1.0).contains(&beta) => {
                Err(ComponentError::Beta(beta))
            }
            Shape::Student { dof } if !(dof.is_finite() && dof > 0.0) => {
                Err(ComponentError::Dof(dof))
            }
            _ => Ok(Component { shape, scale }),
        }
    }

    /// Normal with this standard uncertainty.
    ///
    /// # Errors
    /// As [`Component::new`].
    pub fn normal(standard_uncertainty: f64) -> Result<Self, ComponentError> {
        Component::new(Shape::Normal, standard_uncertainty)
    }

    /// Rectangular with this half-width (JCGM 100:2008, 4.3.7).
    ///
    /// # Errors
    /// As [`Component::new`].
    pub fn rectangular(half_width: f64) -> Result<Self, ComponentError> {
        Component::new(Shape::Rectangular, half_width)
    }

    /// Triangular with this half-width (JCGM 100:2008, 4.3.9).
    ///
    /// # Errors
    /// As [`Component::new`].
    pub fn triangular(half_width: f64) -> Result<Self, ComponentError> {
        Component::new(Shape::Triangular, half_width)
    }

    /// Scaled Student with this standard uncertainty and degrees of freedom.
    ///
    /// # Errors
    /// As [`Component::new`].
    pub fn student(standard_uncertainty: f64, dof: f64) -> Result<Self, ComponentError> {
        Component::new(Shape::Student { dof }, standard_uncertainty)
    }

    /// The mean of `readings` readings with the experimental standard deviation `deviation`: Student
    /// with the scale s/√n and n − 1 degrees of freedom (JCGM 100:2008, 4.2.3).
    ///
    /// # Errors
    /// Fewer than two readings; a deviation that is negative or not finite.
    pub fn mean_of_readings(deviation: f64, readings: usize) -> Result<Self, ComponentError> {
        if readings < 2 {
            return Err(ComponentError::Readings(readings));
        }
        let count = readings as f64;
        Component::student(deviation / count.sqrt(), count - 1.0)
    }

    /// Normal, from the half-width of an interval said to hold the value with this probability
    /// (JCGM 100:2008, 4.3.4 and 4.3.5: ±a at 50 % is u = 1.48 a).
    ///
    /// # Errors
    /// A probability that is not between 0 and 1; a half-width that is negative or not finite.
    pub fn from_interval(half_width: f64, probability: f64) -> Result<Self, ComponentError> {
        if !(probability > 0.0 && probability < 1.0) {
            return Err(ComponentError::Probability(probability));
        }
        let half_width = Component::normal(half_width)?.scale;
        // From the tail: (1 + p)/2 would round to 1 where p is next to 1.
        let factor = -normal_quantile(0.5 * (1.0 - probability)).unwrap_or(f64::NAN);
        Component::normal(half_width / factor)
    }

    /// The shape of the distribution.
    #[must_use]
    pub fn shape(&self) -> Shape {
        self.shape
    }

    /// Half-width, amplitude or standard uncertainty: see [`Shape`].
    #[must_use]
    pub fn scale(&self) -> f64 {
        self.scale
    }

    /// The standard uncertainty u, in the unit of the scale.
    #[must_use]
    pub fn standard_uncertainty(&self) -> f64 {
        match self.shape {
            Shape::Normal | Shape::Student { .. } => self.scale,
            Shape::Rectangular => self.scale / 3.0_f64.sqrt(),
            Shape::Triangular => self.scale / 6.0_f64.sqrt(),
            Shape::Trapezoidal { beta } => self.scale * ((1.0 + beta * beta) / 6.0).sqrt(),
            Shape::Arcsine => self.scale / 2.0_f64.sqrt(),
        }
    }

    /// Degrees of freedom of the standard uncertainty; `None` where they are infinite, that is for
    /// every shape but Student's (JCGM 100:2008, G.4.3).
    #[must_use]
    pub fn dof(&self) -> Option<f64> {
        match self.shape {
            Shape::Student { dof } => Some(dof),
            _ => None,
        }
    }

    /// The component as it contributes to a result with this sensitivity coefficient, |c| times as
    /// wide (JCGM 100:2008, 5.1.3).
    ///
    /// # Errors
    /// A coefficient that is not finite, or a product that is not.
    pub fn scaled(self, sensitivity: f64) -> Result<Self, ComponentError> {
        if !sensitivity.is_finite() {
            return Err(ComponentError::Sensitivity(sensitivity));
        }
        Component::new(self.shape, self.scale * sensitivity.abs())
    }
}

/// Degrees of freedom of a standard uncertainty that is itself uncertain by this fraction:
/// ν ≈ (Δu/u)⁻²/2 (JCGM 100:2008, G.4.2, eq. G.3).
///
/// # Errors
/// A relative uncertainty that is not above zero and finite.
pub fn relative_dof(relative_uncertainty: f64) -> Result<f64, ComponentError> {
    if !(relative_uncertainty.is_finite() && relative_uncertainty > 0.0) {
        return Err(ComponentError::RelativeUncertainty(relative_uncertainty));
    }
    Ok(0.5 / (relative_uncertainty * relative_uncertainty))
}
