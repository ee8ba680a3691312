//! `import-cycle`: libraries that use each other.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("import-cycle"),
    severity: Severity::Error,
    title: "Libraries that use each other",
    explain: "\
A library that uses itself, by way of others or straight, has no beginning. Put what both need into a third one.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
use "ring-a"
## file: ring-a
library ring_a "One half of a ring"
use "ring-b"
## file: ring-b
library ring_b "The other half"
use "ring-a"
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
use "half-a"
## file: half-a
library half_a "One half"
use "half-b"
## file: half-b
library half_b "The other half"
"#,
};

/// `by` is the use in the checked file, `closing` the one that closes the circle.
pub(crate) fn finding(by: Span, closing: Span, way: &[&str]) -> Diagnostic {
    let message = format!("libraries use each other in a circle: {}", way.join(" uses "));
    let finding = Diagnostic::error(DOC.slug, by, message);
    let finding = if by == closing { finding } else { finding.label(closing, "the circle closes here") };
    finding.mend("put what both need into a third library")
}
