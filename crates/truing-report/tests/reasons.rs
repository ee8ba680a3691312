//! Every reason as the sentence that a technician reads. The limits are invented.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that panics has failed")]

mod fixture;

use fixture::*;
use truing_engine::{Because, Bound, Finding, NoNumber, Slip, Spanned};
use truing_model::{DecideRule, LimitId, Outcome, PropertyId, Reading, Side, SlotId, StateId};
use truing_report::reason_text;

const LOW: Outcome = Outcome::Outside(Some(Side::Low));
const HIGH: Outcome = Outcome::Outside(Some(Side::High));

/// A value that lies between two figures, with the best one.
fn spread(best: &str, low: &str, high: &str, symbol: &str) -> truing_engine::Value {
    let end = |f: &str| Some(Bound { value: shown(f, symbol).value, open: false });
    truing_engine::Value { best: Some(shown(best, symbol).value), low: end(low), high: end(high) }
}

/// The sentence of one finding. The other checks are within.
fn why(readings: &[(SlotId, Reading)], finding: Finding) -> String {
    let spec = spec();
    let sheet = sheet(&spec, readings);
    let mut all: Vec<Finding> =
        (0..6).map(|i| open(truing_model::CheckId(i), Outcome::Within, Because::Inside)).collect();
    let place = finding.check.0 as usize;
    all[place] = finding;
    let findings = findings(all);
    reason_text(&spec, &sheet, &findings, findings.findings.get(place).unwrap())
}

fn rest(value: truing_engine::Value, outcome: Outcome, because: Because) -> Finding {
    against(CHARGED, Some(0), standard(interval(Some("12.4"), None, "V")), value, outcome, because)
}

#[test]
fn a_reading_is_spoken_of_as_the_meter_showed_it() {
    let reading = (BATTERY, figure("12.70", "V"));
    let finding = rest(point("12.70", "V"), Outcome::Within, Because::Inside);
    assert_eq!(why(&[reading], finding), "12.70 V is within min 12.4 V.");
}

#[test]
fn below_and_above_name_the_limit_as_printed() {
    let finding = against(
        INSULATED,
        Some(1),
        standard(interval(Some("1"), None, "Mohm")),
        point("0.3", "ohm"),
        LOW,
        Because::Below,
    );
    assert_eq!(why(&[(GROUND, figure("0.3", "ohm"))], finding), "0.3 ohm is below min 1 Mohm.");
}

#[test]
fn overload_on_a_known_range_that_decides() {
    let range = Some(shown("60", "Mohm"));
    let value = truing_engine::Value { best: None, high: None, ..point("60", "Mohm") };
    let finding = against(
        INSULATED,
        Some(1),
        standard(interval(Some("1"), None, "Mohm")),
        value,
        Outcome::Within,
        Because::Inside,
    );
    assert_eq!(
        why(&[(GROUND, Reading::Overload { range })], finding),
        "OL on the 60 Mohm range is within min 1 Mohm."
    );
}

#[test]
fn overload_that_decides_nothing_says_what_to_do() {
    let range = Some(shown("600", "ohm"));
    let because = Because::Overload { slot: GROUND, range: Some(600.0) };
    assert_eq!(
        why(&[(GROUND, Reading::Overload { range })], open(INSULATED, Outcome::Undecided, because)),
        "OL on the 600 ohm range only says more than 600 ohm: change the range."
    );
    let because = Because::Overload { slot: GROUND, range: None };
    assert_eq!(
        why(
            &[(GROUND, Reading::Overload { range: None })],
            open(INSULATED, Outcome::Undecided, because)
        ),
        "to_ground[V]: OL says only that the range was too small: give the range in use, or take it \
         again on a greater one."
    );
}

