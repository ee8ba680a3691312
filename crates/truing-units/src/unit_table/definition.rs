//! Reads the definitions in the unit tables: exact products of numbers and defined constants.

use crate::{Decimal, Exact, Rational};

/// Constants that definitions may name, each exact by definition.
///
/// The international yard and pound are those of the 1959 agreement (NIST SP 811, B.6); standard
/// gravity is that of the 3rd CGPM, 1901; the calories and the Btu are SP 811's footnotes.
const CONSTANTS: [(&str, &str); 12] = [
    ("in", "0.0254"),
    ("ft", "0.3048"),
    ("yd", "0.9144"),
    ("mi", "1609.344"),
    ("lb", "0.45359237"),
    ("gn", "9.80665"),
    ("gal", "0.003785411784"), // 231 cubic inches
    ("imp", "0.00454609"),     // imperial gallon
    ("cal", "4.184"),          // thermochemical
    ("btu", "1055.05585262"),  // International Table: 4.1868 * lb * 1000 * 5/9
    ("Hg", "13595.1"),         // conventional density of mercury, kg/m3
    ("min", "60"),
];

/// The value of a definition such as `lb*gn/in^2` or `pi/180`, read from left to right; a power
/// binds to the name or number before it. `None` where a part is unknown or does not fit.
pub(crate) fn value_of(definition: &str) -> Option<Exact> {
    let mut value = Exact::ONE;
    let mut divide = false;
    let mut rest = definition;
    loop {
        let end = rest.find(['*', '/']).unwrap_or(rest.len());
        let (part, tail) = rest.split_at_checked(end)?;
        let factor = factor_of(part)?;
        value = if divide { value.checked_div(factor)? } else { value.checked_mul(factor)? };
        let mut tail = tail.chars();
        match tail.next() {
            None => return Some(value),
            Some(operator) => divide = operator == '/',
        }
        rest = tail.as_str();
    }
}

fn factor_of(part: &str) -> Option<Exact> {
    let (name, power) = match part.split_once('^') {
        Some((name, power)) => (name, power.parse().ok()?),
        None => (part, 1),
    };
    let base = if name == "pi" {
        Exact::PI
    } else {
        let digits =
            CONSTANTS.iter().find(|(known, _)| *known == name).map_or(name, |(_, digits)| *digits);
        Exact::from(rational(digits)?)
    };
    base.checked_powi(power)
}

/// A decimal text as an exact fraction.
pub(crate) fn rational(digits: &str) -> Option<Rational> {
    Decimal::parse(digits).ok()?.to_rational()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn constants_are_their_own_definitions() {
        assert_eq!(value_of("gal"), value_of("231*in^3")); // NIST SP 811, B.6
        assert_eq!(value_of("btu"), value_of("4.1868*lb*1000*5/9")); // NIST SP 811, footnote 9
        assert_eq!(value_of("yd"), value_of("3*ft"));
        assert_eq!(value_of("ft"), value_of("12*in"));
        assert_eq!(value_of("mi"), value_of("5280*ft"));
    }

    #[test]
    fn reads_products_quotients_powers_and_pi() {
        assert_eq!(value_of("pi/180").map(Exact::pi), Some(1));
        assert_eq!(value_of("6/2/3"), Some(Exact::ONE)); // left to right
        assert_eq!(value_of("2^-1"), value_of("1/2"));
        assert_eq!(value_of("furlong"), None);
        assert_eq!(value_of("2*"), None);
    }
}
