//! Thermocouples of type K (nickel-chromium against nickel-aluminium). Temperatures in °C on the
//! ITS-90, electromotive forces in mV.
//!
//! The reference function and its approximate inverse are those of NIST SRD 60 (Monograph 175),
//! read in a public copy of the NIST file; IEC 60584-1 and ASTM E230 print the same function.

use super::root::of_rising;
use super::{OutOfRange, WithSlope, WithSlopes, within};

/// The temperatures that the reference function covers, °C.
const RANGE: (f64, f64) = (-270.0, 1372.0);

/// The reference function from −270 °C to 0 °C, mV by powers of °C.
const BELOW_ZERO: [f64; 11] = [
    0.0,
    0.394_501_280_250e-1,
    0.236_223_735_980e-4,
    -0.328_589_067_840e-6,
    -0.499_048_287_770e-8,
    -0.675_090_591_730e-10,
    -0.574_103_274_280e-12,
    -0.310_888_728_940e-14,
    -0.104_516_093_650e-16,
    -0.198_892_668_780e-19,
    -0.163_226_974_860e-22,
];

/// The reference function from 0 °C to 1372 °C, mV by powers of °C.
const ABOVE_ZERO: [f64; 10] = [
    -0.176_004_136_860e-1,
    0.389_212_049_750e-1,
    0.185_587_700_320e-4,
    -0.994_575_928_740e-7,
    0.318_409_457_190e-9,
    -0.560_728_448_890e-12,
    0.560_750_590_590e-15,
    -0.320_207_200_030e-18,
    0.971_511_471_520e-22,
    -0.121_047_212_750e-25,
];

/// What is added from 0 °C upwards: a₀ exp(a₁ (t − a₂)²), in mV, per °C² and °C.
const BUMP: (f64, f64, f64) = (0.118_597_6, -0.118_343_2e-3, 0.126_968_6e3);

/// A piece of the approximate inverse: upper end in mV, °C by powers of mV.
struct InversePiece {
    high: f64,
    coefficients: &'static [f64],
}

/// The lower end of the approximate inverse, mV (−200 °C).
const INVERSE_LOW: f64 = -5.891;

/// The approximate inverse: off by −0.02 to 0.04 °C, −0.05 to 0.04 °C and −0.05 to 0.06 °C.
const INVERSE: [InversePiece; 3] = [
    InversePiece {
        high: 0.0,
        coefficients: &[
            0.0,
            2.517_346_2e1,
            -1.166_287_8,
            -1.083_363_8,
            -8.977_354_0e-1,
            -3.734_237_7e-1,
            -8.663_264_3e-2,
            -1.045_059_8e-2,
            -5.192_057_7e-4,
        ],
    },
    InversePiece {
        high: 20.644,
        coefficients: &[
            0.0,
            2.508_355e1,
            7.860_106e-2,
            -2.503_131e-1,
            8.315_270e-2,
            -1.228_034e-2,
            9.804_036e-4,
            -4.413_030e-5,
            1.057_734e-6,
            -1.052_755e-8,
        ],
    },
    InversePiece {
        high: 54.886,
        coefficients: &[
            -1.318_058e2,
            4.830_222e1,
            -1.646_031,
            5.464_731e-2,
            -9.650_715e-4,
            8.802_193e-6,
            -3.110_810e-8,
        ],
    },
];

/// The electromotive force in mV of a junction at `t` °C with the reference junction at 0 °C.
///
/// # Errors
/// A temperature outside −270 °C to 1372 °C.
pub fn emf(t: f64) -> Result<WithSlope, OutOfRange> {
    Ok(reference(within("temperature", t, RANGE.0, RANGE.1)?))
}

/// The temperature in °C of the junction at an electromotive force in mV, reference junction at
/// 0 °C: the reference function itself, turned round by Newton's steps.
///
/// # Errors
/// An electromotive force outside that of −270 °C to 1372 °C (−6.458 mV to 54.886 mV).
pub fn temperature(emf: f64) -> Result<WithSlope, OutOfRange> {
    let (low, high) = (reference(RANGE.0).value, reference(RANGE.1).value);
    within("electromotive force", emf, low, high)?;
    let t = of_rising(reference, emf, RANGE.0, RANGE.1, emf / 0.04);
    reference(t).inverse(t)
}

/// The temperature in °C at an electromotive force in mV by the approximate inverse polynomials,
/// as instruments work it out. [`temperature`] is within 0.06 °C of it.
///
/// # Errors
/// An electromotive force outside −5.891 mV to 54.886 mV.
pub fn temperature_by_polynomial(emf: f64) -> Result<WithSlope, OutOfRange> {
    let high = INVERSE.iter().fold(INVERSE_LOW, |_, piece| piece.high);
    let outside = OutOfRange { what: "electromotive force", value: emf, low: INVERSE_LOW, high };
    within(outside.what, emf, INVERSE_LOW, high)?;
    let piece = INVERSE.iter().find(|piece| emf <= piece.high).ok_or(outside)?;
    Ok(polynomial(piece.coefficients, emf))
}

/// The temperature in °C of the measuring junction when the terminals of the meter are at
/// `terminals` °C and it shows `measured` mV. Electromotive forces are added, not temperatures:
/// E(t) = measured + E(terminals). Slopes: by `measured` (mV), by `terminals` (°C).
///
/// # Errors
/// A terminal temperature or a sum that the reference function does not cover.
pub fn with_reference_at(measured: f64, terminals: f64) -> Result<WithSlopes<2>, OutOfRange> {
    let reference = emf(terminals)?;
    let junction = temperature(measured + reference.value)?;
    WithSlopes::checked(junction.value, [junction.slope, junction.slope * reference.slope])
}

fn reference(t: f64) -> WithSlope {
    if t < 0.0 {
        return polynomial(&BELOW_ZERO, t);
    }
    let smooth = polynomial(&ABOVE_ZERO, t);
    let (height, width, centre) = BUMP;
    let off = t - centre;
    let bump = height * libm::exp(width * off * off);
    WithSlope { value: smooth.value + bump, slope: smooth.slope + 2.0 * width * off * bump }
}

/// Horner's rule for a polynomial and its derivative.
fn polynomial(coefficients: &[f64], at: f64) -> WithSlope {
    let start = WithSlope { value: 0.0, slope: 0.0 };
    coefficients.iter().rev().fold(start, |sum, coefficient| WithSlope {
        value: sum.value * at + coefficient,
        slope: sum.slope * at + sum.value,
    })
}

/// Tolerance classes of type K (IEC 60584-1:2013, table 12; `from memory`).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// ±1.5 °C or ±0.004 |t|, whichever is larger, from −40 °C to 1000 °C.
    One,
    /// ±2.5 °C or ±0.0075 |t|, whichever is larger, from −40 °C to 1200 °C.
    Two,
}

impl Class {
    /// The largest error in °C that the class allows at `t` °C.
    ///
    /// # Errors
    /// A temperature that the class does not cover.
    pub fn tolerance(self, t: f64) -> Result<f64, OutOfRange> {
        let (fixed, share, high) = match self {
            Self::One => (1.5, 0.004, 1000.0),
            Self::Two => (2.5, 0.0075, 1200.0),
        };
        within("temperature", t, -40.0, high)?;
        Ok((share * t.abs()).max(fixed))
    }
}
