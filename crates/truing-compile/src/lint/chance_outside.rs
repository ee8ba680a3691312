//! `chance-outside`: a chance or odds that cannot be.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("chance-outside"),
    severity: Severity::Error,
    title: "A chance or odds that cannot be",
    explain: "\
A chance lies above 0 % and not above 100 %; odds `8 of 1000` count some among more (`odds none` and `odds other` of a spec \
may be nought); `leak` and `slip` may be nought and \
lie below 100 %; a decision by probability \
asks for more than 50 % and less than 100 % (at 50 % it would be the reading alone, which is `decide simple`).",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 1000  makes charged low 120 % }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 1000  makes charged low 95 % }
"#,
};

pub(crate) fn chance(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a chance lies above 0 % and not above 100 %")
}

pub(crate) fn odds(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "odds count some among more: `8 of 1000`")
        .here("not above nought, or not below the whole")
}

/// `odds none` and `odds other`
pub(crate) fn beside(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "`odds none` and `odds other` count nought or more among some")
        .here("below nought, among none, or too many to be meant")
}

/// `leak` and `slip`: nought is allowed, certainty is not.
pub(crate) fn trust(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "`leak` and `slip` are nought or more, and below 100 %")
}

pub(crate) fn decision(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a decision asks for a probability above 50 % and below 100 %")
        .mend("write `decide at 95 %`, or `decide simple` for the reading alone")
}

pub(crate) fn guard(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a guard band is a number of standard uncertainties, nought or more")
        .mend("write `decide guarded 2`")
}
