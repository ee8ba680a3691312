//! `graded-not-nested`: a service limit inside the standard.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("graded-not-nested"),
    severity: Severity::Error,
    title: "A service limit inside the standard",
    explain: "\
A part that is good as new is still serviceable: the service limit holds everything that the standard holds, and more.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading gap "Ring gap" : length
limit ring_gap : length = standard 0.15 .. 0.30 mm, service max 0.25 mm cite sheet
check ring "Ring gap" : gap within ring_gap
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading gap "Ring gap" : length
limit ring_gap : length = standard 0.15 .. 0.30 mm, service max 0.60 mm cite sheet
check ring "Ring gap" : gap within ring_gap
"#,
};

pub(crate) fn finding(service: Span, standard: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, service, "the service limit leaves out what the standard allows")
        .here("a new part could lie outside this")
        .label(standard, "the standard for new parts")
        .mend("the service limit is the wider of the two")
}
