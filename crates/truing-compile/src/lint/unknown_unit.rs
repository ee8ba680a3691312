//! `unknown-unit`: a unit that is not known.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::UnitText;
use truing_units::UnitError;

use super::unit_look_alike;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("unknown-unit"),
    severity: Severity::Error,
    title: "A unit that is not known",
    explain: "\
A unit is a symbol of the catalogue, or symbols joined by `.` and `/`: `N.m`, `V/krpm`, `kgf/cm2`. Words are not units.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 vlt cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(text: &UnitText, error: &UnitError) -> Diagnostic {
    match error {
        UnitError::LookAlike { text: written, meant, why } => {
            unit_look_alike::finding(text.span, written, meant, why)
        }
        UnitError::Unknown { text: part, nearest } => {
            let message = format!("there is no unit `{part}`");
            let finding = Diagnostic::error(DOC.slug, text.span, message);
            match nearest {
                Some(nearest) if **part == *text.node => finding.mend_by(
                    format!("the nearest is `{nearest}`"),
                    vec![(text.span, nearest.clone())],
                ),
                Some(nearest) => finding.mend(format!("the nearest is `{nearest}`")),
                None => finding.mend("see the list of units, or declare one with `unit`"),
            }
        }
        other => Diagnostic::error(DOC.slug, text.span, other.to_string()),
    }
}