#[test]
fn bounds_and_gauges_are_spoken_of_as_such() {
    let above = Reading::Above { bound: shown("20", "Mohm"), inclusive: false };
    let value = truing_engine::Value { best: None, high: None, ..point("20", "Mohm") };
    let finding = against(
        INSULATED,
        Some(1),
        standard(interval(Some("1"), None, "Mohm")),
        value,
        Outcome::Within,
        Because::Inside,
    );
    assert_eq!(why(&[(GROUND, above)], finding), "more than 20 Mohm is within min 1 Mohm.");

    let gauge = Reading::Between { low: shown("0.55", "mm"), high: shown("0.65", "mm") };
    let value = truing_engine::Value { best: None, ..spread("0.6", "0.55", "0.65", "mm") };
    let because = Because::Spans {
        ends: Spanned::High,
        passes: false,
        probability: None,
        settles: None,
        repeats: None,
    };
    let finding = against(RING, Some(3), ring_band(), value, Outcome::Undecided, because);
    assert_eq!(
        why(&[(GAP, gauge)], finding),
        "between 0.55 and 0.65 mm lies across the upper end of standard 0.15 .. 0.30 mm, service max \
         0.60 mm."
    );
}

#[test]
fn worn_names_both_limits_and_above_the_service_limit_names_that() {
    let finding = against(
        RING,
        Some(3),
        ring_band(),
        point("0.41", "mm"),
        Outcome::Worn,
        Because::InsideServiceOnly,
    );
    assert_eq!(
        why(&[(GAP, figure("0.41", "mm"))], finding),
        "0.41 mm is inside the service limit, max 0.6 mm, and outside the standard one, \
         0.15 .. 0.3 mm."
    );
    let finding = against(RING, Some(3), ring_band(), point("0.72", "mm"), HIGH, Because::Above);
    assert_eq!(
        why(&[(GAP, figure("0.72", "mm"))], finding),
        "0.72 mm is above the service limit, max 0.6 mm."
    );
}

#[test]
fn a_doubt_is_named_with_what_would_settle_it() {
    let because = Because::Spans {
        ends: Spanned::Low,
        passes: false,
        probability: Some(0.625),
        settles: Some(0.01),
        repeats: None,
    };
    let mut finding = rest(spread("12.41", "12.37", "12.45", "V"), Outcome::Undecided, because);
    finding.reason.rule = DecideRule::At { probability: 0.95 };
    finding.reason.doubt = Some(0.04);
    assert_eq!(
        why(&[(BATTERY, figure("12.41", "V"))], finding),
        "12.41 V, with a doubt of ± 0.040 V by the digits alone, lies across the lower end of min 12.4 V; the \
         probability that it conforms is 62 %; a doubt of at most ± 0.010 V would settle it."
    );
    let mut finding =
        rest(spread("12.71", "12.70", "12.72", "V"), Outcome::Within, Because::Inside);
    finding.reason.doubt = Some(0.01);
    assert_eq!(
        why(&[(BATTERY, figure("12.71", "V"))], finding),
        "12.71 V is within min 12.4 V, also with a doubt of ± 0.010 V by the digits alone."
    );
}

#[test]
fn a_derived_value_is_named_and_shown_to_the_digits_it_deserves() {
    let readings = [(OUTPUT, figure("69.6", "V")), (SPEED, figure("5000", "rpm"))];
    let band = standard(interval(None, Some("10"), "%"));
    let value = point("12.345678", "%");
    let mut finding = against(BALANCED, None, band.clone(), value, HIGH, Because::Above);
    finding.reason.used = vec![SPEED, OUTPUT];
    assert_eq!(why(&readings, finding), "imbalance is 12.35 %, which is above max 10 %.");

    let because = Because::Spans {
        ends: Spanned::High,
        passes: false,
        probability: None,
        settles: Some(0.002),
        repeats: None,
    };
    let value = spread("10.2", "9.7", "10.7", "%");
    let mut finding = against(BALANCED, None, band, value, Outcome::Undecided, because);
    finding.reason.doubt = Some(0.005);
    assert_eq!(
        why(&readings, finding),
        "imbalance is 10.2 %, which, with a doubt of ± 0.50 % by the digits alone, lies across the upper end of \
         max 10 %; a doubt of at most ± 0.20 % would settle it."
    );
}

