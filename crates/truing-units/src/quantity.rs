//! Figures with units: as printed, as exact values, as doubles, and in another unit.

use std::fmt;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::rational::quotient_to_f64;
use crate::rounding::rounded_text;
use crate::{Decimal, Dimension, Exact, Rational, Unit};

/// A figure with its unit, as printed or as an instrument showed it.
#[derive(Clone, PartialEq, Debug, Serialize, Deserialize)]
pub struct Measure {
    /// The figure with all its digits.
    pub figure: Decimal,
    /// The unit after it.
    pub unit: Unit,
}

/// Whether a figure is a point of a scale or an amount.
#[derive(Copy, Clone, Eq, PartialEq, Debug, Serialize, Deserialize)]
pub enum Place {
    /// A point: the unit's offset applies. `20 degC` is 293.15 K.
    Point,
    /// An amount or a difference: it never does. `± 2 degC` is 2 K.
    Amount,
}

impl Measure {
    /// A figure with a unit.
    pub fn new(figure: Decimal, unit: Unit) -> Measure {
        Measure { figure, unit }
    }

    /// The exact value in the coherent unit; `None` where it does not fit in 128-bit parts.
    pub fn exact(&self, place: Place) -> Option<Exact> {
        let figure = self.figure.to_rational()?;
        let shifted = match place {
            Place::Point => figure.checked_add(self.unit.offset())?,
            Place::Amount => figure,
        };
        Exact::from(shifted).checked_mul(self.unit.factor())
    }

    /// The value in the coherent unit: value and factor are combined exactly and rounded once, so
    /// `3300 mV` is the very double that `3.3 V` is. Within two units in the last place where the
    /// factor has a pi in it, or the exact value does not fit.
    pub fn coherent(&self, place: Place) -> f64 {
        if let Some(value) = self.rounded_once(place) {
            return value;
        }
        if let Some(exact) = self.exact(place) {
            return exact.to_f64();
        }
        let offset = match place {
            Place::Point => self.unit.offset().to_f64(),
            Place::Amount => 0.0,
        };
        (self.figure.to_f64() + offset) * self.unit.factor().to_f64()
    }

    /// The quotient of unreduced parts, rounded once: the same double as the exact value's, without
    /// the cost of reducing the fraction.
    fn rounded_once(&self, place: Place) -> Option<f64> {
        let factor = self.unit.factor();
        if factor.pi() != 0 {
            return None;
        }
        let power = 10_i128.checked_pow(self.figure.exponent().unsigned_abs())?;
        let (mut numer, mut denom) = match self.figure.exponent() < 0 {
            true => (self.figure.coefficient(), power),
            false => (self.figure.coefficient().checked_mul(power)?, 1),
        };
        let offset = self.unit.offset();
        if place == Place::Point && !offset.is_zero() {
            let shift = offset.numer().checked_mul(denom)?;
            numer = numer.checked_mul(offset.denom())?.checked_add(shift)?;
            denom = denom.checked_mul(offset.denom())?;
        }
        numer = numer.checked_mul(factor.ratio().numer())?;
        denom = denom.checked_mul(factor.ratio().denom())?;
        let magnitude = quotient_to_f64(numer.unsigned_abs(), denom.unsigned_abs());
        Some(if numer < 0 { -magnitude } else { magnitude })
    }

    /// Half a unit of the last digit shown, as an amount in the coherent unit.
    pub fn half_step(&self) -> f64 {
        Measure { figure: self.figure.half_step(), unit: self.unit.clone() }.coherent(Place::Amount)
    }
}

impl fmt::Display for Measure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.figure, self.unit)
    }
}

/// A figure in another unit.
#[derive(Clone, PartialEq, Debug)]
pub struct Converted {
    /// The value in the new unit.
    pub value: f64,
    /// The exact value, where it fits.
    pub exact: Option<Exact>,
    /// The value rounded to the digits that the figure deserves, without the unit.
    pub text: String,
    /// The new unit.
    pub unit: Unit,
}

