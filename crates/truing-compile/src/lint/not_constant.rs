//! `not-constant`: a reading where a fixed figure is wanted.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::Name;

use crate::names::Sort;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("not-constant"),
    severity: Severity::Error,
    title: "A reading where a fixed figure is wanted",
    explain: "\
The ends of a limit, a constant and an exponent are fixed when the spec is checked: they are made of figures and constants, never of \
what is measured. What depends on a reading is a `derived` quantity, and is compared in a check.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
reading clamp "Drop at the clamp" : dc_voltage
limit rest_voltage : dc_voltage = min (12.4 V - clamp) cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
reading clamp "Drop at the clamp" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest + clamp within rest_voltage
"#,
};

pub(crate) fn name(name: &Name, sort: Sort) -> Diagnostic {
    let message = format!("a fixed figure is wanted, and `{}` is {}", name.node, sort.words());
    Diagnostic::error(DOC.slug, name.span, message)
        .here("known only when the machine is measured")
        .mend("work it out in a `derived` quantity and compare that in the check")
}

pub(crate) fn finding(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a fixed figure is wanted here")
        .here("known only when the machine is measured")
}

pub(crate) fn exponent(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "an exponent is a whole number from -12 to 12")
        .mend("for a root write `sqrt(…)`")
}
