//! `state-unreachable`: a state that is never reached.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::Name;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("state-unreachable"),
    severity: Severity::Error,
    title: "A state that is never reached",
    explain: "\
A state is reached from another, and at the beginning of every way stands a state without `from`: the machine as it comes in. \
States that are reached only from each other have no beginning.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
state warm "Engine warm" { from hot }
state hot "Engine hot" { from warm }
reading rest "Battery at rest" : dc_voltage { during warm }
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
state cold "Engine cold"
state warm "Engine warm" { from cold }
reading rest "Battery at rest" : dc_voltage { during warm }
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(name: &Name) -> Diagnostic {
    let message = format!("the state `{}` is never reached", name.node);
    Diagnostic::error(DOC.slug, name.span, message)
        .here("reached only from states that are not reached themselves")
        .mend("let one of them stand without `from`: the machine as it comes in")
}
