//! Instruments in coherent units, and what a reading says of how it is taken.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::float_cmp,
    reason = "what a test is made of may fail as the test may; exact figures are meant"
)]

mod support;

use support::{findings, slugs, spec};
use truing_model::{
    Circuit, CommonParts, ErrorTerms, Instrument, Leads, LimitOfError, MeterFunction, NumberNode,
    SlotId, Spec, Technique, Validity,
};
use truing_units::{Exact, Kind};

const REST: &str = r#"
source sheet "Sheet"
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
reading rest "Battery at rest" : dc_voltage
check charged "Battery is charged" : rest within rest_voltage
"#;

fn instrument(lines: &str) -> Instrument {
    let text = format!("{REST}\ninstrument meter_a \"Meter A\" {{\n{lines}\n}}");
    spec(&text).instruments[0].clone()
}

fn function(lines: &str) -> MeterFunction {
    instrument(lines).functions[0].clone()
}

#[test]
fn a_limit_of_error_is_in_coherent_units() {
    let volts = function(
        "measures dc_voltage {
            range 200 mV  step 0.1 mV  accuracy 0.5 % + 3 counts + 20 ppm
            range 2 V     step 0.001 V accuracy 0.8 % + 1 count + 2 mV
        }",
    );
    assert_eq!(volts.unit.symbol(), "mV");
    let range = &volts.ranges[0];
    assert_eq!((range.bottom, range.top, range.nought), (-0.2, 0.2, 0.0));
    assert_eq!(range.step, Some(0.0001));
    assert_eq!(range.accuracy_printed.as_deref(), Some("0.5 % + 3 counts + 20 ppm"));
    let sum = range.accuracy.as_ref().unwrap().sums[0];
    assert!((sum.reading - 0.005_02).abs() < 1e-15); // 0.5 % and 20 ppm
    assert!((sum.counts - 0.0003).abs() < 1e-15); // 3 steps of 0.1 mV
    let sum = volts.ranges[1].accuracy.as_ref().unwrap().sums[0];
    assert_eq!(sum, ErrorTerms { reading: 0.008, counts: 0.001, span: 0.0, absolute: 0.002 });
}

#[test]
fn what_capture_adds_is_told_on_each_range() {
    let volts = function(
        "measures dc_voltage {
            capture 1 % + 10 counts or 2 % of span
            range 6 V  step 0.001 V accuracy 0.5 % + 2 counts
            range 60 V step 0.01 V  accuracy 0.5 % + 2 counts
        }",
    );
    assert!(volts.captures());
    let counts = ErrorTerms { reading: 0.01, counts: 0.1, ..ErrorTerms::default() };
    let span = ErrorTerms { span: 1.2, ..ErrorTerms::default() };
    assert_eq!(volts.ranges[1].capture, Some(LimitOfError { sums: vec![counts, span] }));
    let sum = volts.ranges[0].capture.as_ref().unwrap().sums[0];
    assert!((sum.counts - 0.01).abs() < 1e-15); // 10 steps of 1 mV
    let silent = function("measures dc_voltage { range 6 V step 0.001 V accuracy 0.5 % }");
    assert!(!silent.captures());
}

#[test]
fn a_thermometer_counts_from_the_nought_of_its_unit() {
    let heat = function(
        "measures temperature {
            range -40 .. 1200 degC step 0.1 degC accuracy 2.5 K or 0.75 %
            technique 1 K
        }",
    );
    let range = &heat.ranges[0];
    assert_eq!(range.bottom, 233.15);
    assert_eq!(range.top, 1473.15);
    assert_eq!(range.nought, 273.15);
    assert_eq!(range.step, Some(0.1));
    let accuracy = range.accuracy.as_ref().unwrap();
    assert_eq!(accuracy.sums.len(), 2);
    assert_eq!(accuracy.sums[0].absolute, 2.5);
    assert_eq!(accuracy.sums[1].reading, 0.0075);
    // IEC 60584-1, class 2, as the trade quotes it: 2.5 K up to 333 °C, 0.75 % above.
    assert_eq!(accuracy.greatest(300.0).at(300.0), 2.5);
    assert_eq!(accuracy.greatest(1000.0).at(1000.0), 7.5);
    assert_eq!(heat.technique, Some(Technique::Amount(1.0)));

    let degf = function("measures temperature { range 500 degF accuracy 1 degF }");
    assert!((degf.ranges[0].nought - 255.372).abs() < 0.001); // (0 + 459.67)/1.8
    assert!((degf.ranges[0].bottom - 255.372).abs() < 0.001);
    let one = degf.ranges[0].accuracy.as_ref().unwrap().sums[0].absolute;
    assert!((one - 5.0 / 9.0).abs() < 1e-12);
}

