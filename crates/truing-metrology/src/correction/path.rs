//! Leads, drops and the path between two points, on readings in one unit each.

use super::{OutOfRange, WithSlopes, finite, positive};

/// A resistance without the test leads: reading − leads. The leads are read with the probes held
/// together, in the same range. Slopes: by `reading`, by `leads`.
///
/// # Errors
/// A reading that is no finite number.
pub fn without_leads(reading: f64, leads: f64) -> Result<WithSlopes<2>, OutOfRange> {
    difference(reading, leads)
}

/// The drop along a path: voltage at its source − voltage at its load, both against one point.
/// Slopes: by `source`, by `load`.
///
/// # Errors
/// A voltage that is no finite number.
pub fn drop(source: f64, load: f64) -> Result<WithSlopes<2>, OutOfRange> {
    difference(source, load)
}

/// The resistance of a path in Ω from the drop along it in V and its current in A (Ohm's law).
/// Slopes: by `drop`, by `current`.
///
/// # Errors
/// A drop that is no finite number; a current that is not above zero.
pub fn resistance(drop: f64, current: f64) -> Result<WithSlopes<2>, OutOfRange> {
    let value = finite("drop", drop)? / positive("current", current)?;
    WithSlopes::checked(value, [1.0 / current, -value / current])
}

/// The drop that a path would have at another current: drop · rated/current, its resistance kept.
/// Slopes: by `drop`, `current`, `rated`.
///
/// # Errors
/// A drop or a rated current that is no finite number; a current that is not above zero.
pub fn drop_at(drop: f64, current: f64, rated: f64) -> Result<WithSlopes<3>, OutOfRange> {
    let path = resistance(drop, current)?;
    let [by_drop, by_current] = path.slopes;
    finite("rated current", rated)?;
    WithSlopes::checked(path.value * rated, [by_drop * rated, by_current * rated, path.value])
}

fn difference(reading: f64, less: f64) -> Result<WithSlopes<2>, OutOfRange> {
    WithSlopes::checked(finite("reading", reading)? - finite("reading", less)?, [1.0, -1.0])
}
