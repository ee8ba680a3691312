//! `bands-wrong`: a band that the check has not, or one said twice.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

use super::list;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("bands-wrong"),
    severity: Severity::Error,
    title: "A band that the check has not, or one said twice",
    explain: "\
`bands high, low` puts the ways in which a check comes out of order in a row: where two causes meet, the later one shows. \
Each stands there once, and is one that the rule can give: `low` and `high` by the ends of the limit, `worn` by a \
service limit, `fail` by a rule that has no sides.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.2 V cite sheet
check charged "Battery is charged" : rest within rest_voltage { bands high, worn }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.2 V cite sheet
check charged "Battery is charged" : rest within rest_voltage { bands low, high }
"#,
};

/// `can` holds the bands that the check has.
pub(crate) fn missing(span: Span, check: &str, band: &str, can: &[&str]) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, format!("`{check}` has no band `{band}`"))
        .note(format!("its bands are {}", list(can.iter().copied())))
}

pub(crate) fn twice(span: Span, band: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, format!("the band `{band}` stands here twice"))
        .mend("keep one: the later of two bands shows")
}
