//! `kind-mismatch`: two kinds that share a dimension and are not the same.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_units::Ty;

use super::{Said, article, both, type_words};
use crate::context::Context;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("kind-mismatch"),
    severity: Severity::Error,
    title: "Two kinds that share a dimension and are not the same",
    explain: "\
A kind of quantity is what a number is *of*. Torque and energy share a dimension, and so do dc, ac and peak voltage, gauge and \
absolute pressure, a rotational speed and a frequency; none of them can be compared with the other. Where one follows from the \
other there is a function with a name, such as `rms_of_sine(peak)`.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading peak "Pick-up, peak" : peak_voltage
limit pick_up : ac_voltage = min 0.5 V cite sheet
check good "Pick-up" : peak within pick_up
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading peak "Pick-up, peak" : peak_voltage
limit pick_up : ac_voltage = min 0.5 V cite sheet
check good "Pick-up" : rms_of_sine(peak) within pick_up
"#,
};

pub(crate) fn finding(cx: &Context<'_>, whole: Span, left: &Said, right: &Said, convert: Option<&str>) -> Diagnostic {
    let words = |said: &Said| said.ty.map(|ty| article(&ty.words(&cx.catalogue)));
    let message = match words(left).zip(words(right)) {
        Some((one, other)) if one != other => format!("{one} cannot stand for {other}"),
        _ => "two kinds of quantity that cannot be compared".to_owned(),
    };
    let finding = both(cx, Diagnostic::error(DOC.slug, whole, message), whole, left, right);
    match convert {
        Some(function) => finding.mend(format!("`{function}(…)` makes the one of the other")),
        None => finding.note("they share a dimension, and are not the same kind of quantity"),
    }
}

/// A plain number where the kind must be said.
pub(crate) fn needs_kind(cx: &Context<'_>, whole: Span, left: &Said, right: &Said, wanted: Ty) -> Diagnostic {
    let message = format!("a plain result does not say that it is {}", type_words(cx, wanted));
    both(cx, Diagnostic::error(DOC.slug, whole, message), whole, left, right)
        .note("a bare product or quotient leaves open what it counts: turns or radians, a point or a difference")
}
