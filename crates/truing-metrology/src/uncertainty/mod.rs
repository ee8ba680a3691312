//! Distributions of errors and of their sums (JCGM 100:2008, JCGM 101:2008).
//!
//! Read in this order: `component` (one source of error), `error_sum` (the distribution of the sum
//! of independent ones; beneath it, for rectangles and normal errors, `smoothed_rectangles`,
//! `repeated_integral` and `fourier`, for one Student error beside them `mixture`, for more and for arcsines
//! `inversion` with `characteristic`, `bessel` and `wave`), `coverage` (normal and Student distributions), `correlation`, `budget` (the law of propagation),
//! `monte_carlo` (the propagation of distributions), `meter` (data sheets).

mod bessel;
pub mod budget;
mod characteristic;
mod component;
mod correlation;
pub mod coverage;
mod error_sum;
mod fourier;
mod inversion;
pub mod meter;
mod mixture;
pub mod monte_carlo;
mod quadrature;
mod repeated_integral;
mod root;
mod smoothed_rectangles;
mod wave;

pub use component::{Component, ComponentError, Shape, relative_dof};
pub use correlation::{Correlation, CorrelationError};
pub use error_sum::{ErrorSum, LargestComponent};

pub(crate) use quadrature::integrate;
pub(crate) use root::falling as falling_root;
