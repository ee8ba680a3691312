//! `kind-missing`: a limit that does not say of what.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::{LimitDecl, Name};

use super::{either, undefined_name};
use crate::context::Context;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("kind-missing"),
    severity: Severity::Error,
    title: "A limit that does not say of what",
    explain: "\
A limit says its kind where it is declared first: volts can be dc, ac or peak, and a check compares kinds, not units. A limit \
that fills one of a library's has its kind from there.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading bulb "Bulb" : dc_voltage
limit lamp = max 15 V cite sheet
check good "Lamp" : bulb within lamp
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading bulb "Bulb" : dc_voltage
limit lamp : dc_voltage = max 15 V cite sheet
check good "Lamp" : bulb within lamp
"#,
};

/// A limit without a kind: a library's under a misspelt name, or a new one.
pub(crate) fn limit(cx: &Context<'_>, decl: &LimitDecl, nearest: Option<&str>) -> Diagnostic {
    let name = &decl.name;
    if let Some(nearest) = nearest {
        return undefined_name::finding(name, "a limit of a library", Some(nearest));
    }
    let message = format!("the limit `{}` does not say what it is a limit of", name.node);
    let finding = Diagnostic::error(DOC.slug, name.span, message);
    match decl.value.as_ref().and_then(|value| cx.first_unit(value)) {
        Some(unit) if !unit.kinds().is_empty() => {
            let kinds = unit.kinds().iter().map(|kind| cx.catalogue.kind(*kind).name.as_ref());
            finding.mend(format!("write its kind behind its name: {}", either(kinds)))
        }
        _ => finding.mend("write its kind behind its name: `limit NAME : KIND = …`"),
    }
}

/// An open constant without a kind.
pub(crate) fn constant(name: &Name) -> Diagnostic {
    let message = format!("the constant `{}` is left open and does not say of what kind it is", name.node);
    Diagnostic::error(DOC.slug, name.span, message).mend("write `constant NAME : KIND`")
}
