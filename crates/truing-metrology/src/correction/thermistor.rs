//! Thermistors with a negative temperature coefficient. Temperatures in °C, resistances in Ω.

use super::root::of_rising;
use super::{OutOfRange, WithSlope, WithSlopes, above, finite, positive, within};

/// 0 °C in kelvin (SI Brochure, 2.3.1).
const ZERO_CELSIUS: f64 = 273.15;

/// ln R that any thermistor stays within: 1e-13 Ω to 1e13 Ω.
const LOG_LIMIT: f64 = 30.0;

/// The beta law: R = R₀ exp(B (1/T − 1/T₀)), with T in kelvin. Makers state R₀ at 25 °C and B
/// between two temperatures; the law holds near them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BetaLaw {
    resistance: f64,
    kelvin: f64,
    beta: f64,
}

impl BetaLaw {
    /// The law of a thermistor of `resistance` Ω at `t` °C with the constant `beta` in kelvin.
    ///
    /// # Errors
    /// A resistance or a constant that is not above zero; a temperature at or below −273.15 °C.
    pub fn new(resistance: f64, t: f64, beta: f64) -> Result<Self, OutOfRange> {
        Ok(Self {
            resistance: positive("resistance", resistance)?,
            kelvin: kelvin(t)?,
            beta: positive("beta", beta)?,
        })
    }

    /// The resistance in Ω at `t` °C.
    ///
    /// # Errors
    /// A temperature at or below −273.15 °C, or one so low that the resistance overflows.
    pub fn resistance(&self, t: f64) -> Result<WithSlope, OutOfRange> {
        let kelvin = kelvin(t)?;
        let value = self.resistance * libm::exp(self.beta * (1.0 / kelvin - 1.0 / self.kelvin));
        WithSlope::checked(value, -value * self.beta / (kelvin * kelvin))
    }

    /// The temperature in °C at `resistance` Ω.
    ///
    /// # Errors
    /// A resistance that is not above zero, or so low that the law gives no temperature for it.
    pub fn temperature(&self, resistance: f64) -> Result<WithSlope, OutOfRange> {
        positive("resistance", resistance)?;
        let inverse = 1.0 / self.kelvin + libm::log(resistance / self.resistance) / self.beta;
        from_inverse_kelvin(inverse, 1.0 / (self.beta * resistance))
    }
}

/// The constant B in kelvin from two points of a thermistor: ln(R1/R2)/(1/T1 − 1/T2).
/// Slopes: by `r1`, `t1`, `r2`, `t2`.
///
/// # Errors
/// A resistance that is not above zero, a temperature at or below −273.15 °C, or two points that
/// make no falling law.
pub fn beta(r1: f64, t1: f64, r2: f64, t2: f64) -> Result<WithSlopes<4>, OutOfRange> {
    let (log, apart, k1, k2) = (
        libm::log(positive("resistance", r1)? / positive("resistance", r2)?),
        1.0 / kelvin(t1)? - 1.0 / kelvin(t2)?,
        kelvin(t1)?,
        kelvin(t2)?,
    );
    let value = positive("beta", log / apart)?;
    let by_inverse = value / apart;
    WithSlopes::checked(
        value,
        [1.0 / (apart * r1), by_inverse / (k1 * k1), -1.0 / (apart * r2), -by_inverse / (k2 * k2)],
    )
}

/// The law of Steinhart and Hart: 1/T = A + B ln R + C (ln R)³, with T in kelvin and R in Ω
/// (Deep-Sea Research 15 (1968) 497; `from memory`).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SteinhartHart {
    a: f64,
    b: f64,
    c: f64,
    /// |ln R| up to which the temperature falls with the resistance.
    log_limit: f64,
}

impl SteinhartHart {
    /// The law with the coefficients `a`, `b`, `c` (1/K). `c` may be slightly negative, as fits
    /// sometimes give it; the law then ends where it would turn.
    ///
    /// # Errors
    /// A coefficient that is no finite number; `b` that is not above zero.
    pub fn new(a: f64, b: f64, c: f64) -> Result<Self, OutOfRange> {
        let (a, b, c) =
            (finite("coefficient a", a)?, positive("coefficient b", b)?, finite("c", c)?);
        let turn = if c < 0.0 { (b / (-3.0 * c)).sqrt() } else { f64::INFINITY };
        Ok(Self { a, b, c, log_limit: turn.min(LOG_LIMIT) })
    }

    /// The temperature in °C at `resistance` Ω.
    ///
    /// # Errors
    /// A resistance for which the law gives no temperature, or past its turning point.
    pub fn temperature(&self, resistance: f64) -> Result<WithSlope, OutOfRange> {
        let log = libm::log(positive("resistance", resistance)?);
        within("ln(resistance)", log, -self.log_limit, self.log_limit)?;
        let inverse = self.inverse_kelvin(log);
        from_inverse_kelvin(inverse.value, inverse.slope / resistance)
    }

    /// The resistance in Ω at `t` °C.
    ///
    /// # Errors
    /// A temperature that the law does not reach.
    pub fn resistance(&self, t: f64) -> Result<WithSlope, OutOfRange> {
        let kelvin = kelvin(t)?;
        let ends = (self.inverse_kelvin(-self.log_limit), self.inverse_kelvin(self.log_limit));
        let target = within("1/temperature", 1.0 / kelvin, ends.0.value, ends.1.value)?;
        let law = |log| self.inverse_kelvin(log);
        let log = of_rising(law, target, -self.log_limit, self.log_limit, 0.0);
        let value = libm::exp(log);
        WithSlope::checked(value, -value / (kelvin * kelvin * law(log).slope))
    }

    /// 1/T by ln R.
    fn inverse_kelvin(&self, log: f64) -> WithSlope {
        let square = log * log;
        WithSlope {
            value: self.a + log * (self.b + self.c * square),
            slope: self.b + 3.0 * self.c * square,
        }
    }
}

fn kelvin(t: f64) -> Result<f64, OutOfRange> {
    above("temperature", t, -ZERO_CELSIUS)?;
    positive("temperature", t + ZERO_CELSIUS)
}

/// The temperature in °C from 1/T, whose derivative with respect to the reading is `by_reading`.
fn from_inverse_kelvin(inverse: f64, by_reading: f64) -> Result<WithSlope, OutOfRange> {
    positive("1/temperature", inverse)?;
    let kelvin = 1.0 / inverse;
    WithSlope::checked(kelvin - ZERO_CELSIUS, -kelvin * kelvin * by_reading)
}
