//! `accuracy-nought`: an instrument without error.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("accuracy-nought"),
    severity: Severity::Warning,
    title: "An instrument without error",
    explain: "\
An accuracy of nought says that the instrument does not err at all, and leaves the last digit as the only doubt of a reading. That is allowed, \
for trying a spec out. No instrument is like that: write what its maker states, or leave the accuracy out, and nothing is decided by it.",
    wrong: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 60 V  step 0.01 V  accuracy 0 %
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
    Diagnostic::warning(DOC.slug, span, "this says that the instrument does not err at all")
        .mend("write the maker's limit of error")
}
