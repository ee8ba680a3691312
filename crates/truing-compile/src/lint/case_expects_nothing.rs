//! `case-expects-nothing`: a case from which nothing must come.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::Name;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("case-expects-nothing"),
    severity: Severity::Warning,
    title: "A case from which nothing must come",
    explain: "\
A case is a test: readings, and what must come of them. One without an `expect` cannot fail. Say what must come.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
case full "A full battery" { rest = 12.7 V }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
case full "A full battery" { rest = 12.7 V  expect charged within }
"#,
};

pub(crate) fn finding(name: &Name) -> Diagnostic {
    let message = format!("the case `{}` expects nothing, so it cannot fail", name.node);
    Diagnostic::warning(DOC.slug, name.span, message).mend("say what must come of it: `expect CHECK OUTCOME`")
}
