//! `waiver-too-late`: a state waived by what is known only once it is reached.

use truing_syntax::tree::{Name, Path};
use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("waiver-too-late"),
    severity: Severity::Error,
    title: "A state waived by what is known only once it is reached",
    explain: "\
`waived by CHECK passes` says that a state need not be reached once the check has passed. A check whose readings are \
taken in that very state, or in one that is reached from it alone, comes too late to spare anything.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
state still "Engine off"
state open "Cover off" { from still  takes 60 min  waived by charged passes }
reading rest "Battery at rest" : dc_voltage { during open }
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
state still "Engine off"
state full "Battery charged to the end" { from still  takes 480 min  waived by charged passes }
reading rest "Battery at rest" : dc_voltage { during still }
reading rested "Battery after a charge" : dc_voltage { during full }
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
check holds "Battery holds its charge" : rested within rest_voltage
"#,
};

pub(crate) fn finding(check: &Path, state: &Name) -> Diagnostic {
    let message = format!("`{}` is known only once `{}` is reached", check.name.node, state.node);
    Diagnostic::error(DOC.slug, check.span, message)
        .label(state.span, "the state that it should spare")
        .mend("name a check whose readings are taken before")
}
