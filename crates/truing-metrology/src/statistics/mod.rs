//! Means and spreads of repeated readings (JCGM 100:2008, 4.2), and straight lines through readings
//! (JCGM 100:2008, H.3).

mod line;
mod readings;

pub use line::{Line, fit_line};
pub use readings::{
    Summary, WeightedMean, correlation_coefficient, lag_one_autocorrelation, pooled_deviation,
    weighted_mean,
};
