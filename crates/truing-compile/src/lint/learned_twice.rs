//! `learned-twice`: the same thing counted twice.

use truing_syntax::tree::Name;
use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("learned-twice"),
    severity: Severity::Error,
    title: "Something counted twice",
    explain: "\
What was learned stands in one place: a spec and the libraries that it uses have one `learned` item, and in it each fault, \
and each band of a check under a fault, has one line. Two counts may be of the same jobs; adding them up would count those \
twice. Give all jobs to one call of `truing learn`.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 100  makes charged low }
learned demo {
    cause worn 3
    cause worn 2
}
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 100  makes charged low }
learned demo { cause worn 3 }
"#,
};

pub(crate) fn block(again: &Name, first: &Name) -> Diagnostic {
    let message = "what was learned stands in another place already";
    Diagnostic::error(DOC.slug, again.span, message)
        .label(first.span, "here")
        .mend("keep one of the two; give all jobs to one call of `truing learn`")
}

pub(crate) fn line(again: Span, first: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, again, "this is counted twice")
        .here("again here")
        .label(first, "counted here already")
        .mend("keep one of the two")
}
