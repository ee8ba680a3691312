//! What a workshop knows of its meters: which of them can decide what, and why.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

#[allow(dead_code, reason = "each test file uses its own part")]
mod support;

use std::sync::Arc;

use support::meters::{
    four_wire, function, instrument, long_scale, range, short_scale, two_wire, with,
};
use support::small::{Small, band, edge, figure, one, open, shown};
use truing_engine::{
    Ability, Because, BudgetPart, Detail, Finding, MeterUse, Plan, Sheet, SheetError, Unfit,
    alternatives, assess, assess_with, study, would_settle,
};
use truing_model::*;
use truing_units::Kind;

const AT_95: DecideRule = DecideRule::At { probability: 0.95 };
const LOW: Outcome = Outcome::Outside(Some(Side::Low));
const HIGH: Outcome = Outcome::Outside(Some(Side::High));

fn taken(spec: &Spec, meter: &MeterUse, readings: &[Reading]) -> Sheet {
    let mut sheet = Sheet::new(spec);
    sheet.decide(AT_95).unwrap();
    for (id, reading) in (0..).zip(readings) {
        sheet.set(SlotId(id), reading.clone()).unwrap();
        sheet.measure_with(SlotId(id), meter.clone()).unwrap();
    }
    sheet
}

/// The first finding; the outcomes made without reasons are the same.
fn first(spec: &Spec, sheet: &Sheet) -> Finding {
    let finding = assess(spec, sheet).findings.swap_remove(0);
    assert_eq!(Plan::new(spec).evaluator().outcomes(sheet)[0], finding.outcome);
    finding
}

fn outcome(spec: &Spec, meter: &MeterUse, reading: &str) -> Outcome {
    first(spec, &taken(spec, meter, &[figure(reading)])).outcome
}

fn unfit(spec: &Spec, meter: &MeterUse, reading: Reading) -> Unfit {
    let finding = first(spec, &taken(spec, meter, &[reading]));
    assert_eq!(finding.outcome, Outcome::Blocked);
    let Because::Unfit { unfit, .. } = finding.reason.because else {
        panic!("{:?}", finding.reason.because)
    };
    unfit
}

fn stator() -> Spec {
    one(Kind::RESISTANCE, band(edge("0.07 ohm"), edge("0.13 ohm")))
}

fn near(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-8, "{a} is not {b}");
}

#[test]
fn tenths_of_an_ohm_through_two_leads_decide_no_milliohms() {
    // Common practice, no source.
    for tenths in 0..10 {
        let found =
            outcome(&stator(), &two_wire(), &format!("{}.{} ohm", tenths / 10, tenths % 10));
        assert_ne!(found, Outcome::Within, "{tenths} tenths");
    }
    assert_eq!(outcome(&stator(), &two_wire(), "0.3 ohm"), Outcome::Undecided);
    assert_eq!(outcome(&stator(), &four_wire(), "0.1000 ohm"), Outcome::Within);
    assert_eq!(outcome(&stator(), &four_wire(), "0.0600 ohm"), LOW);
    assert_eq!(outcome(&stator(), &four_wire(), "0.1303 ohm"), Outcome::Undecided);
    let told: Vec<Ability> =
        study(&stator(), &[two_wire(), four_wire()]).iter().map(|of| of.ability).collect();
    assert_eq!(told, [Ability::CannotDecide, Ability::DecidesWell]);
}

#[test]
fn a_short_scale_does_not_tell_rest_voltages_apart() {
    // 0.5 % of 12.5 V is more than the tenth of a volt between a charged battery and one that is
    // not (common practice, no source).
    let rest = one(Kind::DC_VOLTAGE, band(edge("12.5 V"), None));
    assert_eq!(outcome(&rest, &short_scale(), "12.45 V"), Outcome::Undecided);
    assert_eq!(outcome(&rest, &short_scale(), "12.55 V"), Outcome::Undecided);
    assert_eq!(outcome(&rest, &short_scale(), "12.70 V"), Outcome::Within);
    assert_eq!(outcome(&rest, &short_scale(), "12.30 V"), LOW);
}

