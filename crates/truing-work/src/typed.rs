//! A reading as a hand types it, brought to the spelling of the language, which the job sheet keeps.
//!
//! What has one meaning is understood and shown back; what has two is asked.

use crate::scale::{Gauge, Scale};
use crate::tokens::{Number, Token, tokens};

/// A typed reading in the spelling of the language.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Typed {
    /// `12.71 V`, `> 20 Mohm`
    pub text: String,
    /// Of a single figure its number and unit, for looking at slips.
    pub figure: Option<(String, String)>,
    /// `OL` without the range that it was on.
    pub overload: bool,
}

impl Typed {
    fn plain(text: &str) -> Self {
        Self { text: text.to_owned(), figure: None, overload: false }
    }
}

/// What has two meanings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Doubt {
    /// A number whose unit does not go without saying.
    Unit {
        /// The units that it may be.
        choices: Vec<String>,
    },
    /// A lone `1`: the number, or the over-range sign.
    LoneOne,
    /// `1,400`: a decimal comma, or thousands.
    Thousands {
        /// As a decimal comma: `1.400 rpm`.
        point: String,
        /// As thousands: `1400 rpm`.
        whole: String,
    },
    /// `1 234 V`: repeats that lie far apart, or one number with a blank in it.
    Apart {
        /// As one number.
        joined: String,
    },
}

/// Reads what was typed for a quantity. `given` is the unit of numbers that have none, where it was
/// asked for.
///
/// # Errors
/// [`Doubt`] where it has two meanings. What has none comes back as it is: the sheet says what is
/// wrong with it.
pub fn typed(text: &str, gauge: &Gauge, given: Option<&str>) -> Result<Typed, Doubt> {
    let text = text.trim();
    if is_overload(text) {
        return Ok(Typed { text: "OL".to_owned(), figure: None, overload: true });
    }
    let Some(tokens) = tokens(text) else { return Ok(Typed::plain(text)) };
    if let Some(found) = overload_on(&tokens, gauge) {
        return Ok(found);
    }
    match read(&tokens) {
        Some(form) => Writer { gauge, given }.write(form),
        None => Ok(Typed::plain(text)),
    }
}

fn is_overload(text: &str) -> bool {
    let letters = text.chars().filter(|c| !matches!(c, '.' | ' ' | '\t'));
    letters.collect::<String>().eq_ignore_ascii_case("ol")
}

/// `OL on 60M`, `OL 60 Mohm`
fn overload_on(tokens: &[Token], gauge: &Gauge) -> Option<Typed> {
    let (first, rest) = tokens.split_first()?;
    let Token::Word(word) = first else { return None };
    if !is_overload(word) {
        return None;
    }
    let rest = match rest.split_first() {
        Some((Token::Word(on), rest)) if on.eq_ignore_ascii_case("on") => rest,
        _ => rest,
    };
    let [Token::Number(number), Token::Word(unit)] = rest else { return None };
    let unit = gauge.unit(unit)?;
    Some(Typed::plain(&format!("OL on {} {unit}", number.text)))
}

/// A number with the unit behind it.
type Figure<'t> = (&'t Number, Option<&'t str>);

enum Form<'t> {
    Figure(Figure<'t>),
    Bound(&'static str, Figure<'t>),
    Range(Figure<'t>, Figure<'t>, Option<Option<String>>),
    Repeats(Vec<Figure<'t>>),
}

/// The form that the pieces make; nothing where they make none.
fn read(tokens: &[Token]) -> Option<Form<'_>> {
    if let Some((Token::Beyond(sign), rest)) = tokens.split_first() {
        return match figure(rest)? {
            (figure, []) => Some(Form::Bound(sign, figure)),
            _ => None,
        };
    }
    let (first, rest) = figure(tokens)?;
    if rest.is_empty() {
        return Some(Form::Figure(first));
    }
    if let Some((Token::To, rest)) = rest.split_first() {
        let (second, rest) = figure(rest)?;
        let unsteady = match rest.split_first() {
            None => None,
            Some((Token::Word(word), why)) if word.eq_ignore_ascii_case("unsteady") => {
                Some(moved_by(why))
            }
            Some(_) => return None,
        };
        return Some(Form::Range(first, second, unsteady));
    }
    let mut figures = vec![first];
    let mut rest = rest;
    while !rest.is_empty() {
        if let Some((Token::Comma, behind)) = rest.split_first() {
            rest = behind;
        }
        let (figure, behind) = figure(rest)?;
        figures.push(figure);
        rest = behind;
    }
    Some(Form::Repeats(figures))
}

