//! Instruments, in coherent units: every figure in a unit of what is measured, and no lower than it
//! can be.

use std::collections::BTreeMap;

use truing_model::{
    CommonParts, Instrument, InstrumentId, Leads, MeterFunction, Technique, Validity,
};
use truing_syntax::Span;
use truing_syntax::tree::{
    Bound, Figure, FunctionMember, InstrumentDecl, InstrumentMember, KindName, Name,
};
use truing_units::{Kind, Nature};

use super::Lowering;
use super::ranges::Ranges;
use crate::context::Context;
use crate::lint;
use crate::names::{Sort, Wanted};
use crate::typing::kind_place;

const METER: Wanted = Wanted::new(&[Sort::Instrument], "an instrument");

/// By what part of itself an accuracy widens for each kelvin outside, where nothing is said:
/// common practice, no source.
const WIDENS: f64 = 0.1;

impl Lowering<'_, '_> {
    /// All instruments, in order of declaration: their ids are their places in the scope.
    pub(super) fn instruments(&mut self) {
        self.parts.instruments =
            self.cx.instruments.iter().map(|decl| instrument(self.cx, decl)).collect();
    }

    /// The instruments that the header names.
    pub(super) fn meters(&mut self, names: &[Name]) {
        let cx = self.cx;
        let mut named: BTreeMap<u32, Span> = BTreeMap::new();
        for name in names {
            let Some(entry) = cx.find(name, METER) else { continue };
            let id = entry.index as u32;
            match named.insert(id, name.span) {
                Some(first) => {
                    cx.findings.push(lint::defined_twice::given(name.span, first, &name.node))
                }
                None => self.parts.meters.push(InstrumentId(id)),
            }
        }
    }
}

fn instrument(cx: &Context<'_>, decl: &InstrumentDecl) -> Instrument {
    let mut out = Instrument {
        name: decl.name.node.to_string(),
        title: decl.title.node.to_string(),
        functions: Vec::new(),
        valid: None,
        calibration: None,
        notes: Vec::new(),
    };
    let mut measured: BTreeMap<Kind, Span> = BTreeMap::new();
    for member in &decl.members {
        match member {
            InstrumentMember::Measures { kind: name, members } => {
                let Some(kind) = cx.kind(name) else {
                    unmeasured(cx, members);
                    continue;
                };
                if let Some(first) = measured.insert(kind, name.span) {
                    cx.findings.push(lint::defined_twice::measured(name, first));
                }
                out.functions.push(function(cx, kind, name, members));
            }
            InstrumentMember::Valid { low, high, widens } => {
                let widens = widens.as_ref().map_or(Some(WIDENS), |figure| {
                    not_negative(cx, figure, Kind::RATIO, "how fast an accuracy widens")
                });
                let ends = upward(cx, low, high, Kind::TEMPERATURE);
                out.valid =
                    ends.zip(widens).map(|((low, high), widens)| Validity { low, high, widens });
            }
            InstrumentMember::Calibration(figure) => {
                out.calibration = positive(cx, figure, Kind::TIME, "how long a calibration holds");
            }
            InstrumentMember::Note(text) => out.notes.push(text.node.to_string()),
        }
    }
    out
}

/// The figures of a function of an unknown kind that say by themselves what they are.
fn unmeasured(cx: &Context<'_>, members: &[FunctionMember]) {
    for member in members {
        match member {
            FunctionMember::TestVoltage(figure) => {
                cx.figure_num(figure, Kind::DC_VOLTAGE);
            }
            FunctionMember::Input(figure) | FunctionMember::Burden(figure) => {
                cx.figure_num(figure, Kind::RESISTANCE);
            }
            FunctionMember::Band { low, high } => {
                upward(cx, low, high, Kind::FREQUENCY);
            }
            FunctionMember::Range(line) => {
                if let Some((low, high)) = &line.band {
                    upward(cx, low, high, Kind::FREQUENCY);
                }
            }
            FunctionMember::Leads { .. }
            | FunctionMember::Capture(_)
            | FunctionMember::Technique(_)
            | FunctionMember::Common { .. }
            | FunctionMember::Note(_) => {}
        }
    }
}

