//! Exact factors: a fraction times a power of pi.

use std::cmp::Ordering;
use std::f64::consts::PI;
use std::fmt;

use serde::{Deserialize, Serialize};

use crate::Rational;

/// A fraction times a whole power of pi, so that degrees and turns stay exact.
///
/// Two figures whose factors carry the same power of pi (90 deg and 0.25 rev) are compared by
/// their fractions alone, without rounding.
#[derive(Copy, Clone, Debug, Serialize, Deserialize)]
pub struct Exact {
    ratio: Rational,
    pi: i8,
}

/// pi^1 .. pi^4 to 35 decimals, each as a whole number of 10^-35 (rounded down).
/// Source: computed by the Machin formula in 200-digit integer arithmetic.
const PI_POWERS: [i128; 4] = [
    314_159_265_358_979_323_846_264_338_327_950_288,
    986_960_440_108_935_861_883_449_099_987_615_113,
    3_100_627_668_029_982_017_547_631_506_710_139_520,
    9_740_909_103_400_243_723_644_033_268_870_511_124,
];

/// The denominator of [`PI_POWERS`].
const PI_SCALE: i128 = 10_i128.pow(35);

impl Exact {
    /// Nought.
    pub const ZERO: Exact = Exact { ratio: Rational::ZERO, pi: 0 };
    /// One.
    pub const ONE: Exact = Exact { ratio: Rational::ONE, pi: 0 };
    /// Pi.
    pub const PI: Exact = Exact { ratio: Rational::ONE, pi: 1 };

    /// `ratio * pi^pi`.
    pub fn new(ratio: Rational, pi: i8) -> Exact {
        Exact { ratio, pi: if ratio.is_zero() { 0 } else { pi } }
    }

    /// The fraction before the power of pi.
    pub const fn ratio(self) -> Rational {
        self.ratio
    }

    /// The power of pi; nought for a plain fraction.
    pub const fn pi(self) -> i8 {
        self.pi
    }

    /// The double: correctly rounded where no pi enters, else within two units in the last place.
    pub fn to_f64(self) -> f64 {
        match self.pi {
            0 => self.ratio.to_f64(),
            power => self.ratio.to_f64() * PI.powi(i32::from(power)),
        }
    }

    /// Which of two values is the larger. Exact where both carry the same power of pi, and up to
    /// 35 decimals of pi otherwise.
    pub fn compare(self, other: Exact) -> Ordering {
        let signs = self.ratio.numer().signum().cmp(&other.ratio.numer().signum());
        if self.pi == other.pi || signs != Ordering::Equal {
            return if signs == Ordering::Equal { self.ratio.cmp(&other.ratio) } else { signs };
        }
        // Same sign, not nought: compare the magnitudes of (self/other) and pi^power.
        let negative = self.ratio.numer() < 0;
        let power = i32::from(other.pi) - i32::from(self.pi);
        let magnitudes = match self.ratio.checked_div(other.ratio) {
            Some(quotient) if power > 0 => compare_to_pi(quotient, power),
            Some(quotient) => match quotient.recip() {
                Some(inverse) => compare_to_pi(inverse, -power).reverse(),
                None => Ordering::Less,
            },
            None => self.to_f64().abs().total_cmp(&other.to_f64().abs()),
        };
        if negative { magnitudes.reverse() } else { magnitudes }
    }

    /// The exact sum; `None` where the powers of pi differ or a part overflows.
    pub fn checked_add(self, other: Exact) -> Option<Exact> {
        if self.ratio.is_zero() {
            return Some(other);
        }
        if other.ratio.is_zero() {
            return Some(self);
        }
        if self.pi != other.pi {
            return None;
        }
        Some(Exact::new(self.ratio.checked_add(other.ratio)?, self.pi))
    }

    /// The exact difference; `None` where the powers of pi differ or a part overflows.
    pub fn checked_sub(self, other: Exact) -> Option<Exact> {
        self.checked_add(Exact { ratio: other.ratio.negated(), pi: other.pi })
    }

