//! `header-missing`: a file that does not say what it is.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

use crate::files::ParsedFile;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("header-missing"),
    severity: Severity::Error,
    title: "A file that does not say what it is",
    explain: "\
A file begins with `spec NAME \"title\"` for one machine, or `library NAME \"title\"` for what many share.",
    wrong: r#"reading rest "Battery at rest" : dc_voltage
check charged "Battery is charged" : rest >= 12.4 V
"#,
    right: r#"library battery "Battery"
reading rest "Battery at rest" : dc_voltage
check charged "Battery is charged" : rest >= 12.4 V
"#,
};

pub(crate) fn finding(file: &ParsedFile) -> Diagnostic {
    let start = file.tree.items.first().map_or(0, |item| item.span.start);
    let word = file.text.get(start as usize..).and_then(|text| text.split_whitespace().next());
    let end = start + word.map_or(0, str::len) as u32;
    Diagnostic::error(DOC.slug, Span::new(file.id, start, end), "this file has no header")
        .mend("begin with `spec NAME \"title\"` or `library NAME \"title\"`")
}
