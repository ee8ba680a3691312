//! `figure-too-low`: a figure that cannot be that low.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("figure-too-low"),
    severity: Severity::Error,
    title: "A figure that cannot be that low",
    explain: "\
An accuracy, a technique, a burden, what leads add and the resistance of a circuit are amounts to either side, or amounts in ohms: none lies below nought. \
The resistance of an input, a test voltage, the top of a range without a bottom, the time that a calibration holds and the number of an alternator's poles lie above it.",
    wrong: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 60 V  step 0.01 V  accuracy -0.5 %
    }
}
"#,
    right: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 60 V  step 0.01 V  accuracy 0.5 %
    }
}
"#,
};

pub(crate) fn negative(span: Span, what: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, format!("{what} is nought or more")).here("below nought")
}

pub(crate) fn not_positive(span: Span, what: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, format!("{what} lies above nought"))
}
