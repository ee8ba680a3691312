//! Reads codes of UCUM, the Unified Code for Units of Measure (case-sensitive form).
//!
//! The grammar is that of the UCUM specification, section 2.3: a term is components joined by `.` and
//! `/`, read from left to right; a component is a unit with an exponent and an annotation, an
//! annotation, a whole number, or a term in parentheses.

use std::borrow::Cow;

use crate::ucum_atoms::{self, Atom};
use crate::unit::UnitData;
use crate::unit_table::definition;
use crate::{Dimension, Exact, Rational, Unit, UnitError};

/// The deepest nesting of parentheses in a code.
const MAX_DEPTH: u32 = 8;

/// The prefixes of UCUM, longest first, with their powers of ten.
const PREFIXES: [(&str, i32); 20] = [
    ("da", 1),
    ("Y", 24),
    ("Z", 21),
    ("E", 18),
    ("P", 15),
    ("T", 12),
    ("G", 9),
    ("M", 6),
    ("k", 3),
    ("h", 2),
    ("d", -1),
    ("c", -2),
    ("m", -3),
    ("u", -6),
    ("n", -9),
    ("p", -12),
    ("f", -15),
    ("a", -18),
    ("z", -21),
    ("y", -24),
];

/// Reads a code into a composed unit, which has no kinds.
pub(crate) fn parse(code: &str) -> Result<Unit, UnitError> {
    let mut reader = Reader { code, rest: code };
    let value = reader.main_term()?;
    Ok(Unit::new(UnitData {
        symbol: Cow::Owned(code.to_owned()),
        words: Cow::Owned(code.to_owned()),
        dimension: value.dimension,
        factor: value.factor,
        offset: Rational::ZERO,
        kinds: Vec::new(),
        ucum: Some(Cow::Owned(code.to_owned())),
    }))
}

/// What a part of a code is worth.
#[derive(Copy, Clone)]
struct Worth {
    factor: Exact,
    dimension: Dimension,
}

const UNITY: Worth = Worth { factor: Exact::ONE, dimension: Dimension::NONE };

impl Worth {
    fn product(self, other: Worth) -> Option<Worth> {
        Some(Worth {
            factor: self.factor.checked_mul(other.factor)?,
            dimension: self.dimension.product(other.dimension),
        })
    }

    fn quotient(self, other: Worth) -> Option<Worth> {
        Some(Worth {
            factor: self.factor.checked_div(other.factor)?,
            dimension: self.dimension.quotient(other.dimension),
        })
    }

    fn power(self, exponent: i8) -> Option<Worth> {
        Some(Worth {
            factor: self.factor.checked_powi(i32::from(exponent))?,
            dimension: self.dimension.powi(exponent),
        })
    }
}

struct Reader<'a> {
    code: &'a str,
    rest: &'a str,
}

impl<'a> Reader<'a> {
    fn main_term(&mut self) -> Result<Worth, UnitError> {
        if self.code.is_empty() {
            return Ok(UNITY); // the unity: a code with nothing in it
        }
        let worth = match self.eat("/") {
            true => {
                let first = self.component(0)?;
                let inverse = UNITY.quotient(first).ok_or_else(|| self.too_large())?;
                self.term_after(inverse, 0)?
            }
            false => self.term(0)?,
        };
        if self.rest.is_empty() {
            Ok(worth)
        } else {
            Err(self.refused("something follows that cannot stand there"))
        }
    }

    fn term(&mut self, depth: u32) -> Result<Worth, UnitError> {
        let first = self.component(depth)?;
        self.term_after(first, depth)
    }

    fn term_after(&mut self, first: Worth, depth: u32) -> Result<Worth, UnitError> {
        let mut worth = first;
        loop {
            let joined = if self.eat(".") {
                worth.product(self.component(depth)?)
            } else if self.eat("/") {
                worth.quotient(self.component(depth)?)
            } else {
                return Ok(worth);
            };
            worth = joined.ok_or_else(|| self.too_large())?;
        }
    }

