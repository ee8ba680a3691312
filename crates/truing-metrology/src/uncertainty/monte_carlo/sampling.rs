//! Draws from the distributions (JCGM 101:2008, 6.4 and annex C).

use rand_core::{Rng, SeedableRng};
use rand_xoshiro::Xoshiro256PlusPlus;

use super::super::coverage::normal_quantile;
use super::super::{Component, Shape};

/// A stream of draws that is the same for a seed on every platform.
#[derive(Debug, Clone)]
pub struct Source(Xoshiro256PlusPlus);

impl Source {
    /// The stream of a seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Source(Xoshiro256PlusPlus::seed_from_u64(seed))
    }

    /// Above 0 and below 1: the middles of 2⁵² equal steps.
    fn uniform(&mut self) -> f64 {
        ((self.0.next_u64() >> 12) as f64 + 0.5) * (1.0 / (1_u64 << 52) as f64)
    }

    /// Rectangular, from −1 to 1.
    pub fn symmetric(&mut self) -> f64 {
        2.0 * self.uniform() - 1.0
    }

    /// Standard normal, by inversion.
    pub fn normal(&mut self) -> f64 {
        normal_quantile(self.uniform()).unwrap_or(0.0)
    }

    /// Gamma with this shape and rate 1 (Marsaglia and Tsang, 2000; from memory, the tests hold its
    /// moments).
    fn gamma(&mut self, shape: f64) -> f64 {
        let boosted = if shape < 1.0 { shape + 1.0 } else { shape };
        let d = boosted - 1.0 / 3.0;
        let c = (9.0 * d).sqrt().recip();
        let drawn = loop {
            let z = self.normal();
            let v = 1.0 + c * z;
            if v <= 0.0 {
                continue;
            }
            let v = v * v * v;
            if libm::log(self.uniform()) < 0.5 * z * z + d - d * v + d * libm::log(v) {
                break d * v;
            }
        };
        if shape < 1.0 { drawn * libm::pow(self.uniform(), shape.recip()) } else { drawn }
    }

    /// An error of this component.
    pub fn error(&mut self, component: &Component) -> f64 {
        let scale = component.scale();
        scale
            * match component.shape() {
                Shape::Normal => self.normal(),
                Shape::Rectangular => self.symmetric(),
                Shape::Triangular => 0.5 * (self.symmetric() + self.symmetric()),
                Shape::Trapezoidal { beta } => {
                    0.5 * ((1.0 + beta) * self.symmetric() + (1.0 - beta) * self.symmetric())
                }
                Shape::Arcsine => libm::sin(std::f64::consts::PI * self.symmetric()),
                Shape::Student { dof } => {
                    let factor = self.gamma(0.5 * dof) / (0.5 * dof);
                    self.normal() / factor.sqrt()
                }
            }
    }
}
