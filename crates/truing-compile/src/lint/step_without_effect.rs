//! `step-without-effect`: a step whose outcome can change nothing.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("step-without-effect"),
    severity: Severity::Warning,
    title: "A step whose outcome can change nothing",
    explain: "\
A `take` is of use where a condition behind it asks about what was read, where a suspect behind it acts on a check \
that reads it, where another check that is used has to wait for it, or where it makes a state unnecessary. Else the \
technician measures for nothing. An `if` is of use where its two ways differ in what is done.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
procedure flat "Battery goes flat" {
    take charged
    advise "Charge the battery."
}
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
procedure flat "Battery goes flat" {
    take charged
    if charged fails { advise "Charge the battery." }
}
"#,
};

pub(crate) fn finding(span: Span, name: &str) -> Diagnostic {
    let message = format!("nothing behind this depends on `{name}`");
    Diagnostic::warning(DOC.slug, span, message)
        .mend("ask about it in a condition, name a fault that acts on it, or leave it out")
}

pub(crate) fn same_ways(condition: Span) -> Diagnostic {
    let message = "whether this holds or not, the same is done";
    Diagnostic::warning(DOC.slug, condition, message)
        .mend("say what is different, or leave the condition out")
}
