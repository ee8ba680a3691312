//! `step-unreachable`: a step that is never reached.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("step-unreachable"),
    severity: Severity::Error,
    title: "A step that is never reached",
    explain: "\
Nothing behind a `stop` is done, nor behind a branch of which every arm stops, nor inside one whose condition never holds.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
procedure flat "Battery goes flat" {
    take charged
    stop
    advise "Charge it."
}
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
procedure flat "Battery goes flat" {
    take charged
    if charged fails { advise "Charge it." }
    stop
}
"#,
};

pub(crate) fn finding(span: Span, stop: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "this step is never reached")
        .label(stop, "here the procedure has ended, whatever was found")
        .mend("put it before the stop, or leave it out")
}

pub(crate) fn never_holds(span: Span, condition: Span, value: bool) -> Diagnostic {
    let text = if value { "this always holds" } else { "this never holds" };
    Diagnostic::error(DOC.slug, span, "this step is never reached").label(condition, text)
}
