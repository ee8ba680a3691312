use serde::{Deserialize, Serialize};

/// What a quantity is allowed to be; a limit itself is allowed (JCGM 106:2012, 3.3.4 and 3.3.5).
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Limits {
    /// The lower tolerance limit T_L.
    pub low: Option<f64>,
    /// The upper tolerance limit T_U.
    pub high: Option<f64>,
}

/// Why limits were refused.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum LimitsError {
    /// A limit that is infinite or not a number.
    #[error("a limit is a finite number, not {0}")]
    NotFinite(f64),
    /// The lower limit is above the upper one.
    #[error("the lower limit {low} is above the upper limit {high}")]
    Crossed {
        /// The lower limit.
        low: f64,
        /// The upper limit.
        high: f64,
    },
}

impl Limits {
    /// Limits that are finite and in order.
    ///
    /// # Errors
    /// A limit that is not finite, or a lower one above the upper one.
    pub fn new(low: Option<f64>, high: Option<f64>) -> Result<Self, LimitsError> {
        for limit in [low, high].into_iter().flatten() {
            if !limit.is_finite() {
                return Err(LimitsError::NotFinite(limit));
            }
        }
        match (low, high) {
            (Some(low), Some(high)) if low > high => Err(LimitsError::Crossed { low, high }),
            _ => Ok(Limits { low, high }),
        }
    }

    /// A lower limit alone.
    #[must_use]
    pub fn at_least(low: f64) -> Self {
        Limits { low: Some(low), high: None }
    }

    /// An upper limit alone.
    #[must_use]
    pub fn at_most(high: f64) -> Self {
        Limits { low: None, high: Some(high) }
    }

    /// Two limits.
    #[must_use]
    pub fn between(low: f64, high: f64) -> Self {
        Limits { low: Some(low), high: Some(high) }
    }

    /// Whether the value is allowed.
    #[must_use]
    pub fn contains(&self, value: f64) -> bool {
        self.lowest() <= value && value <= self.highest()
    }

    /// The tolerance T_U − T_L, where there are two limits (JCGM 106:2012, 3.3.6).
    #[must_use]
    pub fn tolerance(&self) -> Option<f64> {
        Some(self.high? - self.low?)
    }

    /// The limits moved inwards by a guard band, outwards by a negative one (JCGM 106:2012, 8.3). They
    /// may cross: nothing is then accepted.
    #[must_use]
    pub fn guarded(&self, guard_band: f64) -> Self {
        Limits {
            low: self.low.map(|low| low + guard_band),
            high: self.high.map(|high| high - guard_band),
        }
    }

    pub(super) fn lowest(&self) -> f64 {
        self.low.unwrap_or(f64::NEG_INFINITY)
    }

    pub(super) fn highest(&self) -> f64 {
        self.high.unwrap_or(f64::INFINITY)
    }
}
