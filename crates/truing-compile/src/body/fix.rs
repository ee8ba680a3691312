//! What mends faults.

use truing_model::CautionId;
use truing_syntax::tree::{Figure, FixDecl, FixMember};
use truing_units::{Kind, Place};

use super::{CheckAt, cautions, check};
use crate::context::Context;
use crate::lint;

/// What a fix's body says.
#[derive(Clone, Debug, Default)]
pub(crate) struct FixIr {
    pub parts: Vec<String>,
    pub seconds: Option<f64>,
    pub verify_seconds: Option<f64>,
    pub price: Option<f64>,
    pub proves: Vec<CheckAt>,
    pub cautions: Vec<CautionId>,
    pub notes: Vec<String>,
}

pub(crate) fn fixes(cx: &Context<'_>) {
    let known = cx.fixes.iter().map(|decl| fix(cx, decl)).collect();
    cx.bodies.fixes.replace(known);
}

fn fix(cx: &Context<'_>, decl: &FixDecl) -> FixIr {
    let mut ir = FixIr::default();
    for member in &decl.members {
        match member {
            FixMember::Part(text) => ir.parts.push(text.node.to_string()),
            FixMember::Takes(figure) => ir.seconds = seconds(cx, figure, "the time of a fix"),
            FixMember::Verify(figure) => {
                ir.verify_seconds = seconds(cx, figure, "the time to prove a fix");
            }
            FixMember::Price(figure) => {
                // A plain figure: a percentage or a unit of something would be another's.
                let price = cx.figure_num(figure, Kind::COUNT).and_then(|num| num.constant());
                let price = price.map(|value| value.value);
                ir.price = price.filter(|price| least(cx, figure, *price, "a price"));
            }
            FixMember::Proves(paths) => {
                ir.proves.extend(paths.iter().filter_map(|path| check(cx, path, None)));
            }
            FixMember::Caution(names) => ir.cautions.extend(cautions(cx, names)),
            FixMember::Note(text) => ir.notes.push(text.node.to_string()),
        }
    }
    ir
}

fn seconds(cx: &Context<'_>, figure: &Figure, what: &str) -> Option<f64> {
    let measure = cx.figure(figure, Kind::TIME)?;
    let seconds = measure.coherent(Place::Amount);
    least(cx, figure, seconds, what).then_some(seconds)
}

fn least(cx: &Context<'_>, figure: &Figure, value: f64, what: &str) -> bool {
    if value < 0.0 {
        cx.findings.push(lint::figure_too_low::negative(figure.span, what));
    }
    value >= 0.0
}
