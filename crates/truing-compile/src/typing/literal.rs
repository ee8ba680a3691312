//! Literals: a figure takes the kind of its place.

use truing_syntax::tree::{Figure, UnitText};
use truing_units::{Dimension, Exact, Kind, Measure, Nature, Ty, Unit};

use super::{Num, NumKind, Place, Typer, Value};
use crate::context::Context;
use crate::lint::{self, Said};

impl Typer<'_, '_> {
    /// A figure where `place` wants something; without a place the first kind of its unit.
    pub(crate) fn literal(&self, figure: &Figure, place: Option<&Place>) -> Option<Num> {
        let cx = self.cx;
        let Some(text) = &figure.unit else { return self.bare(figure, place) };
        let unit = cx.unit(text)?;
        let ty = match place.map(|place| place.ty) {
            Some(Ty::Kind(kind)) if unit.fits(kind, &cx.catalogue) => Ty::Kind(kind),
            Some(Ty::Plain(dimension)) if unit.dimension() == dimension => Ty::Plain(dimension),
            Some(_) if place.is_some_and(|place| place.soft) => own_ty(&unit),
            Some(_) => {
                let own = own_ty(&unit);
                let here = Said::new(figure.span, own, Some(&unit));
                let place = place?;
                cx.findings.push(lint::mismatch(cx, figure.span, &here, &place.said));
                return None;
            }
            None => own_ty(&unit),
        };
        measured(cx, figure, unit, ty)
    }

    fn bare(&self, figure: &Figure, place: Option<&Place>) -> Option<Num> {
        let cx = self.cx;
        let ty = match place {
            None => Ty::RATIO,
            Some(place) if takes_bare(cx, place.ty) => place.ty,
            Some(place) => {
                cx.findings.push(lint::unit_missing::in_place(cx, figure.span, place));
                return None;
            }
        };
        let rational = figure.number.to_rational();
        let value = match rational {
            Some(rational) => Value::exact(Exact::from(rational)),
            None => Value::rounded(figure.number.to_f64()),
        };
        Some(Num { kind: NumKind::Constant(value), ty, span: figure.span, shown: None })
    }
}

/// Whether a number without a unit may stand there.
pub(crate) fn takes_bare(cx: &Context<'_>, ty: Ty) -> bool {
    match ty {
        Ty::Plain(dimension) => dimension == Dimension::NONE,
        Ty::Kind(kind) => {
            let def = cx.catalogue.kind(kind);
            def.unit == "1" && !matches!(def.nature, Nature::Point { .. })
        }
    }
}

/// What a figure in this unit is when nothing says otherwise.
pub(crate) fn own_ty(unit: &Unit) -> Ty {
    unit.kinds().first().map_or(Ty::Plain(unit.dimension()), |kind| Ty::Kind(*kind))
}

/// The figure in its unit as a constant of this type.
pub(crate) fn measured(cx: &Context<'_>, figure: &Figure, unit: Unit, ty: Ty) -> Option<Num> {
    let measure = Measure { figure: figure.number, unit: unit.clone() };
    let place = cx.catalogue.place(ty);
    let value = Value { value: measure.coherent(place), exact: measure.exact(place) };
    Some(Num { kind: NumKind::Constant(value), ty, span: figure.span, shown: Some(unit) })
}

/// The unit that the second of two figures lends to the first, `13.6 .. 14.8 V`.
pub(crate) fn sibling_unit<'f>(
    figure: &'f Figure,
    sibling: Option<&'f UnitText>,
) -> Option<&'f UnitText> {
    figure.unit.as_ref().or(sibling)
}

/// The kind of which `ty` is the difference, or the difference of which it is the point.
pub(crate) fn nature(cx: &Context<'_>, ty: Ty) -> Option<(Kind, Nature)> {
    match ty {
        Ty::Kind(kind) => Some((kind, cx.catalogue.kind(kind).nature)),
        Ty::Plain(_) => None,
    }
}
