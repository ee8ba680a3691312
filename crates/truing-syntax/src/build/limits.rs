//! Limits with what may stand behind them, and citations.

use pest::iterators::Pair;

use super::{Builder, Built, Children};
use crate::diagnostic::Diagnostic;
use crate::grammar::Rule;
use crate::slugs;
use crate::tree::{
    Bound, Cite, Condition, ConditionBand, Figure, Interpolation, Joint, LimitExpr, LimitForm,
    Tolerance,
};

/// So many limits may be joined: each nests the others one deeper.
const MOST_JOINED: usize = 64;

impl Builder<'_> {
    /// A `limit_value` or an `arm_value`: one limit, or several joined by `or … whichever is`.
    pub(crate) fn limit_value(&mut self, pair: Pair<'_, Rule>) -> Built<LimitExpr> {
        let mut children = self.children(pair);
        let first = self.need_any(&mut children)?;
        let first = self.limit(first)?;
        match children.take(Rule::joined) {
            Some(joined) => self.joined(first, joined),
            None => Ok(first),
        }
    }

    /// Joins from the left: `a or b or c whichever is less` is the least of all three.
    fn joined(&mut self, first: LimitExpr, pair: Pair<'_, Rule>) -> Built<LimitExpr> {
        let tail = self.span(&pair);
        let mut children = self.children(pair);
        let mut others = Vec::new();
        while let Some(other) = children.take(Rule::arm_limit) {
            others.push(self.limit(other)?);
        }
        if others.len() > MOST_JOINED {
            let message =
                format!("{} limits are joined here; {MOST_JOINED} can be", others.len() + 1);
            return self.refuse(
                Diagnostic::error(slugs::NESTED_TOO_DEEP, tail, message)
                    .mend("join fewer: the least or the greatest of them is known beforehand"),
            );
        }
        let joint = match self.need(&mut children, Rule::joint)?.as_str() {
            "less" => Joint::Less,
            "greater" => Joint::Greater,
            _ => Joint::First,
        };
        Ok(others.into_iter().fold(first, |left, right| LimitExpr {
            span: left.span.to(tail),
            form: LimitForm::Joined { left: Box::new(left), right: Box::new(right), joint },
            also_printed: Vec::new(),
            typical: None,
            conditions: Vec::new(),
        }))
    }

    /// One limit with what stands behind it.
    pub(crate) fn limit(&mut self, pair: Pair<'_, Rule>) -> Built<LimitExpr> {
        let span = self.span(&pair);
        let mut children = self.children(pair);
        let form = self.need_any(&mut children)?;
        let form = self.form(form)?;
        let mut limit = LimitExpr {
            form,
            also_printed: Vec::new(),
            typical: None,
            conditions: Vec::new(),
            span,
        };
        self.limit_extras(&mut limit, &mut children)?;
        Ok(limit)
    }

    /// What stands behind a limit's form: other units, a typical value, conditions.
    pub(crate) fn limit_extras(
        &mut self,
        limit: &mut LimitExpr,
        children: &mut Children<'_>,
    ) -> Built<()> {
        while let Some(extra) = children.take_any() {
            match extra.as_rule() {
                Rule::also => {
                    let also = self.also(&limit.form, extra)?;
                    limit.also_printed.push(also);
                }
                Rule::typical => {
                    let place = self.span(&extra);
                    let figure = self.only_figure(extra)?;
                    if limit.typical.replace(figure).is_some() {
                        return self.error(
                            slugs::SAID_TWICE,
                            place,
                            "this limit has its typical value already",
                        );
                    }
                }
                _ => {
                    let condition = self.condition(extra)?;
                    limit.conditions.push(condition);
                }
            }
        }
        Ok(())
    }

    /// The form of a limit; `pair` is one of the rules of `plain_form`, `arm_form` or `variants`,
    /// or a condition's band.
    pub(crate) fn form(&mut self, pair: Pair<'_, Rule>) -> Built<LimitForm> {
        match pair.as_rule() {
            Rule::not_specified => Ok(LimitForm::NotSpecified),
            Rule::at_least | Rule::band_least => self.at_least(pair),
            Rule::at_most | Rule::band_most => self.at_most(pair),
            Rule::graded => self.graded(pair),
            Rule::curve => self.curve(pair),
            Rule::variants => self.variants(pair),
            _ => self.around(pair),
        }
    }

    fn at_least(&mut self, pair: Pair<'_, Rule>) -> Built<LimitForm> {
        let mut children = self.children(pair);
        let exclusive = self.need(&mut children, Rule::low_word)?.as_str() == "above";
        let bound = self.need_any(&mut children)?;
        let bound = self.bound(bound)?;
        let Some(high) = children.take_any() else {
            return Ok(LimitForm::AtLeast { bound, exclusive });
        };
        let (high, high_exclusive) = self.high_end(high)?;
        Ok(LimitForm::Range { low: bound, low_exclusive: exclusive, high, high_exclusive })
    }

    fn at_most(&mut self, pair: Pair<'_, Rule>) -> Built<LimitForm> {
        let mut children = self.children(pair);
        let exclusive = self.need(&mut children, Rule::high_word)?.as_str() == "below";
        let bound = self.need_any(&mut children)?;
        Ok(LimitForm::AtMost { bound: self.bound(bound)?, exclusive })
    }

    fn high_end(&mut self, pair: Pair<'_, Rule>) -> Built<(Bound, bool)> {
        let mut children = self.children(pair);
        let exclusive = children.take(Rule::high_word).is_some_and(|word| word.as_str() == "below");
        let bound = self.need_any(&mut children)?;
        Ok((self.bound(bound)?, exclusive))
    }

    /// Forms that begin with a bound.
    fn around(&mut self, pair: Pair<'_, Rule>) -> Built<LimitForm> {
        let mut children = self.children(pair);
        let whole = children.whole;
        let nominal = self.need_any(&mut children)?;
        let nominal = self.bound(nominal)?;
        match self.around_tail(nominal, &mut children)? {
            Ok(form) => Ok(form),
            Err(_) => self.mismatch(whole, Rule::around),
        }
    }

    /// What follows a first bound; gives the bound back where nothing does.
    fn around_tail(
        &mut self,
        nominal: Bound,
        children: &mut Children<'_>,
    ) -> Built<Result<LimitForm, Bound>> {
        let Some(sign) = children.next_raw() else { return Ok(Err(nominal)) };
        Ok(Ok(match sign.as_rule() {
            Rule::dots => {
                let high = self.need_any(children)?;
                let (high, high_exclusive) = self.high_end(high)?;
                LimitForm::Range { low: nominal, low_exclusive: false, high, high_exclusive }
            }
            Rule::pm => {
                let tolerance = self.need_any(children)?;
                let tolerance = tolerance_of(self.bound(tolerance)?);
                LimitForm::PlusMinus { nominal, tolerance }
            }
            _ => {
                let minus_first = sign.as_str().starts_with(['-', '−']);
                let first = self.figure(sign)?;
                let second = self.need(children, Rule::deviation)?;
                let second_is_plus = second.as_str().starts_with('+');
                let second = self.figure(second)?;
                // `20 V -0 +5` says the same as `20 V +5 -0`; two deviations of one sign stay in
                // their order, the upper one first: `20 mm -0.007 -0.020`.
                let swapped = minus_first && second_is_plus;
                let (upper, lower) = if swapped { (second, first) } else { (first, second) };
                let lower = Figure { number: lower.number.negated(), ..lower };
                LimitForm::Asymmetric {
                    nominal,
                    plus: tolerance_of(Bound::Figure(upper)),
                    minus: tolerance_of(Bound::Figure(lower)),
                }
            }
        }))
    }

    /// A figure, a constant's name, or an expression in parentheses.
    pub(crate) fn bound(&mut self, pair: Pair<'_, Rule>) -> Built<Bound> {
        Ok(match pair.as_rule() {
            Rule::figure => Bound::Figure(self.figure(pair)?),
            Rule::path => Bound::Name(self.path(pair)?),
            _ => {
                let mut children = self.children(pair);
                let expression = self.need(&mut children, Rule::expr)?;
                Bound::Expr(Box::new(self.whole_expression(expression)?))
            }
        })
    }

    fn graded(&mut self, pair: Pair<'_, Rule>) -> Built<LimitForm> {
        let mut children = self.children(pair);
        let standard = self.need(&mut children, Rule::plain_limit)?;
        let standard = Box::new(self.limit(standard)?);
        let service = self.need(&mut children, Rule::plain_limit)?;
        let service = Box::new(self.limit(service)?);
        Ok(LimitForm::Graded { standard, service })
    }

    fn curve(&mut self, pair: Pair<'_, Rule>) -> Built<LimitForm> {
        let mut children = self.children(pair);
        let head = self.need(&mut children, Rule::curve_head)?;
        let mut points = Vec::new();
        while let Some(point) = children.take(Rule::point) {
            points.push(self.point(point)?);
        }
        self.curve_of(head, points)
    }

    /// A curve from its head and its points.
    pub(crate) fn curve_of(
        &mut self,
        head: Pair<'_, Rule>,
        points: Vec<(Figure, LimitExpr)>,
    ) -> Built<LimitForm> {
        let mut children = self.children(head);
        let by = self.need(&mut children, Rule::name)?;
        let by = self.name(&by)?;
        let interpolation = match children.take(Rule::interpolation).map(|word| word.as_str()) {
            Some("step") => Interpolation::Step,
            Some("log") => Interpolation::Log,
            _ => Interpolation::Linear,
        };
        Ok(LimitForm::Curve { by, interpolation, points })
    }

    /// `1200 rpm : 17 .. 23 V`
    pub(crate) fn point(&mut self, pair: Pair<'_, Rule>) -> Built<(Figure, LimitExpr)> {
        let mut children = self.children(pair);
        let at = self.need_figure(&mut children)?;
        let limit = self.need(&mut children, Rule::arm_value)?;
        Ok((at, self.limit_value(limit)?))
    }

    fn variants(&mut self, pair: Pair<'_, Rule>) -> Built<LimitForm> {
        let mut children = self.children(pair);
        let mut arms = Vec::new();
        while let Some(arm) = children.take(Rule::arm) {
            let mut parts = self.children(arm);
            let condition = self.need(&mut parts, Rule::expr)?;
            let condition = self.whole_expression(condition)?;
            let limit = self.need(&mut parts, Rule::arm_value)?;
            arms.push((condition, self.limit_value(limit)?));
        }
        let otherwise = match children.take(Rule::otherwise) {
            Some(otherwise) => {
                let mut parts = self.children(otherwise);
                let limit = self.need(&mut parts, Rule::arm_value)?;
                Some(Box::new(self.limit_value(limit)?))
            }
            None => None,
        };
        Ok(LimitForm::Variants { arms, otherwise })
    }

    /// `(44 .. 52 lbf.ft)`, or `(0.024 in)` behind a limit with one bound.
    fn also(&mut self, printed: &LimitForm, pair: Pair<'_, Rule>) -> Built<LimitExpr> {
        let span = self.span(&pair);
        let mut children = self.children(pair);
        let inner = self.need_any(&mut children)?;
        let form = if inner.as_rule() == Rule::loose {
            let mut parts = self.children(inner);
            let first = self.need_any(&mut parts)?;
            let first = self.bound(first)?;
            match (self.around_tail(first, &mut parts)?, printed) {
                (Ok(form), _) => form,
                (Err(bound), LimitForm::AtLeast { exclusive, .. }) => {
                    LimitForm::AtLeast { bound, exclusive: *exclusive }
                }
                (Err(bound), LimitForm::AtMost { exclusive, .. }) => {
                    LimitForm::AtMost { bound, exclusive: *exclusive }
                }
                (Err(_), _) => {
                    return self.error(
                        slugs::SYNTAX,
                        span,
                        "the figure in other units has one bound and the limit before it has two",
                    );
                }
            }
        } else {
            self.form(inner)?
        };
        Ok(LimitExpr {
            form,
            also_printed: Vec::new(),
            typical: None,
            conditions: Vec::new(),
            span,
        })
    }

    fn condition(&mut self, pair: Pair<'_, Rule>) -> Built<Condition> {
        let span = self.span(&pair);
        let mut children = self.children(pair);
        let subject = match children.take(Rule::path) {
            Some(path) => Some(self.path(path)?),
            None => None,
        };
        let band = self.need_any(&mut children)?;
        let band = if band.as_rule() == Rule::band_figure {
            let mut parts = self.children(band);
            let first = self.need_figure(&mut parts)?;
            match self.around_tail(Bound::Figure(first), &mut parts)? {
                Ok(form) => ConditionBand::Band(Box::new(form)),
                Err(Bound::Figure(figure)) => ConditionBand::Exactly(figure),
                Err(_) => return self.mismatch(span, Rule::band_figure),
            }
        } else {
            ConditionBand::Band(Box::new(self.form(band)?))
        };
        Ok(Condition { subject, band, span })
    }

    /// `cite sheet "6-2" mend sheet_e3 was min 50 V`
    pub(crate) fn cite(&mut self, pair: Pair<'_, Rule>) -> Built<Cite> {
        let span = self.span(&pair);
        let mut children = self.children(pair);
        let source = self.need(&mut children, Rule::name)?;
        let source = self.name(&source)?;
        let place = children.take(Rule::string).map(|text| self.text(&text));
        let mend = match children.take(Rule::cite_mend) {
            Some(mend) => {
                let mut parts = self.children(mend);
                let name = self.need(&mut parts, Rule::name)?;
                Some(self.name(&name)?)
            }
            None => None,
        };
        let (mut was, mut was_figure) = (None, None);
        if let Some(older) = children.take(Rule::cite_was) {
            let mut parts = self.children(older);
            let older = self.need_any(&mut parts)?;
            match older.as_rule() {
                Rule::figure => was_figure = Some(self.figure(older)?),
                _ => was = Some(Box::new(self.limit(older)?)),
            }
        }
        Ok(Cite { source, place, mend, was, was_figure, span })
    }

    /// The citations that come next.
    pub(crate) fn cites(&mut self, children: &mut Children<'_>) -> Built<Vec<Cite>> {
        let mut cites = Vec::new();
        while let Some(cite) = children.take(Rule::cite) {
            cites.push(self.cite(cite)?);
        }
        Ok(cites)
    }
}

/// `± 2 %` is of the nominal value, anything else an amount.
fn tolerance_of(bound: Bound) -> Tolerance {
    match bound {
        Bound::Figure(figure) if figure.unit.as_ref().is_some_and(|unit| &*unit.node == "%") => {
            Tolerance::Percent(figure)
        }
        bound => Tolerance::Amount(bound),
    }
}
