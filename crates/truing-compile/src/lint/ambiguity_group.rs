//! `ambiguity-group`: faults that no check tells apart.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::Name;

use super::list;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("ambiguity-group"),
    severity: Severity::Warning,
    title: "Faults that no check tells apart",
    explain: "\
Two faults most probably leave every check in the same band, and are mended in different ways: the way that a \
check comes out most often with the one is the way that it comes out with the other. Whatever is read, both \
mostly stay suspects. Add a check that one of them upsets and the other does not, or give them \
one repair.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fix renew "Renew the battery" { part "battery" }
fix charge "Charge the battery" { takes 600 min }
fault worn "Battery worn" { odds 8 of 1000  makes charged low  fix renew }
fault flat "Battery flat" { odds 80 of 1000  makes charged low  fix charge }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
reading loaded "Battery under load" : dc_voltage
check holds "Battery holds under load" : loaded >= 9.6 V
fix renew "Renew the battery" { part "battery" }
fix charge "Charge the battery" { takes 600 min }
fault worn "Battery worn" { odds 8 of 1000  makes charged low  makes holds low  fix renew }
fault flat "Battery flat" { odds 80 of 1000  makes charged low  fix charge }
"#,
};

/// `faults` upset the same checks alike; the first of them is the primary.
pub(crate) fn finding(faults: &[&Name]) -> Option<Diagnostic> {
    let (first, others) = faults.split_first()?;
    let names = list(faults.iter().map(|name| &*name.node));
    let message = format!("no check tells the faults {names} apart");
    let mut finding = Diagnostic::warning(DOC.slug, first.span, message)
        .here("this fault most probably shows the same")
        .mend("add a check that one of them upsets and the others do not, or give them one repair");
    for other in others {
        finding = finding.label(other.span, "as this one does");
    }
    Some(finding)
}
