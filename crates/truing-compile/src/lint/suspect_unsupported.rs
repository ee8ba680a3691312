//! `suspect-unsupported`: a suspect that what was found speaks against.

use truing_engine::procedure::Unsupported;
use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("suspect-unsupported"),
    severity: Severity::Warning,
    title: "A suspect that what was found speaks against",
    explain: "\
On some way through the procedure to this `suspect`, what came out of the conditions speaks clearly against the fault: \
by the chances that the spec gives, its odds have fallen by 5 decibans or more (to less than a third) since the \
beginning. A check passed that the fault would have failed, or one failed that the fault leaves alone. Ways that \
fewer than one job in a thousand takes are not looked at.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fix renew "Renew the battery" { part "battery" }
fault worn "Battery worn" { odds 8 of 100  makes charged low 95 %  fix renew }
procedure flat "Battery goes flat" {
    take charged
    if charged passes { suspect worn }
}
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fix renew "Renew the battery" { part "battery" }
fault worn "Battery worn" { odds 8 of 100  makes charged low 95 %  fix renew }
procedure flat "Battery goes flat" {
    take charged
    if charged fails { suspect worn }
}
"#,
};

/// The condition that speaks most against a suspect.
pub(crate) struct By<'a> {
    pub condition: Span,
    pub label: &'a str,
    /// The check that it asks about, where it asks of one alone, and whether it asks that it passes.
    pub check: Option<(&'a str, bool)>,
}

pub(crate) fn finding(span: Span, fault: &str, by: &By<'_>, found: &Unsupported) -> Diagnostic {
    let against = &found.against;
    let often = percent(against.with_it);
    let here = match by.check {
        Some((check, passes)) if passes == against.holds => {
            let fails = percent(1.0 - against.with_it);
            format!("on this way `{check}` passed, and with `{fault}` it would fail {fails} of the time")
        }
        Some((check, _)) => {
            let else_fails = percent(against.without_it);
            format!(
                "on this way `{check}` failed: with `{fault}` it does so {often} of the time, without \
                 it {else_fails}"
            )
        }
        None => {
            let held = if against.holds { "held" } else { "did not hold" };
            let label = by.label;
            format!("on this way `{label}` {held}, which with `{fault}` is so {often} of the time")
        }
    };
    let message = format!("what was found before this speaks against `{fault}`");
    let finding = Diagnostic::warning(DOC.slug, span, message).label(by.condition, here);
    let finding = match found.decibans.is_finite() {
        true => finding.note(format!(
            "all that the way to it knows says {:.1} dB; a suspect is without ground from -5 dB",
            found.decibans
        )),
        false => finding.note("what the way to it knows rules it out"),
    };
    finding.mend("name it where its checks fail, or leave it out here")
}

fn percent(chance: f64) -> String {
    match chance * 100.0 {
        percent if percent < 1.0 => "less than 1 %".to_owned(),
        percent if percent > 99.0 => "more than 99 %".to_owned(),
        percent => format!("{percent:.0} %"),
    }
}
