//! A reading equal to the limit as printed, in whatever unit either is written, lies within it.

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
use truing_model::*;
use truing_units::Kind;

const HIGH: Outcome = Outcome::Outside(Some(Side::High));
const LOW: Outcome = Outcome::Outside(Some(Side::Low));

#[test]
fn a_reading_in_another_unit_is_the_same_value() {
    // 3300 * 0.001 is 3.3000000000000003 in doubles (arithmetic).
    let spec = one(Kind::DC_VOLTAGE, band(None, edge("3.3 V")));
    assert_eq!(simply(&spec, &[figure("3300 mV")]), Outcome::Within);
    assert_eq!(simply(&spec, &[figure("3300.0000000001 mV")]), HIGH);
    assert_eq!(simply(&spec, &[figure("3.3 V")]), Outcome::Within);
    let spec = one(Kind::DC_VOLTAGE, band(edge("3300 mV"), None));
    assert_eq!(simply(&spec, &[figure("3.30 V")]), Outcome::Within);
    assert_eq!(simply(&spec, &[figure("3.29999999999999999999 V")]), LOW);
}

#[test]
fn every_tenth_of_a_millivolt_ties_with_its_volts() {
    for tenths in 1..=2000 {
        let millivolts = format!("{}.{} mV", tenths / 10, tenths % 10);
        let volts = format!("{}.{:04} V", tenths / 10_000, tenths % 10_000);
        let spec = one(Kind::DC_VOLTAGE, band(edge(&volts), edge(&volts)));
        assert_eq!(simply(&spec, &[figure(&millivolts)]), Outcome::Within, "{millivolts}");
        let spec = one(Kind::DC_VOLTAGE, band(None, open(&volts)));
        assert_eq!(simply(&spec, &[figure(&millivolts)]), HIGH, "{millivolts}");
    }
}

#[test]
fn powers_of_pi_do_not_blur_a_tie() {
    // 3000 rpm is 50 turns a second, 2·pi·50 rad/s (arithmetic).
    let spec = one(Kind::ROTATIONAL_SPEED, band(edge("3000 rpm"), edge("3000 rpm")));
    assert_eq!(simply(&spec, &[figure("3000 rpm")]), Outcome::Within);
    let spec = one(Kind::ROTATIONAL_SPEED, band(None, open("3000 rpm")));
    assert_eq!(simply(&spec, &[figure("3000 rpm")]), HIGH);
}

#[test]
fn differences_tie_exactly() {
    // 0.512 - 0.412 is 0.10000000000000003 in doubles (arithmetic).
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let spread = small.number(NumberNode::Fold(Fold::Spread, vec![NumberId(0), NumberId(1)]));
    let limit = small.limit(band(None, edge("0.10 V")));
    small.within(spread, limit, None);
    let open_limit = small.limit(band(None, open("0.10 V")));
    small.within(spread, open_limit, None);
    let tenth = small.number(constant("0.1 V"));
    small.compare(spread, Relation::LessOrEqual, tenth);
    small.compare(spread, Relation::Less, tenth);
    let spec = small.seal();
    let mut sheet = truing_engine::Sheet::new(&spec);
    sheet.set(SlotId(0), figure("0.512 V")).unwrap();
    sheet.set(SlotId(1), figure("412 mV")).unwrap();
    let findings = findings(&spec, &sheet);
    let outcomes: Vec<Outcome> = findings.iter().map(|finding| finding.outcome).collect();
    assert_eq!(outcomes, [Outcome::Within, HIGH, Outcome::Within, HIGH]);
    // What is shown is the exact value, rounded once.
    assert_eq!(findings[0].reason.value, Some(truing_engine::Value::point(0.1)));
}

#[test]
fn means_ratios_and_unbalance_tie_exactly() {
    // (0.1 + 0.2 + 0.3)/3 = 0.2; unbalance of 9, 10, 11 is 1/10 (arithmetic).
    let mut small = Small::new(Kind::DC_VOLTAGE, 3);
    let all = vec![NumberId(0), NumberId(1), NumberId(2)];
    let mean = small.number(NumberNode::Fold(Fold::Mean, all.clone()));
    let unbalance = small.number(NumberNode::Fold(Fold::Unbalance, all));
    let fifth = small.limit(band(edge("0.2 V"), edge("0.2 V")));
    small.within(mean, fifth, None);
    let tenth = small.limit(band(None, edge("0.1 V")));
    small.within(unbalance, tenth, None);
    let spec = small.seal();
    assert_eq!(
        simply(&spec, &[figure("0.1 V"), figure("0.2 V"), figure("0.3 V")]),
        Outcome::Within
    );
    let mut sheet = truing_engine::Sheet::new(&spec);
    for (id, text) in ["9 V", "10 V", "11 V"].into_iter().enumerate() {
        sheet.set(SlotId(id as u32), figure(text)).unwrap();
    }
    assert_eq!(findings(&spec, &sheet)[1].outcome, Outcome::Within);
}

