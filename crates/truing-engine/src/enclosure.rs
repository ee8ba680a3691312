//! Doubles that surely enclose a value: every operation rounds outward.
//!
//! Whether an end belongs to the interval is not kept: an enclosure only ever decides what lies
//! clear of a limit. Whatever touches one is worked out exactly, see [`crate::span`].

use truing_model::{Edge, Law};
use truing_units::{Exact, Rational};

use crate::finding::NoNumber;
use crate::law::law_over;

/// A value lies from `lo` to `hi`. An unbounded end is infinite.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Enclosure {
    // INVARIANT: lo <= hi, neither is NaN, lo < inf, hi > -inf.
    pub lo: f64,
    pub hi: f64,
}

/// A fixed figure: an edge of a limit, a constant of the spec.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Fixed {
    pub near: Enclosure,
    pub exact: Option<Exact>,
}

impl Fixed {
    /// A figure with its exact form; without one, the double is what is meant.
    pub fn new(value: f64, exact: Option<Exact>) -> Self {
        let exact = exact.or_else(|| dyadic(value));
        Self { near: Enclosure::around(value, exact), exact }
    }

    pub fn edge(edge: &Edge) -> Self {
        Self::new(edge.value, edge.exact)
    }
}

/// A double as the fraction that it is; `None` where that does not fit in 128 bits.
pub(crate) fn dyadic(value: f64) -> Option<Exact> {
    if value == 0.0 {
        return Some(Exact::ZERO);
    }
    if !value.is_normal() {
        return None;
    }
    let bits = value.to_bits();
    let fraction = i128::from(bits & ((1 << 52) - 1) | (1 << 52));
    let power = i32::try_from((bits >> 52) & 0x7ff).ok()? - 1075;
    // Trailing zeros go into the power, so that 0.5 needs no large parts.
    let zeros = i32::try_from(fraction.trailing_zeros()).ok()?;
    let (fraction, power) = (fraction >> zeros, power + zeros);
    let signed = if value < 0.0 { -fraction } else { fraction };
    let scale = 1_i128.checked_shl(power.unsigned_abs()).filter(|scale| *scale > 0)?;
    let ratio = if power.unsigned_abs() > 126 {
        None
    } else if power < 0 {
        Rational::new(signed, scale)
    } else {
        Rational::new(signed.checked_mul(scale)?, 1)
    };
    ratio.map(Exact::from)
}

/// One step towards minus infinity.
fn down(value: f64) -> f64 {
    value.next_down()
}

/// One step towards plus infinity.
fn up(value: f64) -> f64 {
    value.next_up()
}

/// Nought itself, which no rounding touches.
const NOUGHT: Enclosure = Enclosure::point(0.0);

/// A result that was rounded once; of finite parts it must not have left the doubles.
fn rounded(value: f64, of_finite: bool) -> Result<Enclosure, NoNumber> {
    if of_finite && !value.is_finite() {
        return Err(NoNumber::TooLarge);
    }
    Ok(Enclosure { lo: down(value), hi: up(value) })
}

impl Enclosure {
    pub const WHOLE: Self = Self { lo: f64::NEG_INFINITY, hi: f64::INFINITY };

    pub const fn point(value: f64) -> Self {
        Self { lo: value, hi: value }
    }

    /// The enclosure of a figure whose nearest double is `value`.
    pub fn around(value: f64, exact: Option<Exact>) -> Self {
        const WHOLE_DOUBLES: u128 = 1 << 53;
        match exact {
            Some(exact) if exact.pi() == 0 => {
                let ratio = exact.ratio();
                // A fraction over a power of two with few enough bits is the double itself.
                if ratio.denom() & (ratio.denom() - 1) == 0
                    && ratio.numer().unsigned_abs() <= WHOLE_DOUBLES
                {
                    Self::point(value)
                } else {
                    Self { lo: down(value), hi: up(value) }
                }
            }
            // Within two units of the last place for one power of pi (see `Exact::to_f64`); each
            // further power costs about one more.
            Some(exact) => (0..2 + 2 * exact.pi().unsigned_abs())
                .fold(Self::point(value), |near, _| Self { lo: down(near.lo), hi: up(near.hi) }),
            None => Self::point(value),
        }
    }