#[test]
fn an_open_reading_proves_insulation_on_a_high_range_only() {
    // Common practice, no source.
    let insulated = one(Kind::RESISTANCE, band(edge("1 Mohm"), None));
    let on = |top: f64| {
        let meter = MeterUse { range: Some(top), ..two_wire() };
        first(&insulated, &taken(&insulated, &meter, &[Reading::Overload { range: None }])).outcome
    };
    assert_eq!(on(60e6), Outcome::Within);
    assert_eq!(on(600.0), Outcome::Undecided);
    // Without a range it is the highest.
    let open = Reading::Overload { range: None };
    assert_eq!(
        first(&insulated, &taken(&insulated, &two_wire(), &[open])).outcome,
        Outcome::Within
    );
}

#[test]
fn an_overload_is_as_doubtful_as_the_top_of_its_range() {
    // Where the display gives way is known as well as any reading there.
    let at_least = |limit: &str| {
        let spec = one(Kind::RESISTANCE, band(edge(limit), None));
        let mut sheet = taken(&spec, &two_wire(), &[Reading::Overload { range: None }]);
        sheet.decide(DecideRule::Guarded { k: 1.0 }).unwrap();
        first(&spec, &sheet).outcome
    };
    assert_eq!(at_least("50 Mohm"), Outcome::Within);
    assert_eq!(at_least("59.9 Mohm"), Outcome::Undecided);
}

/// One rule on what two readings of a meter come to.
fn of_two(
    kind: Kind,
    node: fn(NumberId, NumberId) -> NumberNode,
    meter: &MeterUse,
    readings: [&str; 2],
) -> Finding {
    let mut small = Small::new(kind, 2);
    let number = small.number(node(NumberId(0), NumberId(1)));
    let limit = small.limit(band(edge("-100 V"), None));
    small.within(number, limit, None);
    let spec = small.seal();
    first(&spec, &taken(&spec, meter, &readings.map(figure)))
}

#[test]
fn the_difference_on_one_range_loses_its_counts() {
    // GUM 5.2, check value meter.diff: 12.62 V and 12.38 V on a 60 V range, 0.5 % of the
    // difference, two resolutions of 0.01 V; computed with python 3.11.
    let finding =
        of_two(Kind::DC_VOLTAGE, NumberNode::Subtract, &long_scale(), ["12.62 V", "12.38 V"]);
    near(finding.reason.uncertainty.unwrap().standard, 0.004_140_853_4);
    // GUM 5.2 with correlation 1 for the offset, check value meter.lead.u_offset_cancels: 0.8 and
    // 0.3 ohm, 0.9 % + 2 counts of 0.1 ohm; computed with python 3.11, and with uncertainties 3.2.3.
    let meter = with(function(Kind::RESISTANCE, vec![range("600 ohm", 0.1, 0.9, 2.0)]));
    let finding = of_two(Kind::RESISTANCE, NumberNode::Subtract, &meter, ["0.8 ohm", "0.3 ohm"]);
    near(finding.reason.uncertainty.unwrap().standard, 0.040_907_416);
    let shared =
        finding.reason.budget.iter().find(|line| line.part == BudgetPart::Accuracy).unwrap();
    assert_eq!((shared.slot, shared.readings, shared.sensitivity), (Some(SlotId(0)), 2, None));
    near(shared.contribution, 0.009 * 0.5 / 3.0_f64.sqrt());
}

#[test]
fn a_ratio_on_one_range_loses_its_gain() {
    // x/y with u from the counts alone: o·|1/y − x/y²| and two resolutions (arithmetic).
    let finding =
        of_two(Kind::DC_VOLTAGE, NumberNode::Divide, &long_scale(), ["12.00 V", "10.00 V"]);
    let counts = 0.02 * (0.1 - 0.12_f64).abs() / 3.0_f64.sqrt();
    let digit = 0.005 / 3.0_f64.sqrt();
    let expected = (counts.powi(2) + (digit * 0.1).powi(2) + (digit * 0.12).powi(2)).sqrt();
    near(finding.reason.uncertainty.unwrap().standard, expected);
}

