//! Units composed of others: `V/krpm`, `N.m/deg`, `W/(m2.K)`, `s-1`.

use std::borrow::Cow;

use crate::unit::UnitData;
use crate::{Dimension, Exact, Rational, Unit, UnitError};

/// The deepest nesting of parentheses in a composed unit.
const MAX_DEPTH: u32 = 4;

/// The largest exponent of a unit.
const MAX_EXPONENT: i32 = 9;

/// Reads a composed unit. `named` looks up one name; the text is already normalised.
///
/// A point multiplies and a slash divides by the one factor after it. What follows a slash may hold
/// no point but in parentheses: `J/kg.K` is read one way by some and the other way by others.
pub(crate) fn parse(text: &str, named: &dyn Fn(&str) -> Option<Unit>) -> Result<Unit, UnitError> {
    let mut reader = Reader { text, rest: text, named };
    let parts = reader.product(0)?;
    if !reader.rest.is_empty() {
        return Err(reader.bad_form());
    }
    Ok(Unit::new(UnitData {
        symbol: Cow::Owned(parts.symbol.clone()),
        words: Cow::Owned(parts.symbol),
        dimension: parts.dimension,
        factor: parts.factor,
        offset: Rational::ZERO,
        kinds: Vec::new(),
        ucum: parts.ucum.map(Cow::Owned),
    }))
}

/// A composed unit in the making.
struct Parts {
    symbol: String,
    dimension: Dimension,
    factor: Exact,
    ucum: Option<String>,
}

struct Reader<'a> {
    text: &'a str,
    rest: &'a str,
    named: &'a dyn Fn(&str) -> Option<Unit>,
}

impl<'a> Reader<'a> {
    fn product(&mut self, depth: u32) -> Result<Parts, UnitError> {
        let mut all = self.factor(depth)?;
        let mut divided = false;
        loop {
            let mut tail = self.rest.chars();
            let operator = match tail.next() {
                Some(operator @ ('.' | '/')) => operator,
                _ => return Ok(all),
            };
            if operator == '.' && divided {
                return Err(UnitError::Ambiguous { text: self.text.to_owned() });
            }
            self.rest = tail.as_str();
            divided |= operator == '/';
            let next = self.factor(depth)?;
            all = join(all, operator, next).ok_or_else(|| self.too_large())?;
        }
    }

    fn factor(&mut self, depth: u32) -> Result<Parts, UnitError> {
        if let Some(inside) = self.rest.strip_prefix('(') {
            if depth >= MAX_DEPTH {
                return Err(self.bad_form());
            }
            self.rest = inside;
            let parts = self.product(depth + 1)?;
            self.rest = self.rest.strip_prefix(')').ok_or_else(|| self.bad_form())?;
            return Ok(parts);
        }
        let end = self.rest.find(['.', '/', '(', ')']).unwrap_or(self.rest.len());
        let (token, rest) = self.rest.split_at_checked(end).ok_or_else(|| self.bad_form())?;
        self.rest = rest;
        self.token(token)
    }

    /// One name with its exponent: `m`, `s2`, `min-1`; a name may end in a digit itself.
    fn token(&self, token: &'a str) -> Result<Parts, UnitError> {
        if token.is_empty() {
            return Err(self.bad_form());
        }
        if let Some(unit) = (self.named)(token) {
            return power_of(&unit, 1).ok_or_else(|| self.too_large());
        }
        let name = token.trim_end_matches(|c: char| c.is_ascii_digit());
        let digits = token.strip_prefix(name).unwrap_or("");
        let (name, sign) = match name.strip_suffix('-') {
            Some(name) if !digits.is_empty() => (name, -1),
            _ => (name, 1),
        };
        let Some(unit) = (self.named)(name).filter(|_| !digits.is_empty()) else {
            return Err(UnitError::Unknown { text: token.to_owned(), nearest: None });
        };
        let exponent = digits.parse::<i32>().ok().filter(|e| (1..=MAX_EXPONENT).contains(e));
        let exponent = exponent.ok_or_else(|| UnitError::BadExponent { text: token.to_owned() })?;
        power_of(&unit, sign * exponent).ok_or_else(|| self.too_large())
    }

    fn bad_form(&self) -> UnitError {
        UnitError::BadForm { text: self.text.to_owned() }
    }

    fn too_large(&self) -> UnitError {
        UnitError::OutOfRange { text: self.text.to_owned() }
    }
}

