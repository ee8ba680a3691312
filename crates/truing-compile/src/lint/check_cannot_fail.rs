//! `check-cannot-fail`: a check that cannot fail, whatever is read.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("check-cannot-fail"),
    severity: Severity::Error,
    title: "A check that cannot fail, whatever is read",
    explain: "\
Every value that the quantity can have obeys the rule: a resistance is never below zero, a reading outside its \
`plausible` band is doubted and not judged. A check that always passes says nothing about the machine. Tighten \
the limit, or leave the check out.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
reading coil "Winding" : resistance
check sound "Winding is sound" : coil >= 0 ohm
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
reading coil "Winding" : resistance
check sound "Winding is sound" : coil >= 0.15 ohm
"#,
};

pub(crate) fn finding(span: Span, range: Option<String>) -> Diagnostic {
    let finding = Diagnostic::error(DOC.slug, span, "this check cannot fail, whatever is read");
    match range {
        Some(range) => finding.here(range),
        None => finding.here("always true"),
    }
}