#[test]
fn two_meters_share_nothing() {
    // Both half-widths as independent rectangles, check value meter.lead.u_independent 0.167351058
    // (uncertainties 3.2.3) plus two resolutions of 0.1 ohm.
    let meter = with(function(Kind::RESISTANCE, vec![range("600 ohm", 0.1, 0.9, 2.0)]));
    let mut small = Small::new(Kind::RESISTANCE, 2);
    let number = small.number(NumberNode::Subtract(NumberId(0), NumberId(1)));
    let limit = small.limit(band(edge("-100 V"), None));
    small.within(number, limit, None);
    let spec = small.seal();
    let mut sheet = taken(&spec, &meter, &["0.8 ohm", "0.3 ohm"].map(figure));
    sheet.measure_with(SlotId(1), MeterUse { meter: "N".to_owned(), ..meter }).unwrap();
    let expected = (0.167_351_058_f64.powi(2) + 2.0 * 0.05 * 0.05 / 3.0).sqrt();
    near(first(&spec, &sheet).reason.uncertainty.unwrap().standard, expected);
}

#[test]
fn a_zeroed_reading_has_no_leads_and_no_counts() {
    let spec = one(Kind::RESISTANCE, band(None, edge("1.0 ohm")));
    let two = first(&spec, &taken(&spec, &two_wire(), &[figure("0.8 ohm")]));
    near(two.reason.value.unwrap().best.unwrap(), 0.6);
    let parts: Vec<BudgetPart> = two.reason.budget.iter().map(|line| line.part).collect();
    assert_eq!(parts, [BudgetPart::Accuracy, BudgetPart::Leads, BudgetPart::Resolution]);
    let meter = MeterUse { zeroed: true, ..two_wire() };
    let zeroed = first(&spec, &taken(&spec, &meter, &[figure("0.8 ohm")]));
    near(zeroed.reason.value.unwrap().best.unwrap(), 0.8);
    // 0.9 % of 0.8 ohm, half of the last digit, and the same for the zero (arithmetic).
    let expected = ((0.0072_f64.powi(2) + 2.0 * 0.05_f64.powi(2)) / 3.0).sqrt();
    near(zeroed.reason.uncertainty.unwrap().standard, expected);
}

#[test]
fn leads_are_taken_off_exactly() {
    // 0.8 − 0.2 ohm is 0.6 ohm: a tie is one, under the simple rule.
    let spec = one(Kind::RESISTANCE, band(edge("0.6 ohm"), None));
    let mut sheet = taken(&spec, &two_wire(), &[figure("0.8 ohm")]);
    sheet.decide(DecideRule::Simple).unwrap();
    assert_eq!(first(&spec, &sheet).outcome, Outcome::Within);
}

#[test]
fn a_circuit_without_resistance_leaves_a_tie_one() {
    // As above; what the meter loads is nothing, and takes nothing.
    let mut small = Small::new(Kind::RESISTANCE, 1);
    small.parts.slots[0].circuit = Some(Circuit { resistance: 0.0, doubt: 0.25 });
    let limit = small.limit(band(None, open("0.6 ohm")));
    small.within(NumberId(0), limit, None);
    let spec = small.seal();
    let mut function = two_wire().instrument.function(Kind::RESISTANCE).unwrap().clone();
    function.burden = Some(0.1);
    let mut sheet = taken(&spec, &with(function), &[figure("0.8 ohm")]);
    sheet.decide(DecideRule::Simple).unwrap();
    assert_eq!(first(&spec, &sheet).outcome, Outcome::Outside(Some(Side::High)));
}

