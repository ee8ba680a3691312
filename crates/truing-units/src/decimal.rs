//! Decimal figures as they were written, to the last digit.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer};
use thiserror::Error;

use crate::Rational;

/// The most digits that a figure may have, leading zeros aside. No instrument shows more.
pub const MAX_DIGITS: usize = 30;

/// The largest power of ten, either way, of a figure's last digit.
pub const MAX_EXPONENT: i32 = 30;

/// A decimal figure as written: `coefficient * 10^exponent`. `12.50` keeps both its decimals.
///
/// Two figures are equal when they show the same digits; [`Decimal::same_value`] compares what
/// they are worth.
///
/// ```
/// # use truing_units::Decimal;
/// let shown = Decimal::parse("12.50")?;
/// assert_eq!(shown.to_string(), "12.50");
/// assert_ne!(shown, Decimal::parse("12.5")?);
/// assert!(shown.same_value(Decimal::parse("12.5")?));
/// assert_eq!(shown.half_step().to_string(), "0.005");
/// # Ok::<(), truing_units::DecimalError>(())
/// ```
#[derive(Copy, Clone, Eq, PartialEq, Hash, Debug)]
pub struct Decimal {
    coefficient: i128,
    exponent: i32,
}

/// Why a text is not a decimal figure.
#[derive(Clone, Eq, PartialEq, Debug, Error)]
pub enum DecimalError {
    /// No digits at all.
    #[error("there is no number here")]
    Empty,
    /// A character that no figure has.
    #[error("`{found}` does not belong in a number")]
    BadCharacter {
        /// The character.
        found: char,
    },
    /// `12.` or `.5`.
    #[error(
        "a decimal point needs a digit on both sides: write `0.5`, not `.5`, and `12`, not `12.`"
    )]
    BarePoint,
    /// `12,5`.
    #[error("write a decimal point, not a comma: `12.5`")]
    Comma,
    /// More than [`MAX_DIGITS`] digits.
    #[error("a number may have {MAX_DIGITS} digits at the most")]
    TooManyDigits,
    /// A power of ten outside [`MAX_EXPONENT`].
    #[error("the last digit may stand for a power of ten within ±{MAX_EXPONENT} at the most")]
    ExponentTooLarge,
}

impl Decimal {
    /// The figure `coefficient * 10^exponent`.
    pub const fn new(coefficient: i128, exponent: i32) -> Decimal {
        Decimal { coefficient, exponent }
    }

    /// Reads a figure: digits, at most one decimal point with digits on both sides, a sign (`-`,
    /// `+` or `−` U+2212) and a power of ten (`1.5e3`).
    ///
    /// # Errors
    /// [`DecimalError`] where the text is not such a figure or is longer than any instrument's.
    pub fn parse(text: &str) -> Result<Decimal, DecimalError> {
        let (negative, unsigned) = split_sign(text.trim());
        let (mantissa, power) = match unsigned.split_once(['e', 'E']) {
            Some((mantissa, power)) => (mantissa, parse_power(power)?),
            None => (unsigned, 0),
        };
        let (whole, fraction) = match mantissa.split_once('.') {
            Some((whole, fraction)) if whole.is_empty() || fraction.is_empty() => {
                return Err(if whole.is_empty() && fraction.is_empty() {
                    DecimalError::Empty
                } else {
                    DecimalError::BarePoint
                });
            }
            Some(parts) => parts,
            None => (mantissa, ""),
        };
        if whole.is_empty() {
            return Err(DecimalError::Empty);
        }
        let mut coefficient: i128 = 0;
        let mut digits = 0;
        for found in whole.chars().chain(fraction.chars()) {
            let digit = found.to_digit(10).ok_or(match found {
                ',' => DecimalError::Comma,
                _ => DecimalError::BadCharacter { found },
            })?;
            digits += usize::from(digits > 0 || digit > 0);
            if digits > MAX_DIGITS {
                return Err(DecimalError::TooManyDigits);
            }
            coefficient = coefficient * 10 + i128::from(digit); // at most 30 digits: fits
        }
        let decimals = i32::try_from(fraction.len()).map_err(|_| DecimalError::ExponentTooLarge)?;
        let exponent = power.saturating_sub(decimals);
        if exponent.abs() > MAX_EXPONENT {
            return Err(DecimalError::ExponentTooLarge);
        }
        Ok(Decimal { coefficient: if negative { -coefficient } else { coefficient }, exponent })
    }

