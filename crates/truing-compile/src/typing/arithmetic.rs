//! Sums, products, powers and signs.

use truing_syntax::tree::{BinaryOperator, Expr, ExprKind, UnaryOperator};
use truing_syntax::{Span, Spanned};
use truing_units::{Nature, Operator, Ty};

use super::literal::nature;
use super::{Arithmetic, Num, NumKind, Place, Typer, Value};
use crate::lint;

impl Typer<'_, '_> {
    pub(super) fn negated(&self, operand: &Expr, place: Option<&Place>, span: Span) -> Option<Num> {
        let num = self.number(operand, place)?;
        // A minus before a literal is part of the figure: -20 degC is a point like any other.
        let of_literal = is_literal(operand);
        let ty =
            if of_literal { num.ty } else { self.combined_ty(Operator::Negate, span, &num, &num)? };
        let shown = num.shown.clone();
        if let (ExprKind::Number(figure), true) = (&operand.kind, of_literal) {
            let figure =
                truing_syntax::tree::Figure { number: figure.number.negated(), ..figure.clone() };
            return self.literal(&figure, place).map(|num| super::spanned(num, span));
        }
        let kind = match num.constant() {
            Some(value) => NumKind::Constant(value.negated()),
            None => NumKind::Negate(Box::new(num)),
        };
        Some(Num { kind, ty, span, shown })
    }

    pub(super) fn arithmetic(
        &self,
        operator: &Spanned<BinaryOperator>,
        left: &Expr,
        right: &Expr,
        place: Option<&Place>,
        span: Span,
    ) -> Option<Num> {
        let (operation, units) = match operator.node {
            BinaryOperator::Add => (Arithmetic::Add, Operator::Add),
            BinaryOperator::Subtract => (Arithmetic::Subtract, Operator::Subtract),
            BinaryOperator::Multiply => (Arithmetic::Multiply, Operator::Multiply),
            BinaryOperator::Divide => (Arithmetic::Divide, Operator::Divide),
            _ => return self.power(left, right, span),
        };
        let additive = matches!(operation, Arithmetic::Add | Arithmetic::Subtract);
        let (left, right) = if additive {
            self.summands(operation, left, right, place)
        } else {
            (self.number(left, None), self.number(right, None))
        };
        let (left, right) = (left?, right?);
        let ty = self.combined_ty(units, span, &left, &right)?;
        let shown =
            if additive { left.shown.clone().or_else(|| right.shown.clone()) } else { None };
        let kind = self.combined(operation, left, right)?;
        Some(Num { kind, ty, span, shown })
    }

    /// The operation on two numbers: a constant where both are.
    pub(super) fn combined(&self, operation: Arithmetic, left: Num, right: Num) -> Option<NumKind> {
        let (Some(a), Some(b)) = (left.constant(), right.constant()) else {
            if operation == Arithmetic::Divide && right.constant().is_some_and(Value::is_zero) {
                self.cx.findings.push(lint::no_value::division_by_zero(right.span));
                return None;
            }
            return Some(NumKind::Binary(operation, Box::new(left), Box::new(right)));
        };
        match a.combined(operation, b) {
            Some(value) => Some(NumKind::Constant(value)),
            None => {
                self.cx.findings.push(lint::no_value::division_by_zero(right.span));
                None
            }
        }
    }

    /// Both sides of a sum: a literal takes the kind that the other side calls for.
    fn summands(
        &self,
        operation: Arithmetic,
        left: &Expr,
        right: &Expr,
        place: Option<&Place>,
    ) -> (Option<Num>, Option<Num>) {
        match (is_literal(left), is_literal(right)) {
            (false, true) => {
                let first = self.number(left, None);
                let wanted = first.as_ref().and_then(|num| self.addend(operation, num, place));
                (first, self.number(right, wanted.as_ref()))
            }
            (true, false) => {
                let second = self.number(right, None);
                let wanted = second.as_ref().and_then(|num| self.augend(num, place));
                (self.number(left, wanted.as_ref()), second)
            }
            _ => {
                // Two literals, `12 V + 0.5 V`: both are what the place asks for. A place for a
                // point or a difference says nothing of what its summands are.
                let amount = place.filter(|place| {
                    nature(self.cx, place.ty).is_none_or(|(_, n)| n == Nature::Amount)
                });
                let first = self.number(left, amount);
                let rise = first.as_ref().and_then(|num| self.rise(operation, num, right));
                (first, self.number(right, rise.as_ref().or(amount)))
            }
        }
    }