#[test]
fn a_loaded_circuit_shows_less_than_it_has() {
    // 1 Mohm seen by 10 Mohm: 10 V shown are 11 V (arithmetic).
    let mut small = Small::new(Kind::DC_VOLTAGE, 1);
    small.parts.slots[0].circuit = Some(Circuit { resistance: 1e6, doubt: 1e5 });
    let limit = small.limit(band(edge("11 V"), None));
    small.within(NumberId(0), limit, None);
    let spec = small.seal();
    let meter = with(MeterFunction {
        input: Some(10e6),
        ..function(Kind::DC_VOLTAGE, vec![range("60 V", 0.01, 0.5, 2.0)])
    });
    let mut sheet = taken(&spec, &meter, &[figure("10.00 V")]);
    sheet.decide(DecideRule::Simple).unwrap();
    assert_eq!(first(&spec, &sheet).outcome, Outcome::Within);
    let findings = assess_with(&spec, &sheet, Detail::Budgets);
    let reason = &findings.findings[0].reason;
    let circuit = reason.budget.iter().find(|line| line.part == BudgetPart::Circuit).unwrap();
    near(circuit.contribution, 10.0 * 1e5 / 10e6 / 3.0_f64.sqrt());
    assert_eq!(findings.findings[0].outcome, Outcome::Within);
}

#[test]
fn a_meter_widens_with_heat_and_time() {
    // Check value meter.tempco: 0.5 % + 2 counts of 12.62 V at 38 degC, a tenth for each kelvin
    // above 28 degC: ± 0.1662 V (common practice, no source; computed with python 3.11).
    let spec = one(Kind::DC_VOLTAGE, band(edge("12.5 V"), None));
    let mut hot = instrument(long_scale().instrument.functions.clone());
    hot.valid = Some(Validity { low: 291.15, high: 301.15, widens: 0.1 });
    hot.calibration = Some(365.0 * 86_400.0);
    let meter = MeterUse { ambient: Some(311.15), ..MeterUse::new("M", Arc::new(hot)) };
    let accuracy = |meter: &MeterUse| {
        let finding = first(&spec, &taken(&spec, meter, &[figure("12.62 V")]));
        let budget = finding.reason.budget;
        budget.iter().find(|line| line.part == BudgetPart::Accuracy).unwrap().standard_uncertainty
    };
    near(accuracy(&meter), 0.1662 / 3.0_f64.sqrt());
    let late = MeterUse { since_calibration: Some(730.0 * 86_400.0), ambient: None, ..meter };
    near(accuracy(&late), 2.0 * 0.0831 / 3.0_f64.sqrt());
}

#[test]
fn repeats_bring_their_scatter() {
    let spec = one(Kind::DC_VOLTAGE, band(edge("12.5 V"), None));
    let repeats = Reading::Repeats(["12.50 V", "12.54 V", "12.52 V"].map(shown).to_vec());
    let mut sheet = Sheet::new(&spec);
    sheet.decide(AT_95).unwrap();
    sheet.set(SlotId(0), repeats).unwrap();
    let finding = first(&spec, &sheet);
    // s = 0.02, n = 3: s/√n with two degrees of freedom (JCGM 100:2008, 4.2.3; arithmetic).
    let line = finding.reason.budget[0];
    assert_eq!((line.part, line.dof), (BudgetPart::Repeats, Some(2.0)));
    near(line.contribution, 0.02 / 3.0_f64.sqrt());
    let Because::Spans { repeats: Some(more), .. } = finding.reason.because else {
        panic!("{:?}", finding.reason)
    };
    assert!(more > 3);
}

