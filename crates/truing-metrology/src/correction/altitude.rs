//! Pressure of the air by altitude, and gauges that are read in it.
//!
//! Altitudes are in m, air pressures in Pa. The text of ISO 2533:1975 was not seen: its constants
//! and clauses are `from memory`.
//!
//! A gauge shows a difference from the air around it, so the same engine reads lower on a
//! mountain. Two laws refer a reading to other air: [`kept_ratio`] where the machine multiplies the
//! pressure of the air (a compression test, a suction pump), [`kept_absolute`] and [`sealed_gauge`]
//! where the absolute pressure stays (a manifold at idle, a sealed vessel).

use super::{OutOfRange, WithSlope, WithSlopes, finite, positive, within};

/// Pressure of the standard atmosphere at sea level, Pa (ISO 2533:1975, table 1).
pub const SEA_LEVEL: f64 = 101_325.0;

/// Temperature at sea level, K (ISO 2533:1975, table 1).
const TEMPERATURE: f64 = 288.15;
/// Fall of temperature with altitude, K/m (ISO 2533:1975, table 4).
const LAPSE: f64 = 0.0065;
/// g/(R · lapse) with g = 9.806 65 m/s² and R = 287.052 87 J/(K·kg) (ISO 2533:1975, table 1).
const EXPONENT: f64 = 9.806_65 / (287.052_87 * LAPSE);
/// Nominal radius of the Earth, m (ISO 2533:1975, 2.3).
const EARTH: f64 = 6_356_766.0;
/// The altitudes of the lowest layer, m: from the lower end of the 1975 tables to the tropopause.
const LAYER: (f64, f64) = (-2_000.0, 11_000.0);

/// Pressure in Pa of the standard atmosphere at a geopotential altitude in m:
/// 101 325 (1 − 0.0065 h / 288.15)^5.255 88 (ISO 2533:1975, 2.7). For
/// workshops the geopotential altitude is the altitude on the map: at 3000 m they differ by 1.4 m.
///
/// The weather moves the air by up to about 5 % around it (common practice, no source); a
/// barometer beside the machine is better.
///
/// # Errors
/// An altitude outside −2000 m to 11 000 m.
pub fn standard_pressure(altitude: f64) -> Result<WithSlope, OutOfRange> {
    let ratio = 1.0 - LAPSE * within("altitude", altitude, LAYER.0, LAYER.1)? / TEMPERATURE;
    let value = SEA_LEVEL * libm::pow(ratio, EXPONENT);
    WithSlope::checked(value, -value * EXPONENT * LAPSE / (TEMPERATURE * ratio))
}

/// The geopotential altitude in m at which the standard atmosphere has a pressure in Pa.
///
/// # Errors
/// A pressure outside that of −2000 m to 11 000 m.
pub fn standard_altitude(pressure: f64) -> Result<WithSlope, OutOfRange> {
    let (high, low) = (standard_pressure(LAYER.0)?.value, standard_pressure(LAYER.1)?.value);
    let ratio = within("pressure", pressure, low, high)? / SEA_LEVEL;
    let root = libm::pow(ratio, 1.0 / EXPONENT);
    let slope = -TEMPERATURE * root / (LAPSE * EXPONENT * pressure);
    WithSlope::checked(TEMPERATURE / LAPSE * (1.0 - root), slope)
}

/// The geopotential altitude of a geometric altitude, both in m: r h/(r + h)
/// (ISO 2533:1975, 2.3).
///
/// # Errors
/// An altitude outside −5000 m to 80 000 m.
pub fn geopotential(altitude: f64) -> Result<WithSlope, OutOfRange> {
    let shrink = EARTH / (EARTH + within("altitude", altitude, -5_000.0, 80_000.0)?);
    WithSlope::checked(altitude * shrink, shrink * shrink)
}

