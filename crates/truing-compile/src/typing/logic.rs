//! Conditions: comparisons, limits kept, words seen, outcomes of checks, and what joins them.

use truing_model::Relation;
use truing_syntax::Span;
use truing_syntax::tree::{
    BinaryOperator, Expr, ExprKind, Name, Path, Quantifier, UnaryOperator, WithinLimit,
};
use truing_units::Ty;

use super::call::once;
use super::{Allowed, Every, LimitRef, Logic, Num, Place, Typer, kind_place};
use crate::context::PropertyKind;
use crate::limit::LimitIr;
use crate::lint::{self, Said};
use crate::names::{Sort, Wanted, nearest};

const LIMIT: Wanted = Wanted::new(&[Sort::Limit], "a limit");
const CHECK: Wanted = Wanted::new(&[Sort::Check], "a check");
const WORDS: Wanted =
    Wanted::new(&[Sort::Observation, Sort::Property], "an observation or a property");

impl Typer<'_, '_> {
    /// Types an expression that must be true or false.
    pub(crate) fn logic(&self, expr: &Expr) -> Option<Logic> {
        match &expr.kind {
            ExprKind::Parens(inner) => self.logic(inner),
            ExprKind::Unary { operator, operand } if operator.node == UnaryOperator::Not => {
                self.logic(operand).map(negated)
            }
            ExprKind::Binary { operator, left, right } => match operator.node {
                BinaryOperator::And | BinaryOperator::Or => {
                    self.joined(operator.node == BinaryOperator::And, left, right)
                }
                other => match relation(other) {
                    Some(relation) => self.compared(relation, left, right, expr.span),
                    None => self.not_a_condition(expr),
                },
            },
            ExprKind::Within { subject, limit, at } => {
                self.within(subject, limit, at.as_deref(), expr.span)
            }
            ExprKind::Is { subject, words, negated } => self.is(subject, words, *negated),
            ExprKind::Passes(path) => self.outcome(path, true),
            ExprKind::Fails(path) => self.outcome(path, false),
            ExprKind::Quantified { quantifier, bodies } => self.quantified(quantifier.node, bodies),
            ExprKind::If { condition, then, otherwise } => {
                let condition = self.logic(condition);
                let (then, otherwise) = (self.logic(then), self.logic(otherwise));
                let (condition, then, otherwise) = (condition?, then?, otherwise?);
                let not = negated(condition.clone());
                Some(any(vec![
                    once(all(vec![once(condition), once(then)])),
                    once(all(vec![once(not), once(otherwise)])),
                ]))
            }
            ExprKind::Number(_)
            | ExprKind::Name(_)
            | ExprKind::Call { .. }
            | ExprKind::Unary { .. } => self.not_a_condition(expr),
        }
    }

    fn not_a_condition(&self, expr: &Expr) -> Option<Logic> {
        let entry = match &expr.kind {
            ExprKind::Name(path) => match self.cx.scope.get(&path.name.node) {
                Some(entry) => {
                    entry.used.set(true);
                    Some(entry)
                }
                // The name is the mistake, not what is said of it.
                None => {
                    self.number(expr, None);
                    return None;
                }
            },
            // A mistake inside is the one to tell of.
            _ => {
                self.number(expr, None)?;
                None
            }
        };
        let sort = entry.map(|entry| entry.sort);
        self.cx.findings.push(lint::wrong_sort::no_condition(expr.span, sort));
        None
    }

    fn joined(&self, and: bool, left: &Expr, right: &Expr) -> Option<Logic> {
        let (left, right) = (self.logic(left), self.logic(right));
        let parts = vec![once(left?), once(right?)];
        Some(if and { all(parts) } else { any(parts) })
    }

    fn compared(&self, relation: Relation, left: &Expr, right: &Expr, span: Span) -> Option<Logic> {
        let (left, right) = self.alike(left, right, None);
        let (left, right) = (left?, right?);
        self.comparable(span, &left, &right)?;
        if let (Some(a), Some(b)) = (left.constant(), right.constant()) {
            return Some(Logic::Constant(holds(relation, a.compare(b))));
        }
        Some(Logic::Compare(relation, Box::new(left), Box::new(right)))
    }