#[test]
fn a_meter_cannot_show_what_it_has_no_digits_for() {
    let spec = one(Kind::DC_VOLTAGE, band(edge("12.5 V"), None));
    assert_eq!(
        unfit(&spec, &long_scale(), figure("12.623 V")),
        Unfit::Digits { step: 0.001, range_step: 0.01, from: Some(6.0) }
    );
    assert_eq!(unfit(&spec, &long_scale(), figure("75.0 V")), Unfit::AboveRange { top: 60.0 });
    let stated = MeterUse { range: Some(100.0), ..long_scale() };
    assert_eq!(unfit(&spec, &stated, figure("12.6 V")), Unfit::NoSuchRange { stated: 100.0 });
    assert_eq!(unfit(&spec, &two_wire(), figure("12.6 V")), Unfit::NoFunction);
    // Someone rounded: fewer digits than the display has.
    assert_eq!(outcome(&spec, &long_scale(), "12 V"), LOW);
    let mut unknown = range("60 V", 0.01, 0.0, 0.0);
    unknown.accuracy = None;
    let unknown = with(function(Kind::DC_VOLTAGE, vec![unknown]));
    assert_eq!(unfit(&spec, &unknown, figure("12.60 V")), Unfit::NoAccuracy);
    // Where the reading alone is judged, no accuracy is needed.
    let mut sheet = taken(&spec, &unknown, &[figure("12.60 V")]);
    sheet.decide(DecideRule::Simple).unwrap();
    assert_eq!(first(&spec, &sheet).outcome, Outcome::Within);
}

#[test]
fn a_diode_function_reaches_as_far_as_its_voltage() {
    let meter = with(MeterFunction {
        test_voltage: Some(2.0),
        ..function(Kind::DIODE_DROP, vec![range("3 V", 0.001, 1.0, 2.0)])
    });
    let silicon = one(Kind::DIODE_DROP, band(edge("0.4 V"), edge("0.7 V")));
    assert_eq!(outcome(&silicon, &meter, "0.550 V"), Outcome::Within);
    let open = Reading::Overload { range: None };
    assert_eq!(first(&silicon, &taken(&silicon, &meter, &[open])).outcome, HIGH);
    let light = one(Kind::DIODE_DROP, band(edge("1.6 V"), edge("2.2 V")));
    assert_eq!(
        unfit(&light, &meter, figure("1.800 V")),
        Unfit::TestVoltage { test: 2.0, needed: 2.2 }
    );
    assert_eq!(study(&light, &[meter])[0].ability, Ability::CannotDecide);
}

/// An ac voltage at a frequency that is read too.
fn output() -> Spec {
    let mut small = Small::new(Kind::AC_VOLTAGE, 2);
    let SlotKind::Quantity { kind, .. } = &mut small.parts.slots[1].kind else { panic!() };
    *kind = Kind::FREQUENCY;
    small.parts.slots[0].frequency = Some(NumberId(1));
    let limit = small.limit(band(edge("20 V"), edge("40 V")));
    small.within(NumberId(0), limit, None);
    small.seal()
}

#[test]
fn the_band_of_the_frequency_is_chosen() {
    let banded = |percent: f64, band: (f64, f64)| MeterRange {
        band: Some(band),
        bottom: 0.0,
        ..range("60 V", 0.01, percent, 3.0)
    };
    let ranges = vec![banded(1.0, (45.0, 500.0)), banded(5.0, (500.5, 1000.0))];
    let meter = with(function(Kind::AC_VOLTAGE, ranges));
    let spec = output();
    let at = |frequency: Option<&str>| {
        let mut sheet = taken(&spec, &meter, &[figure("30.00 V")]);
        if let Some(frequency) = frequency {
            sheet.set(SlotId(1), figure(frequency)).unwrap();
        }
        first(&spec, &sheet)
    };
    let accuracy = |finding: &Finding| {
        finding
            .reason
            .budget
            .iter()
            .find(|line| line.part == BudgetPart::Accuracy)
            .unwrap()
            .contribution
    };
    near(accuracy(&at(Some("50 Hz"))), 0.33 / 3.0_f64.sqrt());
    near(accuracy(&at(Some("700 Hz"))), 1.53 / 3.0_f64.sqrt());
    let because = |at: Option<f64>| Because::Unfit {
        slot: SlotId(0),
        unfit: Unfit::Frequency { at, low: 45.0, high: 1000.0 },
    };
    assert_eq!(at(Some("2000 Hz")).reason.because, because(Some(2000.0)));
    assert_eq!(at(None).reason.because, because(None));
}

