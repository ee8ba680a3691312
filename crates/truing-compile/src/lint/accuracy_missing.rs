//! `accuracy-missing`: a range without an accuracy.

use truing_syntax::tree::KindName;
use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("accuracy-missing"),
    severity: Severity::Warning,
    title: "A range without an accuracy",
    explain: "\
Where the maker states no limit of error for a range, what is read on it decides nothing under a decision rule that asks for the uncertainty: \
the check is then not judged, and says so. Where the maker states one, write it; where it is a guess of the shop, write the guess and say so in a `note`.",
    wrong: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 6 V  step 0.001 V  accuracy 0.5 % + 3 counts
        range 60 V  step 0.01 V
    }
}
"#,
    right: r#"library bench "Bench meters"
instrument meter_a "Meter A" {
    measures dc_voltage {
        range 6 V  step 0.001 V  accuracy 0.5 % + 3 counts
        range 60 V  step 0.01 V  accuracy 0.5 % + 3 counts
    }
}
"#,
};

pub(crate) fn finding(span: Span) -> Diagnostic {
    Diagnostic::warning(DOC.slug, span, "this range has no accuracy")
        .mend("write the maker's limit of error: `accuracy 0.5 % + 3 counts`")
}

pub(crate) fn no_range(kind: &KindName) -> Diagnostic {
    let message = format!("`{}` is measured without a range, and so without an accuracy", kind.node);
    Diagnostic::warning(DOC.slug, kind.span, message)
        .mend("write its ranges: `range 6 V step 0.001 V accuracy 0.5 % + 3 counts`")
}
