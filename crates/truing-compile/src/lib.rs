//! From the tree to a checked spec, or findings: names, kinds, constants, lints.
//!
//! No file system, no output: libraries come from a [`Library`], findings go back as data.
//!
//! Read in this order: `session` (one check from end to end), `files` (what comes together),
//! `declare` and `names` (what stands for what), `family`, `typing` (expressions with their kinds),
//! `limit`, `check` and `body` (what is checked of each item), `lower` (the parts of a spec),
//! `review`, `bounds`, `capability` and `procedures` (what can be said once all is known), `lint` (every finding in
//! words).

mod body;
mod bounds;
mod calculate;
mod capability;
mod check;
mod context;
mod declare;
mod definition;
mod family;
mod files;
mod functions;
mod library;
mod limit;
mod lint;
mod lower;
mod names;
mod own;
mod procedures;
mod reading;
mod relocate;
mod review;
mod session;
#[cfg(test)]
mod test_library;
mod typing;
mod usual_unit;

pub use calculate::{Calculated, calculate, calculate_in};
pub use functions::{Form, FunctionRow, functions};
pub use library::{Library, LoadError, Loaded, NoLibrary};
pub use lint::slugs;
pub use reading::{lower_property, lower_reading};
pub use session::{Checked, Session, check};
pub use usual_unit::usual_units;