    fn component(&mut self, depth: u32) -> Result<Worth, UnitError> {
        if self.eat("(") {
            if depth >= MAX_DEPTH {
                return Err(self.refused("its parentheses are nested too deeply"));
            }
            let worth = self.term(depth + 1)?;
            return if self.eat(")") {
                Ok(worth)
            } else {
                Err(self.refused("a parenthesis is not closed"))
            };
        }
        if self.annotation()? {
            return Ok(UNITY);
        }
        let power_of_ten = self.rest.starts_with("10*") || self.rest.starts_with("10^");
        let worth = match self.rest.starts_with(|c: char| c.is_ascii_digit()) && !power_of_ten {
            true => self.number()?,
            false => {
                let unit = self.simple_unit()?;
                match self.exponent()? {
                    Some(exponent) => unit.power(exponent).ok_or_else(|| self.too_large())?,
                    None => unit,
                }
            }
        };
        self.annotation()?;
        Ok(worth)
    }

    /// Whether an annotation stood here: printable ASCII in braces, which says nothing of the unit.
    fn annotation(&mut self) -> Result<bool, UnitError> {
        let Some(inside) = self.rest.strip_prefix('{') else { return Ok(false) };
        let Some((text, rest)) = inside.split_once('}') else {
            return Err(self.refused("an annotation is not closed"));
        };
        if !text.chars().all(|c| matches!(c, ' '..='~') && c != '{') {
            return Err(self.refused("an annotation holds a sign that is not allowed"));
        }
        self.rest = rest;
        Ok(true)
    }

    fn number(&mut self) -> Result<Worth, UnitError> {
        let digits = self.take_while(|c| c.is_ascii_digit());
        let value: i64 = digits.parse().map_err(|_| self.too_large())?;
        if value == 0 {
            return Err(self.refused("nought is no factor of a unit"));
        }
        Ok(Worth { factor: Exact::from(Rational::from_integer(value)), dimension: Dimension::NONE })
    }

    fn exponent(&mut self) -> Result<Option<i8>, UnitError> {
        let sign = if self.eat("-") {
            -1
        } else {
            let plus = self.eat("+");
            if !plus && !self.rest.starts_with(|c: char| c.is_ascii_digit()) {
                return Ok(None);
            }
            1
        };
        let digits = self.take_while(|c| c.is_ascii_digit());
        let exponent = digits.parse::<i8>().ok().filter(|exponent| (1..=30).contains(exponent));
        match exponent {
            Some(exponent) => Ok(Some(sign * exponent)),
            None => Err(self.refused("an exponent is not a whole number from 1 to 30")),
        }
    }

    /// A unit atom, with a prefix if it is metric.
    fn simple_unit(&mut self) -> Result<Worth, UnitError> {
        let token = match self.rest {
            rest if rest.starts_with("10*") || rest.starts_with("10^") => {
                let (token, tail) = rest.split_at_checked(3).unwrap_or((rest, ""));
                self.rest = tail;
                token
            }
            _ => self.symbol()?,
        };
        if token.is_empty() {
            return Err(self.refused("a unit is missing"));
        }
        if matches!(token, "Cel" | "[degF]") {
            return Err(self.refused("a temperature scale has no products; write K or [degR]"));
        }
        if let Some(atom) = ucum_atoms::find(token) {
            return self.worth(atom, Exact::ONE);
        }
        for (prefix, power) in PREFIXES {
            let metric =
                token.strip_prefix(prefix).and_then(ucum_atoms::find).filter(|atom| atom.metric);
            if let (Some(atom), Some(scale)) = (metric, Rational::power_of_ten(power)) {
                return self.worth(atom, Exact::from(scale));
            }
        }
        Err(self.refused("it has a unit that is not in the table"))
    }

    fn worth(&self, atom: Atom, scale: Exact) -> Result<Worth, UnitError> {
        let factor =
            definition::value_of(atom.definition).and_then(|value| value.checked_mul(scale));
        let factor = factor.ok_or_else(|| self.too_large())?;
        Ok(Worth { factor, dimension: atom.dimension })
    }

