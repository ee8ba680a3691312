use super::Limits;
use crate::uncertainty::coverage::normal_cdf;

/// Measurement capability index C_m = T/(4u_m), with the tolerance T = T_U − T_L and the standard
/// uncertainty u_m (JCGM 106:2012, 7.6.3). `None` where u is not above zero.
#[must_use]
pub fn capability_index(tolerance: f64, standard_uncertainty: f64) -> Option<f64> {
    tolerance_uncertainty_ratio(tolerance, 2.0 * standard_uncertainty)
}

/// T/(2U): half the tolerance over the expanded uncertainty, often called TUR; with U = 2u it is C_m.
/// `None` where U is not above zero.
#[must_use]
pub fn tolerance_uncertainty_ratio(tolerance: f64, expanded_uncertainty: f64) -> Option<f64> {
    (expanded_uncertainty > 0.0).then(|| tolerance / (2.0 * expanded_uncertainty))
}

/// How well a normal process keeps its limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProcessCapability {
    /// C_pk: the distance from the mean to the nearer limit over 3σ.
    pub cpk: f64,
    /// The fraction of items outside the limits.
    pub outside: f64,
}

/// C_pk and the fraction outside the limits of a normal process. `None` where there is no limit, or σ is
/// not above zero.
#[must_use]
pub fn process_capability(mean: f64, deviation: f64, limits: Limits) -> Option<ProcessCapability> {
    if !(deviation > 0.0 && mean.is_finite()) || limits == Limits::default() {
        return None;
    }
    let above_low = (mean - limits.lowest()) / deviation;
    let below_high = (limits.highest() - mean) / deviation;
    Some(ProcessCapability {
        cpk: above_low.min(below_high) / 3.0,
        outside: normal_cdf(-above_low) + normal_cdf(-below_high),
    })
}
