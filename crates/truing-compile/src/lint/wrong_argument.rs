//! `wrong-argument`: an argument that the function does not take.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::Name;

use super::list;
use crate::functions::{FunctionRow, materials};
use crate::names::nearest;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("wrong-argument"),
    severity: Severity::Error,
    title: "An argument that the function does not take",
    explain: "\
Each function takes so many arguments, and `refer` takes them by label. A limit that goes by nothing is not asked at a point.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
reading coil "Winding" : resistance
reading heat "Winding temperature" : temperature
check sound "Winding is sound" : refer(coil, form: heat, to: 20 degC, of: copper) >= 0.14 ohm
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
reading coil "Winding" : resistance
reading heat "Winding temperature" : temperature
check sound "Winding is sound" : refer(coil, from: heat, to: 20 degC, of: copper) >= 0.14 ohm
"#,
};

pub(crate) fn label(label: &Name, function: &str, known: &[&str]) -> Diagnostic {
    let message = format!("`{function}` takes no argument `{}:`", label.node);
    let finding = Diagnostic::error(DOC.slug, label.span, message);
    if known.is_empty() {
        return finding.mend("leave the label out");
    }
    match nearest(&label.node, known.iter().copied()) {
        Some(near) => {
            finding.mend_by(format!("the nearest is `{near}:`"), vec![(label.span, near.to_owned())])
        }
        None => finding.note(format!("it takes {}", list(known.iter().copied()))),
    }
}

pub(crate) fn unlabelled(span: Span, function: &str, known: &[&str]) -> Diagnostic {
    let message = format!("`{function}` takes one argument without a label");
    Diagnostic::error(DOC.slug, span, message)
        .note(format!("the others are {}", list(known.iter().copied())))
}

pub(crate) fn by_label(span: Span, function: &str, known: &[&str]) -> Diagnostic {
    let message = format!("`{function}` takes its arguments by label");
    Diagnostic::error(DOC.slug, span, message)
        .note(format!("they are {}", list(known.iter().copied())))
}

pub(crate) fn twice(label: &Name) -> Diagnostic {
    let message = format!("`{}:` is given twice", label.node);
    Diagnostic::error(DOC.slug, label.span, message)
}

pub(crate) fn number(span: Span, row: &FunctionRow, found: usize, wanted: usize) -> Diagnostic {
    let message = format!("`{}` takes {wanted} arguments, and {found} are given", row.name);
    let message = if wanted == 1 { message.replace("1 arguments", "one argument") } else { message };
    Diagnostic::error(DOC.slug, span, message).note(format!("it takes {}", row.takes))
}

pub(crate) fn not_three(span: Span, function: &str, found: usize) -> Diagnostic {
    let message = format!("`{function}` is of three, and of {found} it is asked");
    Diagnostic::error(DOC.slug, span, message)
}

pub(crate) fn none(name: &Name) -> Diagnostic {
    let message = format!("`{}` of nothing has no value", name.node);
    Diagnostic::error(DOC.slug, name.span, message)
}

pub(crate) fn material(name: &Name) -> Diagnostic {
    let message = format!("`{}` is no material that is known here", name.node);
    let finding = Diagnostic::error(DOC.slug, name.span, message);
    match nearest(&name.node, materials()) {
        Some(near) => {
            finding.mend_by(format!("the nearest is `{near}`"), vec![(name.span, near.to_owned())])
        }
        None => finding.mend(format!("write {}, or the number k in °C", list(materials()))),
    }
}

pub(crate) fn no_curve(name: &Name, limit: Span, why: &str) -> Diagnostic {
    let message = format!("`{}` cannot be asked for a value: {why}", name.node);
    Diagnostic::error(DOC.slug, name.span, message).label(limit, "the limit")
}

pub(crate) fn curve_number(name: &Name, found: usize) -> Diagnostic {
    let message = format!("the curve `{}` is asked at one point, and {found} are given", name.node);
    Diagnostic::error(DOC.slug, name.span, message)
}

/// `at` behind a limit that goes by nothing.
pub(crate) fn no_curve_here(span: Span, limit: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "this limit goes by nothing, so it is not asked at a point")
        .label(limit, "the limit")
        .mend("leave `at …` out")
}