#[test]
fn repeats_are_spoken_of_by_what_they_reduce_to() {
    let repeats = ["12.52", "12.50", "12.55"].map(|f| shown(f, "V")).to_vec();
    let finding = rest(point("12.523333", "V"), Outcome::Within, Because::Inside);
    assert_eq!(
        why(&[(BATTERY, Reading::Repeats(repeats))], finding),
        "the mean, 12.52 V, is within min 12.4 V."
    );
}

#[test]
fn a_precondition_names_the_check_and_what_came_of_it() {
    let spec = spec();
    let sheet = sheet(&spec, &[]);
    let because = Because::Precondition {
        unmet: true,
        checks: vec![CHARGED],
        missing: Vec::new(),
        properties: Vec::new(),
    };
    let all = findings(vec![
        open(CHARGED, LOW, Because::Below),
        open(INSULATED, Outcome::Within, Because::Inside),
        open(CHARGES, Outcome::Blocked, because),
    ]);
    assert_eq!(
        reason_text(&spec, &sheet, &all, &all.findings[2]),
        "needs battery_charged to pass, and it is outside low."
    );
}

#[test]
fn a_precondition_names_readings_and_properties() {
    let because = Because::Precondition {
        unmet: false,
        checks: Vec::new(),
        missing: vec![SPEED, BATTERY],
        properties: vec![PropertyId(0)],
    };
    assert_eq!(
        why(&[], open(CHARGES, Outcome::Blocked, because)),
        "needs engine_speed and battery_rest, which were not taken; needs to know market, which the \
         sheet does not say."
    );
}

#[test]
fn a_condition_says_what_is_and_what_must_be() {
    let condition = |unmet, value, missing| Because::Condition {
        limit: LimitId(2),
        condition: 0,
        unmet,
        value,
        missing,
    };
    let speed = [(SPEED, figure("4500", "rpm"))];
    assert_eq!(
        why(
            &speed,
            open(CHARGES, Outcome::Blocked, condition(true, Some(point("4500", "rpm")), vec![]))
        ),
        "engine_speed is 4500 rpm; the limit holds at 5000 ± 200 rpm."
    );
    assert_eq!(
        why(&[], open(CHARGES, Outcome::Blocked, condition(false, None, vec![SPEED]))),
        "the limit holds at engine_speed 5000 ± 200 rpm, and engine_speed was not taken."
    );
}

#[test]
fn a_reading_in_another_state_names_both_states() {
    let because = Because::StateOther { slot: BATTERY, wanted: StateId(0), taken: StateId(1) };
    assert_eq!(
        why(&[(BATTERY, figure("14.2", "V"))], open(CHARGED, Outcome::Blocked, because)),
        "battery_rest was taken in the state spun, and is judged only in the state at_rest."
    );
}

#[test]
fn an_implausible_reading_is_doubted_before_the_machine() {
    let implausible = |slip| Because::Implausible { slot: BATTERY, slip };
    let sentence = |text: &str, slip| {
        why(&[(BATTERY, figure(text, "V"))], open(CHARGED, Outcome::Blocked, implausible(slip)))
    };
    assert_eq!(
        sentence("1271", Some(Slip::ThousandTimesTooMuch)),
        "battery_rest: 1271 V is not plausible (0 .. 18 V): it would be plausible a thousand times \
         smaller: look at the unit on the display."
    );
    assert_eq!(
        sentence("-12.71", Some(Slip::Sign)),
        "battery_rest: -12.71 V is not plausible (0 .. 18 V): were the leads the wrong way round?"
    );
    assert_eq!(
        sentence("40", None),
        "battery_rest: 40 V is not plausible (0 .. 18 V): take it again before doubting the machine."
    );
}

