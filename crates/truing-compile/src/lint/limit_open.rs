//! `limit-open`: a limit or a constant that the spec never fills.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::Name;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("limit-open"),
    severity: Severity::Error,
    title: "A limit or a constant that the spec never fills",
    explain: "\
A library leaves open what differs from machine to machine. A spec must fill it: with the figure of its machine, or with \
`not specified` where the maker gives none.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
reading rest "Battery at rest" : dc_voltage
use "battery"
check charged "Battery is charged" : rest within rest_voltage
## file: battery
library battery "Battery"
limit rest_voltage : dc_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
use "battery"
limit rest_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
## file: battery
library battery "Battery"
limit rest_voltage : dc_voltage
"#,
};

/// `by` is where the spec must fill it: the use that brought the library in, or its own name.
pub(crate) fn finding(name: &Name, sort: &str, by: Span) -> Diagnostic {
    let message = format!("the {sort} `{}` is never filled", name.node);
    let finding = Diagnostic::error(DOC.slug, by, message);
    let finding = match by == name.span {
        true => finding,
        false => finding.label(name.span, "left open here, for a spec to fill"),
    };
    match sort {
        "limit" => finding.mend(format!("write `limit {} = …`, or `= not specified`", name.node)),
        _ => finding.mend(format!("write `{sort} {} = …`", name.node)),
    }
}