fn function(
    cx: &Context<'_>,
    kind: Kind,
    name: &KindName,
    members: &[FunctionMember],
) -> MeterFunction {
    let mut out = MeterFunction {
        kind,
        unit: cx.catalogue.coherent_unit(kind),
        ranges: Vec::new(),
        leads: None,
        test_voltage: None,
        input: None,
        burden: None,
        technique: None,
        common: CommonParts::default(),
        notes: Vec::new(),
    };
    let difference = difference(cx, kind);
    let mut ranges = Ranges::new(cx, kind, members);
    for member in members {
        match member {
            FunctionMember::Range(line) => ranges.line(line),
            FunctionMember::Leads { value, doubt } => {
                out.leads = with_doubt(cx, value, doubt.as_ref(), difference)
                    .map(|(value, doubt)| Leads { value, doubt });
            }
            FunctionMember::Technique(figure) => {
                out.technique = technique(cx, figure, difference);
            }
            FunctionMember::Common { gain, offset } => {
                out.common = CommonParts { gain: *gain, offset: *offset };
            }
            FunctionMember::TestVoltage(figure) => {
                out.test_voltage = positive(cx, figure, Kind::DC_VOLTAGE, "a test voltage");
            }
            FunctionMember::Input(figure) => {
                out.input = positive(cx, figure, Kind::RESISTANCE, "an input resistance");
            }
            FunctionMember::Burden(figure) => {
                out.burden = not_negative(cx, figure, Kind::RESISTANCE, "a burden");
            }
            FunctionMember::Band { .. } | FunctionMember::Capture(_) => {}
            FunctionMember::Note(text) => out.notes.push(text.node.to_string()),
        }
    }
    if !members.iter().any(|member| matches!(member, FunctionMember::Range(_)))
        && !cx.is_torn(name.span)
    {
        cx.findings.push(lint::accuracy_missing::no_range(name));
    }
    out.ranges = ranges.finish();
    if let Some(first) = out.ranges.first() {
        out.unit = first.printed.unit.clone();
    }
    out
}

fn technique(cx: &Context<'_>, figure: &Figure, difference: Kind) -> Option<Technique> {
    let what = "what the technique adds";
    match figure.unit.as_ref().map(|unit| &*unit.node) {
        Some("%" | "‰" | "ppm") => {
            not_negative(cx, figure, Kind::RATIO, what).map(Technique::Reading)
        }
        _ => not_negative(cx, figure, difference, what).map(Technique::Amount),
    }
}

/// What a step or an error of a kind is: of a temperature, a difference of temperatures.
pub(super) fn difference(cx: &Context<'_>, kind: Kind) -> Kind {
    match cx.catalogue.kind(kind).nature {
        Nature::Point { difference } => difference,
        _ => kind,
    }
}

/// A figure in the coherent unit.
pub(super) fn value(cx: &Context<'_>, figure: &Figure, kind: Kind) -> Option<f64> {
    Some(cx.figure_num(figure, kind)?.constant()?.value)
}

/// A figure of nought or more.
pub(super) fn not_negative(
    cx: &Context<'_>,
    figure: &Figure,
    kind: Kind,
    what: &str,
) -> Option<f64> {
    let value = value(cx, figure, kind)?;
    if value < 0.0 {
        cx.findings.push(lint::figure_too_low::negative(figure.span, what));
        return None;
    }
    Some(value)
}

/// A figure above nought.
pub(super) fn positive(cx: &Context<'_>, figure: &Figure, kind: Kind, what: &str) -> Option<f64> {
    let value = value(cx, figure, kind)?;
    if value <= 0.0 {
        cx.findings.push(lint::figure_too_low::not_positive(figure.span, what));
        return None;
    }
    Some(value)
}

/// `0.2 ohm ± 0.1 ohm`, both of nought or more; without a doubt there is none.
pub(super) fn with_doubt(
    cx: &Context<'_>,
    figure: &Figure,
    doubt: Option<&Figure>,
    kind: Kind,
) -> Option<(f64, f64)> {
    let what = "what is added to a reading";
    let Some(doubt) = doubt else {
        return not_negative(cx, figure, kind, what).map(|value| (value, 0.0));
    };
    let (amount, around) = both(cx, figure, doubt, kind)?;
    for (value, figure) in [(amount, figure), (around, doubt)] {
        if value < 0.0 {
            cx.findings.push(lint::figure_too_low::negative(figure.span, what));
            return None;
        }
    }
    Some((amount, around))
}

/// Two figures that may share a unit.
pub(super) fn both(
    cx: &Context<'_>,
    first: &Figure,
    second: &Figure,
    kind: Kind,
) -> Option<(f64, f64)> {
    let place = kind_place(kind, first.span, "wanted is");
    let bounds = (Bound::Figure(first.clone()), Bound::Figure(second.clone()));
    let (first, second) = cx.both_ends((&bounds.0, &place), (&bounds.1, &place))?;
    Some((first.constant()?.value, second.constant()?.value))
}

/// Two figures of which the second lies above the first.
pub(super) fn upward(
    cx: &Context<'_>,
    low: &Figure,
    high: &Figure,
    kind: Kind,
) -> Option<(f64, f64)> {
    let (bottom, top) = both(cx, low, high, kind)?;
    if bottom >= top {
        cx.findings.push(lint::upside_down_interval::finding(low.span.to(high.span)));
        return None;
    }
    Some((bottom, top))
}
