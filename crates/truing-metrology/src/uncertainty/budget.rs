//! The law of propagation of uncertainty (JCGM 100:2008, clause 5 and G.4).

use super::coverage::{normal_quantile, student_coverage_factor};
use super::{Component, Correlation};

/// One input of a measurement model.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// The error of the input.
    pub component: Component,
    /// The sensitivity coefficient ∂f/∂xᵢ, with its sign.
    pub sensitivity: f64,
}

impl Line {
    /// cᵢu(xᵢ), with the sign of the sensitivity, in the unit of the result.
    #[must_use]
    pub fn contribution(&self) -> f64 {
        self.sensitivity * self.component.standard_uncertainty()
    }
}

/// The combined uncertainty of a result.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Combined {
    /// u_c, in the unit of the result.
    pub standard_uncertainty: f64,
    /// Effective degrees of freedom; `None` where they are infinite.
    pub effective_dof: Option<f64>,
}

impl Combined {
    /// k = t_p(ν_eff) (JCGM 100:2008, G.4.1); `None` where `p` is not between 0 and 1.
    #[must_use]
    pub fn coverage_factor(&self, p: f64) -> Option<f64> {
        match self.effective_dof {
            Some(dof) => student_coverage_factor(p, dof),
            None if p > 0.0 && p < 1.0 => normal_quantile(0.5 * (1.0 - p)).map(|z| -z),
            None => None,
        }
    }

    /// As [`Combined::coverage_factor`], with the degrees of freedom cut to the next lower whole number
    /// as for looking up a table (JCGM 100:2008, G.4.1, note 1), but at least 1.
    #[must_use]
    pub fn tabled_coverage_factor(&self, p: f64) -> Option<f64> {
        let effective_dof = self.effective_dof.map(|dof| dof.floor().max(1.0));
        Combined { effective_dof, ..*self }.coverage_factor(p)
    }
}

/// Why a budget cannot be combined.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum BudgetError {
    /// A sensitivity coefficient, or a contribution, that is not finite.
    #[error("the contribution of input {0} is not finite")]
    NotFinite(usize),
    /// The correlation matrix has another size.
    #[error("{correlated} quantities have correlations, but there are {lines} inputs")]
    Size {
        /// How many the matrix is for.
        correlated: usize,
        /// How many inputs there are.
        lines: usize,
    },
    /// A correlated input with finite degrees of freedom: Welch-Satterthwaite is for independent ones
    /// (JCGM 100:2008, G.4.1).
    #[error("input {0} is correlated and has finite degrees of freedom: no effective ones follow")]
    CorrelatedDof(usize),
}

/// u_c and ν_eff of a result (JCGM 100:2008, eq. 10, 13 and G.2b).
///
/// # Errors
/// Contributions that are not finite, a correlation of another size, or a correlated input whose
/// degrees of freedom are finite.
pub fn combine(lines: &[Line], correlation: Option<&Correlation>) -> Result<Combined, BudgetError> {
    let mut contributions = Vec::with_capacity(lines.len());
    for (index, line) in lines.iter().enumerate() {
        let contribution = line.contribution();
        if !contribution.is_finite() {
            return Err(BudgetError::NotFinite(index));
        }
        contributions.push(contribution);
    }
    let standard_uncertainty = match correlation {
        None => contributions.iter().map(|c| c * c).sum::<f64>().sqrt(),
        Some(matrix) if matrix.size() != lines.len() => {
            return Err(BudgetError::Size { correlated: matrix.size(), lines: lines.len() });
        }
        Some(matrix) => {
            let finite = |(index, line): &(usize, &Line)| {
                line.component.dof().is_some() && matrix.is_correlated(*index)
            };
            if let Some((index, _)) = lines.iter().enumerate().find(finite) {
                return Err(BudgetError::CorrelatedDof(index));
            }
            matrix.combine(&contributions)
        }
    };
    // In shares of the variance, so that no fourth power leaves the range of an f64.
    let spread: f64 = lines
        .iter()
        .zip(&contributions)
        .filter_map(|(line, contribution)| {
            let share = contribution / standard_uncertainty;
            line.component.dof().map(|dof| (share * share) * (share * share) / dof)
        })
        .sum();
    let effective_dof = (spread > 0.0).then(|| spread.recip());
    Ok(Combined { standard_uncertainty, effective_dof })
}
