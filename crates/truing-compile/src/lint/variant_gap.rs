//! `variant-gap`: a machine that no arm of a limit covers.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("variant-gap"),
    severity: Severity::Error,
    title: "A machine that no arm of a limit covers",
    explain: "\
Every machine that the properties allow must find its limit. The finding names one that does not. Close the gap, or say `otherwise`; where \
the maker gives none for the rest, `otherwise : not specified`.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
property serial "Serial number" : count
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage =
    when serial < 4100 : min 12.4 V
    when serial > 4100 : min 12.6 V
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

pub(crate) fn finding(span: Span, machine: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "not every machine finds its limit here")
        .here(format!("no arm holds for a machine with {machine}"))
        .mend("close the gap, or add `otherwise : …`")
}
