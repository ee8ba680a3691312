//! Calls: functions of the table, and curves asked at a point.

use truing_model::{Fold, Function};
use truing_syntax::Span;
use truing_syntax::tree::{Argument, Expr, ExprKind, Name};
use truing_units::{Conversion, Exact, Kind, Operator, Rational, Ty};

use super::{Allowed, Arithmetic, Every, Folded, Num, NumKind, Place, Typer, Value, kind_place};
use crate::functions::{Form, FunctionRow, function, functions};
use crate::lint::{self, Said};
use crate::names::{Sort, Wanted, nearest};

impl Typer<'_, '_> {
    pub(super) fn call(
        &self,
        name: &Name,
        arguments: &[Argument],
        place: Option<&Place>,
        span: Span,
    ) -> Option<Num> {
        let Some(row) = function(&name.node) else { return self.curve(name, arguments, span) };
        match row.form {
            Form::Refer => return self.refer(row, arguments, span),
            Form::Hot => return self.hot_temperature(row, arguments, span),
            Form::Law(law) => return self.law(law, row, arguments, span),
            Form::FrequencyOf => return self.frequency_of(row, arguments, span),
            _ => {}
        }
        for argument in arguments {
            if let Some(label) = &argument.label {
                self.cx.findings.push(lint::wrong_argument::label(label, row.name, &[]));
            }
        }
        if let Form::Fold(fold) = row.form {
            return self.fold(fold, name, arguments, place, span);
        }
        let [argument] = arguments else {
            self.cx.findings.push(lint::wrong_argument::number(span, row, arguments.len(), 1));
            self.look_at(arguments);
            return None;
        };
        match row.form {
            Form::Keeps(function) => self.keeps(function, &argument.value, place, span),
            Form::Bare(function) => self.bare_function(function, row, &argument.value, span),
            Form::Root => self.root(&argument.value, span),
            Form::Converts(conversion) => self.converts(conversion, &argument.value, span),
            Form::Fold(_) | Form::Refer | Form::Hot | Form::Law(_) | Form::FrequencyOf => None,
        }
    }

    fn keeps(
        &self,
        function: Function,
        of: &Expr,
        place: Option<&Place>,
        span: Span,
    ) -> Option<Num> {
        let num = self.number(of, place)?;
        // The sign of a point means as little as its negative.
        let ty = truing_units::combine(&self.cx.catalogue, Operator::Negate, num.ty, num.ty);
        if let Err(refusal) = ty {
            let here = self.said(&num);
            self.cx.findings.push(lint::refused(self.cx, &refusal, span, &here, &here));
            return None;
        }
        self.apply(function, num, span)
    }

    fn bare_function(
        &self,
        function: Function,
        row: &FunctionRow,
        of: &Expr,
        span: Span,
    ) -> Option<Num> {
        let said = Said::words(span, format!("`{}` takes a number without dimension", row.name));
        let num = self.number_in(of, &Place { ty: Ty::RATIO, said, soft: false })?;
        self.apply(function, num, span)
    }

    fn apply(&self, function: Function, num: Num, span: Span) -> Option<Num> {
        let (ty, shown) = (num.ty, num.shown.clone());
        let kind = match num.constant() {
            None => NumKind::Apply(function, Box::new(num)),
            Some(value) => match value.applied(function) {
                Some(value) => NumKind::Constant(value),
                None => {
                    self.cx.findings.push(lint::no_value::outside_domain(span));
                    return None;
                }
            },
        };
        Some(Num { kind, ty, span, shown })
    }

    fn root(&self, of: &Expr, span: Span) -> Option<Num> {
        let num = self.number(of, None)?;
        let point = truing_units::combine(&self.cx.catalogue, Operator::Power(2), num.ty, num.ty);
        if let Err(refusal) = point {
            let here = self.said(&num);
            self.cx.findings.push(lint::refused(self.cx, &refusal, span, &here, &here));
            return None;
        }
        let Some(dimension) = num.ty.dimension(&self.cx.catalogue).root(2) else {
            self.cx.findings.push(lint::unit_mismatch::no_root(self.cx, &self.said(&num)));
            return None;
        };
        let root = self.apply(Function::Sqrt, num, span)?;
        Some(Num { ty: Ty::Plain(dimension), shown: None, ..root })
    }

