//! Numbers with their digits and units.

use pest::iterators::Pair;
use truing_units::Decimal;

use super::{Builder, Built};
use crate::grammar::Rule;
use crate::slugs;
use crate::span::Span;
use crate::tree::{DecideRule, Figure};

impl Builder<'_> {
    /// A `figure`, a `quantity` or a `deviation`.
    pub(crate) fn figure(&mut self, pair: Pair<'_, Rule>) -> Built<Figure> {
        let span = self.span(&pair);
        let mut children = self.children(pair);
        let number = self.need_any(&mut children)?;
        let number_span = self.span(&number);
        let number = self.decimal(number.as_str(), number_span)?;
        let unit = match children.take(Rule::unit) {
            Some(unit) => Some(self.unit(&unit)?),
            None => None,
        };
        Ok(Figure { number, unit, span })
    }

    fn decimal(&mut self, text: &str, span: Span) -> Built<Decimal> {
        Decimal::parse(text).or_else(|why| {
            self.error(slugs::NUMBER_TOO_LONG, span, format!("this number cannot be kept: {why}"))
        })
    }

    /// The next child, a figure.
    pub(crate) fn need_figure(&mut self, children: &mut super::Children<'_>) -> Built<Figure> {
        let figure = self.need(children, Rule::figure)?;
        self.figure(figure)
    }

    /// The figure that is the pair's only one: `takes 5 min`.
    pub(crate) fn only_figure(&mut self, pair: Pair<'_, Rule>) -> Built<Figure> {
        let mut children = self.children(pair);
        self.need_figure(&mut children)
    }

    /// Two figures: `band 45 .. 500 Hz`.
    pub(crate) fn two_figures(&mut self, pair: Pair<'_, Rule>) -> Built<(Figure, Figure)> {
        let mut children = self.children(pair);
        Ok((self.need_figure(&mut children)?, self.need_figure(&mut children)?))
    }

    /// `decide …`
    pub(crate) fn decide(
        &mut self,
        pair: Pair<'_, Rule>,
    ) -> Built<crate::span::Spanned<DecideRule>> {
        let span = self.span(&pair);
        let mut children = self.children(pair);
        let rule = self.need_any(&mut children)?;
        let node = match rule.as_rule() {
            Rule::decide_simple => DecideRule::Simple,
            Rule::decide_guarded => DecideRule::Guarded(self.only_figure(rule)?),
            _ => DecideRule::At(self.only_figure(rule)?),
        };
        Ok(crate::span::Spanned { node, span })
    }
}
