//! `ranges-not-rising`: ranges that do not rise.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("ranges-not-rising"),
    severity: Severity::Error,
    title: "Ranges that do not rise",
    explain: "\
The ranges of a function stand from the lowest to the highest, so that a range with a slip in its figure or its prefix shows. \
Ranges for another band of frequencies begin anew.",
    wrong: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 600 V   step 0.1 V    accuracy 0.5 % + 3 counts
        range 60 V    step 0.01 V   accuracy 0.5 % + 3 counts
    }
}
"#,
    right: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 60 V    step 0.01 V   accuracy 0.5 % + 3 counts
        range 600 V   step 0.1 V    accuracy 0.5 % + 3 counts
    }
}
"#,
};

pub(crate) fn finding(span: Span, before: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "this range ends below the one before it")
        .label(before, "the one before it")
        .mend("begin with the lowest range, or look at the units: a prefix may have slipped")
}
