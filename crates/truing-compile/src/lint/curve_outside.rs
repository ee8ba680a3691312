//! `curve-outside`: a curve asked outside its points.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("curve-outside"),
    severity: Severity::Error,
    title: "A curve asked outside its points",
    explain: "\
Outside its points a curve decides nothing: nobody printed what holds there. Asked at a fixed value outside them, \
the check could never be judged.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading ac "Output" : ac_voltage
limit output : ac_voltage = by rotational_speed { 1200 rpm : 17 .. 23 V  5000 rpm : 60 .. 75 V } cite sheet
check good "Output" : ac within output at 6000 rpm
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading ac "Output" : ac_voltage
limit output : ac_voltage = by rotational_speed { 1200 rpm : 17 .. 23 V  5000 rpm : 60 .. 75 V } cite sheet
check good "Output" : ac within output at 5000 rpm
"#,
};

pub(crate) fn finding(span: Span, curve: Span, printed: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "this lies outside the points of the curve")
        .here("nothing is decided here")
        .label(curve, format!("the points: {printed}"))
}