    /// The characters of one unit symbol: all within square brackets, and outside them all but
    /// digits, signs and the grammar's own characters.
    fn symbol(&mut self) -> Result<&'a str, UnitError> {
        let mut inside = false;
        let symbol = self.take_while(|c| {
            match c {
                '[' => inside = true,
                ']' => {
                    let closes = inside;
                    inside = false;
                    return closes;
                }
                _ => {}
            }
            inside
                || !(c.is_ascii_digit()
                    || matches!(c, '.' | '/' | '(' | ')' | '{' | '}' | '+' | '-'))
        });
        if inside { Err(self.refused("a square bracket is not closed")) } else { Ok(symbol) }
    }

    fn eat(&mut self, sign: &str) -> bool {
        match self.rest.strip_prefix(sign) {
            Some(rest) => {
                self.rest = rest;
                true
            }
            None => false,
        }
    }

    fn take_while(&mut self, mut belongs: impl FnMut(char) -> bool) -> &'a str {
        let end = self.rest.find(|c| !belongs(c)).unwrap_or(self.rest.len());
        let (taken, rest) = self.rest.split_at_checked(end).unwrap_or((self.rest, ""));
        self.rest = rest;
        taken
    }

    fn refused(&self, why: &'static str) -> UnitError {
        UnitError::NotUcum { text: self.code.to_owned(), why }
    }

    fn too_large(&self) -> UnitError {
        UnitError::OutOfRange { text: self.code.to_owned() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Catalogue;
    use proptest::prelude::*;

    fn worth(code: &str) -> (Exact, Dimension) {
        let unit = parse(code).unwrap_or_else(|error| panic!("{error}"));
        (unit.factor(), unit.dimension())
    }

    #[test]
    fn reads_the_grammar() {
        assert_eq!(worth("kg.m/s2"), worth("N")); // UCUM table, newton
        assert_eq!(worth("/s"), worth("Hz"));
        assert_eq!(worth("m/s/kg"), worth("m/(s.kg)")); // left to right
        assert_eq!(worth("m/s.kg"), worth("m.kg/s"));
        assert_eq!(worth("10*3.m"), worth("km"));
        assert_eq!(worth("10^-3.m"), worth("mm"));
        assert_eq!(worth("m{gap}"), worth("m"));
        assert_eq!(worth("{count}"), worth("1"));
        assert_eq!(worth("daN"), worth("10.N"));
        assert_eq!(worth("m[H2O]"), worth("9806650.mPa"));
        assert_eq!(worth("s-1"), worth("Hz"));
    }

    #[test]
    fn refuses_what_is_no_code() {
        for code in [
            "m/", "/", "m//s", "(m", "m)", "{a}m", "m{a", "2m", "m0", "m-", "k", "k[in_i]x",
            "[in_i", "in_i]", "0", "m.Cel", "mm2s", "K^2", "m 2", "µm", "{é}", "m99",
        ] {
            assert!(parse(code).is_err(), "{code}");
        }
        let deep = format!("{}m{}", "(".repeat(30), ")".repeat(30));
        assert!(parse(&deep).is_err());
    }

    #[test]
    fn every_code_of_the_catalogue_is_worth_its_unit() {
        let catalogue = Catalogue::standard();
        let mut seen = 0;
        for def in catalogue.units() {
            let Some(code) = def.unit.ucum().filter(|code| !matches!(*code, "Cel" | "[degF]"))
            else {
                continue;
            };
            let (factor, dimension) = worth(code);
            assert_eq!(factor, def.unit.factor(), "{} = {code}", def.unit);
            assert_eq!(dimension, def.unit.dimension(), "{} = {code}", def.unit);
            seen += 1;
        }
        assert!(seen > 300, "{seen}");
    }

    proptest! {
        #[test]
        fn any_code_is_read_or_refused(code in "[a-zA-Z0-9.\\-+/()\\[\\]{}*^' µ]{0,24}") {
            let _ = parse(&code);
        }
    }
}
