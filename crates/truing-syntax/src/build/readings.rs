//! What an instrument showed, as written.

use pest::iterators::Pair;

use super::{Builder, Built, Children};
use crate::diagnostic::Diagnostic;
use crate::grammar::Rule;
use crate::slugs;
use crate::span::Span;
use crate::tree::{Figure, ReadingValue, ReadingValueKind};

impl Builder<'_> {
    /// A reading in one of its forms.
    pub(crate) fn reading_value(&mut self, pair: Pair<'_, Rule>) -> Built<ReadingValue> {
        let span = self.span(&pair);
        let mut children = self.children(pair);
        let form = self.need_any(&mut children)?;
        let kind = match form.as_rule() {
            Rule::figures => self.figures(form)?,
            Rule::overload => {
                let mut parts = self.children(form);
                let _mark = self.need(&mut parts, Rule::over_mark)?;
                let range = match parts.take(Rule::figure) {
                    Some(figure) => Some(self.figure(figure)?),
                    None => None,
                };
                ReadingValueKind::Overload { range }
            }
            Rule::compared => self.compared(form)?,
            Rule::not_taken => {
                let mut parts = self.children(form);
                let reason = parts.take(Rule::string).map(|text| self.text(&text));
                ReadingValueKind::NotTaken(reason)
            }
            _ => ReadingValueKind::Word(self.name(&form)?),
        };
        Ok(ReadingValue { kind, span })
    }

    fn compared(&mut self, pair: Pair<'_, Rule>) -> Built<ReadingValueKind> {
        let mut children = self.children(pair);
        let sign = self.need(&mut children, Rule::compare)?;
        let bound = self.need_figure(&mut children)?;
        let inclusive = sign.as_str().ends_with('=');
        Ok(if sign.as_str().starts_with('>') {
            ReadingValueKind::Above { bound, inclusive }
        } else {
            ReadingValueKind::Below { bound, inclusive }
        })
    }

    /// Readings that begin with a figure.
    fn figures(&mut self, pair: Pair<'_, Rule>) -> Built<ReadingValueKind> {
        let mut children = self.children(pair);
        let first = self.need(&mut children, Rule::figure)?;
        // A zero and a letter L without a blank: nobody writes no litres like that.
        if first.as_str().eq_ignore_ascii_case("0l") {
            let place = self.span(&first);
            return self.refuse(zero_for_a_letter(place));
        }
        let first = self.figure(first)?;
        let Some(rest) = children.take_any() else { return Ok(ReadingValueKind::Figure(first)) };
        let rule = rest.as_rule();
        let mut parts = self.children(rest);
        match rule {
            Rule::between => self.between(first, &mut parts),
            Rule::sweep => self.sweep(first, &mut parts),
            _ => {
                let mut all = vec![first];
                while let Some(figure) = parts.take(Rule::figure) {
                    all.push(self.figure(figure)?);
                }
                Ok(ReadingValueKind::Repeats(all))
            }
        }
    }

    fn between(&mut self, low: Figure, parts: &mut Children<'_>) -> Built<ReadingValueKind> {
        let high = self.need_figure(parts)?;
        Ok(match parts.take(Rule::unsteady) {
            Some(unsteady) => {
                let mut words = self.children(unsteady);
                let moved_by = words.take(Rule::string).map(|text| self.text(&text));
                ReadingValueKind::Unsteady { low, high, moved_by }
            }
            None => ReadingValueKind::Between { low, high },
        })
    }

    fn sweep(&mut self, first: Figure, parts: &mut Children<'_>) -> Built<ReadingValueKind> {
        let mut points = vec![(first, self.need_figure(parts)?)];
        while let Some(at) = parts.take(Rule::figure) {
            let at = self.figure(at)?;
            points.push((at, self.need_figure(parts)?));
        }
        Ok(ReadingValueKind::Sweep(points))
    }
}

/// `0L` on a sheet.
fn zero_for_a_letter(place: Span) -> Diagnostic {
    Diagnostic::error(slugs::OVERLOAD_SPELLING, place, "`0L` begins with a zero")
        .here("zero and L")
        .note("for no litres write `0 L`, with a blank")
        .mend_by(
            "write `OL`, with the letter O, if the meter was over its range",
            vec![(place, "OL".to_owned())],
        )
}
