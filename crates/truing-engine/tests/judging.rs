//! What comes of each form of reading, by each decision rule, and why.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

#[allow(dead_code, reason = "each test file uses its own part")]
mod support;

use support::small::*;
use truing_engine::{Because, Sheet, SheetError, Slip, Spanned};
use truing_model::*;
use truing_units::Kind;

const HIGH: Outcome = Outcome::Outside(Some(Side::High));
const LOW: Outcome = Outcome::Outside(Some(Side::Low));
const SIMPLE: DecideRule = DecideRule::Simple;

#[test]
fn overload_lies_above_the_top_of_its_range() {
    let spec = one(Kind::RESISTANCE, band(edge("1 Mohm"), None));
    let overload = |range: Option<&str>| Reading::Overload { range: range.map(shown) };
    assert_eq!(simply(&spec, &[overload(Some("60 Mohm"))]), Outcome::Within);
    let finding = first(&spec, SIMPLE, &[overload(Some("600 ohm"))]);
    assert_eq!(finding.outcome, Outcome::Undecided);
    let because = Because::Overload { slot: SlotId(0), range: Some(600.0) };
    assert_eq!(finding.reason.because, because);
    let finding = first(&spec, SIMPLE, &[overload(None)]);
    assert_eq!(finding.outcome, Outcome::Undecided);
    assert_eq!(finding.reason.because, Because::Overload { slot: SlotId(0), range: None });
    // Above 60 Mohm is above 1 ohm.
    let short = one(Kind::RESISTANCE, band(None, edge("1 ohm")));
    assert_eq!(simply(&short, &[overload(Some("60 Mohm"))]), HIGH);
    // The top itself is not reached.
    let top = one(Kind::RESISTANCE, band(None, edge("600 ohm")));
    assert_eq!(simply(&top, &[overload(Some("600 ohm"))]), HIGH);
}

#[test]
fn bounds_and_gauges_say_which_ends_are_possible() {
    let spec = one(Kind::LENGTH, band(edge("0.13 mm"), open("0.15 mm")));
    let gauge = Reading::Between { low: shown("0.13 mm"), high: shown("0.15 mm") };
    assert_eq!(simply(&spec, &[gauge]), Outcome::Within);
    let over = |inclusive| Reading::Above { bound: shown("0.15 mm"), inclusive };
    assert_eq!(simply(&spec, &[over(true)]), HIGH);
    let closed = one(Kind::LENGTH, band(None, edge("0.15 mm")));
    assert_eq!(simply(&closed, &[over(true)]), Outcome::Undecided);
    assert_eq!(simply(&closed, &[over(false)]), HIGH);
}

#[test]
fn what_cannot_be_negative_is_not() {
    let below = [Reading::Below { bound: shown("0.1 ohm"), inclusive: false }];
    let spec = one(Kind::RESISTANCE, band(edge("0 ohm"), edge("0.5 ohm")));
    assert_eq!(simply(&spec, &below), Outcome::Within);
    let below = [Reading::Below { bound: shown("0.1 V"), inclusive: false }];
    let spec = one(Kind::DC_VOLTAGE, band(edge("0 V"), edge("0.5 V")));
    assert_eq!(simply(&spec, &below), Outcome::Undecided);
}

#[test]
fn unsteady_readings_are_judged_by_all_that_was_seen() {
    let spec = one(Kind::RESISTANCE, band(edge("1 Mohm"), None));
    let unsteady = |low: &str, high: &str| Reading::Unsteady {
        low: shown(low),
        high: shown(high),
        moved_by: Some("the harness".to_owned()),
    };
    assert_eq!(simply(&spec, &[unsteady("12 ohm", "0.9 Mohm")]), LOW);
    assert_eq!(simply(&spec, &[unsteady("0.9 Mohm", "1.1 Mohm")]), Outcome::Undecided);
}

#[test]
fn worn_is_inside_the_service_limit_only() {
    let spec = one(
        Kind::LENGTH,
        LimitRule::Band(Band {
            standard: Interval { low: edge("0.15 mm"), high: edge("0.30 mm") },
            service: Some(Interval { low: None, high: edge("0.60 mm") }),
        }),
    );
    assert_eq!(simply(&spec, &[figure("0.30 mm")]), Outcome::Within);
    assert_eq!(simply(&spec, &[figure("0.31 mm")]), Outcome::Worn);
    assert_eq!(simply(&spec, &[figure("0.60 mm")]), Outcome::Worn);
    assert_eq!(simply(&spec, &[figure("0.61 mm")]), HIGH);
    // Whether within or worn is open; that it passes is not.
    let between = Reading::Between { low: shown("0.25 mm"), high: shown("0.35 mm") };
    let finding = first(&spec, SIMPLE, &[between]);
    let Because::Spans { ends, passes, .. } = finding.reason.because else { panic!("spans") };
    assert_eq!((finding.outcome, ends, passes), (Outcome::Undecided, Spanned::High, true));
}

