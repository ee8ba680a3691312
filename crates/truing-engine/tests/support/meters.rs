//! Instruments of one idea each. All are invented.

use std::sync::Arc;

use truing_engine::MeterUse;
use truing_model::{
    CommonParts, ErrorTerms, Instrument, Leads, LimitOfError, MeterFunction, MeterRange,
};
use truing_units::{Catalogue, Kind};

use super::small::measure;

/// A range up to `top` (`"60 V"`) in steps, with `± (percent % + counts)`.
pub fn range(top: &str, step: f64, percent: f64, counts: f64) -> MeterRange {
    let (figure, unit) = top.split_once(' ').unwrap();
    let printed = measure(figure, unit);
    let top = printed.coherent(truing_units::Place::Amount);
    let terms =
        ErrorTerms { reading: percent / 100.0, counts: counts * step, ..Default::default() };
    MeterRange {
        bottom: -top,
        top,
        printed,
        nought: 0.0,
        step: Some(step),
        accuracy: Some(LimitOfError { sums: vec![terms] }),
        accuracy_printed: None,
        capture: None,
        band: None,
    }
}

/// A function of these ranges and nothing else.
pub fn function(kind: Kind, ranges: Vec<MeterRange>) -> MeterFunction {
    let unit = Catalogue::standard().unit("V").unwrap();
    MeterFunction {
        kind,
        unit,
        ranges,
        leads: None,
        test_voltage: None,
        input: None,
        burden: None,
        technique: None,
        common: CommonParts::default(),
        notes: Vec::new(),
    }
}

/// An instrument of these functions and nothing else.
pub fn instrument(functions: Vec<MeterFunction>) -> Instrument {
    Instrument {
        name: "invented".to_owned(),
        title: "An invented instrument".to_owned(),
        functions,
        valid: None,
        calibration: None,
        notes: Vec::new(),
    }
}

/// The use of a meter with one function.
pub fn with(function: MeterFunction) -> MeterUse {
    MeterUse::new("M", Arc::new(instrument(vec![function])))
}

/// A hand-held resistance function with two test leads.
pub fn two_wire() -> MeterUse {
    with(MeterFunction {
        leads: Some(Leads { value: 0.2, doubt: 0.1 }),
        ..function(
            Kind::RESISTANCE,
            vec![range("600 ohm", 0.1, 0.9, 2.0), range("60 Mohm", 1e4, 1.5, 3.0)],
        )
    })
}

/// A milliohm function with four leads: ±(0.10 % + 5 counts of 0.1 mohm on 300 mohm).
pub fn four_wire() -> MeterUse {
    with(function(Kind::RESISTANCE, vec![range("300 mohm", 1e-4, 0.10, 5.0)]))
}

/// A dc voltage function of 2000 counts.
pub fn short_scale() -> MeterUse {
    with(function(
        Kind::DC_VOLTAGE,
        vec![range("2 V", 0.001, 0.5, 2.0), range("20 V", 0.01, 0.5, 2.0)],
    ))
}

/// A dc voltage function of 6000 counts.
pub fn long_scale() -> MeterUse {
    let ranges = vec![
        range("600 mV", 1e-4, 0.5, 2.0),
        range("6 V", 0.001, 0.5, 2.0),
        range("60 V", 0.01, 0.5, 2.0),
    ];
    with(function(Kind::DC_VOLTAGE, ranges))
}
