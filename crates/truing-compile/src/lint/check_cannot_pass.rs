//! `check-cannot-pass`: a check that cannot pass, whatever is read.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("check-cannot-pass"),
    severity: Severity::Error,
    title: "A check that cannot pass, whatever is read",
    explain: "\
No value that the quantity can have obeys the rule, so every machine would fail. A wrong sign, a wrong unit prefix, or \
two bounds that exclude each other are the usual reasons.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
reading coil "Winding" : resistance
check sound "Winding is sound" : coil < 0 ohm
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
reading coil "Winding" : resistance
check sound "Winding is sound" : coil < 0.30 ohm
"#,
};

pub(crate) fn finding(span: Span, range: Option<String>) -> Diagnostic {
    let finding = Diagnostic::error(DOC.slug, span, "this check cannot pass, whatever is read");
    match range {
        Some(range) => finding.here(range),
        None => finding.here("never true"),
    }
}
