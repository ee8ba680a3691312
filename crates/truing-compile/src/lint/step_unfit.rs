//! `step-unfit`: a step that no display has.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("step-unfit"),
    severity: Severity::Error,
    title: "A step that no display has",
    explain: "\
The step is what the last digit of the display goes by on this range: more than nought, and less than the range. One that is coarser than its range has \
lost a prefix: `step 0.1 V` on `range 60 mV`.",
    wrong: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 60 mV  step 0.1 V  accuracy 0.5 %
    }
}
"#,
    right: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 60 mV  step 0.1 mV  accuracy 0.5 %
    }
}
"#,
};

pub(crate) fn not_positive(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a step is more than nought")
        .mend("leave it out where the instrument has no digits")
}

pub(crate) fn coarse(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "this step is coarser than the whole range")
        .mend("look at its unit: a prefix may be missing")
}
