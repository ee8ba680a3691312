//! `typical-outside`: a typical value outside its own limit.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("typical-outside"),
    severity: Severity::Warning,
    title: "A typical value outside its own limit",
    explain: "\
What most machines show lies inside the limit that they must keep. One of the two figures is a slip.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.0 V typical 14.2 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.0 V typical 12.7 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(span: Span, limit: Span) -> Diagnostic {
    Diagnostic::warning(DOC.slug, span, "the typical value lies outside the limit").label(limit, "the limit")
}