#[test]
fn what_is_stated_stands_in_place_of_the_instrument() {
    let spec = one(Kind::DC_VOLTAGE, band(edge("12.5 V"), None));
    let mut sheet = taken(&spec, &long_scale(), &[figure("12.55 V")]);
    assert_eq!(first(&spec, &sheet).outcome, Outcome::Undecided);
    sheet.state_uncertainty(SlotId(0), 0.01, None).unwrap();
    let finding = first(&spec, &sheet);
    assert_eq!(finding.outcome, Outcome::Within);
    near(finding.reason.uncertainty.unwrap().standard, 0.01);
    assert_eq!(finding.reason.budget.len(), 1);
    assert_eq!(finding.reason.budget[0].part, BudgetPart::Stated);
}

#[test]
fn stated_correlations_count() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let number = small.number(NumberNode::Subtract(NumberId(0), NumberId(1)));
    let limit = small.limit(band(edge("-100 V"), None));
    small.within(number, limit, None);
    let spec = small.seal();
    let mut sheet = Sheet::new(&spec);
    sheet.decide(AT_95).unwrap();
    for id in 0..2 {
        sheet.set(SlotId(id), figure("12.5 V")).unwrap();
        sheet.state_uncertainty(SlotId(id), [0.3, 0.4][id as usize], None).unwrap();
    }
    sheet.correlate(&[(SlotId(0), SlotId(1), 0.5)]).unwrap();
    let finding = first(&spec, &sheet);
    // u² = 0.3² + 0.4² − 2·0.5·0.3·0.4 (JCGM 100:2008, eq. 16; arithmetic).
    near(finding.reason.uncertainty.unwrap().standard, 0.13_f64.sqrt());
    assert_eq!(finding.reason.budget[0].part, BudgetPart::Correlated);
}

#[test]
fn what_is_wholly_correlated_cancels_wholly() {
    // u² = 0.3² + 0.3² − 2·0.3·0.3 is nothing, and no rounding of squares (JCGM 100:2008, eq. 16).
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let number = small.number(NumberNode::Subtract(NumberId(0), NumberId(1)));
    let limit = small.limit(band(edge("0.2 V"), None));
    small.within(number, limit, None);
    let spec = small.seal();
    let mut sheet = Sheet::new(&spec);
    sheet.decide(AT_95).unwrap();
    for (id, shown) in [(0, "12.7 V"), (1, "12.5 V")] {
        sheet.set(SlotId(id), figure(shown)).unwrap();
        sheet.state_uncertainty(SlotId(id), 0.3, None).unwrap();
    }
    sheet.correlate(&[(SlotId(0), SlotId(1), 1.0)]).unwrap();
    assert_eq!(first(&spec, &sheet).outcome, Outcome::Within);
    sheet.remove(SlotId(1));
    sheet.set(SlotId(1), figure("12.5 V")).unwrap();
    assert_eq!(first(&spec, &sheet).outcome, Outcome::Undecided);
}

