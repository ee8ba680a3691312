//! `upside-down-interval`: an interval whose lower end lies above its upper.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("upside-down-interval"),
    severity: Severity::Error,
    title: "An interval whose lower end lies above its upper",
    explain: "\
The lower end stands first. The usual reasons: the ends changed places, or a prefix (`k`, `m`) stands at one of them alone. A tolerance is never \
negative; its sign is in the `±`.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 13.0 .. 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.0 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "the lower end lies above the upper one")
        .mend("change the ends, or look at their units: a prefix may stand at one of them alone")
}

pub(crate) fn tolerance(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a tolerance is not negative")
}
