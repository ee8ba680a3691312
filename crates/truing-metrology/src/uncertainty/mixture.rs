//! A Student variable as a mixture of normal ones, and an arcsine one as an integral over its phase.

use std::f64::consts::PI;

use super::quadrature::integrate;

/// A Student variable with ν degrees of freedom is normal with the variance 1/w, where νw is
/// chi-squared with ν degrees of freedom. The mean over w is taken by the trapezoid rule in ln w,
/// whose error falls as exp(−π²/h) with the step h.
#[derive(Debug, Clone, Copy)]
pub(super) struct VarianceFactors {
    half_dof: f64,
    lowest: f64,
    step: f64,
    steps: u32,
}

/// Weights below e⁻³⁸ of the largest are left out.
const NEGLIGIBLE: f64 = 38.0;

/// Beyond these degrees of freedom a Student variable is a normal one to the last digit.
const MANY: f64 = 1e13;

impl VarianceFactors {
    /// The factors for these degrees of freedom, enough of them for what happens as far out as
    /// `reach` standard uncertainties.
    pub(super) fn new(dof: f64, reach: f64) -> Self {
        let half_dof = 0.5 * dof;
        if dof > MANY {
            return VarianceFactors { half_dof: 1.0, lowest: 0.0, step: 0.0, steps: 0 };
        }
        // The logarithm of the weight is ν/2 (v − eᵛ + 1), v = ln w.
        let drop = NEGLIGIBLE / half_dof;
        let narrow = (2.0 * drop).sqrt();
        let further = 2.0 * libm::log(reach.abs().max(1.0));
        let lowest = -(narrow + drop).min(drop + 1.0) - further;
        let highest = narrow.min(libm::log(2.0 + 2.0 * drop));
        let step = (0.8 / half_dof.sqrt()).min(0.28);
        let steps = ((highest - lowest) / step).ceil();
        VarianceFactors { half_dof, lowest, step, steps: steps.min(1e6) as u32 }
    }

    /// The mean of a function of the variance factor 1/w.
    pub(super) fn mean(&self, mut of: impl FnMut(f64) -> f64) -> f64 {
        let mut sum = 0.0;
        let mut weights = 0.0;
        for index in 0..=self.steps {
            let v = self.lowest + self.step * f64::from(index);
            let rise = libm::expm1(v);
            let weight = libm::exp(self.half_dof * (v - rise));
            weights += weight;
            sum += weight * of(libm::exp(-v));
        }
        sum / weights
    }
}

/// The mean of `of(a cos θ)` over a phase θ that may be anything; `edges` are the arguments at which
/// `of` bends most.
pub(super) fn phase_mean(amplitude: f64, edges: &[f64], mut of: impl FnMut(f64) -> f64) -> f64 {
    let mut from = 0.0;
    let mut sum = 0.0;
    // From a downwards, as the cosine goes.
    for edge in edges.iter().rev().copied().chain([-amplitude]) {
        let to = libm::acos((edge / amplitude).clamp(-1.0, 1.0));
        if to > from {
            sum += integrate(|phase| of(amplitude * libm::cos(phase)), from, to, 1e-11);
            from = to;
        }
    }
    sum / PI
}