#[test]
fn per_cent_of_span_is_of_the_whole_dial() {
    let gauge =
        function("measures gauge_pressure { range -100 .. 500 kPa accuracy 1.6 % of span }");
    let sum = gauge.ranges[0].accuracy.as_ref().unwrap().sums[0];
    assert!((sum.span - 9_600.0).abs() < 1e-9); // 1.6 % of 600 kPa
    // A sign on the display does not make the span twice as wide.
    let volts = function("measures dc_voltage { range 60 V accuracy 2 % of span }");
    assert_eq!(volts.ranges[0].accuracy.as_ref().unwrap().sums[0].span, 1.2);
}

#[test]
fn what_an_instrument_says_besides() {
    let meter = instrument(
        "measures resistance {
            range 600 ohm step 0.1 ohm accuracy 0.9 % + 3 counts
            leads 0.2 ± 0.1 ohm
            technique 1 %
            common gain
            test 3 V
            input 10 Mohm
            burden 0.03 ohm
            note \"Zero it.\"
        }
        measures ac_voltage {
            range 6 V  step 0.001 V accuracy 1 % band 45 .. 500 Hz
            range 60 V step 0.01 V  accuracy 1 % band 45 .. 500 Hz
            range 6 V  step 0.001 V accuracy 2 % band 500 .. 1000 Hz
            common nothing
        }
        valid 18 .. 28 degC widens 5 %
        calibration 365 d
        note \"Invented.\"",
    );
    let ohms = meter.function(Kind::RESISTANCE).unwrap();
    assert_eq!(ohms.leads, Some(Leads { value: 0.2, doubt: 0.1 }));
    assert_eq!(ohms.technique, Some(Technique::Reading(0.01)));
    assert_eq!(ohms.common, CommonParts { gain: true, offset: false });
    assert_eq!((ohms.test_voltage, ohms.input, ohms.burden), (Some(3.0), Some(1e7), Some(0.03)));
    assert_eq!(ohms.notes, ["Zero it."]);
    let volts = meter.function(Kind::AC_VOLTAGE).unwrap();
    let tops: Vec<_> =
        volts.ranges.iter().map(|range| (range.top, range.band.unwrap().0)).collect();
    assert_eq!(tops, [(6.0, 45.0), (6.0, 500.0), (60.0, 45.0)]);
    assert_eq!(volts.common, CommonParts { gain: false, offset: false });
    assert_eq!(meter.valid, Some(Validity { low: 291.15, high: 301.15, widens: 0.05 }));
    assert_eq!(meter.calibration, Some(365.0 * 86_400.0));
    assert_eq!(meter.notes, ["Invented."]);

    let plain = instrument(
        "measures ac_voltage { range 6 V accuracy 1 %\n band 45 .. 500 Hz }\nvalid 18 .. 28 degC",
    );
    assert_eq!(plain.functions[0].ranges[0].band, Some((45.0, 500.0)));
    assert_eq!(plain.functions[0].common, CommonParts { gain: true, offset: true });
    assert_eq!(plain.valid.unwrap().widens, 0.1); // common practice, no source
}

const OUTPUT: &str = r#"
source sheet "Sheet"
family phase = U, V, W
constant poles : count = 12
property ratio_of_belt "Ratio of the belt" : ratio
limit least : ac_voltage = min 17 V cite sheet
reading speed "Engine speed" : rotational_speed
reading output[phase] "Output {phase}" : ac_voltage {
    frequency frequency_of(speed * ratio_of_belt, poles: poles)
    circuit 100 kohm ± 10 kohm
}
reading slip[phase] "Slip ring {phase}" : ac_voltage { frequency own[phase] }
reading own[phase] "Frequency of {phase}" : frequency
check enough[phase] "Enough of {phase}" : output[phase] within least
check level[phase] "Level of {phase}" : slip[phase] within least
"#;