#[test]
fn repeats_are_reduced_exactly() {
    // (0.1 + 0.2)/2 = 0.15 (arithmetic).
    let spec = one(Kind::DC_VOLTAGE, band(edge("0.15 V"), edge("0.15 V")));
    let repeats = Reading::Repeats(vec![shown("0.1 V"), shown("0.2 V")]);
    assert_eq!(simply(&spec, &[repeats]), Outcome::Within);
}

#[test]
fn roots_of_squares_and_logarithms_of_powers_tie() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let root = small.number(NumberNode::Apply(Function::Sqrt, NumberId(0)));
    let log = small.number(NumberNode::Apply(Function::Log10, NumberId(1)));
    let limit = small.limit(band(None, open("0.3 V")));
    small.within(root, limit, None);
    let three = small.limit(band(edge("3 V"), edge("3 V")));
    small.within(log, three, None);
    let spec = small.seal();
    let mut sheet = truing_engine::Sheet::new(&spec);
    sheet.set(SlotId(0), figure("0.09 V")).unwrap();
    sheet.set(SlotId(1), figure("1000 V")).unwrap();
    let outcomes: Vec<_> = findings(&spec, &sheet).into_iter().map(|of| of.outcome).collect();
    assert_eq!(outcomes, [HIGH, Outcome::Within]);
}

#[test]
fn a_linear_curve_is_exact_between_its_points() {
    // From 0.1 at 1 to 0.4 at 4 the line is x/10: 0.3 at 3 (arithmetic).
    let at = |x: &str, y: &str| {
        let x = shown(x);
        CurvePoint {
            x: x.value,
            exact: x.exact,
            band: Band { standard: Interval { low: None, high: edge(y) }, service: None },
        }
    };
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let limit = small.limit(LimitRule::Curve(Curve {
        by: Kind::DC_VOLTAGE,
        interpolation: Interpolation::Linear,
        points: vec![at("1 V", "0.1 V"), at("4 V", "0.4 V")],
    }));
    small.within(NumberId(0), limit, Some(NumberId(1)));
    let spec = small.seal();
    assert_eq!(simply(&spec, &[figure("0.3 V"), figure("3 V")]), Outcome::Within);
    assert_eq!(simply(&spec, &[figure("300.00000001 mV"), figure("3 V")]), HIGH);
    assert_eq!(simply(&spec, &[figure("0.4 V"), figure("4 V")]), Outcome::Within);
    assert_eq!(simply(&spec, &[figure("0.1 V"), figure("4.1 V")]), Outcome::Undecided);
}

/// 0.22 - 0.21 is 0.010000000000000009 in doubles, and as far as two half-digits reach (arithmetic):
/// which of the two is the greater is open, for both evaluators.
#[test]
fn a_distance_that_is_the_reach_is_not_beyond_it() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let spread = small.number(NumberNode::Fold(Fold::Spread, vec![NumberId(0), NumberId(1)]));
    small.compare(NumberId(0), Relation::LessOrEqual, spread);
    let spec = small.seal();
    let mut sheet = truing_engine::Sheet::new(&spec);
    sheet.set(SlotId(0), figure("0.21 V")).unwrap();
    sheet.set(SlotId(1), figure("0.22 V")).unwrap();
    sheet.decide(DecideRule::Guarded { k: 2.0 }).unwrap();
    assert_eq!(findings(&spec, &sheet)[0].reason.uncertainty, None);
    assert_eq!(truing_engine::reference::weighed(&spec, &sheet), [None]);
}

/// In balance a straight line says nothing; by intervals, 2 V ± 0.29 V thrice are at most 36 % out.
#[test]
fn in_balance_intervals_decide_for_both_evaluators() {
    let mut small = Small::new(Kind::DC_VOLTAGE, 1);
    let unbalance = small.number(NumberNode::Fold(Fold::SequenceUnbalance, vec![NumberId(0); 3]));
    for most in ["0.5 V", "0.1 V"] {
        let most = small.number(constant(most));
        small.compare(unbalance, Relation::LessOrEqual, most);
    }
    let spec = small.seal();
    let mut sheet = truing_engine::Sheet::new(&spec);
    sheet.set(SlotId(0), figure("2 V")).unwrap();
    sheet.decide(DecideRule::Guarded { k: 1.0 }).unwrap();
    let expected = [Outcome::Within, Outcome::Undecided];
    let outcomes: Vec<Outcome> =
        findings(&spec, &sheet).iter().map(|finding| finding.outcome).collect();
    assert_eq!(outcomes, expected);
}

