//! `no-value`: an expression without a value.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("no-value"),
    severity: Severity::Error,
    title: "An expression without a value",
    explain: "\
A division by nought, a root of a negative number, a logarithm of nought, a law outside its range, or more digits than exact arithmetic holds: \
something fixed that has no value, whatever is read.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
reading rest "Battery at rest" : dc_voltage
constant pole_pairs = 0
check charged "Battery is charged" : rest / pole_pairs >= 2 V
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
reading rest "Battery at rest" : dc_voltage
constant cells = 6
check charged "Battery is charged" : rest / cells >= 2 V
"#,
};

pub(crate) fn division_by_zero(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a division by nought").here("this is nought")
}

pub(crate) fn outside_domain(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "the function has no value here")
        .here("a root of a negative number, a logarithm of nought or below, or beyond all bounds")
}

/// A law of the trade at a constant that it does not cover.
pub(crate) fn outside_law(span: Span, outside: &impl std::fmt::Display) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "the function has no value here").here(outside.to_string())
}

pub(crate) fn no_triangle(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "the function has no value here")
        .here("three voltages above nought that make a triangle have one")
}

pub(crate) fn too_many_digits(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "this has more digits than can be kept exactly")
}
