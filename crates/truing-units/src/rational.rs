//! Exact fractions of whole numbers.

use std::cmp::Ordering;
use std::fmt;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// An exact fraction, reduced, with a denominator above zero.
///
/// Arithmetic is checked: `None` says that the exact result does not fit in two 128-bit integers.
/// Comparison never overflows. Ordering is the order of the values.
#[derive(Copy, Clone, Eq, PartialEq, Hash, Debug)]
pub struct Rational {
    // INVARIANT: denom > 0, gcd(|numer|, denom) == 1, and numer != i128::MIN.
    numer: i128,
    denom: i128,
}

impl Rational {
    /// Nought.
    pub const ZERO: Rational = Rational { numer: 0, denom: 1 };
    /// One.
    pub const ONE: Rational = Rational { numer: 1, denom: 1 };

    /// The fraction `numer / denom`, reduced. `None` where `denom` is zero or a part does not fit.
    pub fn new(numer: i128, denom: i128) -> Option<Rational> {
        if denom == 0 || numer == i128::MIN || denom == i128::MIN {
            return None;
        }
        let sign = if denom < 0 { -1 } else { 1 };
        let divisor = match denom {
            1 => 1,
            _ => i128::try_from(gcd(numer.unsigned_abs(), denom.unsigned_abs())).ok()?,
        };
        // Dividing numbers of this width is slow, and there is mostly nothing to cancel.
        if divisor == 1 {
            return Some(Rational { numer: sign * numer, denom: sign * denom });
        }
        Some(Rational { numer: sign * numer / divisor, denom: sign * denom / divisor })
    }

    /// A whole number.
    pub const fn from_integer(value: i64) -> Rational {
        Rational { numer: value as i128, denom: 1 }
    }

    /// The numerator; it carries the sign.
    pub const fn numer(self) -> i128 {
        self.numer
    }

    /// The denominator, above zero.
    pub const fn denom(self) -> i128 {
        self.denom
    }

    /// Whether the value is nought.
    pub const fn is_zero(self) -> bool {
        self.numer == 0
    }

    /// The value with the other sign.
    pub const fn negated(self) -> Rational {
        Rational { numer: -self.numer, denom: self.denom }
    }

    /// One over the value; `None` for nought.
    pub const fn recip(self) -> Option<Rational> {
        match self.numer {
            0 => None,
            n if n < 0 => Some(Rational { numer: -self.denom, denom: -n }),
            n => Some(Rational { numer: self.denom, denom: n }),
        }
    }

    /// The exact sum.
    pub fn checked_add(self, other: Rational) -> Option<Rational> {
        let shared =
            i128::try_from(gcd(self.denom.unsigned_abs(), other.denom.unsigned_abs())).ok()?;
        let left = self.numer.checked_mul(other.denom / shared)?;
        let right = other.numer.checked_mul(self.denom / shared)?;
        let denom = (self.denom / shared).checked_mul(other.denom)?;
        Rational::new(left.checked_add(right)?, denom)
    }

    /// The exact difference.
    pub fn checked_sub(self, other: Rational) -> Option<Rational> {
        self.checked_add(other.negated())
    }

    /// The exact product.
    pub fn checked_mul(self, other: Rational) -> Option<Rational> {
        // Cancelling crosswise first keeps the parts as small as the result allows.
        let left = Rational::new(self.numer, other.denom)?;
        let right = Rational::new(other.numer, self.denom)?;
        let numer = left.numer.checked_mul(right.numer)?;
        let denom = left.denom.checked_mul(right.denom)?;
        (numer != i128::MIN).then_some(Rational { numer, denom })
    }

    /// The exact quotient; `None` also where `other` is nought.
    pub fn checked_div(self, other: Rational) -> Option<Rational> {
        self.checked_mul(other.recip()?)
    }

    /// The exact power; a negative exponent of nought is `None`.
    pub fn checked_powi(self, exponent: i32) -> Option<Rational> {
        let base = if exponent < 0 { self.recip()? } else { self };
        let mut power = Rational::ONE;
        for _ in 0..exponent.unsigned_abs() {
            power = power.checked_mul(base)?;
        }
        Some(power)
    }

    /// Ten to a whole power, within ±38.
    pub fn power_of_ten(exponent: i32) -> Option<Rational> {
        let power = 10_i128.checked_pow(exponent.unsigned_abs())?;
        if exponent < 0 {
            Some(Rational { numer: 1, denom: power })
        } else {
            Some(Rational { numer: power, denom: 1 })
        }
    }

    /// The nearest double, ties to even.
    pub fn to_f64(self) -> f64 {
        let magnitude = quotient_to_f64(self.numer.unsigned_abs(), self.denom.unsigned_abs());
        if self.numer < 0 { -magnitude } else { magnitude }
    }
}

