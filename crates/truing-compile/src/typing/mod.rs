//! Expressions with their kinds: every name resolved, every literal in its place.
//!
//! What comes out is generic over the members of a family ([`At::Current`], [`At::Each`]); the
//! lowering makes nodes of it for every member. `None` means that a finding was made: whatever
//! depends on it says nothing more.

mod arithmetic;
mod call;
mod correction;
mod literal;
mod logic;
mod path;
mod value;

use std::borrow::Cow;
use std::cell::RefCell;

use truing_model::{Fold, Function, Law, Relation};
use truing_syntax::Span;
use truing_syntax::tree::{BinaryOperator, Expr, ExprKind, UnaryOperator};
use truing_units::{Kind, Ty, Unit};

pub(crate) use arithmetic::is_literal;
pub(crate) use literal::sibling_unit;
pub(crate) use value::Value;

use crate::context::Context;
use crate::family::{At, FamilyId};
use crate::lint::{self, Said};

/// A typed number.
#[derive(Clone, Debug)]
pub(crate) struct Num {
    pub kind: NumKind,
    pub ty: Ty,
    pub span: Span,
    /// The unit to show it in, where the text gives one.
    pub shown: Option<Unit>,
}

/// The forms of a typed number.
#[derive(Clone, Debug)]
pub(crate) enum NumKind {
    Constant(Value),
    Measured { index: usize, at: At },
    Derived { index: usize, at: At },
    Property(usize),
    Negate(Box<Num>),
    Binary(Arithmetic, Box<Num>, Box<Num>),
    Power(Box<Num>, i8),
    Apply(Function, Box<Num>),
    Law(Law, Box<Num>),
    Fold(Fold, Vec<Folded>),
    Refer { resistance: Box<Num>, from: Box<Num>, to: Box<Num>, k: Value },
    CurveAt { limit: usize, at: Box<Num> },
    Choose { condition: Box<Logic>, then: Box<Num>, otherwise: Box<Num> },
}

/// An argument of a fold, or a body of a quantifier: once for every member of `over`.
#[derive(Clone, Debug)]
pub(crate) struct Every<T> {
    pub over: Option<FamilyId>,
    pub body: T,
}

pub(crate) type Folded = Every<Num>;

/// The four operations that make one number of two.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum Arithmetic {
    Add,
    Subtract,
    Multiply,
    Divide,
}

/// A typed condition.
#[derive(Clone, Debug)]
pub(crate) enum Logic {
    Constant(bool),
    Compare(Relation, Box<Num>, Box<Num>),
    Within { subject: Box<Num>, limit: LimitRef, at: Option<Box<Num>> },
    Is { index: usize, at: At, words: Vec<u16> },
    PropertyIs { index: usize, words: Vec<u16> },
    Passes { check: usize, at: At },
    Fails { check: usize, at: At },
    Not(Box<Logic>),
    All(Vec<Every<Logic>>),
    Any(Vec<Every<Logic>>),
}

/// A limit with a name, or one written in place.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum LimitRef {
    Named(usize),
    Inline(usize),
}

/// The place that a literal stands in, and who asks for it.
#[derive(Clone, Debug)]
pub(crate) struct Place {
    pub ty: Ty,
    pub said: Said,
    /// The enclosing operation reports a literal that does not fit, with both its sides.
    pub soft: bool,
}

impl Num {
    pub(crate) fn constant(&self) -> Option<Value> {
        match &self.kind {
            NumKind::Constant(value) => Some(*value),
            _ => None,
        }
    }
}

/// What an expression may speak of.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(crate) enum Allowed {
    /// Everything.
    All,
    /// Constants and properties of the machine: the condition of a limit's arm.
    Properties,
    /// Constants: a limit's end, a constant.
    Constants,
}

/// Types expressions of one item.
pub(crate) struct Typer<'c, 'a> {
    pub cx: &'c Context<'a>,
    /// The family of the enclosing item.
    pub current: Option<FamilyId>,
    pub allowed: Allowed,
    /// The family that runs in each enclosing fold or quantifier, innermost last.
    each: RefCell<Vec<Option<FamilyId>>>,
}

impl<'c, 'a> Typer<'c, 'a> {
    pub(crate) fn new(cx: &'c Context<'a>, current: Option<FamilyId>, allowed: Allowed) -> Self {
        Self { cx, current, allowed, each: RefCell::new(Vec::new()) }
    }

