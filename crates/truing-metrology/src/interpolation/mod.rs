//! Interpolation in tables.
//!
//! A [`Table`] borrows its columns, checks them once and then answers without allocation, by the
//! [`Law`] that the caller names. A [`Grid`] is a table with two entries. Nothing is extrapolated.

mod grid;
mod pchip;
mod table;

pub use grid::Grid;
pub use table::{Law, Monotone, Table, TableError};
