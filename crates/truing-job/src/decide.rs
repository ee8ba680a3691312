//! The decision rule as a sheet writes it: `simple`, `at 95 %`, `guarded 2`.

use truing_model::DecideRule;
use truing_units::Decimal;

use crate::error::{SheetError, quoted};
use crate::slugs;

const FORMS: &str = "write \"simple\", \"at 95 %\" or \"guarded 2\"";

/// Reads a decision rule.
///
/// # Errors
/// Where it is none of the three, or its number makes no sense.
pub fn parse_decide(text: &str) -> Result<DecideRule, SheetError> {
    let text = text.trim();
    let refuse = |why: &str| {
        let message = format!("{} is no decision rule: {why}", quoted(text));
        SheetError::new(slugs::DECIDE_TEXT, message).mend(FORMS)
    };
    if text == "simple" {
        return Ok(DecideRule::Simple);
    }
    if let Some(rest) = text.strip_prefix("guarded") {
        let k = figure(rest).ok_or_else(|| refuse("`guarded` takes a factor"))?;
        if !(k.is_finite() && k >= 0.0) {
            return Err(refuse("the factor is nought or more"));
        }
        return Ok(DecideRule::Guarded { k });
    }
    if let Some(rest) = text.strip_prefix("at") {
        let percent = rest.trim().strip_suffix('%').map(str::trim_end);
        let percent = percent.ok_or_else(|| refuse("`at` takes a probability in per cent"))?;
        let percent = Decimal::parse(percent.trim_start())
            .map_err(|_| refuse("`at` takes a probability in per cent"))?;
        let probability = moved(percent, -2).to_f64();
        if !(probability > 0.5 && probability < 1.0) {
            return Err(refuse("the probability lies above 50 % and below 100 %"));
        }
        return Ok(DecideRule::At { probability });
    }
    Err(refuse("there are three of them"))
}

/// The rule as a sheet writes it; [`parse_decide`] reads it back as the same rule.
#[must_use]
pub fn decide_text(rule: DecideRule) -> String {
    match rule {
        DecideRule::Simple => "simple".to_owned(),
        DecideRule::Guarded { k } => format!("guarded {k}"),
        DecideRule::At { probability } => {
            let shown = Decimal::parse(&probability.to_string());
            let percent = shown.map(|shown| moved(shown, 2).to_string());
            format!("at {} %", percent.unwrap_or_else(|_| (probability * 100.0).to_string()))
        }
    }
}

/// The decimal point moved, which rounds nothing; as a multiple of a hundred would.
fn moved(figure: Decimal, places: i32) -> Decimal {
    let (coefficient, exponent) = (figure.coefficient(), figure.exponent() + places);
    match u32::try_from(exponent)
        .ok()
        .and_then(|power| coefficient.checked_mul(10i128.checked_pow(power)?))
    {
        Some(whole) => Decimal::new(whole, 0),
        None => Decimal::new(coefficient, exponent),
    }
}

/// A figure behind a word: a blank stands between them.
fn figure(rest: &str) -> Option<f64> {
    let trimmed = rest.trim_start();
    if trimmed.len() == rest.len() {
        return None;
    }
    Decimal::parse(trimmed.trim_end()).ok().map(Decimal::to_f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_rule_is_written_as_it_is_read() {
        for text in ["simple", "guarded 1.64", "at 95 %", "at 70 %", "at 99.73 %", "at 50.5 %"] {
            assert_eq!(decide_text(parse_decide(text).unwrap()), text);
        }
    }

    #[test]
    fn the_three_forms_are_read() {
        assert_eq!(parse_decide(" simple "), Ok(DecideRule::Simple));
        assert_eq!(parse_decide("guarded 1.64"), Ok(DecideRule::Guarded { k: 1.64 }));
        assert_eq!(parse_decide("at 95 %"), Ok(DecideRule::At { probability: 0.95 }));
        assert_eq!(parse_decide("at 95%"), Ok(DecideRule::At { probability: 0.95 }));
    }

    #[test]
    fn anything_else_is_refused_with_the_three_forms() {
        for text in [
            "",
            "95 %",
            "at 95",
            "at 50 %",
            "at 100 %",
            "guarded",
            "guarded -1",
            "guarded2",
            "Simple",
            "at NaN %",
        ] {
            let error = parse_decide(text).unwrap_err();
            assert_eq!(error.slug, slugs::DECIDE_TEXT, "{text}");
            assert_eq!(error.mend.as_deref(), Some(FORMS), "{text}");
        }
    }
}
