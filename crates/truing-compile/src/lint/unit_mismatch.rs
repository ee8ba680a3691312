//! `unit-mismatch`: two dimensions that cannot come together.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::Figure;
use truing_units::{Kind, Ty, Unit};

use super::{Said, article, both};
use crate::context::Context;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("unit-mismatch"),
    severity: Severity::Error,
    title: "Two dimensions that cannot come together",
    explain: "\
Volts and amperes cannot be added, compared, or stand in each other's place. Both sides are shown with what they are. The usual reason is a \
slip of the column: the figure of one row with the unit of another.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 ohm cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(cx: &Context<'_>, whole: Span, left: &Said, right: &Said) -> Diagnostic {
    let message = match (left.ty, right.ty) {
        (Some(one), Some(other)) => {
            let (one, other) = (one.words(&cx.catalogue), other.words(&cx.catalogue));
            format!("{} and {} do not go together", article(&one), article(&other))
        }
        _ => "these do not go together".to_owned(),
    };
    both(cx, Diagnostic::error(DOC.slug, whole, message), whole, left, right)
}

/// A figure whose unit is not one of a kind that was named elsewhere.
pub(crate) fn figure(cx: &Context<'_>, figure: &Figure, unit: &Unit, kind: Kind, named: Span) -> Diagnostic {
    let own = unit.kinds().first().map_or(Ty::Plain(unit.dimension()), |kind| Ty::Kind(*kind));
    let here = Said::new(figure.span, own, Some(unit));
    let there = Said::named(named, "wanted is", Ty::Kind(kind));
    super::mismatch(cx, figure.span, &here, &there)
}

/// A root that no unit comes of.
pub(crate) fn no_root(cx: &Context<'_>, of: &Said) -> Diagnostic {
    Diagnostic::error(DOC.slug, of.span, "the root of this has no unit").here(of.text(cx))
}