/// `numer / denom` rounded once to the nearest double.
pub(crate) fn quotient_to_f64(numer: u128, denom: u128) -> f64 {
    const EXACT: u128 = 1 << 53;
    if numer == 0 {
        return 0.0;
    }
    if numer <= EXACT && denom <= EXACT {
        // Both parts are doubles already, and IEEE division rounds once.
        return numer as f64 / denom as f64;
    }
    // Long division in binary until the quotient has at least 55 bits, two more than a double;
    // whatever remains only has to be seen to be there (the sticky bit).
    let mut shift = numer.leading_zeros() as i32;
    let numer = numer << shift;
    let mut quotient = numer / denom;
    let mut rest = numer % denom;
    while quotient >> 54 == 0 {
        rest <<= 1; // rest < denom < 2^127, so this does not overflow
        quotient <<= 1;
        if rest >= denom {
            rest -= denom;
            quotient |= 1;
        }
        shift += 1;
    }
    if rest != 0 {
        quotient |= 1;
    }
    // `as` rounds to nearest, ties to even; the power of two is exact and far from subnormal.
    quotient as f64 * power_of_two(-shift)
}

/// Two to a power between -1022 and 1023, exactly.
fn power_of_two(exponent: i32) -> f64 {
    f64::from_bits(((1023 + i64::from(exponent)) as u64) << 52)
}

/// Greatest common divisor, at least 1.
fn gcd(mut a: u128, mut b: u128) -> u128 {
    while b != 0 {
        // Most figures fit in 64 bits, where a remainder is several times cheaper.
        if let (Ok(small_a), Ok(small_b)) = (u64::try_from(a), u64::try_from(b)) {
            return u128::from(gcd_small(small_a, small_b));
        }
        (a, b) = (b, a % b);
    }
    a.max(1)
}

fn gcd_small(mut a: u64, mut b: u64) -> u64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.max(1)
}

impl Ord for Rational {
    /// Compares the values by their continued fractions, so that nothing can overflow.
    fn cmp(&self, other: &Rational) -> Ordering {
        if let (Some(left), Some(right)) =
            (self.numer.checked_mul(other.denom), other.numer.checked_mul(self.denom))
        {
            return left.cmp(&right);
        }
        let (mut a, mut b) = (*self, *other);
        loop {
            let (whole_a, whole_b) = (a.numer.div_euclid(a.denom), b.numer.div_euclid(b.denom));
            let (rest_a, rest_b) = (a.numer.rem_euclid(a.denom), b.numer.rem_euclid(b.denom));
            match (whole_a.cmp(&whole_b), rest_a == 0, rest_b == 0) {
                (Ordering::Equal, false, false) => {}
                (Ordering::Equal, a_whole, b_whole) => return b_whole.cmp(&a_whole),
                (unequal, ..) => return unequal,
            }
            // Equal whole parts: the fraction with the larger reciprocal is the smaller one.
            (a, b) = (
                Rational { numer: b.denom, denom: rest_b },
                Rational { numer: a.denom, denom: rest_a },
            );
        }
    }
}

impl PartialOrd for Rational {
    fn partial_cmp(&self, other: &Rational) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl From<i64> for Rational {
    fn from(value: i64) -> Rational {
        Rational::from_integer(value)
    }
}

impl fmt::Display for Rational {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.denom == 1 {
            write!(f, "{}", self.numer)
        } else {
            write!(f, "{}/{}", self.numer, self.denom)
        }
    }
}

