//! `effect-impossible`: a fault makes a check do what it cannot.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

use super::either;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("effect-impossible"),
    severity: Severity::Error,
    title: "A fault makes a check do what it cannot",
    explain: "\
A limit with no upper bound is never missed high; without a service limit nothing is worn; a word seen has no side. \
Say the side that the limit has, or `fail`.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 1000  makes charged high 95 % }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 1000  makes charged low 95 % }
"#,
};

/// `can` holds the effects that are possible.
pub(crate) fn finding(span: Span, check: &str, effect: &str, why: &str, can: &[&str]) -> Diagnostic {
    let can = either(can.iter().copied());
    Diagnostic::error(DOC.slug, span, format!("`{check}` cannot come out `{effect}`, only {can}"))
        .here(why.to_owned())
        .mend(format!("write {can}"))
}