    fn converts(&self, conversion: &Conversion, of: &Expr, span: Span) -> Option<Num> {
        let what = format!("`{}` takes", conversion.name);
        let num = self.number_in(of, &kind_place(conversion.from, span, what))?;
        #[expect(clippy::float_cmp, reason = "the table writes 1.0 for a mere change of kind")]
        if conversion.factor == 1.0 {
            return Some(Num { ty: conversion.to, span, shown: None, ..num });
        }
        let factor = Num {
            kind: NumKind::Constant(Value::rounded(conversion.factor)),
            ty: Ty::RATIO,
            span,
            shown: None,
        };
        let kind = self.combined(Arithmetic::Multiply, num, factor)?;
        Some(Num { kind, ty: conversion.to, span, shown: None })
    }

    fn fold(
        &self,
        fold: Fold,
        name: &Name,
        arguments: &[Argument],
        place: Option<&Place>,
        span: Span,
    ) -> Option<Num> {
        if arguments.is_empty() {
            self.cx.findings.push(lint::wrong_argument::none(name));
            return None;
        }
        let place =
            place.filter(|_| matches!(fold, Fold::Min | Fold::Max | Fold::Mean | Fold::Sum));
        let folded: Vec<Option<Folded>> = arguments
            .iter()
            .map(|argument| self.every(|| self.number(&argument.value, place)))
            .collect();
        let folded: Vec<Folded> = folded.into_iter().collect::<Option<_>>()?;
        let mut ty = folded.first()?.body.ty;
        for pair in folded.windows(2) {
            if let [one, other] = pair {
                ty = self.comparable(span, &one.body, &other.body)?;
            }
        }
        if fold == Fold::SequenceUnbalance {
            let broken = |over| self.cx.family(over).is_none_or(|family| family.broken);
            let count = folded.iter().map(|part| self.cx.size(Ok(part.over))).sum();
            if count != 3 && !folded.iter().filter_map(|part| part.over).any(broken) {
                self.cx.findings.push(lint::wrong_argument::not_three(span, &name.node, count));
                return None;
            }
        }
        let first = &folded.first()?.body;
        let ty = self.fold_ty(fold, ty, span, first)?;
        let shown = if ty == first.ty { first.shown.clone() } else { None };
        let constants: Option<Vec<Value>> = folded.iter().map(|f| f.body.constant()).collect();
        let kind = match constants {
            Some(values) => match Value::folded(fold, &values) {
                Some(value) => NumKind::Constant(value),
                None if fold == Fold::SequenceUnbalance => {
                    self.cx.findings.push(lint::no_value::no_triangle(span));
                    return None;
                }
                None => {
                    self.cx.findings.push(lint::no_value::division_by_zero(span));
                    return None;
                }
            },
            None => NumKind::Fold(fold, folded),
        };
        Some(Num { kind, ty, span, shown })
    }

    fn fold_ty(&self, fold: Fold, ty: Ty, span: Span, first: &Num) -> Option<Ty> {
        let operator = match fold {
            Fold::Min | Fold::Max | Fold::Mean => return Some(ty),
            Fold::Count => return Some(Ty::RATIO),
            Fold::Sum => Operator::Add,
            Fold::Spread => Operator::Subtract,
            Fold::Unbalance | Fold::SequenceUnbalance => Operator::Divide,
        };
        match truing_units::combine(&self.cx.catalogue, operator, ty, ty) {
            Ok(ty) => Some(ty),
            Err(refusal) => {
                let here = self.said(first);
                self.cx.findings.push(lint::refused(self.cx, &refusal, span, &here, &here));
                None
            }
        }
    }