#[test]
fn a_reading_says_its_frequency_and_its_circuit() {
    let spec = spec(OUTPUT);
    let slot = &spec.slots[spec.slot_labelled("output[V]").unwrap().0 as usize];
    assert_eq!(slot.circuit, Some(Circuit { resistance: 1e5, doubt: 1e4 }));
    assert!(slot.frequency.is_some());
    // Each member has its own.
    for member in ["U", "V", "W"] {
        let id = spec.slot_labelled(&format!("slip[{member}]")).unwrap();
        let frequency = spec.slots[id.0 as usize].frequency.unwrap();
        let own = spec.slot_labelled(&format!("own[{member}]")).unwrap();
        assert_eq!(spec.numbers[frequency.0 as usize], NumberNode::Slot(own));
    }
    assert_eq!(spec.slots[SlotId(0).0 as usize].frequency, None);
}

fn constant(spec: &Spec) -> (f64, Option<Exact>) {
    let found = spec.numbers.iter().find_map(|node| match node {
        NumberNode::Constant { value, exact } => Some((*value, *exact)),
        _ => None,
    });
    found.unwrap()
}

#[test]
fn the_frequency_of_an_alternator_is_exact() {
    let of = |expr: &str| {
        let text = format!("reading f \"F\" : frequency\ncheck c \"C\" : f <= {expr}");
        constant(&spec(&text))
    };
    // f = n·p/120 with n in rpm.
    let (value, exact) = of("frequency_of(5000 rpm, poles: 12)");
    assert_eq!(value, 500.0);
    assert_eq!(
        exact.map(|exact| (exact.ratio().numer(), exact.ratio().denom(), exact.pi())),
        Some((500, 1, 0))
    );
    // A shaft alone: turns per second.
    assert_eq!(of("frequency_of(3000 rpm)").0, 50.0);
    assert_eq!(of("frequency_of(poles: 2, 3000 rpm)").0, 50.0);
}

#[test]
fn what_a_reading_says_wrongly() {
    let wrong = |line: &str| {
        slugs(&format!(
            "library x \"X\"\nreading speed \"S\" : rotational_speed\nreading a \"A\" : ac_voltage {{ {line} }}"
        ))
    };
    assert_eq!(wrong("frequency 50 V"), ["unit-mismatch"]);
    assert_eq!(wrong("frequency speed"), ["kind-mismatch"]);
    assert_eq!(wrong("frequency sped"), ["undefined-name"]);
    assert_eq!(wrong("frequency frequency_of(speed, pole: 12)"), ["wrong-argument"]);
    assert_eq!(wrong("frequency frequency_of(speed, poles: 12 V)"), ["unit-mismatch"]);
    assert_eq!(wrong("frequency frequency_of(poles: 12)"), ["wrong-argument"]);
    assert_eq!(wrong("frequency frequency_of(speed, poles: 0)"), ["figure-too-low"]);
    assert_eq!(wrong("frequency frequency_of(speed, speed)"), ["wrong-argument"]);
    assert_eq!(wrong("circuit 100 V"), ["unit-mismatch"]);
    assert_eq!(wrong("circuit 100 kohm ± -1 kohm"), ["figure-too-low"]);
    assert_eq!(wrong("frequency 50 Hz circuit 5 ohm"), [""; 0]);
    let seen =
        "library x \"X\"\nobservation a \"A\" : clean, burnt { circuit 5 ohm frequency 5 Hz }";
    assert_eq!(slugs(seen), ["wrong-sort"; 2]);
}

