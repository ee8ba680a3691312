//! A value with its slopes, and the error of an argument that a law does not cover.

use thiserror::Error;

/// A value and its derivative with respect to the one reading that it was worked out from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WithSlope {
    /// The value, in the unit that the function states.
    pub value: f64,
    /// The derivative of the value with respect to the reading, in the unit of the value per unit
    /// of the reading. It is the sensitivity coefficient of JCGM 100:2008, 5.1.3.
    pub slope: f64,
}

impl WithSlope {
    pub(crate) fn checked(value: f64, slope: f64) -> Result<Self, OutOfRange> {
        Ok(Self { value: finite("result", value)?, slope: finite("slope", slope)? })
    }

    /// The inverse function at the same point: the reading as the value, with one over the slope.
    pub(crate) fn inverse(self, argument: f64) -> Result<Self, OutOfRange> {
        Self::checked(argument, 1.0 / self.slope)
    }
}

/// A value and its derivative with respect to each of `N` arguments, in the order in which the
/// function takes them (the sensitivity coefficients of JCGM 100:2008, 5.1.3).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WithSlopes<const N: usize> {
    /// The value, in the unit that the function states.
    pub value: f64,
    /// The derivatives, one for each argument.
    pub slopes: [f64; N],
}

impl<const N: usize> WithSlopes<N> {
    pub(crate) fn checked(value: f64, slopes: [f64; N]) -> Result<Self, OutOfRange> {
        for slope in slopes {
            finite("slope", slope)?;
        }
        Ok(Self { value: finite("result", value)?, slopes })
    }
}

/// An argument, or a result, that the law does not cover.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error("{what} {value} does not lie from {low} to {high}")]
pub struct OutOfRange {
    /// What lies outside: the name of an argument, or `result`.
    pub what: &'static str,
    /// The value that was given. It may be infinite or not a number.
    pub value: f64,
    /// The lower end of what the law covers, in the unit of the argument.
    pub low: f64,
    /// The upper end.
    pub high: f64,
}

/// `value`, if it lies from `low` to `high` with both ends.
pub(crate) fn within(
    what: &'static str,
    value: f64,
    low: f64,
    high: f64,
) -> Result<f64, OutOfRange> {
    if (low..=high).contains(&value) {
        Ok(value)
    } else {
        Err(OutOfRange { what, value, low, high })
    }
}

/// `value`, if it is a finite number above `low`, which itself is refused.
pub(crate) fn above(what: &'static str, value: f64, low: f64) -> Result<f64, OutOfRange> {
    if value > low && value.is_finite() {
        Ok(value)
    } else {
        Err(OutOfRange { what, value, low, high: f64::INFINITY })
    }
}

/// `value`, if it is a finite number above zero.
pub(crate) fn positive(what: &'static str, value: f64) -> Result<f64, OutOfRange> {
    above(what, value, 0.0)
}

/// `value`, if it is a finite number.
pub(crate) fn finite(what: &'static str, value: f64) -> Result<f64, OutOfRange> {
    within(what, value, f64::MIN, f64::MAX)
}