    /// f = n·p/120 with n in rpm, so ω·p/4π; a shaft alone counts as two poles.
    fn frequency_of(&self, row: &FunctionRow, arguments: &[Argument], span: Span) -> Option<Num> {
        let (mut speed, mut poles, mut sound) = (None, None, true);
        for argument in arguments {
            let place = match &argument.label {
                None => &mut speed,
                Some(label) if &*label.node == "poles" => &mut poles,
                Some(label) => {
                    let finding = lint::wrong_argument::label(label, row.name, &["poles"]);
                    self.cx.findings.push(finding);
                    self.look_at(std::slice::from_ref(argument));
                    sound = false;
                    continue;
                }
            };
            if place.replace(&argument.value).is_some() {
                let count = arguments.len();
                self.cx.findings.push(lint::wrong_argument::number(span, row, count, 1));
                self.look_at(arguments);
                return None;
            }
        }
        let Some(speed) = speed else {
            if sound {
                self.cx.findings.push(lint::wrong_argument::number(span, row, arguments.len(), 1));
            }
            self.look_at(arguments);
            return None;
        };
        let takes = |kind, what| kind_place(kind, span, what);
        let speed = self.number_in(speed, &takes(Kind::ROTATIONAL_SPEED, "`frequency_of` takes"));
        let poles = match poles {
            Some(poles) => self.number_in(poles, &takes(Kind::COUNT, "`poles:` is")),
            None => {
                let kind = NumKind::Constant(Value::integer(2));
                Some(Num { kind, ty: Ty::Kind(Kind::COUNT), span, shown: None })
            }
        };
        let (speed, poles) = (speed?, poles?);
        if poles.constant().is_some_and(|poles| poles.value <= 0.0) {
            let what = "the number of poles";
            self.cx.findings.push(lint::figure_too_low::not_positive(poles.span, what));
            return None;
        }
        let a_quarter = Value::exact(Exact::new(Rational::new(1, 4)?, -1));
        let factor = Num { kind: NumKind::Constant(a_quarter), ty: Ty::RATIO, span, shown: None };
        let factor_kind = self.combined(Arithmetic::Multiply, poles, factor)?;
        let factor = Num { kind: factor_kind, ty: Ty::RATIO, span, shown: None };
        let kind = self.combined(Arithmetic::Multiply, speed, factor)?;
        sound.then_some(Num { kind, ty: Ty::Kind(Kind::FREQUENCY), span, shown: None })
    }

    /// Types arguments that lead nowhere, so that mistakes in them are found and names count as used.
    pub(super) fn look_at(&self, arguments: &[Argument]) {
        for argument in arguments {
            let material = matches!(&argument.value.kind, ExprKind::Name(path)
                if self.cx.scope.get(&path.name.node).is_none());
            if !material {
                self.number(&argument.value, None);
            }
        }
    }

    /// `curve(x)`: a limit that is a curve of single values.
    fn curve(&self, name: &Name, arguments: &[Argument], span: Span) -> Option<Num> {
        const CURVE: Wanted = Wanted::new(&[Sort::Limit], "a function or a curve");
        let cx = self.cx;
        if cx.scope.get(&name.node).is_none() {
            let near = nearest(&name.node, functions().iter().map(|row| row.name));
            cx.findings.push(lint::undefined_name::finding(name, CURVE.words, near));
            self.look_at(arguments);
            return None;
        }
        let entry = cx.find(name, CURVE)?;
        if self.allowed != Allowed::All {
            cx.findings.push(lint::not_constant::finding(span));
            return None;
        }
        let limit = cx.limit(entry.index, name.span)?;
        let by = match limit.curve_of_single_values() {
            Ok(by) => by,
            Err(why) => {
                cx.findings.push(lint::wrong_argument::no_curve(name, limit.span, why));
                return None;
            }
        };
        let [argument] = arguments else {
            cx.findings.push(lint::wrong_argument::curve_number(name, arguments.len()));
            return None;
        };
        let what = format!("`{}` goes by", name.node);
        let at = self.number_in(&argument.value, &kind_place(by, limit.span, what))?;
        if let Some(value) = at.constant() {
            limit.ask(cx, value, at.span);
        }
        let kind = NumKind::CurveAt { limit: entry.index, at: Box::new(at) };
        Some(Num { kind, ty: Ty::Kind(limit.kind), span, shown: Some(limit.unit.clone()) })
    }
}

/// A plain dimensionless body that runs over no family.
pub(super) fn once<T>(body: T) -> Every<T> {
    Every { over: None, body }
}
