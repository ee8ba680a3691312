//! Corrections that the trade applies to readings before they are judged.
//!
//! Each law is a plain function on `f64`s that also gives its exact slope, so that the doubt of a
//! reading can be carried through it (JCGM 100:2008, 5.1.3). An argument that lies outside a law's
//! range is an [`OutOfRange`]; nothing is extrapolated.
//!
//! - [`resistance`]: resistance and temperature of windings and cables
//! - [`thermistor`], [`platinum`], [`thermocouple`]: thermometers
//! - [`wire`], [`preferred`]: what a conductor or a resistor should have
//! - [`battery`]: state of charge from the rested voltage
//! - [`altitude`]: pressure of the air, and gauges that are read in it
//! - [`unbalance`], [`symmetrical`], [`connection`], [`rectifier`]: three phases
//! - [`path`]: leads, drops and differences

pub mod altitude;
pub mod battery;
pub mod connection;
pub mod path;
pub mod platinum;
pub mod preferred;
pub mod rectifier;
pub mod resistance;
mod root;
mod slope;
pub mod symmetrical;
pub mod thermistor;
pub mod thermocouple;
pub mod unbalance;
pub mod wire;

pub use slope::{OutOfRange, WithSlope, WithSlopes};
pub(crate) use slope::{above, finite, positive, within};