#[test]
fn a_guard_band_is_k_standard_uncertainties_of_the_last_digit() {
    // h = 0.05, u = h/√3 = 0.0288675, 2u = 0.057735 (JCGM 100:2008, 4.3.7; arithmetic).
    let spec = one(Kind::DC_VOLTAGE, band(None, edge("12.0 V")));
    let guarded = DecideRule::Guarded { k: 2.0 };
    assert_eq!(first(&spec, guarded, &[figure("11.9 V")]).outcome, Outcome::Within);
    let finding = first(&spec, guarded, &[figure("12.0 V")]);
    assert_eq!(finding.outcome, Outcome::Undecided);
    assert!((finding.reason.doubt.unwrap() - 0.057_735).abs() < 1e-6);
    assert_eq!(finding.reason.value.unwrap().best, Some(12.0));
    assert_eq!(first(&spec, guarded, &[figure("12.1 V")]).outcome, HIGH);
    assert_eq!(first(&spec, guarded, &[figure("11.95 V")]).outcome, Outcome::Within);
}

#[test]
fn conformance_probability_is_that_share_of_the_last_digit() {
    // 12.0 V is anywhere in 11.95 .. 12.05: 80 % of that lies below 12.03 (arithmetic).
    let spec = one(Kind::DC_VOLTAGE, band(None, edge("12.03 V")));
    let at = |probability| DecideRule::At { probability };
    let reading = [figure("12.0 V")];
    let finding = first(&spec, at(0.95), &reading);
    assert_eq!(finding.outcome, Outcome::Undecided);
    assert!((probability(&finding).unwrap() - 0.8).abs() < 1e-12);
    // Exactly as much as is asked for is enough, on both sides.
    assert_eq!(first(&spec, at(0.8), &reading).outcome, Outcome::Within);
    let other = one(Kind::DC_VOLTAGE, band(edge("12.03 V"), None));
    assert_eq!(first(&other, at(0.8), &reading).outcome, LOW);
    let passes = probability(&first(&other, at(0.81), &reading)).unwrap();
    assert!((passes - 0.2).abs() < 1e-12);
    // Two-sided, and narrower than the digit: outside, though not known on which side.
    let narrow = one(Kind::DC_VOLTAGE, band(edge("11.999 V"), edge("12.001 V")));
    let finding = first(&narrow, at(0.95), &reading);
    assert_eq!(finding.outcome, Outcome::Outside(None));
    assert_eq!(finding.reason.because, Because::Beside);
    // 0.03 over 0.9 is the half-width that leaves 5 % beyond the end; 95 % of the true values lie
    // within 0.95 of that (arithmetic).
    let finding = first(&spec, at(0.95), &reading);
    let Because::Spans { settles: Some(settles), .. } = finding.reason.because else {
        panic!("settles")
    };
    assert!((settles - 0.03 / 0.9 * 0.95).abs() < 1e-9);
}

#[test]
fn derived_quantities_add_up_the_errors_of_their_readings() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let difference = small.number(NumberNode::Subtract(NumberId(0), NumberId(1)));
    let limit = small.limit(band(None, edge("0.2 V")));
    small.within(difference, limit, None);
    let spec = small.seal();
    let at = DecideRule::At { probability: 0.95 };
    // 12.5 - 12.4 is 0.1 ± 0.1: it just reaches 0.2 (arithmetic).
    assert_eq!(first(&spec, at, &[figure("12.5 V"), figure("12.4 V")]).outcome, Outcome::Within);
    // At the limit one half lies beyond. The sum of two equal rectangles is a triangle of half-width
    // 0.1; 95 % of it lies within 0.1·(1 − √0.05) (JCGM 101:2008, 6.4.5; arithmetic).
    let finding = first(&spec, at, &[figure("12.5 V"), figure("12.3 V")]);
    assert_eq!(finding.outcome, Outcome::Undecided);
    assert!((probability(&finding).unwrap() - 0.5).abs() < 1e-9);
    let uncertainty = finding.reason.uncertainty.unwrap();
    assert!((uncertainty.standard - 0.1 / 6.0_f64.sqrt()).abs() < 1e-12);
    assert!((uncertainty.expanded - 0.1 * (1.0 - 0.05_f64.sqrt())).abs() < 1e-6);
    assert_eq!(finding.reason.budget.len(), 2);
}

