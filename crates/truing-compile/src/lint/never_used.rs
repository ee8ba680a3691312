//! `never-used`: something declared that nothing uses.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::Name;

use crate::names::Sort;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("never-used"),
    severity: Severity::Warning,
    title: "Something declared that nothing uses",
    explain: "\
What nothing refers to is left over, or the name that should refer to it is another. In a library only what a user of the \
library has no reason to name is reported: sources, families, states and cautions.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
source bulletin "Bulletin 7"
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
source bulletin "Bulletin 7"
limit rest_voltage : dc_voltage = min 12.4 V cite sheet mend bulletin
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(name: &Name, sort: Sort) -> Diagnostic {
    let words = sort.words();
    let bare = words.split_once(' ').map_or(words, |(_, bare)| bare);
    let message = format!("the {bare} `{}` is never used", name.node);
    Diagnostic::warning(DOC.slug, name.span, message)
}
