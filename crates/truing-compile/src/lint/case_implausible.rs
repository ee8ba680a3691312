//! `case-implausible`: a case with a reading that nobody would believe.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("case-implausible"),
    severity: Severity::Warning,
    title: "A case with a reading that nobody would believe",
    explain: "\
The reading lies outside the plausible band of its quantity, so everything that asks for it is blocked, \
and the case tests nothing of its limit. A slip of a factor of 1000 is the usual reason. A case that means to show \
the blocking expects `blocked`.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage { plausible 0 .. 18 V }
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
case full "A full battery" { rest = 127.1 V  expect charged within }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage { plausible 0 .. 18 V }
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
case full "A full battery" { rest = 12.71 V  expect charged within }
"#,
};

pub(crate) fn finding(span: Span, label: &str, printed: &str) -> Diagnostic {
    let message = format!("this lies outside the plausible band of `{label}`");
    Diagnostic::warning(DOC.slug, span, message)
        .here(format!("plausible is {printed}"))
        .note("a reading outside its plausible band is doubted: every check that asks for it is blocked")
        .mend("mend the figure, or expect `blocked`")
}
