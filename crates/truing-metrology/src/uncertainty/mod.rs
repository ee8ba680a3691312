//! Distributions of errors and of their sums (JCGM 100:2008, JCGM 101:2008).

use serde::{Deserialize, Serialize};

/// How an error is distributed, about nought.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Shape {
    /// Normal.
    Normal,
    /// As likely anywhere between two ends (JCGM 100:2008, 4.3.7).
    Rectangular,
    /// Triangular (JCGM 100:2008, 4.3.9).
    Triangular,
    /// Trapezoidal (JCGM 100:2008, 4.3.9).
    Trapezoidal {
        /// The top over the base.
        beta: f64,
    },
    /// Like a sine's values (JCGM 101:2008, 6.4.6).
    Arcsine,
    /// Student's t (JCGM 101:2008, 6.4.9).
    Student {
        /// Degrees of freedom.
        dof: f64,
    },
}
