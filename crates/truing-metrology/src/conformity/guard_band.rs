use crate::uncertainty::coverage::normal_quantile;

/// The guard band w = r·U, with the expanded uncertainty U (JCGM 106:2012, 8.3.2.2; r = 1 is the common
/// choice, ILAC-G8:09/2019, table 1).
#[must_use]
pub fn guard_band(factor: f64, expanded_uncertainty: f64) -> f64 {
    factor * expanded_uncertainty
}

/// g in w = g·u, so that a normal result on the acceptance limit of a one-sided limit conforms with
/// this probability: 1.645 at 95 %, which ISO 14253-1:2017 rounds to 1.65. `None` where the probability
/// is not between 0 and 1.
#[must_use]
pub fn guard_factor(probability: f64) -> Option<f64> {
    normal_quantile(probability).filter(|factor| factor.is_finite())
}

/// √(1 − 1/TUR²), by which the tolerance is multiplied in root-sum-square guard banding (read in a
/// public test suite, sandialabs/suncal). `None` for a ratio below 1 or not a number.
#[must_use]
pub fn rss_tolerance_factor(ratio: f64) -> Option<f64> {
    (ratio >= 1.0).then(|| (1.0 - (ratio * ratio).recip()).sqrt())
}

/// 1 − 1/TUR, by which the tolerance is multiplied where the guard band is the expanded uncertainty
/// (sandialabs/suncal). `None` for a ratio below 1 or not a number.
#[must_use]
pub fn tolerance_factor(ratio: f64) -> Option<f64> {
    (ratio >= 1.0).then(|| 1.0 - ratio.recip())
}

/// The value from which on an upper limit is exceeded with this probability, where the standard
/// uncertainty is a fraction of the value itself: T_U/(1 − z·u_rel) (guarded rejection, JCGM 106:2012,
/// 8.3.3, example). `None` where no value is large enough or the probability is not between 0 and 1.
#[must_use]
pub fn relative_rejection_limit(
    limit: f64,
    relative_uncertainty: f64,
    probability: f64,
) -> Option<f64> {
    let room = 1.0 - guard_factor(probability)? * relative_uncertainty;
    (room > 0.0).then(|| limit / room)
}