    pub const fn is_bounded(self) -> bool {
        self.lo.is_finite() && self.hi.is_finite()
    }

    pub fn negate(self) -> Self {
        Self { lo: -self.hi, hi: -self.lo }
    }

    pub fn abs(self) -> Self {
        if self.lo >= 0.0 {
            self
        } else if self.hi <= 0.0 {
            self.negate()
        } else {
            Self { lo: 0.0, hi: self.hi.max(-self.lo) }
        }
    }

    pub fn add(self, other: Self) -> Result<Self, NoNumber> {
        let low = rounded(self.lo + other.lo, self.lo.is_finite() && other.lo.is_finite())?;
        let high = rounded(self.hi + other.hi, self.hi.is_finite() && other.hi.is_finite())?;
        Ok(Self { lo: low.lo, hi: high.hi })
    }

    pub fn multiply(self, other: Self) -> Result<Self, NoNumber> {
        // Nought times an unbounded end is nought: the end itself is never reached.
        Self::corners(self, other, |a, b| {
            if a == 0.0 || b == 0.0 {
                return Ok(NOUGHT);
            }
            let product = rounded(a * b, a.is_finite() && b.is_finite())?;
            // A product that is too small for a double keeps its sign.
            let positive = (a < 0.0) == (b < 0.0);
            Ok(if positive { Self { lo: product.lo.max(0.0), ..product } } else { product })
        })
    }

    pub fn divide(self, other: Self) -> Result<Self, NoNumber> {
        if other.lo <= 0.0 && other.hi >= 0.0 {
            return Err(NoNumber::DivisionByZero);
        }
        // Over an unbounded end anything comes as near to nought as it likes; unbounded over
        // unbounded adds nothing to what the other corners give.
        Self::corners(self, other, |a, b| {
            if a == 0.0 || b.is_infinite() { Ok(NOUGHT) } else { rounded(a / b, a.is_finite()) }
        })
    }

    /// The outermost of what four corners come to.
    fn corners(
        a: Self,
        b: Self,
        of: impl Fn(f64, f64) -> Result<Self, NoNumber>,
    ) -> Result<Self, NoNumber> {
        let low = of(a.lo, b.lo)?.hull(of(a.lo, b.hi)?);
        let high = of(a.hi, b.lo)?.hull(of(a.hi, b.hi)?);
        Ok(low.hull(high))
    }

    pub fn power(self, exponent: i8) -> Result<Self, NoNumber> {
        let count = exponent.unsigned_abs();
        let raised = if count.is_multiple_of(2) {
            self.abs().product(count)?
        } else {
            // An odd power rises: the ends go to the ends.
            let ends = (Self::point(self.lo).product(count), Self::point(self.hi).product(count));
            match ends {
                (Ok(low), Ok(high)) => Self { lo: low.lo, hi: high.hi },
                _ => return Err(NoNumber::TooLarge),
            }
        };
        if exponent < 0 { Self::point(1.0).divide(raised) } else { Ok(raised) }
    }

    fn product(self, count: u8) -> Result<Self, NoNumber> {
        let mut result = Self::point(1.0);
        for step in 0..count {
            result = if step == 0 { self } else { result.multiply(self)? };
        }
        Ok(result)
    }

    pub fn sqrt(self) -> Result<Self, NoNumber> {
        if self.lo < 0.0 {
            return Err(NoNumber::RootOfNegative);
        }
        let hi = if self.hi == 0.0 { 0.0 } else { up(self.hi.sqrt()) };
        Ok(Self { lo: down(self.lo.sqrt()).max(0.0), hi })
    }

    pub fn exp(self) -> Result<Self, NoNumber> {
        let low = rounded(libm::exp(self.lo), self.lo.is_finite())?;
        let high = rounded(libm::exp(self.hi), self.hi.is_finite())?;
        Ok(Self { lo: down(low.lo).max(0.0), hi: up(high.hi) })
    }

