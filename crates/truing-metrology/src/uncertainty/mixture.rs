//! A Student variable as a mixture of normal ones.

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

/// Beyond these degrees of freedom a Student variable is a normal one to the last digit.
const MANY: f64 = 1e13;

impl VarianceFactors {
    /// The factors for these degrees of freedom, enough of them for what happens as far out as
    /// `reach` standard uncertainties, and for 1e-10 or so.
    pub(super) fn new(dof: f64, reach: f64) -> Self {
        VarianceFactors::with_step(dof, reach, (0.3, 0.7, 34.0))
    }

    /// As [`VarianceFactors::new`], for a few in 1e-9: where the mean is taken many times.
    pub(super) fn coarse(dof: f64, reach: f64) -> Self {
        VarianceFactors::with_step(dof, reach, (0.36, 0.75, 28.0))
    }

    /// As [`VarianceFactors::new`], for all digits.
    pub(super) fn fine(dof: f64, reach: f64) -> Self {
        VarianceFactors::with_step(dof, reach, (0.2, 0.55, 38.0))
    }

    /// The widest step, the step in units of √(2/ν), and the logarithm of the weights left out.
    fn with_step(dof: f64, reach: f64, (widest, relative, negligible): (f64, f64, f64)) -> Self {
        let half_dof = 0.5 * dof;
        if dof > MANY {
            return VarianceFactors { half_dof: 1.0, lowest: 0.0, step: 0.0, steps: 0 };
        }
        // The logarithm of the weight is ν/2 (v − eᵛ + 1), v = ln w.
        let drop = negligible / half_dof;
        let narrow = (2.0 * drop).sqrt();
        let further = 2.0 * libm::log(reach.abs().max(1.0));
        let lowest = -(narrow + drop).min(drop + 1.0) - further;
        let highest = narrow.min(libm::log(2.0 + 2.0 * drop));
        // For many degrees of freedom the weight is normal in ln w, with the deviation √(2/ν).
        let step = (relative / half_dof.sqrt()).min(widest);
        let steps = ((highest - lowest) / step).ceil();
        VarianceFactors { half_dof, lowest, step, steps: steps.min(1e6) as u32 }
    }

    /// The mean of a function of the variance factor 1/w.
    pub(super) fn mean(&self, mut of: impl FnMut(f64) -> f64) -> f64 {
        let mut sum = 0.0;
        let mut weights = 0.0;
        for index in 0..=self.steps {
            let v = self.lowest + self.step * f64::from(index);
            // Near zero it is v − eᵛ + 1 that cancels, far below it is 1 + (eᵛ − 1).
            let (w, drop) = if v < -0.5 {
                let w = libm::exp(v);
                (w, v - w + 1.0)
            } else {
                let rise = libm::expm1(v);
                (1.0 + rise, v - rise)
            };
            let weight = libm::exp(self.half_dof * drop);
            weights += weight;
            sum += weight * of(w.recip());
        }
        sum / weights
    }
}
