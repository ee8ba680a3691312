//! Lead-acid batteries of six cells, flooded: state of charge from the rested voltage.
//!
//! The table is a trade table (Battery Council, read in public reproductions), not a standard:
//! makers and other chemistries (AGM, gel) differ. It holds for a battery that has rested; surface
//! charge right after charging reads high. Temperatures are in °C; the table is printed for 80 °F
//! and corrects by the 10 °F.
//!
//! The voltage correction of the table takes off in the cold, as that of the hydrometer does. The
//! rested voltage of a lead cell by itself falls in the cold, by some 0.2 mV/K (textbooks of
//! electrochemistry; `from memory`): the other way, and a quarter as much. Where a limit does not
//! come with this table, leave the correction out.

use super::{OutOfRange, WithSlope, WithSlopes, finite, within};
use crate::interpolation::{Law, Table};

/// One row of the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rested {
    /// State of charge, percent.
    pub charge: f64,
    /// Voltage without load, V for six cells.
    pub voltage: f64,
    /// Specific gravity of the acid, relative to water.
    pub gravity: f64,
}

const fn rested(charge: f64, voltage: f64, gravity: f64) -> Rested {
    Rested { charge, voltage, gravity }
}

/// The table at [`REFERENCE`], rising.
pub const TABLE: [Rested; 5] = [
    rested(0.0, 11.89, 1.120),
    rested(25.0, 12.06, 1.155),
    rested(50.0, 12.24, 1.190),
    rested(75.0, 12.45, 1.225),
    rested(100.0, 12.65, 1.265),
];

/// The temperature of the table, °C (80 °F).
pub const REFERENCE: f64 = (80.0 - 32.0) / 1.8;

/// Voltage correction per kelvin for six cells, V/K: 0.024 V for 10 °F (same table).
pub const VOLTAGE_PER_KELVIN: f64 = 0.0024 * 1.8;

/// Hydrometer correction per kelvin: 0.004 for 10 °F (same table).
pub const GRAVITY_PER_KELVIN: f64 = 0.0004 * 1.8;

/// The temperatures that the printed corrections cover, °C (0 °F to 130 °F).
const TEMPERATURES: (f64, f64) = (-32.0 / 1.8, 98.0 / 1.8);

/// The state of charge in percent at a rested voltage in V, referred to [`REFERENCE`], by linear
/// interpolation.
///
/// # Errors
/// A voltage outside the table: below it the battery is discharged, above it surface charge or a
/// charger is likely.
pub fn charge_by_voltage(voltage: f64) -> Result<WithSlope, OutOfRange> {
    by_column("rested voltage", voltage, |row| row.voltage)
}

/// The state of charge in percent at a specific gravity, referred to [`REFERENCE`], by linear
/// interpolation.
///
/// # Errors
/// A specific gravity outside the table.
pub fn charge_by_gravity(gravity: f64) -> Result<WithSlope, OutOfRange> {
    by_column("specific gravity", gravity, |row| row.gravity)
}

/// What to add to a voltage in V taken at `t` °C to refer it to [`REFERENCE`].
///
/// # Errors
/// A temperature outside −17.8 °C to 54.4 °C (0 °F to 130 °F).
pub fn voltage_correction(t: f64) -> Result<WithSlope, OutOfRange> {
    correction(t, VOLTAGE_PER_KELVIN)
}

/// What to add to a hydrometer reading taken at `t` °C to refer it to [`REFERENCE`].
///
/// # Errors
/// A temperature outside −17.8 °C to 54.4 °C (0 °F to 130 °F).
pub fn gravity_correction(t: f64) -> Result<WithSlope, OutOfRange> {
    correction(t, GRAVITY_PER_KELVIN)
}

/// The state of charge in percent from a rested voltage in V taken at `t` °C.
/// Slopes: by `voltage`, by `t`.
///
/// # Errors
/// As [`voltage_correction`] and [`charge_by_voltage`].
pub fn charge_at(voltage: f64, t: f64) -> Result<WithSlopes<2>, OutOfRange> {
    let correction = voltage_correction(t)?;
    let charge = charge_by_voltage(finite("voltage", voltage)? + correction.value)?;
    WithSlopes::checked(charge.value, [charge.slope, charge.slope * correction.slope])
}

fn correction(t: f64, per_kelvin: f64) -> Result<WithSlope, OutOfRange> {
    within("temperature", t, TEMPERATURES.0, TEMPERATURES.1)?;
    WithSlope::checked(per_kelvin * (t - REFERENCE), per_kelvin)
}

fn by_column(
    what: &'static str,
    reading: f64,
    column: fn(&Rested) -> f64,
) -> Result<WithSlope, OutOfRange> {
    let (x, y) = (TABLE.each_ref().map(column), TABLE.map(|row| row.charge));
    Table::trusted(&x, &y)
        .at(reading, Law::Linear)
        .map_err(|outside| OutOfRange { what, ..outside })
}