#[test]
fn missing_comes_before_preconditions_and_doubt_before_the_limit() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let limit = small.limit(band(edge("12.4 V"), None));
    let charged = small.within(NumberId(0), limit, None);
    small.within(NumberId(1), limit, None);
    let passes = small.logic(LogicNode::Passes(charged));
    small.parts.checks[1].when = Some(passes);
    let SlotKind::Quantity { plausible, .. } = &mut small.parts.slots[1].kind else { panic!() };
    *plausible = Some(Interval { low: edge("0 V"), high: edge("18 V") });
    let spec = small.seal();
    let outcome = |readings: &[Option<&str>]| {
        let mut sheet = Sheet::new(&spec);
        for (id, text) in (0..).zip(readings) {
            if let Some(text) = text {
                sheet.set(SlotId(id), figure(text)).unwrap();
            }
        }
        let mut findings = findings(&spec, &sheet);
        let second = findings.swap_remove(1);
        (second.outcome, second.reason.because)
    };
    let precondition = |unmet| Because::Precondition {
        unmet,
        checks: vec![CheckId(0)],
        missing: vec![],
        properties: vec![],
    };
    assert_eq!(outcome(&[Some("12.7 V"), Some("12.5 V")]).0, Outcome::Within);
    assert_eq!(outcome(&[Some("12.0 V"), Some("12.5 V")]), (Outcome::Blocked, precondition(true)));
    assert_eq!(outcome(&[None, Some("12.5 V")]), (Outcome::Blocked, precondition(false)));
    let missing = Because::Missing { slots: vec![SlotId(1)] };
    assert_eq!(outcome(&[Some("12.0 V"), None]), (Outcome::NotTaken, missing));
    let implausible = |slip| Because::Implausible { slot: SlotId(1), slip };
    let blocked = |text: &str| outcome(&[Some("12.0 V"), Some(text)]);
    assert_eq!(
        blocked("12500 V"),
        (Outcome::Blocked, implausible(Some(Slip::ThousandTimesTooMuch)))
    );
    assert_eq!(blocked("-12.5 V"), (Outcome::Blocked, implausible(Some(Slip::Sign))));
    assert_eq!(blocked("25 V"), (Outcome::Blocked, implausible(Some(Slip::ThousandTimesTooMuch))));
    assert_eq!(blocked("-25000 V"), (Outcome::Blocked, implausible(None)));
}

#[test]
fn limits_hold_under_their_conditions() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let limit = small.limit(band(edge("13 V"), None));
    small.parts.limits[0].conditions.push(Condition {
        subject: NumberId(1),
        subject_label: "engine_speed".to_owned(),
        band: Interval { low: edge("1300 rpm"), high: edge("1500 rpm") },
        printed: "at engine_speed 1400 ± 100 rpm".to_owned(),
    });
    small.within(NumberId(0), limit, None);
    let spec = small.seal();
    assert_eq!(simply(&spec, &[figure("13.5 V"), figure("1500 rpm")]), Outcome::Within);
    let finding = first(&spec, SIMPLE, &[figure("13.5 V"), figure("900 rpm")]);
    assert!(matches!(finding.reason.because, Because::Condition { unmet: true, condition: 0, .. }));
    let finding = first(&spec, SIMPLE, &[figure("13.5 V")]);
    let Because::Condition { unmet: false, missing, .. } = finding.reason.because else {
        panic!("condition")
    };
    assert_eq!((finding.outcome, missing), (Outcome::Blocked, vec![SlotId(1)]));
}

#[test]
fn a_sweep_is_judged_point_by_point_along_its_curve() {
    let at = |x: &str, low: &str, high: &str| {
        let x = shown(x);
        let standard = Interval { low: edge(low), high: edge(high) };
        CurvePoint { x: x.value, exact: x.exact, band: Band { standard, service: None } }
    };
    let mut small = Small::new(Kind::AC_VOLTAGE, 1);
    let SlotKind::Quantity { over, .. } = &mut small.parts.slots[0].kind else { panic!() };
    *over = Some(Kind::ROTATIONAL_SPEED);
    let limit = small.limit(LimitRule::Curve(Curve {
        by: Kind::ROTATIONAL_SPEED,
        interpolation: Interpolation::Linear,
        points: vec![at("1200 rpm", "17 V", "23 V"), at("5000 rpm", "60 V", "75 V")],
    }));
    small.within(NumberId(0), limit, None);
    let spec = small.seal();
    let sweep = |points: &[(&str, &str)]| {
        let points = points.iter().map(|(x, value)| (shown(x), shown(value))).collect();
        first(&spec, SIMPLE, &[Reading::Sweep(points)])
    };
    // Half way, at 3100 rpm, the band is 38.5 .. 49 V (arithmetic).
    let both = sweep(&[("1200 rpm", "17 V"), ("3100 rpm", "49 V")]);
    assert_eq!(both.outcome, Outcome::Within);
    let one = sweep(&[("1200 rpm", "20 V"), ("3100 rpm", "38.4 V"), ("6000 rpm", "70 V")]);
    assert_eq!(one.outcome, LOW);
    assert_eq!(one.reason.value.unwrap().best, Some(38.4));
    let high = one.reason.limit.unwrap().band.standard.high.unwrap();
    assert!((high.value - 49.0).abs() < 1e-12);
    let beyond = sweep(&[("1200 rpm", "20 V"), ("6000 rpm", "70 V")]);
    assert_eq!(beyond.outcome, Outcome::Undecided);
    assert!(matches!(beyond.reason.because, Because::OutsideCurve { .. }));
    let torn = sweep(&[("1200 rpm", "16 V"), ("3100 rpm", "50 V")]);
    assert_eq!(torn.outcome, Outcome::Outside(None));
}

