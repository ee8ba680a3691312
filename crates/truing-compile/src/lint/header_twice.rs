//! `header-twice`: a file with two headers.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("header-twice"),
    severity: Severity::Error,
    title: "A file with two headers",
    explain: "\
A file is one spec or one library. Put the second into a file of its own.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
spec demo_2 "Second demonstration"
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(span: Span, first: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a file has one header")
        .here("a second header")
        .label(first, "the first one")
        .mend("put it into a file of its own")
}
