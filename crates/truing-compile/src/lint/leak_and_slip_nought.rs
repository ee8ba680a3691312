//! `leak-and-slip-nought`: a check that is believed without any doubt.

use truing_syntax::tree::Name;
use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("leak-and-slip-nought"),
    severity: Severity::Error,
    title: "A check that is believed without any doubt",
    explain: "\
With `leak 0` a check comes out of order only by a fault that is listed, and with `slip 0` its readings are never wrong. With both, one reading \
that no listed fault explains makes every explanation impossible, and nothing can be said. Leave one of them above nought. \
A leak that is said by band (`leak high 1 %`) is nought in the bands that it does not name.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.2 V cite sheet
check charged "Battery is charged" : rest within rest_voltage { leak 0 %  slip 0 % }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = 12.4 .. 13.2 V cite sheet
check charged "Battery is charged" : rest within rest_voltage { leak 0 %  slip 1 % }
"#,
};

/// A leak by band that leaves a band out.
pub(crate) fn left_out(check: &Name, leak: Span, slip: Span) -> Diagnostic {
    let message = format!("`{}` does not slip, and leaks into some bands only: one odd reading makes every explanation impossible", check.node);
    Diagnostic::error(DOC.slug, slip, message)
        .label(leak, "the other bands have no leak")
        .mend("leave the slip above nought, or name every band in the leak")
}

pub(crate) fn finding(check: &Name, leak: Span, slip: Span) -> Diagnostic {
    let message = format!("`{}` neither leaks nor slips: one odd reading makes every explanation impossible", check.node);
    Diagnostic::error(DOC.slug, slip, message)
        .label(leak, "and no leak either")
        .mend("leave one of them above nought, or leave the line out: 2 %")
}
