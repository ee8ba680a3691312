//! `library-not-found`: a library that is not there.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::{Name, Text};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("library-not-found"),
    severity: Severity::Error,
    title: "A library that is not there",
    explain: "\
`use` names a library by its path, without the ending `.truing`. It is looked for beside the using file, then under the \
folders given, then in the library that every installation carries. A spec is not a library.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
use "batery"
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
use "battery"
## file: battery
library battery "Battery"
"#,
};

pub(crate) fn finding(path: &Text, nearest: Option<&str>) -> Diagnostic {
    let finding = Diagnostic::error(DOC.slug, path.span, format!("there is no library `{}`", path.node));
    match nearest {
        Some(nearest) => finding.mend_by(
            format!("the nearest is `{nearest}`"),
            vec![(path.span, format!("\"{nearest}\""))],
        ),
        None => finding,
    }
}

pub(crate) fn unreadable(path: &Text, why: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, path.span, format!("the library `{}` cannot be had: {why}", path.node))
}

/// A spec where a library is due; `by` is the use that brought it in.
pub(crate) fn a_spec(header: &Name, by: Option<Span>) -> Diagnostic {
    let message = format!("`{}` is a spec, and only libraries can be used", header.node);
    Diagnostic::error(DOC.slug, by.unwrap_or(header.span), message).label(header.span, "a spec")
}
