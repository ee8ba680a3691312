//! `expectation-impossible`: a case expects what cannot come.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

use super::either;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("expectation-impossible"),
    severity: Severity::Error,
    title: "A case expects what cannot come",
    explain: "\
The check has no such outcome: a limit with no upper bound is never missed high, nothing is worn without a service limit. \
Whatever the readings, the case would fail.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
case flat "A flat battery" { rest = 12.1 V  expect charged outside high }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
case flat "A flat battery" { rest = 12.1 V  expect charged outside low }
"#,
};

/// `can` holds the outcomes that are possible.
pub(crate) fn finding(span: Span, check: &str, why: &str, can: &[&str]) -> Diagnostic {
    let can = either(can.iter().copied());
    Diagnostic::error(DOC.slug, span, format!("`{check}` cannot come out so, only {can}"))
        .here(why.to_owned())
        .mend(format!("write {can}"))
}