#[test]
fn what_is_missing_is_named_with_its_reason() {
    let slots = vec![BATTERY, GROUND];
    let reading = Reading::NotTaken { reason: Some("no access".to_owned()) };
    assert_eq!(
        why(&[(GROUND, reading)], open(CHARGED, Outcome::NotTaken, Because::Missing { slots })),
        "battery_rest was not taken and to_ground[V] was not taken (no access)."
    );
}

#[test]
fn words_and_rules_read_as_they_stand_in_the_spec() {
    let burnt = [(CONNECTOR, Reading::Word(2))];
    let seen = Because::WordSeen { slot: CONNECTOR, word: 2 };
    assert_eq!(
        why(&burnt, open(SOUND, Outcome::Outside(None), seen)),
        "connector is burnt; the rule is: connector is clean."
    );
    let seen = Because::WordSeen { slot: CONNECTOR, word: 0 };
    assert_eq!(
        why(&[(CONNECTOR, Reading::Word(0))], open(SOUND, Outcome::Within, seen)),
        "connector is clean."
    );
    let rule = Because::Rule { holds: None, checks: vec![CHARGED] };
    assert_eq!(
        why(&[], open(SOUND, Outcome::Undecided, rule)),
        "whether the rule holds is not known (connector is clean): battery_charged is within."
    );
}

/// Whatever the reason, and also where a limit that it names does not exist, one sentence comes out.
#[test]
fn every_reason_is_one_sentence() {
    let slot = BATTERY;
    let value = Some(point("1", "V"));
    let reasons = vec![
        Because::Inside,
        Because::InsideServiceOnly,
        Because::Below,
        Because::Above,
        Because::Beside,
        Because::Spans {
            ends: Spanned::Both,
            passes: true,
            probability: Some(0.5),
            settles: Some(0.1),
            repeats: None,
        },
        Because::Precondition { unmet: true, checks: vec![], missing: vec![], properties: vec![] },
        Because::Precondition { unmet: false, checks: vec![], missing: vec![], properties: vec![] },
        Because::Applicability { checks: vec![CHARGED], missing: vec![SPEED] },
        Because::Condition {
            limit: LimitId(99),
            condition: 9,
            unmet: true,
            value,
            missing: vec![],
        },
        Because::Condition {
            limit: LimitId(2),
            condition: 0,
            unmet: false,
            value,
            missing: vec![],
        },
        Because::StateOther { slot: BATTERY, wanted: StateId(0), taken: StateId(1) },
        Because::Implausible { slot, slip: Some(Slip::ThousandTimesTooLittle) },
        Because::OutsideCurve { limit: LimitId(0), at: value, first: 0.0, last: 1.0 },
        Because::Overload { slot, range: Some(1.0) },
        Because::Missing { slots: vec![slot] },
        Because::NotSpecified,
        Because::NotThisVariant,
        Because::PropertyUnknown { property: PropertyId(0) },
        Because::NoNumber { cause: NoNumber::DivisionByZero },
        Because::NoNumber { cause: NoNumber::RootOfNegative },
        Because::NoNumber { cause: NoNumber::LogarithmOfNothing },
        Because::NoNumber { cause: NoNumber::TooLarge },
        Because::NoNumber { cause: NoNumber::OutsideLaw },
        Because::NoNumber { cause: NoNumber::NoSingleValue },
        Because::WordSeen { slot, word: 9 },
        Because::Rule { holds: Some(true), checks: vec![] },
        Because::Rule { holds: Some(false), checks: vec![CHARGED] },
    ];
    for because in reasons {
        for check in [CHARGED, INSULATED, CHARGES, SOUND, RING, BALANCED] {
            let told = why(&[], open(check, Outcome::Undecided, because.clone()));
            assert!(told.ends_with(['.', '?']), "{because:?}: {told}");
            assert!(told.len() > 10, "{because:?}: {told}");
            assert!(!told.contains("  ") && !told.contains(" ,"), "{because:?}: {told:?}");
        }
    }
}