    /// Types an expression that must be a number. A literal takes the kind of `place`; whether the
    /// rest fits there is asked by [`Typer::fit`].
    pub(crate) fn number(&self, expr: &Expr, place: Option<&Place>) -> Option<Num> {
        match &expr.kind {
            ExprKind::Number(figure) => self.literal(figure, place),
            ExprKind::Name(path) => self.named_number(path, expr.span),
            ExprKind::Call { function, arguments } => {
                self.call(function, arguments, place, expr.span)
            }
            ExprKind::Parens(inner) => self.number(inner, place).map(|num| spanned(num, expr.span)),
            ExprKind::Unary { operator, operand } if operator.node == UnaryOperator::Negate => {
                self.negated(operand, place, expr.span)
            }
            ExprKind::Binary { operator, left, right } if is_arithmetic(operator.node) => {
                self.arithmetic(operator, left, right, place, expr.span)
            }
            ExprKind::If { condition, then, otherwise } => {
                self.choice(condition, then, otherwise, place, expr.span)
            }
            _ => {
                self.cx.findings.push(lint::wrong_sort::condition(expr.span));
                None
            }
        }
    }

    /// The number where it must be of the place's kind; a plain number takes it on.
    pub(crate) fn fit(&self, num: Num, place: &Place) -> Option<Num> {
        if num.ty == place.ty {
            return Some(num);
        }
        let cat = &self.cx.catalogue;
        let refused = match place.ty {
            Ty::Kind(kind) => truing_units::assignable(cat, num.ty, kind).err(),
            Ty::Plain(dimension) if num.ty.dimension(cat) == dimension => None,
            Ty::Plain(_) => truing_units::comparable(cat, num.ty, place.ty).err(),
        };
        match refused {
            None => Some(Num { ty: place.ty, ..num }),
            Some(refusal) => {
                let here = self.said(&num);
                self.cx.findings.push(lint::refused(
                    self.cx,
                    &refusal,
                    num.span,
                    &here,
                    &place.said,
                ));
                None
            }
        }
    }

    /// As [`Typer::number`] and [`Typer::fit`].
    pub(crate) fn number_in(&self, expr: &Expr, place: &Place) -> Option<Num> {
        let num = self.number(expr, Some(place))?;
        self.fit(num, place)
    }

    /// A number that must be known now.
    pub(crate) fn constant_in(&self, expr: &Expr, place: &Place) -> Option<Num> {
        let num = self.number_in(expr, place)?;
        if num.constant().is_none() {
            self.cx.findings.push(lint::not_constant::finding(expr.span));
            return None;
        }
        Some(num)
    }

    /// What a finding says of a number.
    pub(crate) fn said(&self, num: &Num) -> Said {
        Said::new(num.span, num.ty, num.shown.as_ref())
    }

    fn choice(
        &self,
        condition: &Expr,
        then: &Expr,
        otherwise: &Expr,
        place: Option<&Place>,
        span: Span,
    ) -> Option<Num> {
        let condition = self.logic(condition);
        let (then, otherwise) = self.alike(then, otherwise, place);
        let (condition, then, otherwise) = (condition?, then?, otherwise?);
        let ty = self.comparable(span, &then, &otherwise)?;
        let shown = then.shown.clone().or_else(|| otherwise.shown.clone());
        let kind = match condition {
            Logic::Constant(true) => then.kind,
            Logic::Constant(false) => otherwise.kind,
            _ => NumKind::Choose {
                condition: Box::new(condition),
                then: Box::new(then),
                otherwise: Box::new(otherwise),
            },
        };
        Some(Num { kind, ty, span, shown })
    }

    /// The kind of two numbers that stand on one footing: compared, or either of a choice.
    pub(crate) fn comparable(&self, whole: Span, left: &Num, right: &Num) -> Option<Ty> {
        match truing_units::comparable(&self.cx.catalogue, left.ty, right.ty) {
            Ok(ty) => Some(ty),
            Err(refusal) => {
                let (left, right) = (self.said(left), self.said(right));
                self.cx.findings.push(lint::refused(self.cx, &refusal, whole, &left, &right));
                None
            }
        }
    }
}

pub(crate) fn spanned(num: Num, span: Span) -> Num {
    Num { span, ..num }
}

fn is_arithmetic(operator: BinaryOperator) -> bool {
    matches!(
        operator,
        BinaryOperator::Add
            | BinaryOperator::Subtract
            | BinaryOperator::Multiply
            | BinaryOperator::Divide
            | BinaryOperator::Power
    )
}

/// The place of a kind, named by what asks for it.
pub(crate) fn kind_place(kind: Kind, said_by: Span, what: impl Into<Cow<'static, str>>) -> Place {
    let ty = Ty::Kind(kind);
    Place { ty, said: Said::named(said_by, what, ty), soft: false }
}
