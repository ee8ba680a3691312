//! `effects-too-often`: a fault that upsets one check more often than always, or twice alike.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("effects-too-often"),
    severity: Severity::Error,
    title: "A fault that upsets one check more often than always",
    explain: "\
Where a fault is there, a check comes out in one way: `low` 60 % of the time and `high` 30 % leave 10 % in which it does \
not show. The chances of one check add up to 100 % at most (a `makes` without a chance is `always`, 97 %), and each way is said once; \
of a family, `makes CHECK` without an index counts for every member, and inside a fault over the same family for the member at hand.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.2 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault regulator "Regulator faulty" { odds 8 of 1000  makes charged low 60 %  makes charged high 50 % }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.2 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault regulator "Regulator faulty" { odds 8 of 1000  makes charged low 60 %  makes charged high 30 % }
"#,
};

/// The effect that is too much, with those before it on the same check.
pub(crate) fn finding(span: Span, before: &[Span], check: &str, sum: f64) -> Diagnostic {
    let percent = (sum * 1000.0).round() / 10.0;
    let message = format!("the chances of `{check}` add up to {percent} %");
    let mut finding = Diagnostic::error(DOC.slug, span, message).here("this is too much");
    for place in before {
        finding = finding.label(*place, "with this");
    }
    finding.mend("let them add up to 100 % at most: it comes out in one way only")
}

pub(crate) fn twice(span: Span, first: Span, check: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, format!("this effect on `{check}` is said twice"))
        .here("again here")
        .label(first, "said here already")
        .mend("keep one of the two")
}