    fn within(
        &self,
        subject: &Expr,
        limit: &WithinLimit,
        at: Option<&Expr>,
        span: Span,
    ) -> Option<Logic> {
        let cx = self.cx;
        let (subject, limit) = match limit {
            WithinLimit::Named(name) => {
                let found = cx.find(name, LIMIT).map(|entry| entry.index);
                let kind = found.and_then(|index| cx.limit_kind(index).map(|kind| (index, kind)));
                let Some((index, kind)) = kind else {
                    self.number(subject, None);
                    at.map(|at| self.number(at, None));
                    return None;
                };
                let place = kind_place(kind, name.span, format!("`{}` limits", name.node));
                let subject = self.judged(subject, &place, span);
                (subject, cx.limit(index, name.span).map(|ir| (LimitRef::Named(index), ir.clone())))
            }
            WithinLimit::Inline(value) => {
                let subject = self.number(subject, None);
                let ir = match &subject {
                    Some(num) => cx.inline_limit(value, num.ty, self.said(num)),
                    None => None,
                };
                let limit = ir.map(|ir| {
                    let mut inline = cx.inline.borrow_mut();
                    inline.push(ir.clone());
                    (LimitRef::Inline(inline.len() - 1), ir)
                });
                (subject, limit)
            }
        };
        let at = self.curve_place(at, limit.as_ref().map(|(_, ir)| ir), span);
        let (subject, (limit, ir), at) = (subject?, limit?, at?);
        if self.allowed != Allowed::All {
            cx.findings.push(lint::wrong_sort::condition_in_variant(span));
            return None;
        }
        lint::condition_missing::look(cx, &ir, &subject, span);
        self.shown_in(&subject, &ir);
        Some(Logic::Within { subject: Box::new(subject), limit, at: at.map(Box::new) })
    }

    /// What a limit judges: of the limit's kind, or plain and of its dimension.
    fn judged(&self, subject: &Expr, place: &Place, whole: Span) -> Option<Num> {
        let num = self.number(subject, Some(place))?;
        match truing_units::comparable(&self.cx.catalogue, num.ty, place.ty) {
            Ok(_) => Some(num),
            Err(refusal) => {
                let here = self.said(&num);
                self.cx.findings.push(lint::refused(self.cx, &refusal, whole, &here, &place.said));
                None
            }
        }
    }

