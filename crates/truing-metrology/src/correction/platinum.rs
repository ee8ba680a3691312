//! Industrial platinum resistance thermometers, Pt100 and its kin (IEC 60751). Temperatures in °C,
//! resistances in Ω.
//!
//! The law of Callendar and Van Dusen: R/R₀ = 1 + A t + B t² + C (t − 100) t³, with C = 0 from
//! 0 °C upwards, from −200 °C to 850 °C.

use super::root::of_rising;
use super::{OutOfRange, WithSlope, positive, within};

/// A, per °C (IEC 60751, read in public reproductions).
const A: f64 = 3.9083e-3;
/// B, per °C² (as A).
const B: f64 = -5.775e-7;
/// C, per °C⁴, below 0 °C only (as A).
const C: f64 = -4.183e-12;

/// The temperatures that the law covers, °C.
const RANGE: (f64, f64) = (-200.0, 850.0);

/// A platinum thermometer of a stated resistance at 0 °C.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Platinum {
    nominal: f64,
}

impl Platinum {
    /// 100 Ω at 0 °C.
    pub const PT100: Self = Self { nominal: 100.0 };
    /// 1000 Ω at 0 °C.
    pub const PT1000: Self = Self { nominal: 1000.0 };

    /// A thermometer of `nominal` Ω at 0 °C.
    ///
    /// # Errors
    /// A resistance that is not above zero.
    pub fn with_nominal(nominal: f64) -> Result<Self, OutOfRange> {
        Ok(Self { nominal: positive("resistance at 0 °C", nominal)? })
    }

    /// The resistance in Ω at `t` °C.
    ///
    /// # Errors
    /// A temperature outside −200 °C to 850 °C.
    pub fn resistance(&self, t: f64) -> Result<WithSlope, OutOfRange> {
        let law = ratio(within("temperature", t, RANGE.0, RANGE.1)?);
        WithSlope::checked(self.nominal * law.value, self.nominal * law.slope)
    }

    /// The temperature in °C at `resistance` Ω: the quadratic solved from 0 °C upwards, the
    /// quartic by Newton's steps below.
    ///
    /// # Errors
    /// A resistance outside that of −200 °C to 850 °C.
    pub fn temperature(&self, resistance: f64) -> Result<WithSlope, OutOfRange> {
        let (low, high) = (self.resistance(RANGE.0)?.value, self.resistance(RANGE.1)?.value);
        within("resistance", resistance, low, high)?;
        let above_one = resistance / self.nominal - 1.0;
        let t = if above_one >= 0.0 {
            // The root written so that nothing cancels near 0 °C.
            2.0 * above_one / (A + (A * A + 4.0 * B * above_one).sqrt())
        } else {
            of_rising(ratio, 1.0 + above_one, RANGE.0, 0.0, above_one / A)
        };
        WithSlope::checked(t, 1.0 / (self.nominal * ratio(t).slope))
    }
}

/// R/R₀.
fn ratio(t: f64) -> WithSlope {
    let cold = if t < 0.0 { C } else { 0.0 };
    WithSlope {
        value: 1.0 + t * (A + t * (B + cold * t * (t - 100.0))),
        slope: A + t * (2.0 * B + cold * t * (4.0 * t - 300.0)),
    }
}

/// How exactly a thermometer must follow the law (IEC 60751:1995, table of tolerances, read in a
/// public reproduction; the ends `from memory`).
///
/// IEC 60751:2008 keeps the tolerances of A and B and narrows where they hold (wire-wound: A −100
/// to 450 °C, B −196 to 600 °C; `from memory`).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// ±(0.15 + 0.002 |t|) °C, from −200 °C to 650 °C.
    A,
    /// ±(0.30 + 0.005 |t|) °C, from −200 °C to 850 °C.
    B,
}

impl Class {
    /// The largest error in °C that the class allows at `t` °C.
    ///
    /// # Errors
    /// A temperature that the class does not cover.
    pub fn tolerance(self, t: f64) -> Result<f64, OutOfRange> {
        let (fixed, share, high) = match self {
            Self::A => (0.15, 0.002, 650.0),
            Self::B => (0.30, 0.005, 850.0),
        };
        within("temperature", t, RANGE.0, high)?;
        Ok(fixed + share * t.abs())
    }
}
