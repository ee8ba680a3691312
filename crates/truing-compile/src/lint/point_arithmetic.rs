//! `point-arithmetic`: arithmetic with points of a scale.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_units::Refusal;

use crate::context::Context;
use super::{Said, both};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("point-arithmetic"),
    severity: Severity::Error,
    title: "Arithmetic with points of a scale",
    explain: "\
A temperature is a point of a scale whose zero is a convention, and so is a gauge pressure. Two points cannot be added, and \
a point cannot be doubled or halved: 20 °C is not twice 10 °C. Their difference is a quantity like any other; the mean of points \
is `mean(…)`, and `thermodynamic(T)` gives kelvins, which can be multiplied.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
reading inlet "Inlet" : temperature
reading outlet "Outlet" : temperature
check cool "Mean temperature" : (inlet + outlet) / 2 <= 95 degC
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
reading inlet "Inlet" : temperature
reading outlet "Outlet" : temperature
check cool "Mean temperature" : mean(inlet, outlet) <= 95 degC
"#,
};

pub(crate) fn finding(cx: &Context<'_>, whole: Span, left: &Said, right: &Said, refusal: &Refusal) -> Diagnostic {
    let (message, convert) = match refusal {
        Refusal::PointPlusPoint { .. } => ("two points of a scale cannot be added", None),
        Refusal::DifferenceMinusPoint { .. } => {
            ("a point of a scale cannot be taken from a difference", None)
        }
        Refusal::ScaledPoint { convert, .. } => {
            ("a point of a scale cannot be multiplied, divided or turned round", *convert)
        }
        Refusal::PointProduct { convert, .. } => {
            ("a point of a scale cannot stand in a product or a quotient", *convert)
        }
        Refusal::PointPower { convert, .. } => {
            ("a point of a scale cannot be raised to a power", *convert)
        }
        _ => ("this cannot be done with a point of a scale", None),
    };
    let finding = both(cx, Diagnostic::error(DOC.slug, whole, message), whole, left, right);
    match (refusal, convert) {
        (Refusal::PointPlusPoint { .. }, _) => {
            let finding = finding.mend("their mean is `mean(…)`; their difference is `a - b`");
            match warmer(cx, left, right) {
                Some(sum) => finding.note(format!(
                    "a point moved by a difference is another point: `{sum}` adds a difference"
                )),
                None => finding,
            }
        }
        (_, Some(function)) => {
            finding.mend(format!("`{function}(…)` makes of it what can be multiplied"))
        }
        _ => finding.note("the zero of its scale is a convention"),
    }
}

/// The sum of two temperatures as it was probably meant, `20 degC + 10 K`.
fn warmer(cx: &Context<'_>, left: &Said, right: &Said) -> Option<String> {
    let ((first, scale), (second, unit)) = (left.literal(cx)?, right.literal(cx)?);
    if scale.offset().is_zero() {
        return None;
    }
    let degrees = match unit.symbol() {
        "degC" | "K" => "K",
        "degF" | "degR" => "degR",
        _ => return None,
    };
    Some(format!("{first} {scale} + {second} {degrees}"))
}

/// A tolerance in per cent of a temperature.
pub(crate) fn percent(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a share of a temperature means nothing: its zero is a convention")
        .mend("give the tolerance in degrees: `90 ± 5 degC`")
}