fn power_of(unit: &Unit, exponent: i32) -> Option<Parts> {
    Some(Parts {
        symbol: raised(unit.symbol(), exponent),
        dimension: unit.dimension().powi(i8::try_from(exponent).ok()?),
        factor: unit.factor().checked_powi(exponent)?,
        ucum: unit.ucum().map(|code| raised(code, exponent)),
    })
}

fn join(left: Parts, operator: char, right: Parts) -> Option<Parts> {
    let divide = operator == '/';
    let dimension = if divide {
        left.dimension.quotient(right.dimension)
    } else {
        left.dimension.product(right.dimension)
    };
    let factor = if divide {
        left.factor.checked_div(right.factor)?
    } else {
        left.factor.checked_mul(right.factor)?
    };
    let joined = |left: &str, right: &str| match divide {
        true => format!("{left}/{}", grouped(right)),
        false => format!(
            "{}.{}",
            if left.contains('/') { grouped(left) } else { left.into() },
            group_quotient(right)
        ),
    };
    Some(Parts {
        symbol: joined(&left.symbol, &right.symbol),
        dimension,
        factor,
        ucum: left.ucum.zip(right.ucum).map(|(left, right)| joined(&left, &right)),
    })
}

/// The symbol raised to a power; a symbol that is itself composed, or ends in a digit, is put in
/// parentheses first, which the power is then spread over by repetition.
fn raised(symbol: &str, exponent: i32) -> String {
    let plain = !symbol.contains(['.', '/']) && !symbol.ends_with(|c: char| c.is_ascii_digit());
    match exponent {
        1 => symbol.to_owned(),
        _ if plain => format!("{symbol}{exponent}"),
        _ => {
            let once = grouped(symbol);
            let count = exponent.unsigned_abs() as usize;
            let product = vec![once.as_ref(); count].join(".");
            if exponent < 0 { format!("1/({product})") } else { product }
        }
    }
}

fn grouped(symbol: &str) -> Cow<'_, str> {
    if symbol.contains(['.', '/']) { format!("({symbol})").into() } else { symbol.into() }
}

fn group_quotient(symbol: &str) -> Cow<'_, str> {
    if symbol.contains('/') { format!("({symbol})").into() } else { symbol.into() }
}

#[cfg(test)]
mod tests {
    use crate::{Catalogue, Exact, Rational, UnitError};

    fn factor(text: &str) -> Exact {
        Catalogue::standard().unit(text).unwrap_or_else(|error| panic!("{error}")).factor()
    }

    fn ratio(numer: i128, denom: i128) -> Exact {
        Exact::from(Rational::new(numer, denom).unwrap())
    }

    #[test]
    fn parts_multiply_divide_and_have_powers() {
        assert_eq!(factor("km/d"), ratio(1000, 86400)); // arithmetic
        assert_eq!(factor("mm2.m"), ratio(1, 1_000_000));
        assert_eq!(factor("1/min2"), ratio(1, 3600));
        assert_eq!(factor("min-2"), ratio(1, 3600));
        assert_eq!(factor("m/min/min"), ratio(1, 3600));
        assert_eq!(factor("m/(min.min)"), factor("m/min/min"));
        assert_eq!(factor("mV/degC"), ratio(1, 1000)); // a scale's offset has no place in a quotient
        assert_eq!(factor("mL/rev").pi(), -1);
    }

    #[test]
    fn symbols_are_canonical_and_carry_their_code() {
        let catalogue = Catalogue::standard();
        let unit = |text: &str| catalogue.unit(text).unwrap();
        assert_eq!(unit("µΩ·°C").symbol(), "uohm.degC");
        assert_eq!(unit("mV/(Ω·s)").symbol(), "mV/(ohm.s)");
        assert_eq!(unit("kg/(psi·d)").ucum(), Some("kg/([psi].d)"));
        assert_eq!(unit("inHg/d").ucum(), None);
        let code = catalogue.ucum_of(&unit("mL/rev")).unwrap();
        assert_eq!(catalogue.unit_from_ucum(&code).unwrap().factor(), factor("mL/rev"));
    }

    #[test]
    fn a_point_after_a_slash_is_not_guessed_at() {
        let read = |text: &str| Catalogue::standard().unit(text);
        assert!(matches!(read("W/m2.K"), Err(UnitError::Ambiguous { .. })));
        assert!(read("W/(m2.K)").is_ok() && read("W/m2/K").is_ok() && read("W.s/m2").is_ok());
    }
}