    /// The whole number that the digits spell without their point; it carries the sign.
    pub const fn coefficient(self) -> i128 {
        self.coefficient
    }

    /// The power of ten of the last digit.
    pub const fn exponent(self) -> i32 {
        self.exponent
    }

    /// How many digits stand after the decimal point.
    pub const fn decimals(self) -> u32 {
        if self.exponent < 0 { self.exponent.unsigned_abs() } else { 0 }
    }

    /// One unit of the last digit written: `12.71` has the step `0.01`.
    pub const fn step(self) -> Decimal {
        Decimal { coefficient: 1, exponent: self.exponent }
    }

    /// Half a unit of the last digit written: `12.71` may be anything within ±`0.005`.
    pub const fn half_step(self) -> Decimal {
        Decimal { coefficient: 5, exponent: self.exponent - 1 }
    }

    /// The same digits with the other sign.
    pub const fn negated(self) -> Decimal {
        Decimal { coefficient: -self.coefficient, exponent: self.exponent }
    }

    /// The exact value; `None` where it does not fit in 128-bit parts (beyond about 38 digits).
    pub fn to_rational(self) -> Option<Rational> {
        if self.coefficient == 0 {
            return Some(Rational::ZERO);
        }
        let power = 10_i128.checked_pow(self.exponent.unsigned_abs());
        match (power, self.exponent < 0) {
            (Some(power), true) => Rational::new(self.coefficient, power),
            (Some(power), false) => Rational::new(self.coefficient.checked_mul(power)?, 1),
            (None, _) => None,
        }
    }

    /// The nearest double, ties to even.
    pub fn to_f64(self) -> f64 {
        match self.to_rational() {
            Some(exact) => exact.to_f64(),
            // Digits that overflow go through the standard library's own correct rounding.
            None => format!("{}e{}", self.coefficient, self.exponent).parse().unwrap_or(f64::NAN),
        }
    }

    /// Whether two figures are worth the same: `12.50` and `12.5` are.
    pub fn same_value(self, other: Decimal) -> bool {
        self.stripped() == other.stripped()
    }

    /// The figure without zeros at its end.
    fn stripped(self) -> Decimal {
        if self.coefficient == 0 {
            return Decimal::new(0, 0);
        }
        let mut bare = self;
        while bare.coefficient % 10 == 0 {
            bare = Decimal::new(bare.coefficient / 10, bare.exponent.saturating_add(1));
        }
        bare
    }
}

/// Splits a leading sign off: plus, hyphen, or the typographic minus.
fn split_sign(text: &str) -> (bool, &str) {
    if let Some(rest) = text.strip_prefix(['-', '\u{2212}']) {
        (true, rest)
    } else {
        (false, text.strip_prefix('+').unwrap_or(text))
    }
}

fn parse_power(text: &str) -> Result<i32, DecimalError> {
    let (negative, digits) = split_sign(text);
    if digits.is_empty() {
        return Err(DecimalError::BadCharacter { found: 'e' });
    }
    let mut power: i32 = 0;
    for found in digits.chars() {
        let digit = found.to_digit(10).ok_or(DecimalError::BadCharacter { found })?;
        power = power.saturating_mul(10).saturating_add(digit.try_into().unwrap_or(0));
    }
    if power > 2 * MAX_EXPONENT {
        return Err(DecimalError::ExponentTooLarge);
    }
    Ok(if negative { -power } else { power })
}

impl fmt::Display for Decimal {
    /// The digits as written; a power of ten above the last digit as `1.50e4`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let sign = if self.coefficient < 0 { "-" } else { "" };
        let digits = self.coefficient.unsigned_abs().to_string();
        if self.exponent > 0 {
            let (first, rest) = digits.split_at(1);
            let power = i64::from(self.exponent) + rest.len() as i64;
            return match rest {
                "" => write!(f, "{sign}{first}e{power}"),
                _ => write!(f, "{sign}{first}.{rest}e{power}"),
            };
        }
        let decimals = self.decimals() as usize;
        if decimals == 0 {
            return write!(f, "{sign}{digits}");
        }
        let padded = format!("{digits:0>width$}", width = decimals + 1);
        let (whole, fraction) = padded.split_at(padded.len() - decimals);
        write!(f, "{sign}{whole}.{fraction}")
    }
}