#[test]
fn what_makes_no_sense_is_refused() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 3);
    let limit = small.limit(band(edge("12.5 V"), None));
    small.within(NumberId(0), limit, None);
    let spec = small.seal();
    let mut sheet = Sheet::new(&spec);
    let slot = SlotId(0);
    let wrong = |change: fn(&mut MeterRange)| {
        let mut bad = range("60 V", 0.01, 0.5, 2.0);
        change(&mut bad);
        with(function(Kind::DC_VOLTAGE, vec![bad]))
    };
    let refused = [
        wrong(|range| range.top = f64::NAN),
        wrong(|range| range.step = Some(0.0)),
        wrong(|range| range.bottom = 60.0),
        wrong(|range| range.accuracy = Some(LimitOfError { sums: Vec::new() })),
        wrong(|range| range.band = Some((500.0, 45.0))),
    ];
    for meter in refused {
        let found = sheet.measure_with(slot, meter);
        assert!(matches!(found, Err(SheetError::Instrument { .. })), "{found:?}");
    }
    let banded = |band| MeterRange { band: Some(band), ..range("60 V", 0.01, 0.5, 2.0) };
    let overlapping = vec![banded((45.0, 500.0)), banded((400.0, 1000.0))];
    let overlapping = with(function(Kind::DC_VOLTAGE, overlapping));
    assert!(matches!(sheet.measure_with(slot, overlapping), Err(SheetError::Instrument { .. })));
    let falling = vec![range("60 V", 0.01, 0.5, 2.0), range("6 V", 0.001, 0.5, 2.0)];
    let falling = with(function(Kind::DC_VOLTAGE, falling));
    assert!(matches!(sheet.measure_with(slot, falling), Err(SheetError::Instrument { .. })));
    let hot = MeterUse { ambient: Some(f64::NAN), ..long_scale() };
    assert_eq!(sheet.measure_with(slot, hot), Err(SheetError::NotFinite));
    assert_eq!(sheet.meter(slot), None);
    for (standard, dof) in [(f64::NAN, None), (-0.1, None), (0.1, Some(0.0)), (f64::INFINITY, None)]
    {
        assert_eq!(sheet.state_uncertainty(slot, standard, dof), Err(SheetError::Uncertainty));
    }
    let pair = |a, b, r| (SlotId(a), SlotId(b), r);
    for bad in [pair(0, 0, 0.5), pair(0, 1, 1.5), pair(0, 1, f64::NAN)] {
        assert_eq!(sheet.correlate(&[bad]), Err(SheetError::Correlation));
    }
    // One like two others that are opposites.
    let impossible = [pair(0, 1, 0.9), pair(0, 2, 0.9), pair(1, 2, -0.9)];
    assert_eq!(sheet.correlate(&impossible), Err(SheetError::NotPositiveSemidefinite));
    assert_eq!(sheet.correlate(&[pair(0, 1, 1.0), pair(1, 2, 1.0), pair(0, 2, 1.0)]), Ok(()));
    assert_eq!(
        sheet.correlate(&[pair(0, 7, 0.5)]),
        Err(SheetError::NoSuchSlot { slot: SlotId(7) })
    );
}

#[test]
fn what_would_have_decided_is_told() {
    let spec = stator();
    let sheet = taken(&spec, &two_wire(), &[figure("0.3 ohm")]);
    let plan = Plan::new(&spec);
    let at_hand = [two_wire(), four_wire(), long_scale()];
    assert_eq!(would_settle(&plan, &sheet, CheckId(0), &at_hand), [1]);
    let decided = taken(&spec, &four_wire(), &[figure("0.1000 ohm")]);
    assert_eq!(would_settle(&plan, &decided, CheckId(0), &at_hand), [0_usize; 0]);
}

#[test]
fn another_check_of_the_same_readings_may_be_decided() {
    let mut small = Small::new(Kind::RESISTANCE, 2);
    let narrow = small.limit(band(edge("0.07 ohm"), edge("0.13 ohm")));
    let short = small.limit(band(None, edge("20 ohm")));
    let other = small.limit(band(edge("100 ohm"), edge("400 ohm")));
    small.within(NumberId(0), narrow, None);
    small.within(NumberId(0), short, None);
    small.within(NumberId(1), other, None);
    let spec = small.seal();
    let told = study(&spec, &[two_wire()]);
    let abilities: Vec<Ability> = told.iter().map(|of| of.ability).collect();
    assert_eq!(abilities, [Ability::CannotDecide, Ability::DecidesWell, Ability::DecidesWell]);
    assert_eq!(alternatives(&spec, &told, &told[0]), [CheckId(1)]);
    // C_m = T/(4u), ± (0.9 % of 400 ohm + 0.2 ohm), ± 0.05 ohm and ± 0.1 ohm of the leads
    // (JCGM 106:2012, 7.6.3; arithmetic).
    let raw = 400.2 * 0.009 + 0.2;
    let standard = ((raw * raw + 0.05 * 0.05 + 0.1 * 0.1) / 3.0_f64).sqrt();
    near(told[2].index.unwrap(), 300.0 / (4.0 * standard));
}

