//! What a typed reading consists of: numbers, units, marks. Nothing is judged here.

/// A piece of a typed reading.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Token {
    /// A number.
    Number(Number),
    /// A word: a unit, `unsteady`, `OL`.
    Word(String),
    /// `>`, `>=`, `<`, `<=`, as the language writes it.
    Beyond(&'static str),
    /// `..`
    To,
    /// A comma between figures.
    Comma,
    /// A text in quotes, without them.
    Quoted(String),
}

/// A number as typed, and as the language writes it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Number {
    /// `0.487`
    pub text: String,
    /// The same without its comma, where that may have parted thousands: `1,400`.
    pub whole: Option<String>,
}

/// The pieces of a text; nothing where a character begins none.
#[must_use]
pub fn tokens(text: &str) -> Option<Vec<Token>> {
    let mut rest = text.trim();
    let mut tokens = Vec::new();
    while !rest.is_empty() {
        let (token, left) = token(rest)?;
        tokens.push(token);
        rest = left.trim_start();
    }
    Some(tokens)
}

fn token(text: &str) -> Option<(Token, &str)> {
    const MARKS: [(&str, Token); 9] = [
        (">=", Token::Beyond(">=")),
        ("<=", Token::Beyond("<=")),
        ("\u{2265}", Token::Beyond(">=")),
        ("\u{2264}", Token::Beyond("<=")),
        (">", Token::Beyond(">")),
        ("<", Token::Beyond("<")),
        ("..", Token::To),
        ("\u{2026}", Token::To),
        ("to ", Token::To),
    ];
    for (mark, token) in MARKS {
        if let Some(rest) = text.strip_prefix(mark) {
            return Some((token, rest.trim_start_matches('.')));
        }
    }
    if let Some(found) = number(text) {
        return Some(found);
    }
    if let Some(rest) = text.strip_prefix(',') {
        return Some((Token::Comma, rest));
    }
    if let Some(rest) = text.strip_prefix('"') {
        let (quoted, left) = rest.split_once('"').unwrap_or((rest, ""));
        return Some((Token::Quoted(quoted.to_owned()), left));
    }
    word(text)
}

/// Up to a blank, a comma, a comparison or `..`: a unit may hold `/`, `.`, `^` and figures.
fn word(text: &str) -> Option<(Token, &str)> {
    let ends = |(at, c): (usize, char)| {
        c.is_whitespace()
            || matches!(c, ',' | '<' | '>' | '"' | ':' | '=' | '(' | ')')
            || text.get(at..).is_some_and(|rest| rest.starts_with(".."))
    };
    let end = text.char_indices().find(|place| ends(*place)).map_or(text.len(), |(at, _)| at);
    let begins = |word: &str| word.starts_with(|c: char| !c.is_ascii_digit());
    let (word, rest) = text.split_at_checked(end).filter(|(word, _)| begins(word))?;
    Some((Token::Word(word.to_owned()), rest))
}

/// `12.71`, `.487`, `12,71`, `-0.05`, `12.` at the beginning of a text.
fn number(text: &str) -> Option<(Token, &str)> {
    let unsigned = text.trim_start_matches(['+', '-', '\u{2212}']);
    let sign = text.strip_suffix(unsigned)?;
    let minus = match sign {
        "" | "+" => "",
        "-" | "\u{2212}" => "-",
        _ => return None,
    };
    let (whole, rest) = digits(unsigned);
    let point = rest.chars().next().filter(|c| matches!(c, '.' | ','));
    let behind = rest.get(point.map_or(0, char::len_utf8)..).unwrap_or("");
    let (part, left) = if point.is_some() { digits(behind) } else { ("", behind) };
    match (whole, point, part) {
        ("", _, "") | ("", None, _) => None,
        // `12.` and `12,` end a number or stand before another mark.
        (whole, Some('.'), "") if !left.starts_with('.') => made(minus, whole, "", false, left),
        (whole, _, "") => made(minus, whole, "", false, rest),
        (whole, point, part) => {
            // `3.5.1` is no number.
            if left.starts_with(['.', ','])
                && left.chars().nth(1).is_some_and(|c| c.is_ascii_digit())
            {
                return None;
            }
            made(minus, whole, part, point == Some(','), left)
        }
    }
}

fn made<'t>(
    minus: &str,
    whole: &str,
    part: &str,
    comma: bool,
    left: &'t str,
) -> Option<(Token, &'t str)> {
    let leading = if whole.is_empty() { "0" } else { whole };
    let point = if part.is_empty() { "" } else { "." };
    let thousands = comma && part.len() == 3 && (1..=3).contains(&whole.len()) && whole != "0";
    let number = Number {
        text: format!("{minus}{leading}{point}{part}"),
        whole: thousands.then(|| format!("{minus}{whole}{part}")),
    };
    Some((Token::Number(number), left))
}

fn digits(text: &str) -> (&str, &str) {
    let end = text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len());
    text.split_at_checked(end).unwrap_or((text, ""))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn one(text: &str) -> String {
        match tokens(text).as_deref() {
            Some([Token::Number(number)]) => number.text.clone(),
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn numbers_are_read_as_hands_write_them() {
        assert_eq!(one("12.71"), "12.71");
        assert_eq!(one(".487"), "0.487");
        assert_eq!(one(",487"), "0.487");
        assert_eq!(one("12,71"), "12.71");
        assert_eq!(one("12."), "12");
        assert_eq!(one("-0.05"), "-0.05");
        assert_eq!(one("\u{2212}2,0"), "-2.0");
        assert_eq!(one("+3"), "3");
        assert_eq!(tokens("12 3").map(|all| all.len()), Some(2)); // never 12.3
    }

    #[test]
    fn a_comma_that_may_part_thousands_is_noticed() {
        let whole = |text: &str| match tokens(text).as_deref() {
            Some([Token::Number(number)]) => number.whole.clone(),
            other => panic!("{text}: {other:?}"),
        };
        assert_eq!(whole("1,400").as_deref(), Some("1400"));
        assert_eq!(whole("0,487"), None);
        assert_eq!(whole("12,71"), None);
        assert_eq!(whole("1.400"), None);
    }

    #[test]
    fn marks_and_units_are_told_apart() {
        let all = tokens(">20M").unwrap();
        assert!(
            matches!(all.as_slice(), [Token::Beyond(">"), Token::Number(_), Token::Word(m)] if m == "M")
        );
        let all = tokens("0.3..0.5 ohm unsteady").unwrap();
        assert_eq!(all.len(), 5, "{all:?}");
        assert_eq!(all.get(1), Some(&Token::To));
        let all = tokens("3.52, 3.50 N.m").unwrap();
        assert_eq!(all.get(1), Some(&Token::Comma));
        assert_eq!(all.get(3), Some(&Token::Word("N.m".to_owned())));
        assert_eq!(tokens("12V..13V").unwrap().len(), 5);
        assert_eq!(tokens("1200 rpm : 18.1 V"), None);
        assert_eq!(tokens("3.5.1"), None);
    }
}
