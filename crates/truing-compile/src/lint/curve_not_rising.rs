//! `curve-not-rising`: points of a curve that do not rise.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("curve-not-rising"),
    severity: Severity::Error,
    title: "Points of a curve that do not rise",
    explain: "\
The points stand in rising order, each once, two at least: between neighbours the limit is interpolated. A point out of order \
is most often a missing digit.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading speed "Speed" : rotational_speed
reading ac "Output" : ac_voltage { with speed }
limit output : ac_voltage = by rotational_speed { 5000 rpm : 60 .. 75 V  1200 rpm : 17 .. 23 V } cite sheet
check good "Output" : ac within output at speed
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading speed "Speed" : rotational_speed
reading ac "Output" : ac_voltage { with speed }
limit output : ac_voltage = by rotational_speed { 1200 rpm : 17 .. 23 V  5000 rpm : 60 .. 75 V } cite sheet
check good "Output" : ac within output at speed
"#,
};

pub(crate) fn finding(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "the points of a curve rise, and this one does not")
        .here("not above the point before it")
        .mend("put the points in rising order, each once")
}

pub(crate) fn too_few(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a curve has two points or more")
        .mend("add a point, or write the limit without `by`")
}
