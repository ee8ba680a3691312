//! Dimensions: powers of the seven base quantities.

use std::fmt;

use serde::{Deserialize, Serialize};
use uom::typenum::Integer;

/// Powers of length, mass, time, electric current, thermodynamic temperature, amount of substance
/// and luminous intensity, in this order (SI Brochure, 9th edition, 2.3.3).
///
/// An angle has no dimension, as in the SI; what tells it from a plain number is its kind.
#[derive(
    Copy, Clone, Eq, PartialEq, Ord, PartialOrd, Hash, Debug, Default, Serialize, Deserialize,
)]
pub struct Dimension(pub [i8; 7]);

/// Symbols of the base units, in the order of [`Dimension`].
const BASE_UNITS: [&str; 7] = ["m", "kg", "s", "A", "K", "mol", "cd"];

impl Dimension {
    /// No dimension: a plain number.
    pub const NONE: Dimension = Dimension([0; 7]);

    /// The dimension of a `uom` quantity.
    pub const fn of<D>() -> Dimension
    where
        D: uom::si::Dimension + ?Sized,
        D::L: Integer,
        D::M: Integer,
        D::T: Integer,
        D::I: Integer,
        D::Th: Integer,
        D::N: Integer,
        D::J: Integer,
    {
        Dimension([D::L::I8, D::M::I8, D::T::I8, D::I::I8, D::Th::I8, D::N::I8, D::J::I8])
    }

    /// The dimension of a product. Powers beyond ±127 stop there; no checked expression gets near.
    pub fn product(self, other: Dimension) -> Dimension {
        self.zip(other, i8::saturating_add)
    }

    /// The dimension of a quotient.
    pub fn quotient(self, other: Dimension) -> Dimension {
        self.zip(other, i8::saturating_sub)
    }

    /// The dimension of a power.
    pub fn powi(self, exponent: i8) -> Dimension {
        Dimension(self.0.map(|power| power.saturating_mul(exponent)))
    }

    /// The dimension of a root: `None` where a power does not divide evenly, or `n` is nought.
    pub fn root(self, n: i8) -> Option<Dimension> {
        if n == 0 || self.0.iter().any(|power| power.checked_rem(n) != Some(0)) {
            return None;
        }
        Some(Dimension(self.0.map(|power| power.checked_div(n).unwrap_or(0))))
    }

    fn zip(self, other: Dimension, combine: fn(i8, i8) -> i8) -> Dimension {
        let mut powers = self.0;
        for (power, by) in powers.iter_mut().zip(other.0) {
            *power = combine(*power, by);
        }
        Dimension(powers)
    }
}

impl fmt::Display for Dimension {
    /// Base units with their powers: `m^2.kg.s^-3.A^-1`; `1` for no dimension.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if *self == Dimension::NONE {
            return f.write_str("1");
        }
        let mut point = "";
        for (unit, power) in BASE_UNITS.iter().zip(self.0) {
            match power {
                0 => continue,
                1 => write!(f, "{point}{unit}")?,
                _ => write!(f, "{point}{unit}^{power}")?,
            }
            point = ".";
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const VOLTAGE: Dimension = Dimension::of::<uom::si::electric_potential::Dimension>();
    const CURRENT: Dimension = Dimension([0, 0, 0, 1, 0, 0, 0]);

    #[test]
    fn comes_from_uom_and_prints_base_units() {
        assert_eq!(VOLTAGE.to_string(), "m^2.kg.s^-3.A^-1"); // SI Brochure, table 4
        assert_eq!(Dimension::NONE.to_string(), "1");
    }

    #[test]
    fn products_quotients_powers_and_roots() {
        let power = Dimension::of::<uom::si::power::Dimension>();
        assert_eq!(VOLTAGE.product(CURRENT), power); // SI Brochure, table 4
        assert_eq!(power.quotient(CURRENT), VOLTAGE);
        assert_eq!(VOLTAGE.powi(2).root(2), Some(VOLTAGE));
        assert_eq!(VOLTAGE.root(2), None);
        assert_eq!(VOLTAGE.root(0), None);
        assert_eq!(VOLTAGE.powi(-1), Dimension::NONE.quotient(VOLTAGE));
    }
}
