//! `unit-missing`: a number without its unit.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_units::{Catalogue, Kind, Ty};

use super::{article, either};
use crate::context::Context;
use crate::typing::Place;
use crate::usual_unit::usual_units;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("unit-missing"),
    severity: Severity::Error,
    title: "A number without its unit",
    explain: "\
Twelve what? A figure of a quantity carries its unit right behind it, on the same line. Only counts and plain ratios have none.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
reading rest "Battery at rest" : dc_voltage
check charged "Battery is charged" : rest >= 12.4
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
reading rest "Battery at rest" : dc_voltage
check charged "Battery is charged" : rest >= 12.4 V
"#,
};

/// A bare number where a kind is wanted.
pub(crate) fn finding(cx: &Context<'_>, span: Span, kind: Option<Kind>, words: Option<&str>) -> Diagnostic {
    let message = match words {
        Some(words) => format!("a number without its unit, where {} is wanted", article(words)),
        None => "a number without its unit".to_owned(),
    };
    let finding = Diagnostic::error(DOC.slug, span, message);
    mended(finding, &cx.catalogue, kind)
}

fn mended(finding: Diagnostic, catalogue: &Catalogue, kind: Option<Kind>) -> Diagnostic {
    let units = kind.map(|kind| usual_units(catalogue, kind)).unwrap_or_default();
    if units.is_empty() {
        return finding.mend("write the unit behind the number");
    }
    let units = either(units.iter().map(String::as_str));
    finding.mend(format!("write the unit behind the number: {units}"))
}

/// The same with what asks for it.
pub(crate) fn in_place(cx: &Context<'_>, span: Span, place: &Place) -> Diagnostic {
    let kind = match place.ty {
        Ty::Kind(kind) => Some(kind),
        Ty::Plain(_) => None,
    };
    let words = place.ty.words(&cx.catalogue);
    let base = finding(cx, span, kind, Some(&words));
    if place.said.span == span { base } else { base.label(place.said.span, place.said.text(cx)) }
}

/// A reading without its unit.
pub(crate) fn reading(catalogue: &Catalogue, span: Span, label: &str, kind: Kind) -> Diagnostic {
    let words = article(&catalogue.kind(kind).words);
    let message = format!("a number without its unit; `{label}` is {words}");
    mended(Diagnostic::error(DOC.slug, span, message), catalogue, Some(kind))
}
