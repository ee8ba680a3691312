//! Resistance and temperature of copper and aluminium windings and cables.
//!
//! Over the temperatures of machines the resistance of a pure metal rises along a straight line
//! that would meet zero at −k °C:
//!
//! ```text
//! R2 / R1 = (k + t2) / (k + t1)
//! ```
//!
//! Temperatures are in °C, constants `k` in °C, resistances in any one unit. The constants differ
//! between standards; which one a limit was printed with is for its author to say, so `k` is an
//! argument everywhere.

use super::{OutOfRange, WithSlope, WithSlopes, above, finite, positive};

/// `k` of annealed copper in °C: IEC 60028 and IEC 60228, and the value that IEEE Std 112 and
/// winding handbooks print (`from memory`).
pub const COPPER: f64 = 234.5;

/// `k` of copper in °C as IEC 60034-1 prints it for rotating machines (8.6.2; `from memory`).
pub const COPPER_IEC_60034: f64 = 235.0;

/// `k` of aluminium in °C as IEC 60034-1 (8.6.2) and IEEE Std 112 print it (`from memory`).
pub const ALUMINIUM: f64 = 225.0;

/// `k` of aluminium of electrical grade in °C, 1/0.00403 − 20 rounded (IEC 60889; `from memory`).
pub const ALUMINIUM_EC: f64 = 228.0;

/// Temperature coefficient of annealed copper at 20 °C and constant mass, per kelvin (IEC 60028).
pub const COPPER_ALPHA_20: f64 = 0.003_93;

/// Temperature coefficient of aluminium of electrical grade at 20 °C, per kelvin (IEC 60889).
pub const ALUMINIUM_ALPHA_20: f64 = 0.004_03;

/// Resistivity of standard annealed copper (100 % IACS) at 20 °C, Ω·mm²/m (IEC 60028).
pub const COPPER_RESISTIVITY_20: f64 = 1.0 / 58.0;

/// `k` in °C from a temperature coefficient at 20 °C per kelvin: 1/α₂₀ − 20.
///
/// # Errors
/// A coefficient that is not above zero.
pub fn constant_from_alpha20(alpha20: f64) -> Result<WithSlope, OutOfRange> {
    positive("temperature coefficient", alpha20)?;
    WithSlope::checked(1.0 / alpha20 - 20.0, -1.0 / (alpha20 * alpha20))
}

/// R(t)/R(20 °C) along the straight line 1 + α₂₀ (t − 20) (IEC 60028).
/// Slopes: by `alpha20` (per kelvin), by `t` (°C).
///
/// # Errors
/// A coefficient that is not above zero; a temperature at which the line has reached zero.
pub fn ratio_to_20(alpha20: f64, t: f64) -> Result<WithSlopes<2>, OutOfRange> {
    above("temperature", t, -constant_from_alpha20(alpha20)?.value)?;
    WithSlopes::checked(1.0 + alpha20 * (t - 20.0), [t - 20.0, alpha20])
}

/// What a resistance `r1` at `t1` is at `t2`: R2 = R1 (k + t2)/(k + t1) (IEC 60034-1, 8.6.2).
/// Slopes: by `r1`, `t1`, `t2`, `k`.
///
/// # Errors
/// A resistance that is not above zero; a temperature at or below −`k`.
pub fn at_temperature(r1: f64, t1: f64, t2: f64, k: f64) -> Result<WithSlopes<4>, OutOfRange> {
    positive("resistance", r1)?;
    let (from, to) = (above_zero_resistance(t1, k)?, above_zero_resistance(t2, k)?);
    let ratio = to / from;
    let value = r1 * ratio;
    WithSlopes::checked(value, [ratio, -value / from, r1 / from, r1 * (from - to) / (from * from)])
}

/// The temperature in °C of a winding that had `r1` at `t1` and has `r2` now:
/// t2 = (R2/R1)(k + t1) − k (IEC 60034-1, 8.6.2; IEEE Std 112; `from memory`).
/// Slopes: by `r1`, `t1`, `r2`, `k`.
///
/// # Errors
/// A resistance that is not above zero; `t1` at or below −`k`.
pub fn temperature(r1: f64, t1: f64, r2: f64, k: f64) -> Result<WithSlopes<4>, OutOfRange> {
    positive("cold resistance", r1)?;
    positive("hot resistance", r2)?;
    let from = above_zero_resistance(t1, k)?;
    let ratio = r2 / r1;
    WithSlopes::checked(ratio * from - k, [-ratio * from / r1, ratio, from / r1, ratio - 1.0])
}

/// The temperature rise in kelvin of a winding over its coolant: t2 − ta with t2 as in
/// [`temperature`] and `coolant` (ta) as it was when `r2` was taken, which need not be `t1`
/// (IEC 60034-1, 8.6.2; `from memory`). Slopes: by `r1`, `t1`, `r2`, `coolant`, `k`.
///
/// # Errors
/// As [`temperature`]; a coolant temperature that is no finite number.
pub fn rise(r1: f64, t1: f64, r2: f64, coolant: f64, k: f64) -> Result<WithSlopes<5>, OutOfRange> {
    finite("coolant temperature", coolant)?;
    let hot = temperature(r1, t1, r2, k)?;
    let [by_r1, by_t1, by_r2, by_k] = hot.slopes;
    WithSlopes::checked(hot.value - coolant, [by_r1, by_t1, by_r2, -1.0, by_k])
}

/// The factor that refers a cable's resistance at `t` °C to 20 °C, for copper: 254.5/(234.5 + t)
/// (IEC 60228:2004, annex B, exact form; `from memory`).
///
/// # Errors
/// A temperature at or below −234.5 °C.
pub fn cable_factor_copper(t: f64) -> Result<WithSlope, OutOfRange> {
    factor_to_20(t, COPPER)
}

/// The factor k_t of the printed table of IEC 60228 (2004, annex B), which takes 0.004 per kelvin
/// for every conductor: 1/(1 + 0.004 (t − 20)) = 250/(230 + t). It differs from
/// [`cable_factor_copper`] in the third decimal.
///
/// # Errors
/// A temperature at or below −230 °C.
pub fn cable_factor_printed(t: f64) -> Result<WithSlope, OutOfRange> {
    factor_to_20(t, 230.0)
}

fn factor_to_20(t: f64, k: f64) -> Result<WithSlope, OutOfRange> {
    let from = above_zero_resistance(t, k)?;
    WithSlope::checked((k + 20.0) / from, -(k + 20.0) / (from * from))
}

/// k + t, in kelvin above the point where the line meets zero.
fn above_zero_resistance(t: f64, k: f64) -> Result<f64, OutOfRange> {
    finite("constant k", k)?;
    above("temperature", t, -k)?;
    // The sum can round to zero although t lies above −k.
    positive("temperature above -k", k + t)
}
