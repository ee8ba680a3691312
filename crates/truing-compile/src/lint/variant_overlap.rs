//! `variant-overlap`: a machine that two arms of a limit cover.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("variant-overlap"),
    severity: Severity::Error,
    title: "A machine that two arms of a limit cover",
    explain: "\
One machine has one limit. The finding names a machine for which two arms hold.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
property serial "Serial number" : count
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage =
    when serial <= 4100 : min 12.4 V
    when serial >= 4100 : min 12.6 V
    cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
property serial "Serial number" : count
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage =
    when serial <= 4100 : min 12.4 V
    when serial > 4100  : min 12.6 V
    cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(span: Span, first: Span, machine: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "two arms hold for one machine")
        .here(format!("holds for a machine with {machine}"))
        .label(first, "and so does this")
}
