//! `limit-finer-than-meter`: a limit that none of the stated meters can decide.

use truing_engine::{Capability, Unfit};
use truing_model::{Check, Spec};
use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_units::{Place, Unit, from_coherent, significant_text};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("limit-finer-than-meter"),
    severity: Severity::Warning,
    title: "A limit that none of the stated meters can decide",
    explain: "\
The spec's header names the meters that its limits are meant to be decided with, and none of them can say of this limit \
whether a reading lies within it: what the meter may be off by takes up the whole tolerance. Good parts are replaced for \
such limits. Name a meter that can, or rest the decision on another check. `truing study capability` shows the figures: \
tolerance, expanded uncertainty at each end, and the capability index C_m = T/(4u) of JCGM 106.",
    wrong: r#"spec demo "Demonstration" {
    edition "1"
    meter two_wire
}
source sheet "Service sheet"
instrument two_wire "Hand-held meter" {
    measures resistance { range 600 ohm step 0.1 ohm accuracy 0.9 % + 3 counts }
}
reading winding "Winding" : resistance
limit winding_limit : resistance = 0.07 .. 0.13 ohm cite sheet
check winding_sound "Winding is sound" : winding within winding_limit
"#,
    right: r#"spec demo "Demonstration" {
    edition "1"
    meter four_wire
}
source sheet "Service sheet"
instrument four_wire "Four-wire meter" {
    measures resistance { range 300 mohm step 0.1 mohm accuracy 0.1 % + 5 counts }
}
reading winding "Winding" : resistance
limit winding_limit : resistance = 0.07 .. 0.13 ohm cite sheet
check winding_sound "Winding is sound" : winding within winding_limit
"#,
};

/// What the best of the meters makes of a check, at its declaration.
pub(crate) fn finding(
    span: Span,
    spec: &Spec,
    check: &Check,
    best: &Capability,
    meters: &[String],
    unit: &Unit,
) -> Diagnostic {
    let named = meters.join(", ");
    let message = format!("`{}` cannot be decided with {named}", check.name);
    let amount = |coherent: f64| {
        format!("{} {unit}", significant_text(from_coherent(coherent, unit, Place::Amount), 2))
    };
    let finding = Diagnostic::warning(DOC.slug, span, message);
    let finding = match (best.unfit, best.ends.as_slice()) {
        (Some(Unfit::TestVoltage { test, needed }), _) => finding.note(format!(
            "it tests with {test} V, and the limit reaches to {needed} V"
        )),
        (Some(Unfit::NoCapture), _) => finding.note("it holds no least or greatest value"),
        (Some(_), _) => finding.note("it has no range and no accuracy for a reading at the limit"),
        (None, [low, high]) => finding.note(format!(
            "the tolerance is {}, the expanded uncertainty ± {}: C_m = {}",
            amount(high.at - low.at),
            amount(low.uncertainty.expanded.max(high.uncertainty.expanded)),
            significant_text(best.index.unwrap_or(0.0), 2),
        )),
        (None, [end]) => finding.note(format!(
            "a reading at the limit is good to ± {}",
            amount(end.uncertainty.expanded)
        )),
        (None, _) => finding,
    };
    let others = spec.instruments.len() > spec.meters.len();
    finding.mend(if others {
        "name a meter in the header that can: `truing study capability` says which"
    } else {
        "name a meter in the header that can, or rest the decision on another check"
    })
}
