//! Expressions: from operators and operands in a row to a tree, by precedence.
//!
//! The grammar keeps expressions flat, so that a long chain costs no stack in pest. Here the chain
//! is grouped by precedence climbing. The tree of `1 + 1 + 1 …` is as deep as the chain is long, and
//! walking or dropping it recurses: therefore an expression has at most [`MOST_OPERATORS`].

use pest::iterators::Pair;

use super::{Builder, Built, Children};
use crate::diagnostic::Diagnostic;
use crate::grammar::Rule;
use crate::slugs;
use crate::span::{Span, Spanned};
use crate::tree::{
    Argument, BinaryOperator, Expr, ExprKind, Path, Quantifier, UnaryOperator, WithinLimit,
};

/// The most operators in one expression, those in its parentheses included.
pub(crate) const MOST_OPERATORS: u32 = 256;

/// How tightly an operator binds.
#[derive(Copy, Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Level {
    Or,
    And,
    Not,
    Comparison,
    Sum,
    Product,
    Minus,
    Power,
}

impl Level {
    /// What the right side of an operator on this level may hold.
    fn above(self) -> Level {
        match self {
            Level::Or => Level::And,
            Level::And => Level::Not,
            Level::Not => Level::Comparison,
            Level::Comparison => Level::Sum,
            Level::Sum => Level::Product,
            Level::Product => Level::Minus,
            // `2 ^ 3 ^ 2` is grouped from the right, as in mathematics; `2 ^ -1` may stand.
            Level::Minus | Level::Power => Level::Minus,
        }
    }
}

fn binary_operator(sign: &str) -> (BinaryOperator, Level) {
    match sign {
        "or" => (BinaryOperator::Or, Level::Or),
        "and" => (BinaryOperator::And, Level::And),
        "<" => (BinaryOperator::Less, Level::Comparison),
        "<=" => (BinaryOperator::LessOrEqual, Level::Comparison),
        ">" => (BinaryOperator::Greater, Level::Comparison),
        ">=" => (BinaryOperator::GreaterOrEqual, Level::Comparison),
        "==" => (BinaryOperator::Equal, Level::Comparison),
        "!=" => (BinaryOperator::NotEqual, Level::Comparison),
        "+" => (BinaryOperator::Add, Level::Sum),
        "*" => (BinaryOperator::Multiply, Level::Product),
        "/" => (BinaryOperator::Divide, Level::Product),
        "^" => (BinaryOperator::Power, Level::Power),
        _ => (BinaryOperator::Subtract, Level::Sum),
    }
}

