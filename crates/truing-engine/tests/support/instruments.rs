//! Instruments made up from a stream of choices, and what readings were taken with.

use std::sync::Arc;

use truing_engine::{MeterUse, Sheet};
use truing_model::*;
use truing_units::{Catalogue, Decimal, Kind, Measure};

use super::Choices;

const KINDS: [Kind; 3] = [Kind::DC_VOLTAGE, Kind::RESISTANCE, Kind::DIODE_DROP];

fn one<T: Copy>(choices: &mut Choices, of: &[T]) -> T {
    of[choices.pick(of.len())]
}

pub fn instrument(choices: &mut Choices) -> Instrument {
    let mut functions = Vec::new();
    for kind in KINDS {
        if !choices.chance(12) {
            functions.push(function(kind, choices));
        }
    }
    Instrument {
        name: "meter".to_owned(),
        title: "A made-up meter".to_owned(),
        functions,
        valid: choices.maybe(3, |choices| Validity {
            low: 291.0,
            high: one(choices, &[291.0, 301.0]),
            widens: one(choices, &[0.1, 0.0, 0.05]),
        }),
        calibration: choices.maybe(3, |_| 100.0),
        notes: Vec::new(),
    }
}

fn function(kind: Kind, choices: &mut Choices) -> MeterFunction {
    let catalogue = Catalogue::standard();
    MeterFunction {
        kind,
        unit: catalogue.unit(if kind == Kind::RESISTANCE { "ohm" } else { "V" }).unwrap(),
        ranges: ranges(kind, choices),
        leads: choices.maybe(3, |choices| Leads {
            value: one(choices, &[0.0, 0.1, 0.2]),
            doubt: one(choices, &[0.05, 0.0, 0.2]),
        }),
        test_voltage: choices.maybe(2, |choices| one(choices, &[0.1, 2.5, 0.5, 8.0])),
        input: choices.maybe(2, |choices| one(choices, &[10.0, 1e4])),
        burden: choices.maybe(4, |choices| one(choices, &[0.1, 2.0])),
        technique: choices.maybe(4, |choices| {
            if choices.chance(2) {
                Technique::Amount(one(choices, &[0.01, 0.2]))
            } else {
                Technique::Reading(one(choices, &[0.01, 0.1]))
            }
        }),
        common: CommonParts { gain: !choices.chance(4), offset: !choices.chance(4) },
        notes: Vec::new(),
    }
}

fn ranges(kind: Kind, choices: &mut Choices) -> Vec<MeterRange> {
    let mut ranges = Vec::new();
    for (place, top) in [0.04, 4.0, 40.0].into_iter().enumerate() {
        if place < 2 && choices.chance(2) {
            continue;
        }
        let line = MeterRange {
            bottom: one(choices, &[-top, -top, 0.0]),
            top,
            printed: printed(kind, top),
            nought: one(choices, &[0.0, 0.0, 0.0, 2.0]),
            step: one(
                choices,
                &[
                    None,
                    None,
                    Some(1e-5),
                    Some(1e-5),
                    Some(0.001),
                    Some(0.01),
                    Some(0.1),
                    Some(1.0),
                ],
            ),
            accuracy: None,
            accuracy_printed: None,
            capture: choices.maybe(2, capture),
            band: None,
        };
        if choices.chance(5) {
            for band in [(0.0, 5.0), one(choices, &[(5.5, 30.0), (5.0, 30.0)])] {
                ranges.push(MeterRange { band: Some(band), ..rated(line.clone(), choices) });
            }
        } else {
            ranges.push(rated(line, choices));
        }
    }
    ranges
}

fn capture(choices: &mut Choices) -> LimitOfError {
    let sum = |reading, counts| ErrorTerms { reading, counts, ..ErrorTerms::default() };
    let sums = one(choices, &[&[(0.01, 0.0)][..], &[(0.0, 0.02), (0.05, 0.0)], &[(0.02, 0.01)]]);
    LimitOfError { sums: sums.iter().map(|(reading, counts)| sum(*reading, *counts)).collect() }
}

