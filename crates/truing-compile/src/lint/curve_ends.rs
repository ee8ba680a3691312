//! `curve-ends`: points of a curve that do not go together.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("curve-ends"),
    severity: Severity::Error,
    title: "Points of a curve that do not go together",
    explain: "\
Every point of a curve has the same ends, for between two points each end lies on a line: a point `17 .. 23 V` and a point \
`min 60 V` leave the upper end in the air. A line in the logarithm needs ends above zero. A point is one band, \
never a curve or a set of variants.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading speed "Speed" : rotational_speed
reading ac "Output" : ac_voltage { with speed }
limit output : ac_voltage = by rotational_speed { 1200 rpm : 17 .. 23 V  5000 rpm : min 60 V } cite sheet
check good "Output" : ac within output at speed
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading speed "Speed" : rotational_speed
reading ac "Output" : ac_voltage { with speed }
limit output : ac_voltage = by rotational_speed { 1200 rpm : min 17 V  5000 rpm : min 60 V } cite sheet
check good "Output" : ac within output at speed
"#,
};

pub(crate) fn uneven(span: Span, first: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "this point has other ends than the first one")
        .here("between the points an end would hang in the air")
        .label(first, "the first point has these")
}

pub(crate) fn not_positive(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a line in the logarithm needs ends above zero")
        .mend("leave `log` out, or give positive ends")
}

pub(crate) fn no_band(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "one band is wanted here")
        .here("this is not a single interval")
}
