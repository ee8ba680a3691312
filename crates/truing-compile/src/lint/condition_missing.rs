//! `condition-missing`: a limit judged without what it was given for.

use std::collections::BTreeSet;

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_units::Kind;

use super::article;
use crate::context::Context;
use crate::limit::{LimitIr, Reference};
use crate::typing::{Num, NumKind};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("condition-missing"),
    severity: Severity::Error,
    title: "A limit judged without what it was given for",
    explain: "\
A limit that goes by another quantity (`by rotational_speed`) is asked at one: `within output at engine_speed`. A limit \
given `at 20 degC` holds for that temperature alone: the check refers its resistance there with `refer(…, to: 20 degC)`, \
or the limit names a reading and the band it must lie in.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading coil "Winding" : resistance
limit winding : resistance = 0.18 ± 0.04 ohm at 20 degC cite sheet
check sound "Winding is sound" : coil within winding
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading coil "Winding" : resistance
reading heat "Winding temperature" : temperature
limit winding : resistance = 0.18 ± 0.04 ohm at 20 degC cite sheet
check sound "Winding is sound" : refer(coil, from: heat, to: 20 degC, of: copper) within winding
"#,
};

/// A limit that goes by `by`, asked nowhere on its curve.
pub(crate) fn curve(cx: &Context<'_>, span: Span, limit: Span, by: Kind) -> Diagnostic {
    let words = article(&cx.catalogue.kind(by).words);
    Diagnostic::error(DOC.slug, span, format!("this limit goes by {words}, and none is given"))
        .here("asked at which point of the curve?")
        .label(limit, format!("goes by {words}"))
        .mend("say where: `within LIMIT at READING`")
}

/// A limit given for a reference value is judged by something that is referred there, or not at all.
pub(crate) fn look(cx: &Context<'_>, limit: &LimitIr, subject: &Num, span: Span) {
    for reference in &limit.reference {
        let banded = limit.conditions.iter().any(|condition| condition.subject.ty == reference.ty);
        if banded || refers_to(cx, subject, reference) {
            continue;
        }
        let printed = &reference.measure;
        let message = format!("this limit holds at {printed}, and what it judges is not referred there");
        let finding = Diagnostic::error(DOC.slug, span, message)
            .label(reference.span, format!("given for {printed}"))
            .mend(format!("judge `refer(…, from: TEMPERATURE, to: {printed}, of: copper)`"));
        cx.findings.push(finding);
    }
}

/// Whether a number is, somewhere on its way, referred to this value. Derived quantities are looked
/// into once each, on a list of its own: their chains may be long.
fn refers_to(cx: &Context<'_>, num: &Num, reference: &Reference) -> bool {
    let mut seen = BTreeSet::new();
    let mut open = vec![num];
    while let Some(num) = open.pop() {
        if step(num, reference, &mut seen, &mut |index| {
            let derived = cx.derived.get(index)?;
            derived.checked.get()?.as_ref()
        }, &mut open) {
            return true;
        }
    }
    false
}

/// Looks into one expression; what it rests on elsewhere goes to `open`.
fn step<'n>(
    num: &'n Num,
    reference: &Reference,
    seen: &mut BTreeSet<usize>,
    derived: &mut impl FnMut(usize) -> Option<&'n Num>,
    open: &mut Vec<&'n Num>,
) -> bool {
    match &num.kind {
        NumKind::Refer { to, .. } => {
            to.constant().is_some_and(|value| value.compare(reference.value).is_eq())
        }
        NumKind::Derived { index, .. } => {
            if seen.insert(*index) {
                open.extend(derived(*index));
            }
            false
        }
        NumKind::Negate(of)
        | NumKind::Power(of, _)
        | NumKind::Apply(_, of)
        | NumKind::Law(_, of) => {
            open.push(of);
            false
        }
        NumKind::Binary(_, left, right) => {
            open.extend([&**left, &**right]);
            false
        }
        NumKind::Fold(_, folded) => {
            open.extend(folded.iter().map(|part| &part.body));
            false
        }
        NumKind::Choose { then, otherwise, .. } => {
            open.extend([&**then, &**otherwise]);
            false
        }
        NumKind::Constant(_)
        | NumKind::Measured { .. }
        | NumKind::Property(_)
        | NumKind::CurveAt { .. } => false,
    }
}
