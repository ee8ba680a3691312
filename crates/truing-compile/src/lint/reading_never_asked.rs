//! `reading-never-asked`: a reading that no check, quantity or step asks for.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::Name;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("reading-never-asked"),
    severity: Severity::Warning,
    title: "A reading that no check, quantity or step asks for",
    explain: "\
Nobody would take it: no check judges it, no derived quantity is worked out of it, no procedure takes it.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
reading ripple "Ripple" : ac_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
reading ripple "Ripple" : ac_voltage
check calm "Ripple is small" : ripple <= 0.1 V
"#,
};

pub(crate) fn finding(name: &Name) -> Diagnostic {
    let message = format!("`{}` is asked for by no check, no derived quantity and no step", name.node);
    Diagnostic::warning(DOC.slug, name.span, message).mend("add a check that judges it, or leave it out")
}