#[test]
fn two_quantities_are_studied_by_their_difference() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let rest = small.limit(band(edge("12 V"), edge("13 V")));
    small.within(NumberId(1), rest, None);
    small.compare(NumberId(0), Relation::GreaterOrEqual, NumberId(1));
    small.compare(NumberId(0), Relation::Equal, NumberId(1));
    let spec = small.seal();
    let told = study(&spec, &[long_scale(), two_wire()]);
    let of = |check: u32, meter| {
        told.iter().find(|of| of.check == CheckId(check) && of.meter == meter).unwrap()
    };
    // Nothing is expected of the first by itself: it is taken to be where the second is.
    let [end] = of(1, 0).ends[..] else { panic!("{:?}", of(1, 0)) };
    assert_eq!((of(1, 0).ability, end.side), (Ability::DecidesExceptNearEdges, Side::Low));
    near(end.at, 12.5);
    // On one range gain and counts cancel: two resolutions of ±0.005 V are left, each halved by the
    // digits of 0.01 V (arithmetic).
    near(end.uncertainty.standard, (2.0 * 0.005_f64.powi(2) / 3.0).sqrt());
    assert_eq!(of(1, 1).ability, Ability::NotMeasured);
    assert_eq!(of(2, 0).ability, Ability::NotStudied);
}

#[test]
fn deciding_with_meters_allocates_nothing() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 4);
    let limit = small.limit(band(edge("12.5 V"), edge("12.7 V")));
    let members = (0..4).map(NumberId).collect();
    let spread = small.number(NumberNode::Fold(Fold::Spread, members));
    for id in 0..4 {
        small.within(NumberId(id), limit, None);
    }
    small.within(spread, limit, None);
    small.compare(NumberId(0), Relation::LessOrEqual, NumberId(1));
    let spec = small.seal();
    let readings = ["12.51 V", "12.69 V", "12.60 V", "12.49 V"].map(figure);
    let mut sheet = taken(&spec, &long_scale(), &readings);
    let plan = Plan::new(&spec);
    let mut evaluator = plan.evaluator();
    for rule in [AT_95, DecideRule::Guarded { k: 2.0 }] {
        sheet.decide(rule).unwrap();
        evaluator.outcomes(&sheet);
        let counted = allocation_counter::measure(|| {
            evaluator.outcomes(&sheet);
        });
        assert_eq!(counted.count_total, 0);
    }
}

#[test]
fn equal_members_leave_open_which_is_the_greatest() {
    // Three phases at 0.2 ohm on steps of 0.1 ohm may be 0.1 ohm apart: no spread of nought.
    let mut small = Small::new(Kind::RESISTANCE, 3);
    let spread = small.number(NumberNode::Fold(Fold::Spread, (0..3).map(NumberId).collect()));
    let limit = small.limit(band(None, edge("0.05 ohm")));
    small.within(spread, limit, None);
    let spec = small.seal();
    let meter = with(function(Kind::RESISTANCE, vec![range("600 ohm", 0.1, 0.9, 2.0)]));
    let found = |readings: [&str; 3]| {
        let sheet = taken(&spec, &meter, &readings.map(figure));
        let told = assess_with(&spec, &sheet, Detail::Budgets).findings.swap_remove(0);
        (told.outcome, told.reason.uncertainty.is_some())
    };
    assert_eq!(found(["0.2 ohm", "0.2 ohm", "0.2 ohm"]), (Outcome::Undecided, false));
    assert_eq!(found(["0.2 ohm", "0.7 ohm", "0.4 ohm"]), (HIGH, true));
}