impl fmt::Display for Converted {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {}", self.text, self.unit)
    }
}

/// Why a figure cannot be given in another unit.
#[derive(Clone, Eq, PartialEq, Debug, Error)]
pub enum ConvertError {
    /// The units measure different things.
    #[error("`{from}` cannot be given in `{to}`: they measure different quantities")]
    DifferentDimension {
        /// The unit that the figure has.
        from: String,
        /// The unit asked for.
        to: String,
        /// The dimension of the one.
        from_dimension: Dimension,
        /// The dimension of the other.
        to_dimension: Dimension,
    },
}

/// Gives a figure in another unit.
///
/// The text keeps the decimal place whose step is nearest in proportion to the step of the figure's
/// own last digit, and no fewer significant digits than were written: `34 N.m` has a step of 1 N.m,
/// which is 0.74 lbf.ft and so nearest to 1, and reads `25` lbf.ft; `12 psi` has a step of 7 kPa,
/// nearest to 10, and two digits, and so reads `83` kPa and not `80`.
///
/// # Errors
/// [`ConvertError::DifferentDimension`] where the units measure different things. Whether the *kinds*
/// agree (torque against energy) is the caller's to check with [`comparable`](crate::comparable).
pub fn convert(measure: &Measure, to: &Unit, place: Place) -> Result<Converted, ConvertError> {
    let from = &measure.unit;
    if from.dimension() != to.dimension() {
        return Err(ConvertError::DifferentDimension {
            from: from.symbol().to_owned(),
            to: to.symbol().to_owned(),
            from_dimension: from.dimension(),
            to_dimension: to.dimension(),
        });
    }
    let exact = measure.exact(place).and_then(|coherent| exact_in(coherent, to, place));
    let value = match exact {
        Some(exact) => exact.to_f64(),
        None => from_coherent(measure.coherent(place), to, place),
    };
    let step = measure.figure.step().to_f64() * from.factor().to_f64() / to.factor().to_f64();
    let place_of_step = step.log10().round();
    let written = measure.figure.coefficient().unsigned_abs().to_string().len();
    let place_of_digits = match value == 0.0 {
        true => place_of_step,
        false => value.abs().log10().floor() - (written as f64 - 1.0),
    };
    let text = rounded_text(value, place_of_step.min(place_of_digits));
    Ok(Converted { value, exact, text, unit: to.clone() })
}

fn exact_in(coherent: Exact, unit: &Unit, place: Place) -> Option<Exact> {
    let scaled = coherent.checked_div(unit.factor())?;
    match place {
        Place::Point => scaled.checked_sub(Exact::from(unit.offset())),
        Place::Amount => Some(scaled),
    }
}

