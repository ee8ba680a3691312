//! Operators and operands in a row, grouped by precedence.
//!
//! Two stacks and no recursion: a long chain costs no stack here, as it cost none in pest.

use pest::iterators::Pair;

use super::{Builder, Built, Children, Refused};
use crate::diagnostic::Diagnostic;
use crate::grammar::Rule;
use crate::slugs;
use crate::span::{Span, Spanned};
use crate::tree::{BinaryOperator, Expr, ExprKind, Quantifier, UnaryOperator};

/// The most operators in one expression, those in its parentheses included. The tree of
/// `1 + 1 + 1 …` is as deep as the chain is long, and whoever walks it recurses.
pub(crate) const MOST_OPERATORS: u32 = 256;

/// How tightly an operator binds; for one that stands before its operand, what the operand may hold.
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

/// An operator that waits for what stands right of it.
enum Waiting {
    Before(Level, UnaryOperator, Span),
    Quantifier(Quantifier, Span),
    Between(Level, BinaryOperator, Span),
}

impl Waiting {
    /// Whether the operator has all of its right side when one of level `next` follows.
    fn is_complete(&self, next: Level) -> bool {
        match self {
            Waiting::Before(operand, ..) => next < *operand,
            Waiting::Quantifier(..) => next < Level::Comparison,
            // `2 ^ 3 ^ 2` is grouped from the right, as in mathematics; all others from the left.
            Waiting::Between(Level::Power, ..) => next < Level::Power,
            // A comparison after a comparison is refused, and both are seen then.
            Waiting::Between(level, ..) => next <= *level,
        }
    }
}

/// Operands that are done, each with its comparison if it is one without parentheses, and operators
/// that are not.
#[derive(Default)]
struct Stacks {
    operands: Vec<(Expr, Option<Span>)>,
    operators: Vec<Waiting>,
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
    /// The expression that a row of operators and operands makes.
    pub(crate) fn row(&mut self, row: &mut Children<'_>) -> Built<Expr> {
        let whole = row.whole;
        let mut stacks = Stacks::default();
        while let Some(next) = row.next_raw() {
            let place = self.span(&next);
            match next.as_rule() {
                Rule::prefix | Rule::minus => self.before(&mut stacks, next, place, row)?,
                Rule::infix | Rule::sum_infix => {
                    let (operator, level) = binary_operator(next.as_str());
                    self.follow(&mut stacks, level, place)?;
                    stacks.operators.push(Waiting::Between(level, operator, place));
                }
                Rule::within_tail | Rule::is_tail | Rule::k_passes | Rule::k_fails => {
                    self.follow(&mut stacks, Level::Comparison, place)?;
                    let Some((subject, _)) = stacks.operands.pop() else {
                        return self.mismatch(place, Rule::expr);
                    };
                    let judged = self.postfixed(subject, next)?;
                    stacks.operands.push((judged, Some(place)));
                }
                _ => stacks.operands.push((self.operand(next)?, None)),
            }
        }
        while !stacks.operators.is_empty() {
            self.complete(&mut stacks, whole)?;
        }
        match (stacks.operands.pop(), stacks.operands.is_empty()) {
            (Some((expression, _)), true) => Ok(expression),
            _ => self.mismatch(whole, Rule::expr),
        }
    }

    /// Counts an operator against the cap.
    pub(crate) fn count_operator(&mut self, place: Span) -> Built<()> {
        self.operators += 1;
        match self.operators {
            count if count <= MOST_OPERATORS => Ok(()),
            count if count == MOST_OPERATORS + 1 => self.refuse(
                Diagnostic::error(
                    slugs::EXPRESSION_TOO_LONG,
                    place,
                    format!("this expression has more than {MOST_OPERATORS} operators"),
                )
                .mend("give parts of it a name of their own with `derived` or `constant`"),
            ),
            _ => Err(Refused),
        }
    }

    /// An operator that stands before its operand.
    fn before(
        &mut self,
        stacks: &mut Stacks,
        pair: Pair<'_, Rule>,
        place: Span,
        row: &mut Children<'_>,
    ) -> Built<()> {
        self.count_operator(place)?;
        let sign = pair.as_str();
        if sign.starts_with("not") {
            stacks.operators.push(Waiting::Before(Level::Not, UnaryOperator::Not, place));
            return Ok(());
        }
        let node = match sign {
            _ if sign.starts_with("all") => Quantifier::All,
            _ if sign.starts_with("any") => Quantifier::Any,
            _ => {
                stacks.operators.push(Waiting::Before(Level::Minus, UnaryOperator::Negate, place));
                return Ok(());
            }
        };
        // `any of (a fails, b fails)` takes the list, `any of insulated fails` one comparison.
        if row.peek_raw() != Some(Rule::parens) {
            stacks.operators.push(Waiting::Quantifier(node, place));
            return Ok(());
        }
        let list = self.need(row, Rule::parens)?;
        let span = place.to(self.span(&list));
        let quantifier = Spanned { node, span: place };
        let kind = ExprKind::Quantified { quantifier, bodies: self.list(list)? };
        stacks.operands.push((Expr { kind, span }, None));
        Ok(())
    }

    /// Makes room for an operator of this level behind what is done.
    fn follow(&mut self, stacks: &mut Stacks, level: Level, place: Span) -> Built<()> {
        self.count_operator(place)?;
        while stacks.operators.last().is_some_and(|waiting| waiting.is_complete(level)) {
            self.complete(stacks, place)?;
        }
        match stacks.operands.last() {
            Some((_, Some(first))) if level == Level::Comparison => {
                let first = *first;
                self.refuse(chained(first, place))
            }
            _ => Ok(()),
        }
    }

    /// Gives the last operator its operands.
    fn complete(&mut self, stacks: &mut Stacks, place: Span) -> Built<()> {
        let (Some(operator), Some((right, _))) = (stacks.operators.pop(), stacks.operands.pop())
        else {
            return self.mismatch(place, Rule::expr);
        };
        let mut compared = None;
        let done = match operator {
            Waiting::Before(_, node, place) => {
                let span = place.to(right.span);
                let operator = Spanned { node, span: place };
                Expr { kind: ExprKind::Unary { operator, operand: Box::new(right) }, span }
            }
            Waiting::Quantifier(node, place) => {
                let span = place.to(right.span);
                let quantifier = Spanned { node, span: place };
                Expr { kind: ExprKind::Quantified { quantifier, bodies: vec![right] }, span }
            }
            Waiting::Between(level, node, place) => {
                let Some((left, _)) = stacks.operands.pop() else {
                    return self.mismatch(place, Rule::expr);
                };
                compared = (level == Level::Comparison).then_some(place);
                let span = left.span.to(right.span);
                let operator = Spanned { node, span: place };
                let (left, right) = (Box::new(left), Box::new(right));
                Expr { kind: ExprKind::Binary { operator, left, right }, span }
            }
        };
        stacks.operands.push((done, compared));
        Ok(())
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
