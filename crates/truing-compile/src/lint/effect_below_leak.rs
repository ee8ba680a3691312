//! `effect-below-leak`: a fault that upsets a check no oftener than it is out of order by itself.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("effect-below-leak"),
    severity: Severity::Warning,
    title: "A fault that upsets a check no oftener than no fault does",
    explain: "\
What `makes` says is how often the check is out of order where this fault alone is there, with what it does without any \
fault. Where that is no more than the check's `leak`, the fault changes nothing: causes add up, and none makes a check \
fail less often. Leave the line out, or see which of the two figures is wrong.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage { leak 60 % }
fault clamp "Bad clamp" { odds 9 of 100  makes charged low 45 % }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage { leak 30 % }
fault clamp "Bad clamp" { odds 9 of 100  makes charged low 45 % }
"#,
};

pub(crate) fn finding(span: Span, check: &str, often: f64, leak: f64) -> Diagnostic {
    let percent = |p: f64| (p * 1000.0).round() / 10.0;
    let (often, leak) = (percent(often), percent(leak));
    let message = format!("this changes nothing: `{check}` is out of order {leak} % of the time without any fault");
    Diagnostic::warning(DOC.slug, span, message)
        .here(format!("{often} % in all, with this fault"))
        .mend("leave it out, or see which of the two figures is wrong")
}
