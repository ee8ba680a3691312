//! Figures with units: as printed, as exact values, as doubles, and in another unit.

use std::fmt;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::rational::quotient_to_f64;
use crate::{Decimal, Dimension, Exact, Rational, Unit};

/// A figure with its unit, as printed or as an instrument showed it.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Measure {
    /// The figure with all its digits.
    pub figure: Decimal,
    /// The unit after it.
    pub unit: Unit,
}

/// Whether a figure is a point of a scale or an amount.
#[derive(Copy, Clone, Eq, PartialEq, Debug, Serialize, Deserialize)]
pub enum Place {
    /// A point: the unit's offset applies. `20 degC` is 293.15 K.
    Point,
    /// An amount or a difference: it never does. `± 2 degC` is 2 K.
    Amount,
}

impl Measure {
    /// A figure with a unit.
    pub fn new(figure: Decimal, unit: Unit) -> Measure {
        Measure { figure, unit }
    }

    /// The exact value in the coherent unit; `None` where it does not fit in 128-bit parts.
    pub fn exact(&self, place: Place) -> Option<Exact> {
        let figure = self.figure.to_rational()?;
        let shifted = match place {
            Place::Point => figure.checked_add(self.unit.offset())?,
            Place::Amount => figure,
        };
        Exact::from(shifted).checked_mul(self.unit.factor())
    }

    /// The value in the coherent unit: value and factor are combined exactly and rounded once, so
    /// `3300 mV` is the very double that `3.3 V` is. Within two units in the last place where the
    /// factor has a pi in it, or the exact value does not fit.
    pub fn coherent(&self, place: Place) -> f64 {
        if let Some(value) = self.rounded_once(place) {
            return value;
        }
        if let Some(exact) = self.exact(place) {
            return exact.to_f64();
        }
        let offset = match place {
            Place::Point => self.unit.offset().to_f64(),
            Place::Amount => 0.0,
        };
        (self.figure.to_f64() + offset) * self.unit.factor().to_f64()
    }

    /// The quotient of unreduced parts, rounded once: the same double as the exact value's, without
    /// the cost of reducing the fraction.
    fn rounded_once(&self, place: Place) -> Option<f64> {
        let factor = self.unit.factor();
        if factor.pi() != 0 {
            return None;
        }
        let power = 10_i128.checked_pow(self.figure.exponent().unsigned_abs())?;
        let (mut numer, mut denom) = match self.figure.exponent() < 0 {
            true => (self.figure.coefficient(), power),
            false => (self.figure.coefficient().checked_mul(power)?, 1),
        };
        let offset = self.unit.offset();
        if place == Place::Point && !offset.is_zero() {
            let shift = offset.numer().checked_mul(denom)?;
            numer = numer.checked_mul(offset.denom())?.checked_add(shift)?;
            denom = denom.checked_mul(offset.denom())?;
        }
        numer = numer.checked_mul(factor.ratio().numer())?;
        denom = denom.checked_mul(factor.ratio().denom())?;
        let magnitude = quotient_to_f64(numer.unsigned_abs(), denom.unsigned_abs());
        Some(if numer < 0 { -magnitude } else { magnitude })
    }

    /// Half a unit of the last digit shown, as an amount in the coherent unit.
    pub fn half_step(&self) -> f64 {
        Measure { figure: self.figure.half_step(), unit: self.unit.clone() }.coherent(Place::Amount)
    }
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.figure, self.unit)
    }
}

/// A figure in another unit.
#[derive(Clone, PartialEq, Debug)]
pub struct Converted {
    /// The value in the new unit.
    pub value: f64,
    /// The exact value, where it fits.
    pub exact: Option<Exact>,
    /// The value rounded to the digits that the figure deserves, without the unit.
    pub text: String,
    /// The new unit.
    pub unit: Unit,
}

impl fmt::Display for Converted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.text, self.unit)
    }
}

/// Why a figure cannot be given in another unit.
#[derive(Clone, Eq, PartialEq, Debug, Error)]
pub enum ConvertError {
    /// The units measure different things.
    #[error("`{from}` cannot be given in `{to}`: they measure different quantities")]
    DifferentDimension {
        /// The unit that the figure has.
        from: String,
        /// The unit asked for.
        to: String,
        /// The dimension of the one.
        from_dimension: Dimension,
        /// The dimension of the other.
        to_dimension: Dimension,
    },
}