#[test]
fn nothing_that_is_no_number_is_decided() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let quotient = small.number(NumberNode::Divide(NumberId(0), NumberId(1)));
    let limit = small.limit(band(edge("0 V"), None));
    small.within(quotient, limit, None);
    let spec = small.seal();
    let finding = first(&spec, SIMPLE, &[figure("1 V"), figure("0.0 V")]);
    assert_eq!(finding.outcome, Outcome::Undecided);
    let cause = truing_engine::NoNumber::DivisionByZero;
    assert_eq!(finding.reason.because, Because::NoNumber { cause });
    let mut sheet = Sheet::new(&spec);
    let broken = Indication { value: f64::NAN, ..shown("1 V") };
    assert_eq!(sheet.set(SlotId(0), Reading::Figure(broken)), Err(SheetError::NotFinite));
    assert_eq!(sheet.set(SlotId(0), Reading::Word(0)), Err(SheetError::WordForFigure));
    assert_eq!(sheet.get(SlotId(0)), None);
}

#[test]
fn words_are_seen() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 0);
    let words = vec!["clean".to_owned(), "burnt".to_owned()];
    small.parts.slots.push(support::slot("connector", SlotKind::Words(words), None));
    let clean = small.logic(LogicNode::Is { slot: SlotId(0), words: vec![0] });
    small.check(CheckRule::Logic { logic: clean, label: String::new() });
    let spec = small.seal();
    assert_eq!(simply(&spec, &[Reading::Word(0)]), Outcome::Within);
    let finding = first(&spec, SIMPLE, &[Reading::Word(1)]);
    assert_eq!(finding.outcome, Outcome::Outside(None));
    assert_eq!(finding.reason.because, Because::WordSeen { slot: SlotId(0), word: 1 });
    assert_eq!(simply(&spec, &[]), Outcome::NotTaken);
    let mut sheet = Sheet::new(&spec);
    let refused = sheet.set(SlotId(0), Reading::Word(2));
    assert_eq!(refused, Err(SheetError::NoSuchWord { word: 2 }));
}

#[test]
fn what_is_false_without_a_reading_needs_none() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let limit = small.limit(band(edge("12 V"), None));
    let a = small.logic(LogicNode::Within { subject: NumberId(0), limit, at: None });
    let b = small.logic(LogicNode::Within { subject: NumberId(1), limit, at: None });
    let both = small.logic(LogicNode::All(vec![a, b]));
    small.check(CheckRule::Logic { logic: both, label: String::new() });
    let spec = small.seal();
    assert_eq!(simply(&spec, &[figure("11 V")]), Outcome::Outside(None));
    assert_eq!(simply(&spec, &[figure("13 V")]), Outcome::NotTaken);
}

#[test]
fn a_figure_by_reference_is_the_same_as_the_reading_of_it() {
    let spec = one(Kind::DC_VOLTAGE, band(edge("12.4 V"), edge("14.8 V")));
    let slot = SlotId(0);
    let (mut given, mut bound) = (Sheet::new(&spec), Sheet::new(&spec));
    for text in ["12.50 V", "12.3 V", "12500 mV", "12.50 V"] {
        given.set(slot, figure(text)).unwrap();
        bound.set_figure(slot, &shown(text)).unwrap();
        assert_eq!(bound, given, "{text}");
    }
    // What stood there before and cannot be written over is replaced.
    bound.set(slot, Reading::NotTaken { reason: None }).unwrap();
    bound.set_figure(slot, &shown("12.50 V")).unwrap();
    assert_eq!(bound, given);
    let endless = Indication { value: f64::INFINITY, ..shown("1 V") };
    assert_eq!(bound.set_figure(slot, &endless), Err(SheetError::NotFinite));
    let nowhere = SlotId(7);
    let refused = bound.set_figure(nowhere, &shown("1 V"));
    assert_eq!(refused, Err(SheetError::NoSuchSlot { slot: nowhere }));
    assert_eq!(bound, given);
}