impl Builder<'_> {
    /// An expression that is no part of another: counts its operators from nought.
    pub(crate) fn whole_expression(&mut self, pair: Pair<'_, Rule>) -> Built<Expr> {
        let outer = std::mem::take(&mut self.operators);
        let built = self.expression(pair);
        self.operators += outer;
        built
    }

    /// An `expr`: conditions of a choice first, then operators and operands in a row.
    fn expression(&mut self, pair: Pair<'_, Rule>) -> Built<Expr> {
        let mut children = self.children(pair);
        let mut heads = Vec::new();
        while children.peek_raw() == Some(Rule::if_head) {
            let head = self.need(&mut children, Rule::if_head)?;
            let start = self.span(&head);
            self.count_operator(start)?;
            let mut parts = self.children(head);
            let condition = self.need(&mut parts, Rule::plain_expr)?;
            let condition = self.row(condition)?;
            let then = self.need(&mut parts, Rule::plain_expr)?;
            heads.push((start, condition, self.row(then)?));
        }
        let mut last = self.grouped(&mut children, Level::Or)?;
        for (start, condition, then) in heads.into_iter().rev() {
            let span = start.to(last.span);
            let kind = ExprKind::If {
                condition: Box::new(condition),
                then: Box::new(then),
                otherwise: Box::new(last),
            };
            last = Expr { kind, span };
        }
        Ok(last)
    }

    /// A row of operators and operands.
    fn row(&mut self, pair: Pair<'_, Rule>) -> Built<Expr> {
        let mut children = self.children(pair);
        self.grouped(&mut children, Level::Or)
    }

    fn count_operator(&mut self, place: Span) -> Built<()> {
        self.operators += 1;
        if self.operators == MOST_OPERATORS + 1 {
            return self.refuse(
                Diagnostic::error(
                    slugs::EXPRESSION_TOO_LONG,
                    place,
                    format!("this expression has more than {MOST_OPERATORS} operators"),
                )
                .mend("give parts of it a name of their own with `derived` or `constant`"),
            );
        }
        if self.operators > MOST_OPERATORS { Err(super::Refused) } else { Ok(()) }
    }

    /// Takes operators that bind at least as tightly as `least`.
    fn grouped(&mut self, row: &mut Children<'_>, least: Level) -> Built<Expr> {
        let mut left = self.prefixed(row)?;
        let mut compared: Option<Span> = None;
        while let Some(next) = row.peek_raw() {
            let level = match next {
                Rule::infix | Rule::sum_infix => match row.peek_text() {
                    Some(sign) => binary_operator(sign).1,
                    None => break,
                },
                _ => Level::Comparison,
            };
            if level < least {
                break;
            }
            let Some(sign) = row.next_raw() else { break };
            let place = self.span(&sign);
            self.count_operator(place)?;
            if level == Level::Comparison
                && let Some(first) = compared.replace(place)
            {
                return self.refuse(chained(first, place));
            }
            left = match next {
                Rule::infix | Rule::sum_infix => {
                    let operator = Spanned { node: binary_operator(sign.as_str()).0, span: place };
                    let right = self.grouped(row, level.above())?;
                    let span = left.span.to(right.span);
                    let (left, right) = (Box::new(left), Box::new(right));
                    Expr { kind: ExprKind::Binary { operator, left, right }, span }
                }
                _ => self.postfixed(left, sign)?,
            };
            if level < Level::Comparison {
                compared = None;
            }
        }
        Ok(left)
    }

    /// Operators that stand before their operand.
    fn prefixed(&mut self, row: &mut Children<'_>) -> Built<Expr> {
        let Some(first) = row.next_raw() else { return self.mismatch(row.whole, Rule::expr) };
        let place = self.span(&first);
        if !matches!(first.as_rule(), Rule::prefix | Rule::minus) {
            return self.operand(first);
        }
        self.count_operator(place)?;
        let quantifier = first.clone().into_inner().find(|p| p.as_rule() == Rule::quantifier);
        if let Some(quantifier) = quantifier {
            return self.quantified(quantifier, row);
        }
        let (node, level) = if first.as_str().starts_with('n') {
            (UnaryOperator::Not, Level::Not)
        } else {
            (UnaryOperator::Negate, Level::Minus)
        };
        let operand = self.grouped(row, level)?;
        let span = place.to(operand.span);
        let operator = Spanned { node, span: place };
        Ok(Expr { kind: ExprKind::Unary { operator, operand: Box::new(operand) }, span })
    }

    /// `any of insulated fails` takes one comparison; `any of (a fails, b fails)` takes the list.
    fn quantified(&mut self, quantifier: Pair<'_, Rule>, row: &mut Children<'_>) -> Built<Expr> {
        let place = self.span(&quantifier);
        let node =
            if quantifier.as_str().starts_with("all") { Quantifier::All } else { Quantifier::Any };
        let quantifier = Spanned { node, span: place };
        let (bodies, end) = if row.peek_raw() == Some(Rule::parens) {
            let list = self.need(row, Rule::parens)?;
            let end = self.span(&list);
            (self.list(list)?, end)
        } else {
            let body = self.grouped(row, Level::Comparison)?;
            let end = body.span;
            (vec![body], end)
        };
        Ok(Expr { kind: ExprKind::Quantified { quantifier, bodies }, span: place.to(end) })
    }

    fn list(&mut self, pair: Pair<'_, Rule>) -> Built<Vec<Expr>> {
        let mut children = self.children(pair);
        let mut all = Vec::new();
        while let Some(expression) = children.take(Rule::expr) {
            all.push(self.expression(expression)?);
        }
        Ok(all)
    }

    fn operand(&mut self, pair: Pair<'_, Rule>) -> Built<Expr> {
        let span = self.span(&pair);
        let kind = match pair.as_rule() {
            Rule::quantity => ExprKind::Number(self.figure(pair)?),
            Rule::parens => {
                let mut list = self.list(pair)?;
                match (list.pop(), list.is_empty()) {
                    (Some(only), true) => ExprKind::Parens(Box::new(only)),
                    _ => {
                        return self.error(
                            slugs::SYNTAX,
                            span,
                            "a list in parentheses stands only behind `any of` or `all of`",
                        );
                    }
                }
            }
            Rule::r#ref => self.reference(pair)?,
            rule => return self.mismatch(span, rule),
        };
        Ok(Expr { kind, span })
    }

    fn reference(&mut self, pair: Pair<'_, Rule>) -> Built<ExprKind> {
        let span = self.span(&pair);
        let mut children = self.children(pair);
        let name = self.need(&mut children, Rule::ref_name)?;
        let name = self.name(&name)?;
        let Some(rest) = children.take_any() else {
            return Ok(ExprKind::Name(Path { name, index: None, span }));
        };
        if rest.as_rule() == Rule::index {
            let index = Some(self.index(rest)?);
            return Ok(ExprKind::Name(Path { name, index, span }));
        }
        let mut parts = self.children(rest);
        let mut arguments = Vec::new();
        while let Some(argument) = parts.take(Rule::argument) {
            arguments.push(self.argument(argument)?);
        }
        Ok(ExprKind::Call { function: name, arguments })
    }

    fn argument(&mut self, pair: Pair<'_, Rule>) -> Built<Argument> {
        let mut children = self.children(pair);
        let label = match children.take(Rule::label) {
            Some(label) => {
                let mut parts = self.children(label);
                let name = self.need(&mut parts, Rule::label_name)?;
                Some(self.name(&name)?)
            }
            None => None,
        };
        let value = self.need(&mut children, Rule::expr)?;
        Ok(Argument { label, value: self.expression(value)? })
    }

    /// `within …`, `is …`, `passes`, `fails` behind their subject.
    fn postfixed(&mut self, subject: Expr, tail: Pair<'_, Rule>) -> Built<Expr> {
        let span = subject.span.to(self.span(&tail));
        let kind = match tail.as_rule() {
            Rule::within_tail => self.within(subject, tail)?,
            Rule::is_tail => self.is(subject, tail)?,
            Rule::k_passes => ExprKind::Passes(self.subject_path(subject, "passes")?),
            _ => ExprKind::Fails(self.subject_path(subject, "fails")?),
        };
        Ok(Expr { kind, span })
    }

    fn within(&mut self, subject: Expr, pair: Pair<'_, Rule>) -> Built<ExprKind> {
        let mut children = self.children(pair);
        let target = self.need_any(&mut children)?;
        let limit = match target.as_rule() {
            Rule::name => WithinLimit::Named(self.name(&target)?),
            _ => WithinLimit::Inline(Box::new(self.limit(target)?)),
        };
        let at = match children.take(Rule::within_at) {
            Some(at) => {
                let mut parts = self.children(at);
                let sum = self.need(&mut parts, Rule::sum)?;
                let mut row = self.children(sum);
                Some(Box::new(self.grouped(&mut row, Level::Sum)?))
            }
            None => None,
        };
        Ok(ExprKind::Within { subject: Box::new(subject), limit, at })
    }

    fn is(&mut self, subject: Expr, pair: Pair<'_, Rule>) -> Built<ExprKind> {
        let subject = self.subject_path(subject, "is")?;
        let mut children = self.children(pair);
        let negated = children.has(Rule::k_not);
        let said = self.need_any(&mut children)?;
        let words = match said.as_rule() {
            Rule::any_words => self.name_list(said)?,
            _ => vec![self.name(&said)?],
        };
        Ok(ExprKind::Is { subject, words, negated })
    }

    fn subject_path(&mut self, subject: Expr, word: &'static str) -> Built<Path> {
        match subject.kind {
            ExprKind::Name(path) => Ok(path),
            _ => self.error(
                slugs::SYNTAX,
                subject.span,
                format!("`{word}` stands behind a name, and this is worked out"),
            ),
        }
    }
}

/// `a < b < c`
fn chained(first: Span, second: Span) -> Diagnostic {
    Diagnostic::error(
        slugs::CHAINED_COMPARISON,
        second,
        "a comparison cannot be compared once more",
    )
    .here("second comparison")
    .label(first, "first comparison")
    .mend("write `x within a .. b` for an interval, or join two comparisons with `and`")
}