    /// The exact product; `None` where a part overflows.
    pub fn checked_mul(self, other: Exact) -> Option<Exact> {
        Some(Exact::new(self.ratio.checked_mul(other.ratio)?, self.pi.checked_add(other.pi)?))
    }

    /// The exact quotient; `None` where a part overflows or `other` is nought.
    pub fn checked_div(self, other: Exact) -> Option<Exact> {
        Some(Exact::new(self.ratio.checked_div(other.ratio)?, self.pi.checked_sub(other.pi)?))
    }

    /// The exact power; `None` where a part overflows.
    pub fn checked_powi(self, exponent: i32) -> Option<Exact> {
        let pi = i32::from(self.pi).checked_mul(exponent)?;
        Some(Exact::new(self.ratio.checked_powi(exponent)?, i8::try_from(pi).ok()?))
    }
}

/// Compares a positive fraction with pi^power, power > 0.
fn compare_to_pi(value: Rational, power: i32) -> Ordering {
    let known = usize::try_from(power - 1).ok().and_then(|index| PI_POWERS.get(index));
    match known.and_then(|digits| Rational::new(*digits, PI_SCALE)) {
        // A fraction never equals a power of pi; one that matches 35 decimals is below it.
        Some(pi) => value.cmp(&pi).then(Ordering::Less),
        None => value.to_f64().total_cmp(&PI.powi(power)),
    }
}

impl PartialEq for Exact {
    fn eq(&self, other: &Exact) -> bool {
        self.ratio == other.ratio && self.pi == other.pi
    }
}

impl Eq for Exact {}

impl From<Rational> for Exact {
    fn from(ratio: Rational) -> Exact {
        Exact { ratio, pi: 0 }
    }
}

impl fmt::Display for Exact {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.pi {
            0 => write!(f, "{}", self.ratio),
            1 => write!(f, "{} pi", self.ratio),
            power => write!(f, "{} pi^{power}", self.ratio),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(numer: i128, denom: i128, pi: i8) -> Exact {
        Exact::new(Rational::new(numer, denom).unwrap(), pi)
    }

    #[test]
    fn carries_pi_apart() {
        let degree = exact(1, 180, 1);
        let turn = exact(2, 1, 1);
        assert_eq!(turn.checked_div(degree), Some(exact(360, 1, 0))); // arithmetic
        assert_eq!(degree.to_f64(), 1f64.to_radians());
        assert_eq!(degree.checked_add(Exact::ONE), None);
        assert_eq!(degree.checked_sub(degree), Some(Exact::ZERO));
    }

    #[test]
    fn compares_across_powers_of_pi() {
        // 355/113 is above pi and 333/106 below it (convergents of pi).
        assert_eq!(exact(355, 113, 0).compare(Exact::PI), Ordering::Greater);
        assert_eq!(exact(333, 106, 0).compare(Exact::PI), Ordering::Less);
        assert_eq!(Exact::PI.compare(exact(355, 113, 0)), Ordering::Less);
        assert_eq!(exact(-355, 113, 0).compare(exact(-1, 1, 1)), Ordering::Less);
        // 2549491779/811528438 is a convergent of pi above it by less than 1e-18: beyond a double.
        assert_eq!(exact(2_549_491_779, 811_528_438, 0).compare(Exact::PI), Ordering::Greater);
        assert_eq!(exact(987, 100, 0).compare(exact(1, 1, 2)), Ordering::Greater); // pi^2 = 9.8696...
        assert_eq!(exact(1, 3, 0).compare(exact(1, 1, -1)), Ordering::Greater); // 1/pi = 0.3183...
        assert_eq!(Exact::ZERO.compare(Exact::PI), Ordering::Less);
        assert_eq!(exact(-1, 1, 1).compare(Exact::ONE), Ordering::Less);
    }

    #[test]
    fn the_powers_of_pi_agree_with_the_double() {
        for (index, digits) in PI_POWERS.iter().enumerate() {
            let from_digits = Rational::new(*digits, PI_SCALE).unwrap().to_f64();
            let from_double = PI.powi(index as i32 + 1);
            assert!((from_digits / from_double - 1.0).abs() < 1e-15, "pi^{}", index + 1);
        }
    }
}
