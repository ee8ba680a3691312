//! `ranges-overlap`: two ranges of which either could be meant.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("ranges-overlap"),
    severity: Severity::Error,
    title: "Two ranges of which either could be meant",
    explain: "\
What a reading is worth depends on its range. Two lines with the same top can both be there only for bands of frequencies that do not overlap, \
`band 45 .. 500 Hz` and `band 500 .. 1000 Hz`; an end may be shared, and the line that stands for the lower band counts there. A line without a `band`, in a function \
without one, is for every frequency.",
    wrong: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures ac_voltage {
        range 60 V  step 0.01 V  accuracy 1 % + 3 counts  band 45 .. 500 Hz
        range 60 V  step 0.01 V  accuracy 2 % + 3 counts  band 400 .. 1000 Hz
    }
}
"#,
    right: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures ac_voltage {
        range 60 V  step 0.01 V  accuracy 1 % + 3 counts  band 45 .. 500 Hz
        range 60 V  step 0.01 V  accuracy 2 % + 3 counts  band 500 .. 1000 Hz
    }
}
"#,
};

pub(crate) fn finding(span: Span, first: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a range with this top stands here already")
        .here("this range again")
        .label(first, "the first of the two")
        .mend("keep one, or give each a `band` of frequencies that the other has not")
}