impl FromStr for Decimal {
    type Err = DecimalError;

    fn from_str(text: &str) -> Result<Decimal, DecimalError> {
        Decimal::parse(text)
    }
}

impl Serialize for Decimal {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Decimal {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Decimal, D::Error> {
        let text = String::deserialize(deserializer)?;
        Decimal::parse(&text).map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn figure(text: &str) -> Decimal {
        Decimal::parse(text).unwrap()
    }

    #[test]
    fn keeps_the_digits_that_were_written() {
        for text in ["12.50", "0.005", "-12.50", "0.00", "34", "1e3", "1.50e4", "100"] {
            assert_eq!(figure(text).to_string(), text);
        }
        assert_eq!(figure("+5"), figure("5"));
        assert_eq!(figure("\u{2212}3"), figure("-3"));
        assert_eq!(figure("007.10").to_string(), "7.10");
        assert_eq!(figure("12.50").decimals(), 2);
    }

    #[test]
    fn half_a_step_is_half_the_last_digit() {
        assert_eq!(figure("12.71").half_step(), figure("0.005")); // arithmetic
        assert_eq!(figure("34").half_step(), figure("0.5"));
        assert_eq!(figure("1e3").half_step().to_f64(), 500.0);
    }

    #[test]
    fn says_what_is_wrong_with_a_figure() {
        assert_eq!(Decimal::parse(""), Err(DecimalError::Empty));
        assert_eq!(Decimal::parse("-"), Err(DecimalError::Empty));
        assert_eq!(Decimal::parse(".5"), Err(DecimalError::BarePoint));
        assert_eq!(Decimal::parse("12."), Err(DecimalError::BarePoint));
        assert_eq!(Decimal::parse("12,5"), Err(DecimalError::Comma));
        assert_eq!(Decimal::parse("1x"), Err(DecimalError::BadCharacter { found: 'x' }));
        assert_eq!(Decimal::parse("1e"), Err(DecimalError::BadCharacter { found: 'e' }));
        assert_eq!(Decimal::parse("1e31"), Err(DecimalError::ExponentTooLarge));
        assert_eq!(Decimal::parse("1e999999999999"), Err(DecimalError::ExponentTooLarge));
        assert_eq!(Decimal::parse(&"9".repeat(31)), Err(DecimalError::TooManyDigits));
        assert!(Decimal::parse(&"9".repeat(30)).is_ok());
        assert_eq!(Decimal::parse("1.2.3"), Err(DecimalError::BadCharacter { found: '.' }));
    }

    #[test]
    fn equal_digits_and_equal_worth_are_told_apart() {
        assert_ne!(figure("12.50"), figure("12.5"));
        assert!(figure("12.50").same_value(figure("12.5")));
        assert!(figure("1e3").same_value(figure("1000")));
        assert!(figure("0.00").same_value(figure("-0")));
        assert!(!figure("12.50").same_value(figure("12.51")));
    }

    #[test]
    fn digits_beyond_an_exact_fraction_still_round_correctly() {
        let long = figure("123456789012345678901234567890e30");
        assert_eq!(long.to_rational(), None);
        assert_eq!(long.to_f64(), "123456789012345678901234567890e30".parse::<f64>().unwrap());
    }

    proptest! {
        #[test]
        fn display_and_parse_are_inverse(coefficient in -(10_i128.pow(30) - 1)..10_i128.pow(30), exponent in -30..=30_i32) {
            let shown = Decimal::new(coefficient, exponent);
            prop_assert_eq!(Decimal::parse(&shown.to_string()), Ok(shown));
        }

        #[test]
        fn doubles_are_those_of_the_text(coefficient in -(10_i128.pow(30) - 1)..10_i128.pow(30), exponent in -30..=30_i32) {
            let shown = Decimal::new(coefficient, exponent);
            let text: f64 = format!("{coefficient}e{exponent}").parse().unwrap();
            prop_assert_eq!(shown.to_f64(), text);
        }

        #[test]
        fn any_text_is_read_or_refused(text in "\\PC{0,40}") {
            let _ = Decimal::parse(&text);
        }
    }
}