/// Refers a gauge or vacuum reading to other air, where the machine multiplies the absolute
/// pressure of the air by a ratio that does not depend on it: reading · to/from.
///
/// For a compression test: absolute pressure is reading + air, the ratio of compression is that of
/// the engine (polytropic compression, any textbook of thermodynamics), so
/// (reading + from)/from = (result + to)/to. Also for the deepest vacuum that a pump reaches.
/// `reading` in any unit, `from` and `to` in one unit.
/// Slopes: by `reading`, `from`, `to`.
///
/// # Errors
/// A reading that is no finite number; air that is not above zero.
pub fn kept_ratio(reading: f64, from: f64, to: f64) -> Result<WithSlopes<3>, OutOfRange> {
    finite("reading", reading)?;
    let (from, to) = (positive("air pressure", from)?, positive("air pressure", to)?);
    let value = reading * (to / from);
    WithSlopes::checked(value, [to / from, -value / from, reading / from])
}

/// Refers a vacuum to other air, where the absolute pressure in the machine stays: vacuum + to −
/// from. A vacuum is counted positive below the air; all three in one unit.
///
/// For the manifold of an idling engine, which takes the same mass of air. The workshop rule "1 inHg
/// less for every 1000 ft" (a public ordnance training course, read; common practice) is this law:
/// over the first 1000 ft the standard atmosphere falls by 1.08 inHg.
/// Slopes: by `vacuum`, `from`, `to`.
///
/// # Errors
/// A vacuum deeper than the air it was read in; air that is not above zero.
pub fn kept_absolute(vacuum: f64, from: f64, to: f64) -> Result<WithSlopes<3>, OutOfRange> {
    let (from, to) = (positive("air pressure", from)?, positive("air pressure", to)?);
    within("vacuum", vacuum, f64::MIN, from)?;
    WithSlopes::checked(vacuum + (to - from), [1.0, -1.0, 1.0])
}

/// Refers a gauge pressure to other air, where the absolute pressure in the vessel stays (a sealed
/// system, a tyre): reading + from − to; all three in one unit. It is [`kept_absolute`] counted
/// upwards. Slopes: by `reading`, `from`, `to`.
///
/// # Errors
/// A reading below the vacuum of the air it was read in; air that is not above zero.
pub fn sealed_gauge(reading: f64, from: f64, to: f64) -> Result<WithSlopes<3>, OutOfRange> {
    let (from, to) = (positive("air pressure", from)?, positive("air pressure", to)?);
    within("gauge pressure", reading, -from, f64::MAX)?;
    WithSlopes::checked(reading + (from - to), [1.0, 1.0, -1.0])
}

/// Refers a compression reading taken at an altitude in m to sea level, by [`kept_ratio`] with the
/// standard atmosphere. Slopes: by `reading`, by `altitude`.
///
/// # Errors
/// As [`standard_pressure`] and [`kept_ratio`].
pub fn compression_at_sea_level(reading: f64, altitude: f64) -> Result<WithSlopes<2>, OutOfRange> {
    let air = standard_pressure(altitude)?;
    let referred = kept_ratio(reading, air.value, SEA_LEVEL)?;
    let [by_reading, by_air, _] = referred.slopes;
    WithSlopes::checked(referred.value, [by_reading, by_air * air.slope])
}

/// Refers a manifold vacuum in Pa taken at an altitude in m to sea level, by [`kept_absolute`] with
/// the standard atmosphere. Slopes: by `vacuum`, by `altitude`.
///
/// # Errors
/// As [`standard_pressure`] and [`kept_absolute`].
pub fn manifold_vacuum_at_sea_level(
    vacuum: f64,
    altitude: f64,
) -> Result<WithSlopes<2>, OutOfRange> {
    let air = standard_pressure(altitude)?;
    let referred = kept_absolute(vacuum, air.value, SEA_LEVEL)?;
    let [by_vacuum, by_air, _] = referred.slopes;
    WithSlopes::checked(referred.value, [by_vacuum, by_air * air.slope])
}