fn rated(line: MeterRange, choices: &mut Choices) -> MeterRange {
    if choices.chance(12) {
        return line;
    }
    let step = line.step.unwrap_or_default();
    let sums = (0..1 + choices.pick(2))
        .map(|_| ErrorTerms {
            reading: one(choices, &[0.005, 0.0, 0.02, 0.1]),
            counts: step * one(choices, &[0.0, 1.0, 3.0]),
            span: line.top * one(choices, &[0.0, 0.0, 0.015]),
            absolute: one(choices, &[0.0, 0.0, 0.03]),
        })
        .collect();
    MeterRange { accuracy: Some(LimitOfError { sums }), ..line }
}

fn printed(kind: Kind, top: f64) -> Measure {
    let unit = Catalogue::standard().unit(if kind == Kind::RESISTANCE { "ohm" } else { "V" });
    Measure { figure: Decimal::parse(&top.to_string()).unwrap(), unit: unit.unwrap() }
}

/// Says of some readings what they were taken with, or how uncertain a certificate says they are.
pub fn measured(sheet: &mut Sheet, choices: &mut Choices) {
    // One meter for all on one range, as often as not: then errors are shared.
    let count = one(choices, &[1, 1, 2, 3]);
    let common_range = choices.maybe(2, |_| 40.0);
    let meters: Vec<(String, Arc<Instrument>)> =
        (0..count).map(|place| (format!("M-{place}"), Arc::new(instrument(choices)))).collect();
    for slot in (0..4).map(SlotId) {
        if choices.chance(5) {
            continue;
        }
        let (meter, instrument) = &meters[choices.pick(meters.len())];
        let meter = MeterUse {
            range: choices
                .maybe(6, |choices| one(choices, &[40.0, 4.0, 0.04, 7.0]))
                .or(common_range),
            zeroed: choices.chance(4),
            ambient: choices.maybe(4, |choices| one(choices, &[295.0, 280.0, 311.0])),
            since_calibration: choices.maybe(4, |choices| one(choices, &[50.0, 150.0])),
            frequency: choices.maybe(4, |choices| one(choices, &[2.0, 10.0, 5.2])),
            ..MeterUse::new(meter.clone(), Arc::clone(instrument))
        };
        sheet.measure_with(slot, meter).unwrap();
    }
    for slot in (0..4).map(SlotId) {
        if choices.chance(5) {
            let dof = choices.maybe(2, |choices| one(choices, &[3.0, 8.5, 50.0]));
            sheet.state_uncertainty(slot, one(choices, &[0.1, 1.0, 0.002, 0.0]), dof).unwrap();
        }
    }
    for _ in 0..choices.pick(3) {
        let pair = (SlotId(choices.id(4)), SlotId(choices.id(4)));
        let coefficient = one(choices, &[0.5, -0.3, 1.0, -1.0]);
        // A reading with itself, and what cannot all be true at once, is refused.
        let _ = sheet.correlate(&[(pair.0, pair.1, coefficient)]);
    }
}

/// What matters of a meter for one kind.
pub fn shown(meter: &MeterUse, kind: Kind) -> String {
    let MeterUse { meter: name, instrument, range, zeroed, ambient, since_calibration, frequency } =
        meter;
    let mut text = format!(
        "    with {name} range {range:?} zeroed {zeroed} ambient {ambient:?} since \
         {since_calibration:?} at {frequency:?}; {:?} {:?}",
        instrument.valid, instrument.calibration
    );
    let Some(function) = instrument.function(kind) else { return text + " no function" };
    text += &format!(
        "\n    leads {:?} test {:?} input {:?} burden {:?} {:?} {:?}",
        function.leads,
        function.test_voltage,
        function.input,
        function.burden,
        function.technique,
        function.common
    );
    for line in &function.ranges {
        let MeterRange { bottom, top, nought, step, accuracy, band, .. } = line;
        let sums = accuracy.as_ref().map(|accuracy| &accuracy.sums);
        text += &format!("\n    {bottom} .. {top} from {nought} step {step:?} {band:?} {sums:?}");
    }
    text
}