    /// The place of the second of two figures in `20 degC + 10 K`: a point on a scale with a zero of
    /// its own, moved by a figure whose unit has none, can only be moved by a difference.
    fn rise(&self, operation: Arithmetic, first: &Num, second: &Expr) -> Option<Place> {
        let (_, Nature::Point { difference }) = nature(self.cx, first.ty)? else { return None };
        let ExprKind::Number(figure) = &second.kind else { return None };
        let unit = self.cx.catalogue.unit(&figure.unit.as_ref()?.node).ok()?;
        let on_scale = first.shown.as_ref().is_some_and(|unit| !unit.offset().is_zero());
        let moved = operation == Arithmetic::Add
            && on_scale
            && unit.offset().is_zero()
            && unit.fits(difference, &self.cx.catalogue);
        let place = Place { ty: Ty::Kind(difference), said: self.said(first), soft: true };
        moved.then_some(place)
    }

    /// The place of a literal right of `+` or `-`.
    fn addend(&self, operation: Arithmetic, first: &Num, place: Option<&Place>) -> Option<Place> {
        let said = self.said(first);
        let Some((kind, Nature::Point { difference })) = nature(self.cx, first.ty) else {
            return Some(Place { ty: first.ty, said, soft: true });
        };
        let wants_point = place.is_some_and(|place| place.ty == Ty::Kind(kind));
        let ty = match operation {
            Arithmetic::Subtract if !wants_point => Ty::Kind(kind),
            _ => Ty::Kind(difference),
        };
        Some(Place { ty, said, soft: true })
    }

    /// The place of a literal left of `+` or `-`.
    fn augend(&self, second: &Num, place: Option<&Place>) -> Option<Place> {
        let said = self.said(second);
        match nature(self.cx, second.ty) {
            // 20 degC + rise: a point, unless a difference is wanted.
            Some((kind, Nature::Difference { of })) => {
                let wants_difference = place.is_some_and(|place| place.ty == Ty::Kind(kind));
                let ty = Ty::Kind(if wants_difference { kind } else { of });
                Some(Place { ty, said, soft: true })
            }
            _ => Some(Place { ty: second.ty, said, soft: true }),
        }
    }

    /// Two expressions that stand on one footing: a literal takes the kind of the other side, and
    /// both are what the place asks for.
    pub(super) fn alike(
        &self,
        left: &Expr,
        right: &Expr,
        place: Option<&Place>,
    ) -> (Option<Num>, Option<Num>) {
        match (is_literal(left), is_literal(right)) {
            (false, true) => self.leading(left, right, place),
            (true, false) => {
                let (second, first) = self.leading(right, left, place);
                (first, second)
            }
            _ => (self.number(left, place), self.number(right, place)),
        }
    }

    /// The expression that says what it is, then the literal that takes its kind. Without the one,
    /// nothing is said of the other.
    fn leading(
        &self,
        known: &Expr,
        literal: &Expr,
        place: Option<&Place>,
    ) -> (Option<Num>, Option<Num>) {
        let known = self.number(known, place);
        let literal = known.as_ref().and_then(|num| {
            let wanted = Place { ty: num.ty, said: self.said(num), soft: true };
            self.number(literal, Some(&wanted))
        });
        (known, literal)
    }

    fn combined_ty(&self, operator: Operator, whole: Span, left: &Num, right: &Num) -> Option<Ty> {
        match truing_units::combine(&self.cx.catalogue, operator, left.ty, right.ty) {
            Ok(ty) => Some(ty),
            Err(refusal) => {
                let (left, right) = (self.said(left), self.said(right));
                self.cx.findings.push(lint::refused(self.cx, &refusal, whole, &left, &right));
                None
            }
        }
    }

    fn power(&self, base: &Expr, exponent: &Expr, span: Span) -> Option<Num> {
        let base = self.number(base, None);
        let ratio = Place::ratio(exponent.span, "an exponent");
        let power = self.number_in(exponent, &ratio);
        let (base, power) = (base?, power?);
        let whole = power
            .constant()
            .map(|value| value.value)
            .filter(|value| value.fract() == 0.0 && value.abs() <= 12.0);
        let Some(whole) = whole else {
            self.cx.findings.push(lint::not_constant::exponent(exponent.span));
            return None;
        };
        let exponent = whole as i8;
        let ty = self.combined_ty(Operator::Power(exponent), span, &base, &power)?;
        let kind = match base.constant() {
            Some(value) => match value.power(exponent) {
                Some(value) => NumKind::Constant(value),
                None => {
                    self.cx.findings.push(lint::no_value::division_by_zero(span));
                    return None;
                }
            },
            None => NumKind::Power(Box::new(base), exponent),
        };
        Some(Num { kind, ty, span, shown: None })
    }
}

/// A figure, with or without sign and parentheses.
pub(crate) fn is_literal(expr: &Expr) -> bool {
    match &expr.kind {
        ExprKind::Number(_) => true,
        ExprKind::Parens(inner) => is_literal(inner),
        ExprKind::Unary { operator, operand } => {
            operator.node == UnaryOperator::Negate && is_literal(operand)
        }
        _ => false,
    }
}
