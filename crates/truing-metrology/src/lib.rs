//! The equations of measurement, with no language around them: every number is an `f64` in a unit
//! that the caller keeps.
//!
//! Read in this order: `uncertainty` (distributions, their sum, coverage; JCGM 100 and 101),
//! `conformity` (probabilities and decision rules; JCGM 106, ISO 14253-1), `correction`
//! (resistance and temperature, thermometers, altitude, three phases), `statistics`,
//! `interpolation`.

pub mod conformity;
pub mod correction;
pub mod interpolation;
pub mod statistics;
pub mod uncertainty;