fn figure(tokens: &[Token]) -> Option<(Figure<'_>, &[Token])> {
    let (first, rest) = tokens.split_first()?;
    let Token::Number(number) = first else { return None };
    match rest.split_first() {
        Some((Token::Word(word), behind)) if !word.eq_ignore_ascii_case("unsteady") => {
            Some(((number, Some(word)), behind))
        }
        _ => Some(((number, None), rest)),
    }
}

/// What moved an unsteady reading, in the words behind it.
fn moved_by(tokens: &[Token]) -> Option<String> {
    let words = tokens.iter().map(|token| match token {
        Token::Word(word) | Token::Quoted(word) => word.as_str(),
        Token::Number(number) => number.text.as_str(),
        Token::Comma => ",",
        Token::To => "..",
        Token::Beyond(sign) => sign,
    });
    let text = words.collect::<Vec<_>>().join(" ").replace('"', "'").replace('\\', "/");
    (!text.is_empty()).then_some(text)
}

struct Writer<'a> {
    gauge: &'a Gauge,
    given: Option<&'a str>,
}

impl Writer<'_> {
    fn write(&self, form: Form<'_>) -> Result<Typed, Doubt> {
        match form {
            Form::Figure(figure) => self.single(figure),
            Form::Bound(sign, (number, unit)) => {
                let unit = self.unit(unit)?;
                Ok(Typed::plain(&with_unit(&format!("{sign} {}", number.text), &unit)))
            }
            Form::Range((low, of_low), (high, of_high), unsteady) => {
                let unit = self.unit(of_high.or(of_low))?;
                let low = match of_low.filter(|_| of_high.is_some()) {
                    Some(own) => with_unit(&low.text, &self.unit(Some(own))?),
                    None => low.text.clone(),
                };
                let mut text = format!("{low} .. {}", with_unit(&high.text, &unit));
                match unsteady {
                    None => {}
                    Some(None) => text.push_str(" unsteady"),
                    Some(Some(by)) => text.push_str(&format!(" unsteady \"{by}\"")),
                }
                Ok(Typed::plain(&text))
            }
            Form::Repeats(figures) => self.repeats(&figures),
        }
    }

    fn single(&self, (number, unit): (&Number, Option<&str>)) -> Result<Typed, Doubt> {
        let bare = unit.is_none() && self.given.is_none();
        if bare && self.gauge.lone_one && number.text == "1" {
            return Err(Doubt::LoneOne);
        }
        let unit = self.unit(unit)?;
        let text = with_unit(&number.text, &unit);
        if let Some(whole) = &number.whole {
            return Err(Doubt::Thousands { point: text, whole: with_unit(whole, &unit) });
        }
        Ok(Typed { text, figure: Some((number.text.clone(), unit)), overload: false })
    }

    fn repeats(&self, figures: &[(&Number, Option<&str>)]) -> Result<Typed, Doubt> {
        let unit = self.unit(figures.iter().rev().find_map(|(_, unit)| *unit))?;
        let one_unit = figures.iter().rev().skip(1).all(|(_, unit)| unit.is_none());
        let mut told = Vec::new();
        for (number, own) in figures {
            told.push(match own.filter(|_| !one_unit) {
                Some(own) => with_unit(&number.text, &self.unit(Some(own))?),
                None => number.text.clone(),
            });
        }
        let size = |number: &Number| number.text.parse::<f64>().unwrap_or(0.0).abs();
        let sizes = || figures.iter().map(|(number, _)| size(number));
        let (least, most) = (sizes().fold(f64::INFINITY, f64::min), sizes().fold(0.0, f64::max));
        if one_unit && figures.len() == 2 && most > 10.0 * least {
            return Err(Doubt::Apart { joined: with_unit(&told.concat(), &unit) });
        }
        let mut text = told.join(", ");
        if one_unit {
            text = with_unit(&text, &unit);
        }
        Ok(Typed::plain(&text))
    }

    /// The unit of a figure: its own, the one asked for, or the one that goes without saying.
    fn unit(&self, own: Option<&str>) -> Result<String, Doubt> {
        match (own, self.given, &self.gauge.scale) {
            // A word that is no unit here is kept: the sheet says what is wrong with it.
            (Some(own), ..) => Ok(self.gauge.unit(own).unwrap_or_else(|| own.to_owned())),
            (None, Some(given), _) => Ok(given.to_owned()),
            (None, None, Scale::Bare) => Ok(String::new()),
            (None, None, Scale::Sure(unit)) => Ok(unit.clone()),
            (None, None, Scale::Doubtful(units)) => Err(Doubt::Unit { choices: units.clone() }),
        }
    }
}

fn with_unit(number: &str, unit: &str) -> String {
    if unit.is_empty() { number.to_owned() } else { format!("{number} {unit}") }
}