    /// Where on the limit's curve: `Some(None)` where it has none and none is written.
    #[expect(
        clippy::option_option,
        reason = "outer: a finding was made; inner: nothing is written"
    )]
    fn curve_place(
        &self,
        at: Option<&Expr>,
        limit: Option<&LimitIr>,
        span: Span,
    ) -> Option<Option<Num>> {
        let cx = self.cx;
        let Some(limit) = limit else {
            at.map(|at| self.number(at, None));
            return None;
        };
        match (at, limit.by) {
            (None, None) => Some(None),
            (Some(at), Some(by)) => {
                let place = kind_place(by, limit.span, "the limit goes by");
                let num = self.judged(at, &place, at.span)?;
                if let Some(value) = num.constant() {
                    limit.ask(cx, value, num.span);
                }
                Some(Some(num))
            }
            (Some(at), None) => {
                self.number(at, None);
                cx.findings.push(lint::wrong_argument::no_curve_here(at.span, limit.span));
                None
            }
            (None, Some(by)) => {
                cx.findings.push(lint::condition_missing::curve(cx, span, limit.span, by));
                None
            }
        }
    }

    /// A derived quantity is shown in the unit of the limit that judges it.
    fn shown_in(&self, subject: &Num, limit: &LimitIr) {
        if let super::NumKind::Derived { index, .. } = subject.kind
            && let Some(derived) = self.cx.derived.get(index)
        {
            derived.shown_in.borrow_mut().get_or_insert_with(|| limit.unit.clone());
        }
    }

    fn is(&self, subject: &Path, words: &[Name], negated_is: bool) -> Option<Logic> {
        let cx = self.cx;
        let entry = cx.find(&subject.name, WORDS)?;
        if entry.sort == Sort::Property {
            if subject.index.is_some() {
                cx.findings.push(lint::wrong_index::no_family(subject));
                return None;
            }
            let property = cx.properties.get(entry.index)?;
            let PropertyKind::Words(known) = property.domain.as_ref()? else {
                cx.findings.push(lint::word_unknown::no_words(&subject.name));
                return None;
            };
            let words = self.places(words, known, &subject.name)?;
            let is = Logic::PropertyIs { index: entry.index, words };
            return Some(if negated_is { negated(is) } else { is });
        }
        let measured = cx.measured.get(entry.index)?;
        if self.allowed != Allowed::All {
            cx.findings.push(lint::wrong_sort::in_variant(&subject.name, entry.sort));
            return None;
        }
        let at = self.at(subject, measured.family);
        let words = self.places(words, measured.words()?, &subject.name)?;
        let is = Logic::Is { index: entry.index, at: at.ok()?, words };
        Some(if negated_is { negated(is) } else { is })
    }

    /// The places of words among those known, rising.
    fn places(&self, words: &[Name], known: &[Name], subject: &Name) -> Option<Vec<u16>> {
        let mut places = Vec::new();
        let mut missing = false;
        for word in words {
            match known.iter().position(|other| other.node == word.node) {
                Some(place) => places.push(u16::try_from(place).ok()?),
                None => {
                    missing = true;
                    let near = nearest(&word.node, known.iter().map(|name| &*name.node));
                    self.cx.findings.push(lint::word_unknown::finding(word, subject, known, near));
                }
            }
        }
        places.sort_unstable();
        places.dedup();
        (!missing).then_some(places)
    }

    fn outcome(&self, path: &Path, passes: bool) -> Option<Logic> {
        let cx = self.cx;
        let entry = cx.find(&path.name, CHECK)?;
        if self.allowed != Allowed::All {
            cx.findings.push(lint::wrong_sort::in_variant(&path.name, entry.sort));
            return None;
        }
        let check = entry.index;
        let at = self.at(path, cx.checks.get(check)?.family).ok()?;
        Some(if passes { Logic::Passes { check, at } } else { Logic::Fails { check, at } })
    }

    fn quantified(&self, quantifier: Quantifier, bodies: &[Expr]) -> Option<Logic> {
        let parts: Vec<Option<Every<Logic>>> =
            bodies.iter().map(|body| self.every(|| self.logic(body))).collect();
        let parts: Vec<Every<Logic>> = parts.into_iter().collect::<Option<_>>()?;
        Some(match quantifier {
            Quantifier::All => Logic::All(parts),
            Quantifier::Any => Logic::Any(parts),
        })
    }
}

impl Place {
    /// The place of a plain number.
    pub(crate) fn ratio(span: Span, words: &str) -> Self {
        Self { ty: Ty::RATIO, said: Said::words(span, words), soft: false }
    }
}

fn negated(logic: Logic) -> Logic {
    match logic {
        Logic::Constant(value) => Logic::Constant(!value),
        Logic::Not(inner) => *inner,
        other => Logic::Not(Box::new(other)),
    }
}

fn all(parts: Vec<Every<Logic>>) -> Logic {
    Logic::All(parts)
}

fn any(parts: Vec<Every<Logic>>) -> Logic {
    Logic::Any(parts)
}

fn relation(operator: BinaryOperator) -> Option<Relation> {
    Some(match operator {
        BinaryOperator::Less => Relation::Less,
        BinaryOperator::LessOrEqual => Relation::LessOrEqual,
        BinaryOperator::Greater => Relation::Greater,
        BinaryOperator::GreaterOrEqual => Relation::GreaterOrEqual,
        BinaryOperator::Equal => Relation::Equal,
        BinaryOperator::NotEqual => Relation::NotEqual,
        _ => return None,
    })
}

/// Whether a relation holds of two values in this order.
pub(crate) fn holds(relation: Relation, order: std::cmp::Ordering) -> bool {
    match relation {
        Relation::Less => order.is_lt(),
        Relation::LessOrEqual => order.is_le(),
        Relation::Greater => order.is_gt(),
        Relation::GreaterOrEqual => order.is_ge(),
        Relation::Equal => order.is_eq(),
        Relation::NotEqual => order.is_ne(),
    }
}
