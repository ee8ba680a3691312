//! The ends of an interval: figures that lend each other units, constants, expressions.

use truing_syntax::Span;
use truing_syntax::tree::{Bound, Figure, LimitExpr, LimitForm, Tolerance, UnitText};
use truing_units::{Nature, Ty, Unit};

use crate::context::Context;
use crate::lint;
use crate::typing::{Allowed, Num, Place, Typer, Value, sibling_unit};

/// The place of a tolerance: of a temperature, a difference of temperatures.
pub(super) fn tolerance_place(cx: &Context<'_>, place: &Place) -> Place {
    let ty = match place.ty {
        Ty::Kind(kind) => match cx.catalogue.kind(kind).nature {
            Nature::Point { difference } => Ty::Kind(difference),
            _ => place.ty,
        },
        plain => plain,
    };
    Place { ty, said: place.said.clone(), soft: false }
}

pub(super) fn bound_span(bound: &Bound) -> Span {
    match bound {
        Bound::Figure(figure) => figure.span,
        Bound::Name(path) => path.span,
        Bound::Expr(expr) => expr.span,
    }
}

/// The unit that a bound is written with.
pub(super) fn bound_unit(bound: &Bound) -> Option<&UnitText> {
    match bound {
        Bound::Figure(figure) => figure.unit.as_ref(),
        Bound::Name(_) | Bound::Expr(_) => None,
    }
}

impl Context<'_> {
    /// One end, known now. `lent` is the unit of the other end, for a figure without one.
    pub(super) fn end(&self, bound: &Bound, lent: Option<&UnitText>, place: &Place) -> Option<Num> {
        let typer = Typer::new(self, None, Allowed::Constants);
        let num = match bound {
            Bound::Figure(figure) => {
                let unit = sibling_unit(figure, lent).cloned();
                let figure = Figure { unit, ..figure.clone() };
                return typer.literal(&figure, Some(place));
            }
            Bound::Name(path) => typer.named_number(path, path.span)?,
            Bound::Expr(expr) => return typer.constant_in(expr, place),
        };
        let num = typer.fit(num, place)?;
        if num.constant().is_none() {
            self.findings.push(lint::not_constant::finding(num.span));
            return None;
        }
        Some(num)
    }

    /// Two ends that lend each other a unit; a mistake in the unit is reported once, where it is
    /// written.
    pub(crate) fn both_ends(
        &self,
        (first, first_place): (&Bound, &Place),
        (second, second_place): (&Bound, &Place),
    ) -> Option<(Num, Num)> {
        let whole = bound_span(first).to(bound_span(second));
        let bare = |bound: &Bound| matches!(bound, Bound::Figure(figure) if figure.unit.is_none());
        match (bare(first), bare(second)) {
            (true, false) => {
                let two = self.end(&across(second, whole), None, second_place)?;
                Some((self.end(first, bound_unit(second), first_place)?, two))
            }
            (false, true) => {
                let one = self.end(&across(first, whole), None, first_place)?;
                Some((one, self.end(second, bound_unit(first), second_place)?))
            }
            // Neither has a unit: where one is due, one finding says so.
            (true, true) => {
                let one = self.end(&across(first, whole), None, first_place)?;
                Some((one, self.end(second, None, second_place)?))
            }
            (false, false) => {
                let one = self.end(first, None, first_place);
                let two = self.end(second, None, second_place);
                Some((one?, two?))
            }
        }
    }

    /// The type of the first figure or constant of a limit that says one.
    pub(crate) fn first_ty(&self, value: &LimitExpr) -> Option<Ty> {
        self.form_bounds(&value.form).into_iter().find_map(|bound| match bound {
            Bound::Figure(figure) => {
                let unit = self.catalogue.unit(&figure.unit.as_ref()?.node).ok()?;
                Some(
                    unit.kinds()
                        .first()
                        .map_or(Ty::Plain(unit.dimension()), |kind| Ty::Kind(*kind)),
                )
            }
            Bound::Name(path) => {
                let entry = self.scope.get(&path.name.node)?;
                if entry.sort != crate::names::Sort::Constant {
                    return None;
                }
                entry.used.set(true);
                Some(self.constant_num(entry.index, path.span)?.ty)
            }
            Bound::Expr(expr) => {
                let quiet = self.findings.take();
                let num = Typer::new(self, None, Allowed::Constants).number(expr, None);
                self.findings.take();
                self.findings.extend(quiet);
                num.map(|num| num.ty)
            }
        })
    }

    /// The first unit of a limit, for showing values beside it.
    pub(crate) fn first_unit(&self, value: &LimitExpr) -> Option<Unit> {
        self.form_bounds(&value.form).into_iter().find_map(|bound| match bound {
            Bound::Figure(figure) => self.catalogue.unit(&figure.unit.as_ref()?.node).ok(),
            Bound::Name(path) => {
                let entry = self.scope.get(&path.name.node)?;
                if entry.sort != crate::names::Sort::Constant {
                    return None;
                }
                self.constant_num(entry.index, path.span)?.shown.clone()
            }
            Bound::Expr(_) => None,
        })
    }

    fn form_bounds<'f>(&self, form: &'f LimitForm) -> Vec<&'f Bound> {
        let mut out = Vec::new();
        collect(form, &mut out);
        out
    }
}

/// From the first figure of a form to the last.
pub(crate) fn form_span(form: &LimitForm) -> Option<Span> {
    let mut bounds = Vec::new();
    collect(form, &mut bounds);
    bounds.into_iter().map(bound_span).reduce(Span::to)
}

fn collect<'f>(form: &'f LimitForm, out: &mut Vec<&'f Bound>) {
    match form {
        LimitForm::NotSpecified => {}
        LimitForm::AtLeast { bound, .. } | LimitForm::AtMost { bound, .. } => out.push(bound),
        LimitForm::Range { low, high, .. } => out.extend([low, high]),
        LimitForm::PlusMinus { nominal, tolerance } => {
            out.push(nominal);
            if let Tolerance::Amount(bound) = tolerance {
                out.push(bound);
            }
        }
        LimitForm::Asymmetric { nominal, .. } => out.push(nominal),
        LimitForm::Graded { standard, service } => {
            collect(&standard.form, out);
            collect(&service.form, out);
        }
        LimitForm::Curve { points, .. } => {
            points.iter().for_each(|(_, limit)| collect(&limit.form, out));
        }
        LimitForm::Variants { arms, otherwise } => {
            arms.iter().for_each(|(_, limit)| collect(&limit.form, out));
            if let Some(limit) = otherwise {
                collect(&limit.form, out);
            }
        }
        LimitForm::Joined { left, right, .. } => {
            collect(&left.form, out);
            collect(&right.form, out);
        }
    }
}

/// A figure that speaks for both ends stands for the whole stretch.
fn across(bound: &Bound, whole: Span) -> Bound {
    match bound {
        Bound::Figure(figure) => Bound::Figure(Figure { span: whole, ..figure.clone() }),
        other => other.clone(),
    }
}

/// A constant end's value.
pub(super) fn known(num: &Num) -> Value {
    num.constant().unwrap_or(Value::rounded(f64::NAN))
}
