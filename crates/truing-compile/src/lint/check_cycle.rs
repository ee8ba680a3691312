//! `check-cycle`: a check or a quantity that rests on itself.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::Name;

use super::list;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("check-cycle"),
    severity: Severity::Error,
    title: "A check or a quantity that rests on itself",
    explain: "\
Two checks ask about each other, or a quantity is worked out from itself: there is no order in which they could be \
judged. Break the circle: one of them must stand on readings alone.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
reading rest "Battery at rest" : dc_voltage
reading ripple "Ripple" : ac_voltage
check charged "Battery is charged" : rest >= 12.4 V { when calm passes }
check calm "Ripple is small" : ripple <= 0.1 V { when charged passes }
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
reading rest "Battery at rest" : dc_voltage
reading ripple "Ripple" : ac_voltage
check charged "Battery is charged" : rest >= 12.4 V
check calm "Ripple is small" : ripple <= 0.1 V { when charged passes }
"#,
};

/// Checks that ask about each other, in a circle that closes with the first.
pub(crate) fn checks(first: &Name, way: &[&str]) -> Diagnostic {
    let message = match way {
        [_] => format!("the check `{}` asks about itself", first.node),
        _ => format!("the checks {} ask about each other", list(way.iter().copied())),
    };
    Diagnostic::error(DOC.slug, first.span, message)
        .here("cannot be judged before itself")
        .mend("let one of them stand on readings alone")
}

/// A constant, a limit or a derived quantity that is worked out from itself.
pub(crate) fn definition(name: &Name, asked_at: Span) -> Diagnostic {
    let message = format!("`{}` is worked out from itself", name.node);
    Diagnostic::error(DOC.slug, name.span, message).label(asked_at, "asked for here, on the way")
}

/// A definition at the end of a chain that is too long to be worked out.
pub(crate) fn too_long(name: &Name, most: u32) -> Diagnostic {
    let message = format!("`{}` rests on a chain of more than {most} definitions", name.node);
    Diagnostic::error(DOC.slug, name.span, message).mend("shorten the chain")
}
