//! A limit printed in two units: both must agree within the rounding that their digits imply.

use truing_syntax::Span;
use truing_syntax::tree::{Bound, Figure, LimitExpr, LimitForm, Tolerance, UnitText};
use truing_units::{Measure, Place as UnitPlace, Ty, Unit, convert};

use super::ends::{bound_unit, tolerance_place};
use crate::context::Context;
use crate::lint;
use crate::lint::printed_units_disagree::Figure as Disagreement;
use crate::typing::{Allowed, Place, Typer};

/// A figure of a limit with the unit it is printed in: its own, or the other end's.
struct Printed<'l> {
    figure: &'l Figure,
    unit: Option<&'l UnitText>,
    tolerance: bool,
}

impl Context<'_> {
    /// Checks the second printings of a limit against it.
    pub(super) fn also_printed(&self, value: &LimitExpr, place: &Place) {
        for also in &value.also_printed {
            self.second_printing(value, also, place);
        }
    }

    fn second_printing(&self, first: &LimitExpr, second: &LimitExpr, place: &Place) {
        let (Some(one), Some(other)) = (figures(&first.form), figures(&second.form)) else {
            // A limit of constants has no digits that could be held against others.
            return;
        };
        if one.len() != other.len() || shape(&first.form) != shape(&second.form) {
            self.findings.push(lint::printed_units_disagree::other_form(second.span, first.span));
            return;
        }
        let mut disagree = Vec::new();
        for (one, other) in one.iter().zip(&other) {
            match self.agree(one, other, place, second.span) {
                Some(Ok(())) => {}
                Some(Err(figure)) => disagree.push(figure),
                None => return,
            }
        }
        if !disagree.is_empty() {
            let finding =
                lint::printed_units_disagree::finding(second.span, form_span(first), &disagree);
            self.findings.push(finding);
        }
    }

    /// `None` where a unit is wrong, which has its finding.
    fn agree(
        &self,
        one: &Printed<'_>,
        other: &Printed<'_>,
        place: &Place,
        whole: Span,
    ) -> Option<Result<(), Disagreement>> {
        let place = match one.tolerance {
            true => tolerance_place(self, place),
            false => place.clone(),
        };
        let at = self.catalogue.place(place.ty);
        let one_unit = self.catalogue.unit(&one.unit?.node).ok()?;
        let other_unit = self.second_unit(other, &place, whole)?;
        let first = Measure { figure: one.figure.number, unit: one_unit };
        let second = Measure { figure: other.figure.number, unit: other_unit };
        let apart = (first.coherent(at) - second.coherent(at)).abs();
        // The ends of the two roundings may touch: a hair for the doubles.
        let rounding = (first.half_step() + second.half_step()) * (1.0 + 1e-9);
        if apart <= rounding {
            return Some(Ok(()));
        }
        Some(Err(disagreement(&first, &second, at)))
    }

    /// The unit of the second printing, which must fit the limit's kind.
    fn second_unit(&self, other: &Printed<'_>, place: &Place, whole: Span) -> Option<Unit> {
        let Some(text) = other.unit else {
            self.findings.push(lint::unit_missing::in_place(self, other.figure.span, place));
            return None;
        };
        let unit = self.unit(text)?;
        let fits = match place.ty {
            Ty::Kind(kind) => unit.fits(kind, &self.catalogue),
            Ty::Plain(dimension) => unit.dimension() == dimension,
        };
        if !fits {
            // The unit serves both ends: the finding is about the whole printing.
            let figure = Figure { unit: Some(text.clone()), span: whole, ..other.figure.clone() };
            Typer::new(self, None, Allowed::Constants).literal(&figure, Some(place));
            return None;
        }
        Some(unit)
    }
}

fn disagreement(first: &Measure, second: &Measure, at: UnitPlace) -> Disagreement {
    let (exact, should) = match convert(first, &second.unit, at) {
        Ok(converted) => {
            let long = truing_units::significant_text(converted.value, 8);
            let long = long.trim_end_matches('0').trim_end_matches('.').to_owned();
            let step = second.figure.step().to_f64();
            let text = truing_units::figure_text(converted.value, step);
            (format!("{long} {}", second.unit), format!("{text} {}", second.unit))
        }
        Err(error) => (error.to_string(), String::new()),
    };
    Disagreement { printed: first.to_string(), exact, should }
}

/// The figures of a form in order; `None` where it has other ends than figures.
fn figures(form: &LimitForm) -> Option<Vec<Printed<'_>>> {
    fn end<'l>(
        bound: &'l Bound,
        lent: Option<&'l UnitText>,
        tolerance: bool,
    ) -> Option<Printed<'l>> {
        match bound {
            Bound::Figure(figure) => {
                Some(Printed { figure, unit: figure.unit.as_ref().or(lent), tolerance })
            }
            Bound::Name(_) | Bound::Expr(_) => None,
        }
    }
    fn amount<'l>(tolerance: &'l Tolerance, lent: Option<&'l UnitText>) -> Option<Printed<'l>> {
        match tolerance {
            Tolerance::Amount(bound) => end(bound, lent, true),
            Tolerance::Percent(figure) => {
                Some(Printed { figure, unit: figure.unit.as_ref(), tolerance: true })
            }
        }
    }
    match form {
        LimitForm::AtLeast { bound, .. } | LimitForm::AtMost { bound, .. } => {
            Some(vec![end(bound, None, false)?])
        }
        LimitForm::Range { low, high, .. } => {
            Some(vec![end(low, bound_unit(high), false)?, end(high, bound_unit(low), false)?])
        }
        LimitForm::PlusMinus { nominal, tolerance } => {
            let lent = match tolerance {
                Tolerance::Amount(bound) => bound_unit(bound),
                Tolerance::Percent(_) => None,
            };
            Some(vec![end(nominal, lent, false)?, amount(tolerance, bound_unit(nominal))?])
        }
        LimitForm::Asymmetric { nominal, plus, minus } => {
            let lent = bound_unit(nominal);
            Some(vec![end(nominal, None, false)?, amount(plus, lent)?, amount(minus, lent)?])
        }
        _ => None,
    }
}

/// Which form it is, with the ends that are excluded.
fn shape(form: &LimitForm) -> (u8, bool, bool) {
    match form {
        LimitForm::AtLeast { exclusive, .. } => (0, *exclusive, false),
        LimitForm::AtMost { exclusive, .. } => (1, false, *exclusive),
        LimitForm::Range { low_exclusive, high_exclusive, .. } => {
            (2, *low_exclusive, *high_exclusive)
        }
        LimitForm::PlusMinus { .. } => (3, false, false),
        LimitForm::Asymmetric { .. } => (4, false, false),
        _ => (5, false, false),
    }
}

fn form_span(limit: &LimitExpr) -> Span {
    let end = limit.also_printed.first().map_or(limit.span.end, |also| also.span.start);
    Span { end: end.min(limit.span.end), ..limit.span }
}
