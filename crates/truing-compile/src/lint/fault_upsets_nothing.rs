//! `fault-upsets-nothing`: a fault that no check would show.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::Name;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("fault-upsets-nothing"),
    severity: Severity::Warning,
    title: "A fault that no check would show",
    explain: "\
A fault is known by what it upsets. One that makes no check fail can never be suspected by any reading.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 1000 }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 1000  makes charged low 95 % }
"#,
};

pub(crate) fn finding(name: &Name) -> Diagnostic {
    let message = format!("the fault `{}` upsets no check", name.node);
    Diagnostic::warning(DOC.slug, name.span, message).mend("say what shows it: `makes CHECK low`")
}
