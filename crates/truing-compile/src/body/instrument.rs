//! Instruments: ranges upward, every figure in a unit of what is measured.

use truing_syntax::Span;
use truing_syntax::tree::{
    Accuracy, AccuracyBasis, Bound, Figure, FunctionMember, InstrumentMember, RangeLine,
};
use truing_units::{Kind, Nature};

use crate::context::Context;
use crate::lint;
use crate::typing::{Num, kind_place};

pub(crate) fn instruments(cx: &Context<'_>) {
    for decl in &cx.instruments {
        for member in &decl.members {
            match member {
                InstrumentMember::Measures { kind, members } => {
                    let kind = cx.kind(kind);
                    for member in members {
                        function(cx, kind, member);
                    }
                }
                InstrumentMember::Valid { low, high } => upward(cx, low, high, Kind::TEMPERATURE),
                InstrumentMember::Note(_) => {}
            }
        }
    }
}

fn function(cx: &Context<'_>, kind: Option<Kind>, member: &FunctionMember) {
    match member {
        FunctionMember::Range(line) => range(cx, kind, line),
        FunctionMember::Leads { value, doubt } => {
            if let Some(kind) = kind {
                both(cx, value, doubt.as_ref(), kind);
            }
        }
        FunctionMember::TestVoltage(figure) => one(cx, figure, Kind::DC_VOLTAGE),
        FunctionMember::Input(figure) | FunctionMember::Burden(figure) => {
            one(cx, figure, Kind::RESISTANCE);
        }
        FunctionMember::Band { low, high } => upward(cx, low, high, Kind::FREQUENCY),
        FunctionMember::Note(_) => {}
    }
}

fn range(cx: &Context<'_>, kind: Option<Kind>, line: &RangeLine) {
    if let Some((low, high)) = &line.band {
        upward(cx, low, high, Kind::FREQUENCY);
    }
    let Some(kind) = kind else { return };
    match &line.bottom {
        Some(bottom) => upward(cx, bottom, &line.top, kind),
        None => one(cx, &line.top, kind),
    }
    if let Some(step) = &line.step {
        one(cx, step, step_kind(cx, kind));
    }
    if let Some(accuracy) = &line.accuracy {
        terms(cx, accuracy, step_kind(cx, kind));
    }
}

fn terms(cx: &Context<'_>, accuracy: &Accuracy, kind: Kind) {
    for term in &accuracy.terms {
        match term.basis {
            AccuracyBasis::Reading | AccuracyBasis::Span | AccuracyBasis::Counts => {
                one(cx, &term.figure, Kind::RATIO);
            }
            AccuracyBasis::Absolute => one(cx, &term.figure, kind),
        }
    }
}

/// What a step of a display is: of a temperature, a difference of temperatures.
fn step_kind(cx: &Context<'_>, kind: Kind) -> Kind {
    match cx.catalogue.kind(kind).nature {
        Nature::Point { difference } => difference,
        _ => kind,
    }
}

fn one(cx: &Context<'_>, figure: &Figure, kind: Kind) {
    cx.figure_num(figure, kind);
}

/// Two figures that may share a unit.
fn both(
    cx: &Context<'_>,
    first: &Figure,
    second: Option<&Figure>,
    kind: Kind,
) -> Option<(Num, Num)> {
    let Some(second) = second else {
        one(cx, first, kind);
        return None;
    };
    let place = kind_place(kind, first.span, "wanted is");
    let bounds = (Bound::Figure(first.clone()), Bound::Figure(second.clone()));
    cx.both_ends((&bounds.0, &place), (&bounds.1, &place))
}

fn upward(cx: &Context<'_>, low: &Figure, high: &Figure, kind: Kind) {
    let Some((bottom, top)) = both(cx, low, Some(high), kind) else { return };
    if let (Some(bottom), Some(top)) = (bottom.constant(), top.constant())
        && bottom.compare(top).is_ge()
    {
        let span: Span = low.span.to(high.span);
        cx.findings.push(lint::upside_down_interval::finding(span));
    }
}
