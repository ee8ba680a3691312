//! `learned-elsewhere`: what was learned of another spec, or of an effect that a fault has not.

use truing_syntax::tree::Name;
use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("learned-elsewhere"),
    severity: Severity::Error,
    title: "What was learned elsewhere",
    explain: "\
Counts of jobs belong to the spec that the jobs were judged by: `learned NAME` names it. Another machine fails in another \
way, though its faults may have the same names. A line `shows FAULT CHECK BAND` counts how often the fault does what the \
spec says that it does; where the spec says no such thing (any more), there is nothing to weigh anew. `truing learn` \
writes the counts of the spec and the edition at hand.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 100  makes charged low }
learned another { cause worn 3 }
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

pub(crate) fn spec(of: &Name, spec: &Name) -> Diagnostic {
    let message = format!("this was learned of `{}`, and the spec is `{}`", of.node, spec.node);
    Diagnostic::error(DOC.slug, of.span, message)
        .label(spec.span, "the spec at hand")
        .mend("learn anew from jobs of this spec: `truing learn SPEC JOBS`")
}

pub(crate) fn effect(span: Span, fault: &str) -> Diagnostic {
    let message = format!("the spec does not say that `{fault}` does this");
    Diagnostic::error(DOC.slug, span, message)
        .mend("take the line out, or learn anew: `truing learn SPEC JOBS`")
}