    pub fn ln(self) -> Result<Self, NoNumber> {
        self.logarithm(libm::log)
    }

    pub fn log10(self) -> Result<Self, NoNumber> {
        self.logarithm(libm::log10)
    }

    /// The library's logarithms err by less than one unit of the last place; two are allowed for.
    fn logarithm(self, of: fn(f64) -> f64) -> Result<Self, NoNumber> {
        if self.lo <= 0.0 {
            return Err(NoNumber::LogarithmOfNothing);
        }
        Ok(Self { lo: down(down(of(self.lo))), hi: up(up(of(self.hi))) })
    }

    pub fn law(self, law: Law) -> Result<Self, NoNumber> {
        let (lo, hi) = law_over(law, self.lo, self.hi).ok_or(NoNumber::OutsideLaw)?;
        Ok(Self { lo, hi })
    }

    pub fn round(self) -> Self {
        Self { lo: self.lo.round(), hi: self.hi.round() }
    }

    pub fn least(self, other: Self) -> Self {
        Self { lo: self.lo.min(other.lo), hi: self.hi.min(other.hi) }
    }

    pub fn greatest(self, other: Self) -> Self {
        Self { lo: self.lo.max(other.lo), hi: self.hi.max(other.hi) }
    }

    pub fn hull(self, other: Self) -> Self {
        Self { lo: self.lo.min(other.lo), hi: self.hi.max(other.hi) }
    }

    /// Widened by `by` on both sides.
    pub fn widened(self, by: f64) -> Self {
        let by = up(by);
        Self { lo: down(self.lo - by), hi: up(self.hi + by) }
    }

    /// A double in the middle; of an unbounded enclosure nothing.
    pub fn middle(self) -> Option<f64> {
        self.is_bounded()
            .then(|| if self.lo == self.hi { self.lo } else { self.lo / 2.0 + self.hi / 2.0 })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(numer: i128, denom: i128) -> Exact {
        Exact::from(Rational::new(numer, denom).unwrap())
    }

    #[test]
    fn a_double_is_a_fraction() {
        assert_eq!(dyadic(0.375), Some(exact(3, 8))); // arithmetic
        assert_eq!(dyadic(-1024.0), Some(exact(-1024, 1)));
        assert_eq!(dyadic(1e200), None);
        assert_eq!(dyadic(0.1).map(Exact::to_f64), Some(0.1));
    }

    #[test]
    fn figures_that_are_doubles_have_no_width() {
        assert_eq!(Enclosure::around(2.5, Some(exact(5, 2))), Enclosure::point(2.5));
        let tenth = Enclosure::around(0.1, Some(exact(1, 10)));
        assert!(tenth.lo < 0.1 && tenth.hi > 0.1);
    }

    #[test]
    fn unbounded_ends_stay_sound() {
        let over = Enclosure { lo: 3.0, hi: f64::INFINITY };
        let product = over.multiply(Enclosure { lo: 0.0, hi: 2.0 }).unwrap();
        assert!(product.lo <= 0.0 && product.hi == f64::INFINITY);
        let quotient = Enclosure::point(6.0).divide(over).unwrap();
        assert!(quotient.lo <= 0.0 && quotient.hi >= 2.0 && quotient.hi < 2.1);
        assert_eq!(over.divide(Enclosure::WHOLE), Err(NoNumber::DivisionByZero));
        assert_eq!(Enclosure::point(1e200).power(3), Err(NoNumber::TooLarge));
    }

    #[test]
    fn powers_know_their_parity() {
        let around_zero = Enclosure { lo: -2.0, hi: 3.0 };
        let square = around_zero.power(2).unwrap();
        assert!(square.lo >= -1e-300 && square.hi >= 9.0 && square.hi < 9.001);
        let cube = around_zero.power(3).unwrap();
        assert!(cube.lo <= -8.0 && cube.hi >= 27.0);
        assert_eq!(around_zero.power(-2), Err(NoNumber::DivisionByZero));
        assert_eq!(around_zero.power(0), Ok(Enclosure::point(1.0)));
    }
}