#[test]
fn the_header_names_meters_that_are_there() {
    let text = |header: &str| {
        format!(
            "spec demo \"Demo\" {{ edition \"1\" {header} }}\n{REST}\ninstrument meter_a \"A\" {{ }}\ninstrument meter_b \"B\" {{ }}"
        )
    };
    assert!(findings(&text("meter meter_b, meter_a")).is_empty());
    assert_eq!(slugs(&text("meter meter_b, meter_b")), ["defined-twice"]);
    assert_eq!(slugs(&text("meter rest")), ["wrong-sort"]);
    let unknown = findings(&text("meter meter_bb"));
    assert_eq!(unknown.len(), 1);
    assert!(unknown[0].starts_with("undefined-name at \"meter_bb\""), "{unknown:?}");

    let (_, checked) = support::checked(&text("meter meter_b, meter_a"));
    let meters: Vec<u32> = checked.spec.unwrap().meters.iter().map(|id| id.0).collect();
    assert_eq!(meters, [1, 0]);
}

/// What the generic instruments may err by, worked out by hand from the tables that they were made
/// from: per cent of the reading, and counts of the range that holds it.
#[test]
fn the_generic_instruments_err_as_their_tables_say() {
    let libraries =
        ["bench", "clamp", "handheld", "mechanical", "pressure", "speed", "temperature"];
    let uses: String =
        libraries.iter().map(|library| format!("use \"meters/{library}\"\n")).collect();
    let spec = spec(&format!("{uses}{REST}"));
    let rpm = std::f64::consts::PI / 30.0;
    let rows: [(&str, Kind, f64, Option<f64>, f64); 18] = [
        ("handheld_2000", Kind::DC_VOLTAGE, 14.0, None, 0.07 + 0.03),
        ("handheld_2000", Kind::AC_VOLTAGE, 70.0, None, 0.84 + 1.0),
        ("handheld_2000", Kind::DIODE_DROP, 0.5, None, 0.015 + 0.005),
        ("handheld_2000", Kind::RESISTANCE, 0.22, None, 0.001_76 + 0.5),
        ("handheld_6000", Kind::DC_VOLTAGE, 12.6, None, 0.063 + 0.02),
        ("handheld_6000", Kind::DC_VOLTAGE, 0.1, None, 0.0005 + 0.0003),
        ("handheld_6000", Kind::DC_VOLTAGE, -0.1, None, 0.0005 + 0.0003),
        ("handheld_6000", Kind::AC_VOLTAGE, 70.0, Some(500.0), 0.7 + 0.3),
        ("handheld_6000", Kind::AC_VOLTAGE, 70.0, Some(840.0), 1.4 + 0.3),
        ("milliohm_meter", Kind::RESISTANCE, 0.22, None, 0.000_22 + 0.0005),
        ("dc_clamp", Kind::DC_CURRENT, 5.0, None, 0.125 + 0.1),
        ("pressure_gauge", Kind::GAUGE_PRESSURE, 80e3, None, 9.6e3),
        ("compression_gauge", Kind::GAUGE_PRESSURE, 900e3, None, 50e3),
        ("thermometer_type_k", Kind::TEMPERATURE, 673.15, None, 3.0),
        ("thermometer_pt100", Kind::TEMPERATURE, 373.15, None, 0.8),
        ("tachometer", Kind::ROTATIONAL_SPEED, 5000.0 * rpm, None, 35.0 * rpm),
        ("torque_wrench", Kind::TORQUE, 8.0, None, 0.48),
        ("torque_wrench", Kind::TORQUE, 50.0, None, 2.0),
    ];
    for (name, kind, reading, frequency, limit) in rows {
        let id = spec.instrument_named(name).unwrap();
        let function = spec.instrument(id).unwrap().function(kind).unwrap();
        let holds = |range: &&truing_model::MeterRange| {
            (range.bottom..=range.top).contains(&reading)
                && frequency
                    .is_none_or(|f| range.band.is_some_and(|(low, high)| (low..=high).contains(&f)))
        };
        let range = function.ranges.iter().find(holds).unwrap();
        let from_nought = reading - range.nought;
        let at = range.accuracy.as_ref().unwrap().greatest(from_nought).at(from_nought);
        assert!((at - limit).abs() < 1e-9 * limit, "{name} at {reading}: {at}, not {limit}");
    }
}