/// Gives a figure in another unit.
///
/// The text keeps the decimal place whose step is nearest in proportion to the step of the figure's
/// own last digit: `34 N.m` has a step of 1 N.m, which is 0.74 lbf.ft and so nearest to 1, and reads
/// `25` lbf.ft; `0.10 mm` reads `0.004` in. That is how manuals print a figure in two units.
///
/// # Errors
/// [`ConvertError::DifferentDimension`] where the units measure different things. Whether the *kinds*
/// agree (torque against energy) is the caller's to check with [`comparable`](crate::comparable).
pub fn convert(measure: &Measure, to: &Unit, place: Place) -> Result<Converted, ConvertError> {
    let from = &measure.unit;
    if from.dimension() != to.dimension() {
        return Err(ConvertError::DifferentDimension {
            from: from.symbol().to_owned(),
            to: to.symbol().to_owned(),
            from_dimension: from.dimension(),
            to_dimension: to.dimension(),
        });
    }
    let exact = measure.exact(place).and_then(|coherent| exact_in(coherent, to, place));
    let value = match exact {
        Some(exact) => exact.to_f64(),
        None => from_coherent(measure.coherent(place), to, place),
    };
    let step = measure.figure.step().to_f64() * from.factor().to_f64() / to.factor().to_f64();
    let text = rounded_text(value, step.log10().round());
    Ok(Converted { value, exact, text, unit: to.clone() })
}

fn exact_in(coherent: Exact, unit: &Unit, place: Place) -> Option<Exact> {
    let scaled = coherent.checked_div(unit.factor())?;
    match place {
        Place::Point => scaled.checked_sub(Exact::from(unit.offset())),
        Place::Amount => Some(scaled),
    }
}

/// A coherent value in a unit. Where a figure of at most 15 digits has exactly this coherent value,
/// that figure is given: 293.15 K comes back as 20 degC, not as 19.999999999999943.
pub fn from_coherent(value: f64, unit: &Unit, place: Place) -> f64 {
    let offset = match place {
        Place::Point => unit.offset(),
        Place::Amount => Rational::ZERO,
    };
    let plain = value / unit.factor().to_f64() - offset.to_f64();
    let Ok(figure) = Decimal::parse(&format!("{plain:.14e}")) else {
        return plain;
    };
    let round = Measure { figure, unit: unit.clone() };
    if round.coherent(place) == value { figure.to_f64() } else { plain }
}

/// The value to the decimals that a step deserves: those of the largest power of ten not above it.
/// A step of 0.5 gives one decimal, 0.002 three, 20 rounds to tens. A step that is not above zero
/// gives the shortest text of the value itself.
pub fn figure_text(value: f64, resolution: f64) -> String {
    // Steps such as 0.001 are not doubles: a hair is added before the logarithm is cut off.
    rounded_text(value, (resolution.log10() + 1e-9).floor())
}

/// The value to a number of significant digits (1 to 17).
pub fn significant_text(value: f64, digits: u32) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let digits = digits.clamp(1, 17);
    // Rounding may carry into a further digit (9.96 to two digits is 10): read the power off the
    // rounded text.
    let rounded = format!("{value:.*e}", digits as usize - 1);
    let power = rounded.split_once('e').and_then(|(_, power)| power.parse::<f64>().ok());
    rounded_text(value, power.map_or(f64::NAN, |power| power - f64::from(digits) + 1.0))
}

/// The value rounded at the decimal place of a power of ten.
fn rounded_text(value: f64, power: f64) -> String {
    if !value.is_finite() || !power.is_finite() || power.abs() > 30.0 {
        return value.to_string();
    }
    let power = power as i32;
    let text = if power <= 0 {
        format!("{value:.*}", power.unsigned_abs() as usize)
    } else {
        let step = 10_f64.powi(power);
        format!("{:.0}", (value / step).round_ties_even() * step)
    };
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|c| matches!(c, '0' | '.')) => digits.to_owned(),
        _ => text,
    }
}
