//! `percent-of-percent`: a tolerance in per cent of a percentage.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("percent-of-percent"),
    severity: Severity::Error,
    title: "A tolerance in per cent of a percentage",
    explain: "\
`10 % ± 2 %` can be read in two ways: 8 to 12 %, or 9.8 to 10.2 %. Write the range.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading share "Leak-down" : ratio
limit leak : ratio = 10 % ± 2 % cite sheet
check tight "Leak-down" : share within leak
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading share "Leak-down" : ratio
limit leak : ratio = 8 .. 12 % cite sheet
check tight "Leak-down" : share within leak
"#,
};

pub(crate) fn finding(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a tolerance in per cent of a percentage can be read in two ways")
        .mend("write the range: `8 .. 12 %` or `9.8 .. 10.2 %`")
}
