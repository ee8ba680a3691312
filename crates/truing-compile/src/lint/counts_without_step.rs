//! `counts-without-step`: counts of a range that says no step.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("counts-without-step"),
    severity: Severity::Error,
    title: "Counts of a range that says no step",
    explain: "\
A count is one step of the last digit on the range in use: `3 counts` are 0.03 V where the display goes by 0.01 V. Without `step` nobody knows \
how much they are. An instrument without digits has no counts: its accuracy is an amount, or a part of its span.",
    wrong: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 60 V  accuracy 0.5 % + 3 counts
    }
}
"#,
    right: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 60 V  step 0.01 V  accuracy 0.5 % + 3 counts
    }
}
"#,
};

pub(crate) fn finding(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a count is one step of the last digit, and this range has no step")
        .mend("write the step of the display: `step 0.01 V`")
}

/// Of what capture adds on every range.
pub(crate) fn of_capture(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a count is one step of the last digit, and one of the ranges has no step")
        .mend("write the step of the display on each range: `step 0.01 V`")
}
