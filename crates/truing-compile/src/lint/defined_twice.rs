//! `defined-twice`: a name that stands for two things.

use std::sync::Arc;

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::Name;
use truing_units::CatalogueError;

use crate::names::Sort;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("defined-twice"),
    severity: Severity::Error,
    title: "A name that stands for two things",
    explain: "\
A name stands for one thing. A spec fills the limits and constants that a library left open, and may replace those that \
a library gave a default, once; everything else is defined once, over all files that come together.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
limit rest_voltage : dc_voltage = min 12.6 V cite sheet
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(name: &Name, first: &Name, sort: Sort, file: Option<Arc<str>>) -> Diagnostic {
    let place = file.map(|file| format!(", in {file}")).unwrap_or_default();
    Diagnostic::error(DOC.slug, name.span, format!("`{}` is defined twice", name.node))
        .here("defined again here")
        .label(first.span, format!("{} of this name stands here already{place}", sort.words()))
}

/// A limit or a constant of a library that is filled once more.
pub(crate) fn filled(name: &Name, first: &Name, file: Option<Arc<str>>) -> Diagnostic {
    let place = file.map(|file| format!(", in {file}")).unwrap_or_default();
    Diagnostic::error(DOC.slug, name.span, format!("`{}` is filled twice", name.node))
        .here("filled again here")
        .label(first.span, format!("filled here already{place}"))
}

/// A kind or a unit of one's own that the catalogue does not take.
pub(crate) fn in_catalogue(name: &Name, sort: &str, error: &CatalogueError) -> Diagnostic {
    let why = match error {
        CatalogueError::DuplicateKind { .. } => "there is a kind of this name already".to_owned(),
        CatalogueError::DuplicateUnit { words, .. } => format!("it stands for the {words} already"),
        CatalogueError::BadName { .. } => {
            "a name is one word of letters, digits and underscores".to_owned()
        }
        other => other.to_string(),
    };
    let message = format!("`{}` cannot be {sort} of one's own: {why}", name.node);
    Diagnostic::error(DOC.slug, name.span, message).mend("choose another name")
}

/// A kind that one instrument measures in two functions.
pub(crate) fn measured(kind: &Name, first: Span) -> Diagnostic {
    let message = format!("this instrument measures `{}` twice", kind.node);
    Diagnostic::error(DOC.slug, kind.span, message)
        .here("measured again here")
        .label(first, "measured here already")
        .mend("write all its ranges in one `measures`")
}

/// A reading, a property or a case that stands twice in one place.
pub(crate) fn given(span: Span, first: Span, label: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, format!("`{label}` is given twice"))
        .here("again here")
        .label(first, "given here already")
}
