//! Expressions: choices, operands, calls, and what stands behind its subject.

use pest::iterators::Pair;

use super::{Builder, Built, Children};
use crate::grammar::Rule;
use crate::slugs;
use crate::tree::{Argument, Expr, ExprKind, Path, WithinLimit};

impl Builder<'_> {
    /// An expression in a place of its own. One inside a limit inside an expression goes on with
    /// that one's count of operators.
    pub(crate) fn whole_expression(&mut self, pair: Pair<'_, Rule>) -> Built<Expr> {
        let outermost = !std::mem::replace(&mut self.in_expression, true);
        if outermost {
            self.operators = 0;
        }
        let built = self.expression(pair);
        self.in_expression = !outermost;
        built
    }

    /// An `expr`: conditions of a choice first, then operators and operands in a row.
    fn expression(&mut self, pair: Pair<'_, Rule>) -> Built<Expr> {
        let mut children = self.children(pair);
        match children.peek_raw() {
            Some(Rule::if_head) => self.choice(&mut children),
            _ => self.row(&mut children),
        }
    }

    /// `if p then a else if q then b else c`
    fn choice(&mut self, children: &mut Children<'_>) -> Built<Expr> {
        let mut heads = Vec::new();
        while children.peek_raw() == Some(Rule::if_head) {
            let head = self.need(children, Rule::if_head)?;
            let start = self.span(&head);
            self.count_operator(start)?;
            let mut parts = self.children(head);
            let condition = self.need(&mut parts, Rule::plain_expr)?;
            let condition = self.row(&mut self.children(condition))?;
            let then = self.need(&mut parts, Rule::plain_expr)?;
            let then = self.row(&mut self.children(then))?;
            heads.push((start, condition, then));
        }
        let mut last = self.row(children)?;
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

    /// The expressions between parentheses.
    pub(crate) fn list(&mut self, pair: Pair<'_, Rule>) -> Built<Vec<Expr>> {
        let mut children = self.children(pair);
        let mut all = Vec::new();
        while let Some(expression) = children.take(Rule::expr) {
            all.push(self.expression(expression)?);
        }
        Ok(all)
    }

    /// A number, a name, a call, or something in parentheses.
    pub(crate) fn operand(&mut self, pair: Pair<'_, Rule>) -> Built<Expr> {
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
    pub(crate) fn postfixed(&mut self, subject: Expr, tail: Pair<'_, Rule>) -> Built<Expr> {
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
                Some(Box::new(self.row(&mut row)?))
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
