use serde::{Deserialize, Serialize};

use super::{Conformance, Limits};

/// What a rule says of a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Decision {
    /// The limits are held.
    Pass,
    /// The limits are not held.
    Fail,
    /// The measurement cannot tell.
    Undecided,
}

/// What the non-binary rule with a guard band says (ILAC-G8:09/2019, 4.2.3).
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum GradedDecision {
    /// Within the limits by the guard band.
    Pass,
    /// Within the limits by less than the guard band.
    ConditionalPass,
    /// Outside the limits by no more than the guard band.
    ConditionalFail,
    /// Outside the limits by more than the guard band.
    Fail,
}

/// Simple acceptance: the value is taken for the true one (JCGM 106:2012, 8.2). A value that is not a
/// number is undecided.
#[must_use]
pub fn simple(value: f64, limits: Limits) -> Decision {
    if value.is_nan() {
        Decision::Undecided
    } else if limits.contains(value) {
        Decision::Pass
    } else {
        Decision::Fail
    }
}

/// Guarded acceptance: whether the value is within limits moved inwards by the guard band w, for
/// instance k·u (JCGM 106:2012, 8.3.2; ISO 14253-1:2017, proving conformity).
#[must_use]
pub fn guarded_acceptance(value: f64, limits: Limits, guard_band: f64) -> bool {
    limits.guarded(guard_band).contains(value)
}

/// Guarded acceptance and guarded rejection together: pass within the limits by at least the guard band,
/// fail outside them by more than it, undecided between (JCGM 106:2012, 8.3.2 and 8.3.3;
/// ISO 14253-1:2017).
#[must_use]
pub fn by_guard_band(value: f64, limits: Limits, guard_band: f64) -> Decision {
    match non_binary(value, limits, guard_band) {
        Some(GradedDecision::Pass) => Decision::Pass,
        Some(GradedDecision::Fail) => Decision::Fail,
        Some(GradedDecision::ConditionalPass | GradedDecision::ConditionalFail) | None => {
            Decision::Undecided
        }
    }
}

/// Pass or fail where the probability of being right is at least `probability`, undecided otherwise
/// (JCGM 106:2012, 7.4 and 8.3).
#[must_use]
pub fn by_probability(conformance: &Conformance, probability: f64) -> Decision {
    if conformance.within >= probability {
        Decision::Pass
    } else if conformance.below + conformance.above >= probability {
        Decision::Fail
    } else {
        Decision::Undecided
    }
}

/// The non-binary rule with a guard band (ILAC-G8:09/2019, 4.2.3); `None` for a value or a guard band
/// that is not a number.
#[must_use]
pub fn non_binary(value: f64, limits: Limits, guard_band: f64) -> Option<GradedDecision> {
    if value.is_nan() || guard_band.is_nan() {
        return None;
    }
    Some(if limits.guarded(guard_band).contains(value) {
        GradedDecision::Pass
    } else if limits.contains(value) {
        GradedDecision::ConditionalPass
    } else if limits.guarded(-guard_band).contains(value) {
        GradedDecision::ConditionalFail
    } else {
        GradedDecision::Fail
    })
}