const GUARDED: DecideRule = DecideRule::Guarded { k: 1.0 };

fn steps(points: &[(&str, &str)]) -> LimitRule {
    let point = |(x, y): &(&str, &str)| {
        let (x, standard) = (edge(x).unwrap(), Interval { low: edge(y), high: edge(y) });
        CurvePoint { x: x.value, exact: x.exact, band: Band { standard, service: None } }
    };
    let points = points.iter().map(point).collect();
    LimitRule::Curve(Curve { by: Kind::DC_VOLTAGE, interpolation: Interpolation::Step, points })
}

#[test]
fn at_a_step_the_place_as_written_says_which_side() {
    // As doubles 0.3 V and 300 mV may lie on either side of each other; as written they are one.
    for place in ["0.3 V", "300 mV"] {
        let mut small = Small::new(Kind::DC_VOLTAGE, 2);
        let limit = small.limit(steps(&[("0 V", "1 V"), ("300 mV", "5 V"), ("1 V", "1 V")]));
        small.within(NumberId(0), limit, Some(NumberId(1)));
        let spec = small.seal();
        assert_eq!(first(&spec, GUARDED, &[figure("4.000 V"), figure(place)]).outcome, LOW);
        assert_eq!(first(&spec, GUARDED, &[figure("4.000 V"), figure("0.29 V")]).outcome, HIGH);
    }
}

#[test]
fn a_place_on_both_sides_of_a_step_by_rounding_decides_nothing() {
    // ln(exp(0.3)) is 0.3 but for rounding: which step is meant cannot be told.
    let mut small = Small::new(Kind::DC_VOLTAGE, 2);
    let limit = small.limit(steps(&[("0 V", "1 V"), ("0.3 V", "5 V"), ("1 V", "1 V")]));
    let root = small.number(NumberNode::Apply(Function::Exp, NumberId(1)));
    let place = small.number(NumberNode::Apply(Function::Ln, root));
    small.within(NumberId(0), limit, Some(place));
    let spec = small.seal();
    for rule in [GUARDED, DecideRule::At { probability: 0.95 }] {
        let found = first(&spec, rule, &[figure("3.000 V"), figure("0.3 V")]);
        assert_eq!(found.outcome, Outcome::Undecided);
    }
}

#[test]
fn a_root_of_nought_is_told_by_intervals() {
    // A root rises straight up at nought: no straight line goes through it.
    let mut small = Small::new(Kind::DC_VOLTAGE, 1);
    let root = small.number(NumberNode::Apply(Function::Sqrt, NumberId(0)));
    small.compare(root, Relation::LessOrEqual, root);
    let spec = small.seal();
    let rule = DecideRule::At { probability: 0.6 };
    assert_eq!(first(&spec, rule, &[figure("0 V")]).outcome, Outcome::Undecided);
    assert_eq!(first(&spec, rule, &[figure("4.0 V")]).outcome, Outcome::Within);
}

#[test]
fn what_is_never_negative_is_not_made_so_by_rounding() {
    // One member deviates from itself by nothing, however its mean is rounded.
    for fold in [Fold::Spread, Fold::Unbalance] {
        let mut small = Small::new(Kind::DC_VOLTAGE, 2);
        // With a power of π beside a plain figure there is no exact form.
        let sum = small.number(NumberNode::Add(NumberId(0), NumberId(1)));
        let folded = small.number(NumberNode::Fold(fold, vec![sum]));
        let limit = small.limit(band(edge("0 V"), None));
        small.within(folded, limit, None);
        let spec = small.seal();
        let mut turn = shown("40 V");
        turn.value = 40.0 / 3.0 * std::f64::consts::PI;
        turn.exact = truing_units::Rational::new(40, 3).map(|of| truing_units::Exact::new(of, 1));
        let readings = [Reading::Figure(turn), figure("-8.1 V")];
        assert_eq!(
            first(&spec, DecideRule::Simple, &readings).outcome,
            Outcome::Within,
            "{fold:?}"
        );
    }
}
