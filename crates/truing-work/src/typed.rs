//! A reading as a hand types it, brought to the spelling of the language, which the job sheet keeps.
//!
//! What has one meaning is understood and shown back; what has two is asked.

use crate::scale::{Gauge, Scale};
use crate::tokens::{Number, Token, tokens};

const UNSTEADY: &str = "unsteady";

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
    let (main, moved_by) = unsteady(text);
    let Some(tokens) = tokens(main) else { return Ok(Typed::plain(text)) };
    if let Some(found) = overload_on(&tokens, gauge) {
        return Ok(found);
    }
    match (read(&tokens), moved_by) {
        (Some(form), None) => Writer { gauge, given }.write(form),
        (Some(form @ Form::Range(..)), Some(by)) => {
            let mut typed = Writer { gauge, given }.write(form)?;
            typed.text.push_str(" unsteady");
            if !by.is_empty() {
                typed.text.push_str(&format!(" \"{by}\""));
            }
            Ok(typed)
        }
        _ => Ok(Typed::plain(text)),
    }
}

/// What stands before `unsteady`, and the words behind it: what moved the display.
fn unsteady(text: &str) -> (&str, Option<String>) {
    let is_word = |at: usize| {
        let word = text.get(at..at + UNSTEADY.len());
        let before = text.get(..at).is_some_and(|head| head.ends_with(char::is_whitespace));
        before && word.is_some_and(|word| word.eq_ignore_ascii_case(UNSTEADY))
    };
    let found = text.char_indices().map(|(at, _)| at).find(|at| is_word(*at));
    match found.and_then(|at| Some((text.get(..at)?, text.get(at + UNSTEADY.len()..)?))) {
        None => (text, None),
        Some((main, by)) => {
            let by = by.trim().trim_matches('"').replace('"', "'").replace('\\', "/");
            (main, Some(by))
        }
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
    Range(Figure<'t>, Figure<'t>),
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
        return match figure(rest)? {
            (second, []) => Some(Form::Range(first, second)),
            _ => None,
        };
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
        Some((Token::Word(word), behind)) => Some(((number, Some(word)), behind)),
        _ => Some(((number, None), rest)),
    }
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
            Form::Range((low, of_low), (high, of_high)) => {
                let unit = self.unit(of_high.or(of_low))?;
                let low = match of_low.filter(|_| of_high.is_some()) {
                    Some(own) => with_unit(&low.text, &self.unit(Some(own))?),
                    None => low.text.clone(),
                };
                Ok(Typed::plain(&format!("{low} .. {}", with_unit(&high.text, &unit))))
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

#[cfg(test)]
mod tests {
    use truing::units::{Catalogue, Kind};

    use super::*;

    fn gauge(kind: Kind, scale: Scale) -> Gauge {
        Gauge { catalogue: Catalogue::standard(), kind, scale, lone_one: true }
    }

    fn volts() -> Gauge {
        gauge(Kind::DC_VOLTAGE, Scale::Sure("V".to_owned()))
    }

    fn ohms() -> Gauge {
        let units = ["ohm", "kohm", "Mohm"].map(str::to_owned).to_vec();
        gauge(Kind::RESISTANCE, Scale::Doubtful(units))
    }

    fn text(typed_text: &str, gauge: &Gauge) -> String {
        typed(typed_text, gauge, None).map(|it| it.text).unwrap_or_else(|it| format!("{it:?}"))
    }

    #[test]
    fn readings_are_understood_as_hands_type_them() {
        for (written, meant) in [
            ("12.71", "12.71 V"),
            (".487", "0.487 V"),
            ("12,71", "12.71 V"),
            ("0,487", "0.487 V"),
            ("12.71V", "12.71 V"),
            ("12.71 v", "12.71 V"),
            ("487m", "487 mV"),
            ("-.05", "-0.05 V"),
            ("\u{2212}2,0", "-2.0 V"),
            (">2", "> 2 V"),
            ("<= .1 V", "<= 0.1 V"),
            ("OL", "OL"),
            ("o.l.", "OL"),
            ("ol on 60", "ol on 60"),
            ("OL 60V", "OL on 60 V"),
            ("12.1 .. 12.4", "12.1 .. 12.4 V"),
            ("12.1..12.4 unsteady", "12.1 .. 12.4 V unsteady"),
            (
                "12.5 V .. 14.18 V unsteady warming up: 14 V at first",
                "12.5 V .. 14.18 V unsteady \"warming up: 14 V at first\"",
            ),
            ("12.1 to 12.4 Unsteady \"tapping\"", "12.1 .. 12.4 V unsteady \"tapping\""),
            ("3.52 3.50", "3.52, 3.50 V"),
            ("3.52, 3.50, 3.55 mV", "3.52, 3.50, 3.55 mV"),
            ("3,52 3,50", "3.52, 3.50 V"),
            ("not taken \"no access\"", "not taken \"no access\""),
            ("banana", "banana"),
            ("12.71 A", "12.71 A"),
        ] {
            assert_eq!(text(written, &volts()), meant, "{written}");
        }
        for (written, meant) in [
            (">20M", "> 20 Mohm"),
            ("4.7K", "4.7 kohm"),
            ("0.3 .. 0.5 ohm unsteady", "0.3 .. 0.5 ohm unsteady"),
            ("12 ohm .. 0.9M unsteady tapping", "12 ohm .. 0.9 Mohm unsteady \"tapping\""),
            ("0.3 \u{3a9}", "0.3 ohm"),
        ] {
            assert_eq!(text(written, &ohms()), meant, "{written}");
        }
    }

    #[test]
    fn what_has_two_meanings_is_asked() {
        let doubt = |text: &str, gauge: &Gauge| typed(text, gauge, None).unwrap_err();
        assert!(matches!(doubt("0.3", &ohms()), Doubt::Unit { choices } if choices.len() == 3));
        assert!(matches!(doubt("> 20", &ohms()), Doubt::Unit { .. }));
        assert_eq!(doubt("1", &volts()), Doubt::LoneOne);
        assert_eq!(doubt("1.", &volts()), Doubt::LoneOne);
        assert!(matches!(doubt("1,400", &volts()), Doubt::Thousands { point, whole }
            if point == "1.400 V" && whole == "1400 V"));
        assert!(matches!(doubt("1 234", &volts()), Doubt::Apart { joined } if joined == "1234 V"));
        assert_eq!(typed("0.3", &ohms(), Some("kohm")).unwrap().text, "0.3 kohm");
        assert_eq!(text("1 V", &volts()), "1 V");
        let known = Gauge { lone_one: false, ..volts() };
        assert_eq!(text("1", &known), "1 V");
    }
}
