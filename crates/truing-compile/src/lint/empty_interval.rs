//! `empty-interval`: an interval with nothing in it.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("empty-interval"),
    severity: Severity::Error,
    title: "An interval with nothing in it",
    explain: "\
No value keeps this limit: both ends are the same and one of them is excluded, or two limits are joined that no value keeps.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = above 12.4 V .. below 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = above 12.4 V .. below 12.9 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "no value lies in this interval")
}