impl Serialize for Rational {
    /// As text, `5/9`: most formats have no integers of 128 bits.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Rational {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Rational, D::Error> {
        let text = String::deserialize(deserializer)?;
        let (numer, denom) = text.split_once('/').unwrap_or((&text, "1"));
        let parts = numer.parse().ok().zip(denom.parse().ok());
        parts
            .and_then(|(numer, denom)| Rational::new(numer, denom))
            .ok_or_else(|| serde::de::Error::custom("expected a fraction such as 5/9"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn ratio(numer: i128, denom: i128) -> Rational {
        Rational::new(numer, denom).unwrap()
    }

    /// The 256-bit product of two magnitudes, as (high, low): the naive way to compare.
    fn wide(a: u128, b: u128) -> (u128, u128) {
        let mask = u128::from(u64::MAX);
        let (a1, a0, b1, b0) = (a >> 64, a & mask, b >> 64, b & mask);
        let low = a0 * b0;
        let (middle, carry) = (a1 * b0).overflowing_add(a0 * b1);
        let (low, over) = low.overflowing_add(middle << 64);
        let high = a1 * b1 + (middle >> 64) + (u128::from(carry) << 64) + u128::from(over);
        (high, low)
    }

    fn naive_cmp(a: Rational, b: Rational) -> Ordering {
        match (a.numer < 0, b.numer < 0) {
            (true, false) => Ordering::Less,
            (false, true) => Ordering::Greater,
            (negative, _) => {
                let left = wide(a.numer.unsigned_abs(), b.denom.unsigned_abs());
                let right = wide(b.numer.unsigned_abs(), a.denom.unsigned_abs());
                if negative { right.cmp(&left) } else { left.cmp(&right) }
            }
        }
    }

    #[test]
    fn is_reduced_and_signed_by_the_numerator() {
        assert_eq!(ratio(6, -4), ratio(-3, 2)); // arithmetic
        assert_eq!(ratio(6, -4).denom(), 2);
        assert_eq!(Rational::new(1, 0), None);
        assert_eq!(ratio(-3, 2).recip(), Some(ratio(-2, 3)));
        assert_eq!(Rational::ZERO.recip(), None);
    }

    #[test]
    fn adds_and_multiplies_exactly() {
        assert_eq!(ratio(1, 10).checked_add(ratio(2, 10)), Some(ratio(3, 10))); // arithmetic
        assert_eq!(ratio(5, 9).checked_mul(ratio(9, 5)), Some(Rational::ONE));
        assert_eq!(ratio(2, 3).checked_powi(-3), Some(ratio(27, 8)));
        assert_eq!(ratio(i128::MAX, 1).checked_add(Rational::ONE), None);
        assert_eq!(ratio(i128::MAX, 1).checked_mul(ratio(2, 1)), None);
    }

    #[test]
    fn compares_without_overflow() {
        let near_one = ratio(i128::MAX - 1, i128::MAX);
        let nearer = ratio(i128::MAX - 2, i128::MAX - 1);
        assert_eq!(near_one.cmp(&nearer), Ordering::Greater); // 1 - 1/n rises with n
        assert_eq!(near_one.negated().cmp(&nearer.negated()), Ordering::Less);
        assert!(ratio(1, 3) < ratio(1, 2) && ratio(-1, 2) < ratio(1, i128::MAX));
    }

    #[test]
    fn rounds_to_the_nearest_double() {
        assert_eq!(ratio(1, 3).to_f64(), 1.0 / 3.0);
        assert_eq!(ratio(33, 10).to_f64(), 3.3);
        // 2^53 + 1 lies halfway: ties to even. 2^53 + 3 goes up.
        assert_eq!(ratio((1 << 53) + 1, 1).to_f64(), 9_007_199_254_740_992.0);
        assert_eq!(ratio((1 << 53) + 3, 1).to_f64(), 9_007_199_254_740_996.0);
        // Just above the tie, by a part far below the last bit: the sticky bit decides.
        let above = ratio((1 << 53) + 1, 1).checked_add(ratio(1, 1 << 70)).unwrap();
        assert_eq!(above.to_f64(), 9_007_199_254_740_994.0);
        assert_eq!(ratio(1, i128::MAX).to_f64(), 1.0 / i128::MAX as f64);
        assert_eq!(ratio(i128::MAX, 1).to_f64(), i128::MAX as f64);
    }

    /// Magnitudes of every size, so that each path of the arithmetic is met.
    fn any_part() -> impl Strategy<Value = i128> {
        (any::<i128>(), 1_u32..127).prop_map(|(value, bits)| value >> bits)
    }

    fn any_ratio() -> impl Strategy<Value = Rational> {
        (any_part(), any_part()).prop_filter_map("denominator", |(n, d)| Rational::new(n, d))
    }

    proptest! {
        #[test]
        fn order_is_that_of_the_cross_products(a in any_ratio(), b in any_ratio()) {
            prop_assert_eq!(a.cmp(&b), naive_cmp(a, b));
            prop_assert_eq!(a.cmp(&b), b.cmp(&a).reverse());
        }

        #[test]
        fn doubles_bracket_the_value(a in any_ratio()) {
            // The nearest double is no further away than either neighbour.
            let nearest = a.to_f64();
            let exact = |x: f64| exact_double(x);
            let gap = |x: f64| exact(x).and_then(|x| a.checked_sub(x)).map(|d| if d < Rational::ZERO { d.negated() } else { d });
            if let (Some(here), Some(up), Some(down)) = (gap(nearest), gap(nearest.next_up()), gap(nearest.next_down())) {
                prop_assert!(here <= up && here <= down, "{} as {}", a, nearest);
            }
        }

        #[test]
        fn quotients_undo_products(a in any_ratio(), b in any_ratio()) {
            if let Some(product) = a.checked_mul(b) && !b.is_zero() {
                prop_assert_eq!(product.checked_div(b), Some(a));
            }
        }
    }

    /// A double as the fraction that it is, where that fits.
    fn exact_double(x: f64) -> Option<Rational> {
        let bits = x.abs().to_bits();
        let exponent = (bits >> 52) as i32 - 1075;
        let mantissa = ((bits & ((1 << 52) - 1)) | (1 << 52)) as i128;
        let scale = Rational::from_integer(2).checked_powi(exponent)?;
        let value = Rational::new(mantissa, 1)?.checked_mul(scale)?;
        Some(if x < 0.0 { value.negated() } else { value })
    }
}
