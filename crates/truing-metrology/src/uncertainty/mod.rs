//! Distributions of errors and of their sums (JCGM 100:2008, JCGM 101:2008).
//!
//! Read in this order: `component` (one source of error), `error_sum` (the distribution of the sum
//! of independent ones), `coverage` (normal and Student distributions).

mod component;
pub mod coverage;
mod error_sum;
mod mixture;
mod quadrature;
mod repeated_integral;
mod root;
mod smoothed_rectangles;

pub use component::{Component, ComponentError, Shape, relative_dof};
pub use error_sum::{ErrorSum, LargestComponent};

pub(crate) use quadrature::integrate;
pub(crate) use root::falling as falling_root;
