//! A limit printed in two units: both must agree within the rounding that their digits imply.

use truing_syntax::Span;
use truing_syntax::tree::{Bound, Figure, LimitExpr, LimitForm, Tolerance, UnitText};
use truing_units::{Decimal, Measure, Place as UnitPlace, Ty, Unit, convert};

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
        if agree(&first, &second, at) {
            return Some(Ok(()));
        }
        disagreement(&first, other.figure, &second.unit, at).map(Err)
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

/// What should be printed: as many digits as the first printing has, no fewer than the second has
/// decimals, one more behind a leading 1, and more until the two agree.
fn disagreement(
    first: &Measure,
    other: &Figure,
    unit: &Unit,
    at: UnitPlace,
) -> Option<Disagreement> {
    let converted = convert(first, unit, at).ok()?;
    let deserved = Decimal::parse(&converted.text).ok()?;
    let leading_one = deserved.coefficient().unsigned_abs().to_string().starts_with('1');
    let finest = deserved.step().to_f64().log10().min(other.number.step().to_f64().log10());
    let start = finest.round() as i32 - i32::from(leading_one && finest < 0.0);
    let (mut text, mut figure) = (converted.text.clone(), deserved);
    for place in (start - MORE_DIGITS..=start).rev() {
        text = truing_units::figure_text(converted.value, 10_f64.powi(place));
        figure = Decimal::parse(&text).ok()?;
        if agree(first, &Measure { figure, unit: unit.clone() }, at) {
            break;
        }
    }
    let digits = figure.coefficient().unsigned_abs().to_string().len();
    let exact = truing_units::significant_text(converted.value, digits as u32 + 1);
    let symbol = other.unit.as_ref().map_or(String::new(), |unit| format!(" {}", unit.node));
    Some(Disagreement {
        printed: first.to_string(),
        exact: format!("{exact} {unit}"),
        should: format!("{text} {unit}"),
        edit: (other.span, format!("{text}{symbol}")),
    })
}

/// How many decimals are tried beyond those that the first printing deserves.
const MORE_DIGITS: i32 = 3;

/// Whether two printings are one value within the rounding that their digits imply.
fn agree(first: &Measure, second: &Measure, at: UnitPlace) -> bool {
    let apart = (first.coherent(at) - second.coherent(at)).abs();
    // The ends of the two roundings may touch: a hair for the doubles.
    apart <= (first.half_step() + second.half_step()) * (1.0 + 1e-9)
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
