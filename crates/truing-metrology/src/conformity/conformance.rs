use serde::{Deserialize, Serialize};

use super::Limits;
use crate::uncertainty::ErrorSum;

/// Where the true value lies, as probabilities that sum to 1.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Conformance {
    /// Within the limits: the conformance probability p_c.
    pub within: f64,
    /// Below the lower limit.
    pub below: f64,
    /// Above the upper limit.
    pub above: f64,
}

impl Conformance {
    /// Probability of being wrong where the item is accepted: the specific consumer's risk
    /// (JCGM 106:2012, 9.3.2).
    #[must_use]
    pub fn specific_consumer_risk(&self) -> f64 {
        self.below + self.above
    }

    /// Probability of being wrong where the item is rejected: the specific producer's risk
    /// (JCGM 106:2012, 9.3.3).
    #[must_use]
    pub fn specific_producer_risk(&self) -> f64 {
        self.within
    }
}

/// How probable it is that the true value, `value` less its error, is within the limits, with nothing
/// known of it beforehand (JCGM 106:2012, 7.2, with the distribution of the error as it is).
#[must_use]
pub fn conformance_probability(error: &ErrorSum, value: f64, limits: Limits) -> Conformance {
    // The true value is below T_L where the error is above value − T_L, and above T_U where the error is
    // below value − T_U, which by symmetry is as probable as above T_U − value.
    let over_low = value - limits.lowest();
    let over_high = value - limits.highest();
    Conformance {
        within: error.probability_between(over_high, over_low).clamp(0.0, 1.0),
        below: error.tail(over_low),
        above: error.tail(-over_high),
    }
}
