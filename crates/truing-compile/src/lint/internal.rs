//! `internal`: a defect of the compiler itself.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("internal"),
    severity: Severity::Error,
    title: "A defect of the compiler itself",
    explain: "\
The checked spec did not hold together. That is a mistake in this program, not in the text: please report it with the file. \
(The examples show a sound spec twice; there is no text that should bring this.)",
    wrong: r#""#,
    right: r#""#,
};

pub(crate) fn finding(span: Span, why: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, format!("the checked spec does not hold together: {why}"))
        .note("this is a mistake in the compiler, not in the text")
}