/// A coherent value in a unit. Where a figure of at most 15 digits has exactly this coherent value,
/// that figure is given: 293.15 K comes back as 20 degC, not as 19.999999999999943.
pub fn from_coherent(value: f64, unit: &Unit, place: Place) -> f64 {
    let offset = match place {
        Place::Point => unit.offset(),
        Place::Amount => Rational::ZERO,
    };
    let plain = value / unit.factor().to_f64() - offset.to_f64();
    let Ok(figure) = Decimal::parse(&format!("{plain:.14e}")) else {
        return plain;
    };
    let round = Measure { figure, unit: unit.clone() };
    if round.coherent(place) == value { figure.to_f64() } else { plain }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Catalogue;
    use proptest::prelude::*;

    fn measure(text: &str) -> Measure {
        let (figure, unit) = text.split_once(' ').unwrap();
        Measure::new(Decimal::parse(figure).unwrap(), Catalogue::standard().unit(unit).unwrap())
    }

    fn unit(text: &str) -> Unit {
        Catalogue::standard().unit(text).unwrap()
    }

    #[test]
    fn equal_quantities_are_the_same_double() {
        for (one, other) in [
            ("300 mV", "0.3 V"),
            ("3300 mV", "3.3 V"),
            ("0.1 in", "2.54 mm"),
            ("1.5 kohm", "1500 ohm"),
            ("12 rpm", "0.2 rev/s"),
            ("1200 rpm", "1.2 krpm"),
            ("90 deg", "0.25 rev"),
            ("1 lbf.ft", "12 lbf.in"),
            ("1 US_gal", "231 in3"),
            ("7.5 %", "0.075 1"),
        ] {
            let (one, other) = (measure(one), measure(other));
            assert_eq!(
                one.coherent(Place::Amount),
                other.coherent(Place::Amount),
                "{one} and {other}"
            );
            let (left, right) =
                (one.exact(Place::Amount).unwrap(), other.exact(Place::Amount).unwrap());
            assert_eq!(left.compare(right), std::cmp::Ordering::Equal, "{one} and {other}");
        }
    }

    #[test]
    fn points_take_the_offset_and_amounts_do_not() {
        assert_eq!(measure("20 degC").coherent(Place::Point), 293.15); // SI Brochure, 2.3.1
        assert_eq!(measure("2 degC").coherent(Place::Amount), 2.0);
        assert_eq!(measure("68 degF").coherent(Place::Point), 293.15);
        assert_eq!(measure("9 degF").coherent(Place::Amount), 5.0);
        let boiling = measure("212 degF").exact(Place::Point).unwrap();
        assert_eq!(
            boiling.compare(measure("100 degC").exact(Place::Point).unwrap()),
            std::cmp::Ordering::Equal
        );
        assert_eq!(measure("20.0 degC").half_step(), 0.05);
    }

    #[test]
    fn a_printed_conversion_is_exact_before_it_is_rounded() {
        // 12 psi = 12 * 0.45359237 * 9.80665 / 0.0254^2 Pa; digits by 40-digit decimal arithmetic.
        let converted = convert(&measure("12 psi"), &unit("kPa"), Place::Amount).unwrap();
        assert_eq!(converted.value, 82.737_087_518_020_33);
        let back = converted.exact.unwrap().checked_mul(unit("kPa").factor()).unwrap();
        assert_eq!(back, measure("12 psi").exact(Place::Amount).unwrap());
    }

    #[test]
    fn conversions_keep_the_digits_that_the_figure_deserves() {
        // Arithmetic, rounded by the rule of `convert`.
        for (printed, to, expected) in [
            ("22 N.m", "lbf.ft", "16"),
            ("34 N.m", "lbf.ft", "25"),
            ("60 N.m", "lbf.ft", "44"),
            ("70 N.m", "lbf.ft", "52"),
            ("12 N.m", "lbf.ft", "8.9"),
            ("12 N.m", "kgf.m", "1.2"),
            ("0.10 mm", "in", "0.0039"),
            ("0.15 mm", "in", "0.0059"),
            ("0.004 in", "mm", "0.10"),
            ("32 psi", "kPa", "220"),
            ("12 psi", "kPa", "83"),
            ("29 psi", "kPa", "200"),
            ("220 kPa", "psi", "31.9"),
            ("1.0 L", "US_qt", "1.1"),
            ("12.50 V", "mV", "12500"),
        ] {
            let converted = convert(&measure(printed), &unit(to), Place::Amount).unwrap();
            assert_eq!(converted.text, expected, "{printed} in {to}");
        }
        let warm = convert(&measure("20 degC"), &unit("degF"), Place::Point).unwrap();
        assert_eq!(warm.to_string(), "68 degF");
    }

    #[test]
    fn units_of_other_quantities_are_refused() {
        let error = convert(&measure("12 V"), &unit("ohm"), Place::Amount).unwrap_err();
        assert_eq!(
            error.to_string(),
            "`V` cannot be given in `ohm`: they measure different quantities"
        );
    }

    #[test]
    fn coherent_values_come_back_as_the_figure_that_they_were() {
        for text in ["20 degC", "98.6 degF", "1200 rpm", "0.1 in", "33 mV", "12 psi", "45.5 deg"] {
            let figure = measure(text);
            for place in [Place::Point, Place::Amount] {
                let back = from_coherent(figure.coherent(place), &figure.unit, place);
                assert_eq!(back, figure.figure.to_f64(), "{text}");
            }
        }
        assert!(from_coherent(f64::NAN, &unit("V"), Place::Amount).is_nan());
        assert_eq!(from_coherent(f64::INFINITY, &unit("mV"), Place::Amount), f64::INFINITY);
    }

    #[test]
    fn values_too_long_to_be_exact_are_still_close() {
        let long = measure("123456789012345678901234567890e9 km");
        assert_eq!(long.exact(Place::Amount), None);
        assert!((long.coherent(Place::Amount) / 1.234_567_890_123_456_7e41 - 1.0).abs() < 1e-15); // arithmetic
    }

    #[test]
    fn measures_go_through_json() {
        let shown = measure("12.50 kohm");
        let json = serde_json::to_string(&shown).unwrap();
        assert_eq!(json, r#"{"figure":"12.50","unit":"kohm"}"#);
        assert_eq!(serde_json::from_str::<Measure>(&json).unwrap(), shown);
        for text in ["\"V/krpm\"", "\"W/(m2.K)\"", "\"mV/d\"", "\"[ft_i]/(10.s)\""] {
            let unit: Unit = serde_json::from_str(text).unwrap();
            assert_eq!(serde_json::to_string(&unit).unwrap(), text);
        }
        let exact = shown.exact(Place::Amount).unwrap();
        let json = serde_json::to_string(&exact).unwrap();
        assert_eq!(serde_json::from_str::<Exact>(&json).unwrap(), exact);
        assert!(serde_json::from_str::<Rational>("\"1/0\"").is_err());
    }

    fn any_figure() -> impl Strategy<Value = Decimal> {
        (-999_999_999_i128..=999_999_999, -9_i32..=3)
            .prop_map(|(digits, power)| Decimal::new(digits, power))
    }

    /// Two units of one dimension, by their places in the catalogue.
    fn any_pair() -> impl Strategy<Value = (Unit, Unit)> {
        (0_usize..390, 0_usize..390).prop_filter_map("one dimension", |(one, other)| {
            let catalogue = Catalogue::standard();
            let one = catalogue.units().nth(one)?.unit.clone();
            let alike: Vec<_> =
                catalogue.units().filter(|def| def.unit.dimension() == one.dimension()).collect();
            Some((one, alike.get(other % alike.len())?.unit.clone()))
        })
    }

    proptest! {
        #[test]
        fn conversion_is_invertible(figure in any_figure(), (from, to) in any_pair(), point in any::<bool>()) {
            let place = if point { Place::Point } else { Place::Amount };
            let shown = Measure::new(figure, from.clone());
            let there = convert(&shown, &to, place).unwrap();
            if let Some(exact) = there.exact {
                let shift = if point { to.offset() } else { Rational::ZERO };
                let coherent = exact.checked_add(Exact::from(shift)).and_then(|v| v.checked_mul(to.factor()));
                if let Some(coherent) = coherent {
                    prop_assert_eq!(Some(coherent), shown.exact(place));
                }
            }
        }

        #[test]
        fn conversion_keeps_the_order(one in any_figure(), other in any_figure(), (from, to) in any_pair()) {
            let value = |figure| convert(&Measure::new(figure, from.clone()), &to, Place::Point).unwrap().value;
            let exact = one.to_rational().cmp(&other.to_rational());
            let converted = value(one).total_cmp(&value(other));
            prop_assert!(exact == converted || converted.is_eq() || value(one) == value(other));
        }

        #[test]
        fn coherent_values_are_the_exact_ones_rounded_once(figure in any_figure(), (from, _) in any_pair(), point in any::<bool>()) {
            let place = if point { Place::Point } else { Place::Amount };
            let shown = Measure::new(figure, from);
            if let Some(exact) = shown.exact(place) {
                prop_assert_eq!(shown.coherent(place), exact.to_f64());
            }
        }
    }
}
