//! Instruments, meters and stated uncertainties made up from a stream of choices.

use std::sync::Arc;

use truing_engine::{MeterUse, Sheet};
use truing_model::*;
use truing_units::{Catalogue, Kind};

use super::Choices;
use super::small::measure;

fn range(choices: &mut Choices, top: f64, step: f64) -> MeterRange {
    let mut terms = || ErrorTerms {
        reading: [0.005, 0.0, 0.02, 0.25][choices.pick(4)],
        counts: [2.0, 0.0, 5.0][choices.pick(3)] * step,
        span: [0.0, 0.0, 0.01][choices.pick(3)] * top,
        absolute: [0.0, 0.0, 0.125][choices.pick(3)],
    };
    let sums = vec![terms(), terms()];
    MeterRange {
        bottom: if choices.chance(4) { 0.0 } else { -top },
        top,
        printed: measure(&format!("{top}"), "V"),
        nought: if choices.chance(5) { 1.0 } else { 0.0 },
        step: if choices.chance(6) { None } else { Some(step) },
        accuracy: if choices.chance(10) { None } else { Some(LimitOfError { sums }) },
        accuracy_printed: None,
        band: None,
    }
}

fn function(choices: &mut Choices, kind: Kind) -> MeterFunction {
    let mut ranges = Vec::new();
    for (top, step) in [(0.05, 1e-5), (5.0, 0.01), (50.0, 0.1), (1000.0, 1.0)] {
        let one = range(choices, top, step);
        if choices.chance(5) {
            let other = MeterRange { band: Some((4.5, 500.0)), ..range(choices, top, step) };
            ranges.push(MeterRange { band: Some((-0.0, 4.0)), ..one });
            ranges.push(other);
        } else {
            ranges.push(one);
        }
    }
    ranges.truncate(2 + choices.pick(7));
    let volts = kind == Kind::DC_VOLTAGE;
    MeterFunction {
        kind,
        unit: Catalogue::standard().unit("V").unwrap(),
        ranges,
        leads: choices.maybe(3, |choices| Leads {
            value: [0.2, 0.0, 0.5][choices.pick(3)],
            doubt: [0.1, 0.0][choices.pick(2)],
        }),
        test_voltage: choices.maybe(4, |_| 2.0),
        input: if volts { choices.maybe(2, |_| 10.0) } else { None },
        burden: if volts { None } else { choices.maybe(3, |_| 0.5) },
        technique: choices.maybe(4, |choices| {
            [Technique::Amount(0.25), Technique::Reading(0.03)][choices.pick(2)]
        }),
        common: CommonParts { gain: !choices.chance(4), offset: !choices.chance(4) },
        notes: Vec::new(),
    }
}

fn instrument(choices: &mut Choices) -> Instrument {
    let mut functions = vec![function(choices, Kind::DC_VOLTAGE)];
    if !choices.chance(6) {
        functions.push(function(choices, Kind::RESISTANCE));
    }
    Instrument {
        name: "made up".to_owned(),
        title: String::new(),
        functions,
        valid: choices.maybe(3, |_| Validity { low: 290.0, high: 300.0, widens: 0.1 }),
        calibration: choices.maybe(3, |_| 100.0),
        notes: Vec::new(),
    }
}

/// Says of some readings what they were taken with, and how uncertain they are.
pub fn measure_some(sheet: &mut Sheet, choices: &mut Choices) {
    if choices.chance(3) {
        return;
    }
    let instruments = [Arc::new(instrument(choices)), Arc::new(instrument(choices))];
    for slot in (0..4).map(SlotId) {
        if choices.chance(4) {
            continue;
        }
        let place = choices.pick(2);
        let meter = MeterUse {
            range: choices.maybe(5, |choices| [5.0, 50.0, 7.0][choices.pick(3)]),
            zeroed: choices.chance(4),
            ambient: choices.maybe(3, |choices| [295.0, 305.0, 280.0][choices.pick(3)]),
            since_calibration: choices.maybe(3, |choices| [50.0, 250.0][choices.pick(2)]),
            frequency: choices.maybe(3, |choices| [2.0, 50.0, 4.25][choices.pick(3)]),
            ..MeterUse::new(["A", "B"][place], Arc::clone(&instruments[place]))
        };
        sheet.measure_with(slot, meter).unwrap();
    }
    for slot in (0..4).map(SlotId) {
        if choices.chance(6) {
            let dof = choices.maybe(2, |choices| [4.0, 20.0][choices.pick(2)]);
            sheet.state_uncertainty(slot, [0.1, 0.0, 0.5][choices.pick(3)], dof).unwrap();
        }
    }
    if choices.chance(4) {
        let coefficient = |choices: &mut Choices| [0.5, -0.5, 1.0, 0.25][choices.pick(4)];
        let (one, other) = (coefficient(choices), coefficient(choices));
        let pairs = [(SlotId(0), SlotId(1), one), (SlotId(1), SlotId(2), other)];
        // Some of these cannot be true together, and are refused.
        let _ = sheet.correlate(&pairs[..1 + choices.pick(2)]);
    }
}
