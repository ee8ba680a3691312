//! `undefined-name`: a name that stands for nothing.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::Name;

use crate::context::Context;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("undefined-name"),
    severity: Severity::Error,
    title: "A name that stands for nothing",
    explain: "\
Nothing of this name is declared, in this file or in a library that it uses. A slip of the pen is the usual reason; the nearest name of \
the wanted sort is shown.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
check strong "Battery is strong" : rset >= 12.6 V
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
check strong "Battery is strong" : rest >= 12.6 V
"#,
};

pub(crate) fn finding(name: &Name, wanted: &str, nearest: Option<&str>) -> Diagnostic {
    let message = format!("`{}` is not defined; {wanted} is wanted here", name.node);
    let finding = Diagnostic::error(DOC.slug, name.span, message);
    match nearest {
        Some(nearest) => finding.mend_by(
            format!("the nearest name is `{nearest}`"),
            vec![(name.span, nearest.to_owned())],
        ),
        None => finding,
    }
}

/// `{phse}` in a title.
pub(crate) fn placeholder(cx: &Context<'_>, text: Span, inner: &str, family: Option<&str>) -> Diagnostic {
    let written = cx.files.slice(text);
    let start = written.find(&format!("{{{inner}}}")).map_or(0, |at| at + 1) as u32;
    let span = match start {
        0 => text,
        _ => Span::new(text.file, text.start + start, text.start + start + inner.len() as u32),
    };
    let finding = Diagnostic::error(DOC.slug, span, format!("`{inner}` has no place in this text"));
    match family {
        Some(family) => finding.mend_by(
            format!("this runs over the family `{family}`"),
            vec![(span, family.to_owned())],
        ),
        None => finding.note("only what runs over a family has a member to put here"),
    }
}
