//! `odds-missing`: a fault without odds.

use truing_syntax::tree::Name;
use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("odds-missing"),
    severity: Severity::Warning,
    title: "A fault without odds",
    explain: "\
How often a fault is the cause decides between two that show alike. Without odds a fault counts as 10 of 1000, which is \
nobody's estimate: beside faults with odds it is ranked by chance. A rough share is enough.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.2 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { makes charged low 95 % }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.2 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 80 of 1000  makes charged low 95 % }
"#,
};

pub(crate) fn finding(name: &Name) -> Diagnostic {
    let message = format!("the fault `{}` has no odds and counts as 10 of 1000", name.node);
    Diagnostic::warning(DOC.slug, name.span, message)
        .mend("say how often it is the cause among jobs of this sort: `odds 8 of 1000`")
}
