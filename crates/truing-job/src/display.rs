//! What a display shows, and what hands write down, where that is not yet a reading as the language
//! writes it: the spellings of `OL`, the lone `1` of an over-range.
//!
//! Nothing is guessed here. What has one meaning is brought to its one spelling; what has two is
//! refused with both of them named.

use crate::error::{SheetError, quoted};
use crate::slugs;

/// The text of a quantity's reading in the spelling of the language. `bare_numbers`: whether a
/// number without a unit can stand there (a count, a ratio).
pub(crate) fn spelled(text: &str, bare_numbers: bool) -> Result<String, SheetError> {
    let text = text.trim();
    if let Some(overload) = overload(text)? {
        return Ok(overload);
    }
    if let Some(rest) = without_case(text, "not taken") {
        return Ok(format!("not taken{rest}"));
    }
    if is_lone_one(text) && !bare_numbers {
        return Err(lone_one());
    }
    if is_no_number(text) {
        let message = format!("{} is no reading", quoted(text));
        return Err(SheetError::new(slugs::NOT_A_NUMBER, message).mend(
            "write what the display showed: a number with its unit, `OL`, or `not taken \"why\"`",
        ));
    }
    Ok(text.to_owned())
}

/// `OL` in any spelling, with what stands behind it.
fn overload(text: &str) -> Result<Option<String>, SheetError> {
    let letters: String = text.chars().filter(|c| !matches!(c, '.' | ' ' | '\t')).collect();
    if letters.eq_ignore_ascii_case("OL") {
        return Ok(Some("OL".to_owned()));
    }
    let (first, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let first = first.replace('.', "");
    if first.eq_ignore_ascii_case("0L") {
        let message = format!("{} begins with the figure nought", quoted(text));
        return Err(SheetError::new(slugs::OVERLOAD_SPELLING, message)
            .mend("write `OL` with the letter O where the display showed an overload"));
    }
    if !first.eq_ignore_ascii_case("OL") {
        return Ok(None);
    }
    let rest = rest.trim();
    if let Some(range) = without_case(rest, "on ") {
        return Ok(Some(format!("OL on {}", range.trim())));
    }
    let message =
        format!("{} stands behind `OL`, and says not which range was in use", quoted(rest));
    Err(SheetError::new(slugs::OVERLOAD_UNIT, message)
        .mend("write `OL on 60 Mohm` with the top of the range, or `OL` alone"))
}

/// `text` behind `prefix`, in whatever case that is written.
fn without_case<'t>(text: &'t str, prefix: &str) -> Option<&'t str> {
    let head = text.get(..prefix.len())?;
    head.eq_ignore_ascii_case(prefix).then(|| text.get(prefix.len()..).unwrap_or(""))
}

/// A lone 1 at the left is the over-range sign of some meters.
fn is_lone_one(text: &str) -> bool {
    let bare: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    matches!(bare.as_str(), "1" | "1.")
}

fn lone_one() -> SheetError {
    SheetError::new(
        slugs::ONE_OR_OVERLOAD,
        "a lone `1` is the number one or the over-range sign of the meter",
    )
    .mend("write `OL` for the sign, or the number with its unit, \"1 ohm\"")
}

fn is_no_number(text: &str) -> bool {
    let first = text.split_whitespace().next().unwrap_or("");
    let first = first.trim_start_matches(['+', '-', '\u{2212}']);
    ["nan", "inf", "infinity", "\u{221E}"].iter().any(|word| first.eq_ignore_ascii_case(word))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_spelling_of_an_overload_with_its_letters_is_the_same() {
        for text in ["OL", "ol", "O.L", "O.L.", ".OL", "O L", " o .L "] {
            assert_eq!(spelled(text, false).as_deref(), Ok("OL"), "{text}");
        }
        assert_eq!(spelled("o.l on 60 Mohm", false).as_deref(), Ok("OL on 60 Mohm"));
        assert_eq!(spelled("OL On  60 Mohm", false).as_deref(), Ok("OL on 60 Mohm"));
    }

    #[test]
    fn a_nought_for_the_letter_is_asked_back() {
        for text in ["0L", "0.L", "0l", "0L on 60 Mohm"] {
            let error = spelled(text, false).unwrap_err();
            assert_eq!(error.slug, slugs::OVERLOAD_SPELLING, "{text}");
        }
        assert_eq!(spelled("0 L", false).as_deref(), Ok("0 L")); // no litres
    }

    #[test]
    fn a_unit_beside_an_overload_is_no_range() {
        assert_eq!(spelled("OL Mohm", false).unwrap_err().slug, slugs::OVERLOAD_UNIT);
    }

    #[test]
    fn a_lone_one_is_asked_back() {
        for text in ["1", "1.", "1 ."] {
            assert_eq!(spelled(text, false).unwrap_err().slug, slugs::ONE_OR_OVERLOAD, "{text}");
        }
        assert_eq!(spelled("1", true).as_deref(), Ok("1"));
        assert_eq!(spelled("1 V", false).as_deref(), Ok("1 V"));
    }

    #[test]
    fn what_is_no_number_is_no_reading() {
        for text in ["NaN", "nan V", "-inf", "+Infinity ohm", "\u{221E}"] {
            assert_eq!(spelled(text, false).unwrap_err().slug, slugs::NOT_A_NUMBER, "{text}");
        }
    }

    #[test]
    fn not_taken_is_read_in_any_case() {
        assert_eq!(
            spelled("Not Taken \"no access\"", false).as_deref(),
            Ok("not taken \"no access\"")
        );
    }
}
