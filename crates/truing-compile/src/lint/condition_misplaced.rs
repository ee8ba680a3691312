//! `condition-misplaced`: a condition where it cannot be kept.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("condition-misplaced"),
    severity: Severity::Error,
    title: "A condition where it cannot be kept",
    explain: "\
`at READING BAND` says which quantity must lie where; `at 20 degC` names the value that a resistance is referred to. \
A band without a reading leaves open what must lie in it. The arms of a limit by variants carry the same conditions or \
none, since the check is blocked by them before the arm is chosen. A condition on a single value is met by no reading that \
has a doubt: give it a band.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V at 10 .. 30 degC cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
reading ambient "Ambient temperature" : temperature
limit rest_voltage : dc_voltage = min 12.4 V at ambient 10 .. 30 degC cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn no_subject(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "what must lie in this band?")
        .here("no reading is named")
        .mend("name the reading before the band: `at ambient 10 .. 30 degC`")
}

pub(crate) fn no_kind(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a reference value is of a kind: a temperature, a speed")
        .mend("name the reading that must lie there")
}

pub(crate) fn in_arm(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "this condition does not stand behind every arm or point")
        .mend("put the conditions behind the whole limit, or the same ones behind every arm")
}

pub(crate) fn exactly(span: Span) -> Diagnostic {
    Diagnostic::warning(DOC.slug, span, "a condition on a single value is met by no reading with a doubt")
        .mend("give it a band: `1400 ± 100 rpm`")
}
