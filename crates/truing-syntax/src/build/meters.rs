//! Instruments: functions, ranges, accuracies.

use pest::iterators::Pair;

use super::{Builder, Built};
use crate::grammar::Rule;
use crate::slugs;
use crate::tree::{
    Accuracy, AccuracyBasis, AccuracyTerm, ErrorSum, Figure, FunctionMember, InstrumentMember,
    KindName, RangeLine,
};

impl Builder<'_> {
    pub(crate) fn instrument_member(&mut self, pair: Pair<'_, Rule>) -> Built<InstrumentMember> {
        match pair.as_rule() {
            Rule::valid => {
                let mut children = self.children(pair);
                let low = self.need_figure(&mut children)?;
                let high = self.need_figure(&mut children)?;
                let widens = match children.take(Rule::valid_widens) {
                    Some(widens) => Some(self.only_figure(widens)?),
                    None => None,
                };
                Ok(InstrumentMember::Valid { low, high, widens })
            }
            Rule::calibration => self.only_figure(pair).map(InstrumentMember::Calibration),
            Rule::note => self.only_text(pair).map(InstrumentMember::Note),
            _ => {
                let mut children = self.children(pair);
                let head = self.need(&mut children, Rule::measures_head)?;
                let kind = self.measures_kind(head)?;
                let body = self.need(&mut children, Rule::measures_body)?;
                let mut lines = self.children(body);
                let mut members = Vec::new();
                let said = std::mem::take(&mut self.said);
                while let Some(line) = lines.take_any() {
                    // A line that is refused is reported; the others are kept.
                    let _reported = self.function_member(&mut members, line);
                }
                self.said = said;
                Ok(InstrumentMember::Measures { kind, members })
            }
        }
    }

    pub(crate) fn measures_kind(&mut self, pair: Pair<'_, Rule>) -> Built<KindName> {
        self.only_name(pair)
    }

    /// Adds a line of a function; a range with a `band` on a line of its own gives two.
    pub(crate) fn function_member(
        &mut self,
        members: &mut Vec<FunctionMember>,
        pair: Pair<'_, Rule>,
    ) -> Built<()> {
        self.once(&pair)?;
        members.push(match pair.as_rule() {
            Rule::range => return self.range(members, pair),
            Rule::capture => FunctionMember::Capture(self.accuracy(pair)?),
            Rule::leads => {
                let (value, doubt) = self.figure_and_doubt(pair)?;
                FunctionMember::Leads { value, doubt }
            }
            Rule::technique => FunctionMember::Technique(self.only_figure(pair)?),
            Rule::common => self.common(pair)?,
            Rule::test => FunctionMember::TestVoltage(self.only_figure(pair)?),
            Rule::input => FunctionMember::Input(self.only_figure(pair)?),
            Rule::burden => FunctionMember::Burden(self.only_figure(pair)?),
            Rule::band_line => {
                let (low, high) = self.two_figures(pair)?;
                FunctionMember::Band { low, high }
            }
            _ => FunctionMember::Note(self.only_text(pair)?),
        });
        Ok(())
    }

    /// `0.2 ohm ± 0.1 ohm`
    pub(crate) fn figure_and_doubt(
        &mut self,
        pair: Pair<'_, Rule>,
    ) -> Built<(Figure, Option<Figure>)> {
        let mut children = self.children(pair);
        let value = self.need_figure(&mut children)?;
        let doubt = match children.take(Rule::figure) {
            Some(figure) => Some(self.figure(figure)?),
            None => None,
        };
        Ok((value, doubt))
    }

    fn common(&mut self, pair: Pair<'_, Rule>) -> Built<FunctionMember> {
        let mut children = self.children(pair);
        let (mut gain, mut offset) = (false, false);
        while let Some(part) = children.take(Rule::common_part) {
            let said = if part.as_str() == "gain" { &mut gain } else { &mut offset };
            if std::mem::replace(said, true) {
                let place = self.span(&part);
                return self.error(slugs::SAID_TWICE, place, "this part has been named already");
            }
        }
        Ok(FunctionMember::Common { gain, offset })
    }

    fn range(&mut self, members: &mut Vec<FunctionMember>, pair: Pair<'_, Rule>) -> Built<()> {
        let text = pair.as_str();
        let start = pair.as_span().start();
        let mut span = self.span(&pair);
        let mut children = self.children(pair);
        let first = self.need_figure(&mut children)?;
        let mut line =
            RangeLine { bottom: None, top: first, step: None, accuracy: None, band: None, span };
        let mut own_line = None;
        while let Some(part) = children.take_any() {
            let place = self.span(&part);
            let twice = match part.as_rule() {
                Rule::range_top => {
                    let top = self.only_figure(part)?;
                    line.bottom = Some(std::mem::replace(&mut line.top, top));
                    false
                }
                Rule::range_step => line.step.replace(self.only_figure(part)?).is_some(),
                Rule::range_accuracy => line.accuracy.replace(self.accuracy(part)?).is_some(),
                _ => {
                    // A `band` that begins a line is the function's, not this range's.
                    let at = part.as_span().start() - start;
                    let before = text.get(..at).unwrap_or("");
                    let begins = before.rfind('\n').is_some_and(|newline| {
                        before.get(newline..).is_some_and(|blank| blank.trim().is_empty())
                    });
                    let (low, high) = self.two_figures(part)?;
                    if begins {
                        own_line = Some(FunctionMember::Band { low, high });
                    } else {
                        line.band = Some((low, high));
                    }
                    if begins {
                        span.end = self.base + (start + before.trim_end().len()) as u32;
                    }
                    false
                }
            };
            if twice {
                return self.error(slugs::SAID_TWICE, place, "this range has said that already");
            }
        }
        line.span = span;
        members.push(FunctionMember::Range(line));
        members.extend(own_line);
        Ok(())
    }

    fn accuracy(&mut self, pair: Pair<'_, Rule>) -> Built<Accuracy> {
        let mut span = self.span(&pair);
        let mut children = self.children(pair);
        let mut sums = Vec::new();
        while let Some(sum) = children.take(Rule::error_sum) {
            if sums.is_empty() {
                span.start = self.span(&sum).start;
            }
            sums.push(self.error_sum(sum)?);
        }
        Ok(Accuracy { sums, span })
    }

    fn error_sum(&mut self, pair: Pair<'_, Rule>) -> Built<ErrorSum> {
        let mut children = self.children(pair);
        let mut terms = Vec::new();
        while let Some(term) = children.take(Rule::term) {
            let mut parts = self.children(term);
            let figure = self.need_figure(&mut parts)?;
            let basis = if parts.has(Rule::k_counts) {
                AccuracyBasis::Counts
            } else if let Some(basis) = parts.take(Rule::basis) {
                if basis.as_str() == "span" { AccuracyBasis::Span } else { AccuracyBasis::Reading }
            } else {
                match figure.unit.as_ref().map(|unit| &*unit.node) {
                    Some("%" | "ppm" | "‰") => AccuracyBasis::Reading,
                    Some("count") => AccuracyBasis::Counts,
                    _ => AccuracyBasis::Absolute,
                }
            };
            terms.push(AccuracyTerm { figure, basis });
        }
        Ok(ErrorSum { terms })
    }
}
