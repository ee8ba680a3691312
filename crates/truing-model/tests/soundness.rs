//! A spec that exists is sound: each way of not being so is refused by name.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

use truing_model::{
    Band, BrokenSpec, Check, CheckId, CheckRule, Circuit, CommonParts, Curve, CurvePoint,
    DecideRule, Edge, ErrorTerms, Fold, Instrument, InstrumentId, Interpolation, Interval, Leads,
    Limit, LimitId, LimitOfError, LimitRule, LogicId, LogicNode, MeterFunction, MeterRange,
    NumberId, NumberNode, Reduction, Relation, Slot, SlotId, SlotKind, Spec, SpecParts, Technique,
    Validity, Variant,
};
use truing_units::{Catalogue, Decimal, Kind, Measure};

fn slot(label: &str, kind: SlotKind) -> Slot {
    Slot {
        label: label.to_owned(),
        name: label.split('[').next().unwrap().to_owned(),
        member: None,
        title: label.to_owned(),
        kind,
        during: None,
        with: Vec::new(),
        red: None,
        black: None,
        takes: None,
        frequency: None,
        circuit: None,
        cautions: Vec::new(),
        tools: Vec::new(),
        notes: Vec::new(),
    }
}

fn voltage() -> SlotKind {
    SlotKind::Quantity {
        kind: Kind::DC_VOLTAGE,
        plausible: None,
        plausible_printed: None,
        reduce: Reduction::Mean,
        capture: None,
        over: None,
    }
}

fn edge(value: f64) -> Option<Edge> {
    Some(Edge { value, exact: None, open: false })
}

fn band(low: f64, high: f64) -> Band {
    Band { standard: Interval { low: edge(low), high: edge(high) }, service: None }
}

fn limit(name: &str, rule: LimitRule) -> Limit {
    Limit {
        name: Some(name.to_owned()),
        title: None,
        kind: Kind::DC_VOLTAGE,
        unit: Catalogue::standard().unit("V").unwrap(),
        printed: String::new(),
        rule,
        conditions: Vec::new(),
        reference: Vec::new(),
        typical: None,
        cites: Vec::new(),
    }
}

fn check(label: &str, rule: CheckRule) -> Check {
    Check {
        label: label.to_owned(),
        name: label.split('[').next().unwrap().to_owned(),
        member: None,
        title: label.to_owned(),
        rule,
        when: None,
        applies: None,
        decide: None,
        advise: Vec::new(),
        notes: Vec::new(),
        cites: Vec::new(),
        slots: vec![SlotId(0)],
    }
}

fn within() -> CheckRule {
    CheckRule::Within {
        subject: NumberId(0),
        subject_label: "rest".to_owned(),
        limit: LimitId(0),
        at: None,
    }
}

/// One reading, one limit, two checks; the second asks about the first.
fn sound() -> SpecParts {
    let mut charges = check("charges[U]", within());
    charges.when = Some(LogicId(0));
    SpecParts {
        name: "charging".to_owned(),
        slots: vec![slot("rest", voltage())],
        numbers: vec![NumberNode::Slot(SlotId(0))],
        logic: vec![LogicNode::Passes(CheckId(0))],
        limits: vec![limit("rest_voltage", LimitRule::Band(band(12.4, 13.0)))],
        checks: vec![check("charged", within()), charges],
        order: vec![CheckId(0), CheckId(1)],
        ..SpecParts::default()
    }
}

fn refusal(parts: SpecParts) -> BrokenSpec {
    Spec::seal(parts).expect_err("not sound")
}

#[test]
fn sound_parts_are_a_spec_with_names() {
    let spec = Spec::seal(sound()).unwrap();
    assert_eq!(spec.slot_labelled("rest"), Some(SlotId(0)));
    assert_eq!(spec.check_labelled("charges[U]"), Some(CheckId(1)));
    assert_eq!(spec.checks_named("charges").collect::<Vec<_>>(), [CheckId(1)]);
    assert_eq!(spec.limit_named("rest_voltage"), Some(LimitId(0)));
    assert_eq!(spec.limit_named("rest"), None);
}

#[test]
fn what_is_named_must_be_there() {
    let mut parts = sound();
    parts.numbers.push(NumberNode::Slot(SlotId(7)));
    assert!(matches!(refusal(parts), BrokenSpec::OutOfRange { list: "slot", index: 7, .. }));

    let mut parts = sound();
    parts.logic.push(LogicNode::Is { slot: SlotId(0), words: vec![0] });
    assert!(matches!(refusal(parts), BrokenSpec::OutOfRange { list: "word", index: 0, .. }));

    let mut parts = sound();
    parts.checks[0].when = Some(LogicId(3));
    assert!(matches!(refusal(parts), BrokenSpec::OutOfRange { list: "logic", index: 3, .. }));
}

#[test]
fn parts_stand_before_wholes() {
    let mut parts = sound();
    parts.numbers.insert(0, NumberNode::Negate(NumberId(1)));
    assert!(matches!(refusal(parts), BrokenSpec::OutOfOrder { .. }));

    // Round the corner: a number that goes by a condition that is about the number.
    let mut parts = sound();
    parts.numbers.push(NumberNode::Choose {
        condition: LogicId(1),
        then: NumberId(0),
        otherwise: NumberId(0),
    });
    let compare =
        LogicNode::Compare { relation: Relation::Less, left: NumberId(1), right: NumberId(0) };
    parts.logic.push(compare);
    assert!(matches!(refusal(parts), BrokenSpec::OutOfOrder { .. }));

    // And through a limit whose variant asks whether its own limit is kept.
    let mut parts = sound();
    parts.logic.push(LogicNode::Within { subject: NumberId(0), limit: LimitId(0), at: None });
    parts.limits[0].rule = LimitRule::Variants(vec![Variant {
        condition: Some(LogicId(1)),
        rule: LimitRule::NotSpecified,
        printed: String::new(),
    }]);
    assert!(matches!(refusal(parts), BrokenSpec::OutOfOrder { .. }));
}

#[test]
fn variants_go_by_what_the_machine_is() {
    let mut parts = sound();
    parts.limits[0].rule = LimitRule::Variants(vec![Variant {
        condition: Some(LogicId(0)),
        rule: LimitRule::NotSpecified,
        printed: String::new(),
    }]);
    parts.checks[0].rule = CheckRule::Logic { logic: LogicId(1), label: String::new() };
    parts.logic.push(LogicNode::Constant(true));
    assert_eq!(refusal(parts), BrokenSpec::VariantReads { limit: "rest_voltage".to_owned() });
}

#[test]
fn checks_stand_behind_what_they_ask_about() {
    let mut parts = sound();
    parts.order.reverse();
    assert_eq!(refusal(parts), BrokenSpec::OutOfOrder { by: "check charges[U]".to_owned() });

    let mut parts = sound();
    parts.order = vec![CheckId(0), CheckId(0)];
    assert_eq!(refusal(parts), BrokenSpec::NoPermutation { named: 1, checks: 2 });

    // A check that asks about itself.
    let mut parts = sound();
    parts.checks[0].applies = Some(LogicId(0));
    assert!(matches!(refusal(parts), BrokenSpec::OutOfOrder { .. }));
}

#[test]
fn curves_have_two_rising_points_with_the_same_ends() {
    let point = |x: f64| CurvePoint { x, exact: None, band: band(1.0, 2.0) };
    let curve = |points: Vec<CurvePoint>| {
        let mut parts = sound();
        parts.limits[0].rule = LimitRule::Curve(Curve {
            by: Kind::ROTATIONAL_SPEED,
            interpolation: Interpolation::Linear,
            points,
        });
        Spec::seal(parts)
    };
    assert!(curve(vec![point(1.0), point(2.0)]).is_ok());
    let broken = Err(BrokenSpec::Curve { limit: "rest_voltage".to_owned() });
    assert_eq!(curve(vec![point(1.0)]), broken);
    assert_eq!(curve(vec![point(2.0), point(2.0)]), broken);
    let mut one_sided = point(3.0);
    one_sided.band.standard.low = None;
    assert_eq!(curve(vec![point(1.0), one_sided]), broken);
}

#[test]
fn figures_make_sense() {
    let mut parts = sound();
    parts.numbers.push(NumberNode::Constant { value: f64::NAN, exact: None });
    assert!(matches!(refusal(parts), BrokenSpec::NotFinite { .. }));

    let mut parts = sound();
    parts.limits[0].rule = LimitRule::Band(band(2.0, 1.0));
    assert!(matches!(refusal(parts), BrokenSpec::EmptyInterval { .. }));

    let mut parts = sound();
    parts.checks[1].decide = Some(DecideRule::At { probability: 0.5 });
    assert!(matches!(refusal(parts), BrokenSpec::DecideRule { .. }));

    let mut parts = sound();
    parts.numbers.push(NumberNode::Fold(Fold::Mean, Vec::new()));
    assert!(matches!(refusal(parts), BrokenSpec::EmptyFold { .. }));
}

#[test]
fn a_file_goes_through_the_same_gate() {
    let spec = Spec::seal(sound()).unwrap();
    let text = serde_json::to_string(&spec).unwrap();
    assert_eq!(serde_json::from_str::<Spec>(&text).unwrap(), spec);
    let changed = text.replace("\"order\":[0,1]", "\"order\":[1,0]");
    assert_ne!(changed, text);
    let refused = serde_json::from_str::<Spec>(&changed).unwrap_err().to_string();
    assert!(refused.contains("behind"), "{refused}");
}

fn range(top: f64, band: Option<(f64, f64)>) -> MeterRange {
    let unit = Catalogue::standard().unit("V").unwrap();
    MeterRange {
        bottom: -top,
        top,
        printed: Measure { figure: Decimal::new(6, 0), unit },
        nought: 0.0,
        step: Some(0.001),
        accuracy: Some(LimitOfError {
            sums: vec![ErrorTerms { reading: 0.005, ..ErrorTerms::default() }],
        }),
        accuracy_printed: None,
        capture: None,
        band,
    }
}

fn meter(ranges: Vec<MeterRange>) -> Instrument {
    Instrument {
        name: "meter_a".to_owned(),
        title: String::new(),
        functions: vec![MeterFunction {
            kind: Kind::AC_VOLTAGE,
            unit: Catalogue::standard().unit("V").unwrap(),
            ranges,
            leads: None,
            test_voltage: None,
            input: None,
            burden: None,
            technique: None,
            common: CommonParts::default(),
            notes: Vec::new(),
        }],
        valid: None,
        calibration: None,
        notes: Vec::new(),
    }
}

fn sealed(meter: Instrument) -> Result<Spec, BrokenSpec> {
    Spec::seal(SpecParts { instruments: vec![meter], ..sound() })
}

#[test]
fn ranges_rise_and_bands_of_one_top_do_not_overlap() {
    let low = Some((45.0, 500.0));
    let high = Some((500.0, 1000.0));
    let of = |ranges: &[(f64, Option<(f64, f64)>)]| {
        sealed(meter(ranges.iter().map(|(top, band)| range(*top, *band)).collect()))
    };
    assert!(of(&[(6.0, None), (60.0, None)]).is_ok());
    assert!(of(&[(6.0, low), (6.0, high), (60.0, low)]).is_ok());
    let broken = Err(BrokenSpec::Instrument { by: "meter_a".to_owned() });
    assert_eq!(of(&[(60.0, None), (6.0, None)]), broken);
    assert_eq!(of(&[(6.0, None), (6.0, None)]), broken);
    assert_eq!(of(&[(6.0, high), (6.0, low)]), broken);
    assert_eq!(of(&[(6.0, low), (6.0, Some((400.0, 1000.0)))]), broken);
    assert_eq!(of(&[(6.0, Some((500.0, 45.0)))]), broken);
    assert_eq!(of(&[(-6.0, None)]), broken);
}

#[test]
fn an_instrument_has_figures_that_it_can_have() {
    let broken = |change: &dyn Fn(&mut Instrument)| {
        let mut meter = meter(vec![range(6.0, None)]);
        change(&mut meter);
        sealed(meter).expect_err("not sound")
    };
    let too_low = BrokenSpec::Instrument { by: "meter_a".to_owned() };
    let sum = |terms: ErrorTerms| Some(LimitOfError { sums: vec![terms] });
    let negative = sum(ErrorTerms { span: -1.0, ..ErrorTerms::default() });
    let infinite = sum(ErrorTerms { reading: f64::INFINITY, ..ErrorTerms::default() });
    let none = Some(LimitOfError { sums: Vec::new() });
    assert_eq!(broken(&|m| m.functions.push(m.functions[0].clone())), too_low);
    assert_eq!(broken(&|m| m.functions[0].ranges[0].accuracy.clone_from(&negative)), too_low);
    assert_eq!(broken(&|m| m.functions[0].ranges[0].accuracy.clone_from(&none)), too_low);
    assert_eq!(broken(&|m| m.functions[0].ranges[0].capture.clone_from(&negative)), too_low);
    assert_eq!(broken(&|m| m.functions[0].ranges[0].capture.clone_from(&none)), too_low);
    assert_eq!(broken(&|m| m.functions[0].ranges[0].step = Some(0.0)), too_low);
    assert_eq!(broken(&|m| m.functions[0].input = Some(0.0)), too_low);
    assert_eq!(broken(&|m| m.functions[0].burden = Some(-1.0)), too_low);
    assert_eq!(broken(&|m| m.functions[0].test_voltage = Some(-1.0)), too_low);
    assert_eq!(broken(&|m| m.functions[0].technique = Some(Technique::Reading(-0.1))), too_low);
    assert_eq!(
        broken(&|m| m.functions[0].leads = Some(Leads { value: 0.1, doubt: -0.1 })),
        too_low
    );
    assert_eq!(broken(&|m| m.calibration = Some(0.0)), too_low);
    assert_eq!(
        broken(&|m| m.valid = Some(Validity { low: 300.0, high: 290.0, widens: 0.1 })),
        too_low
    );
    let not_finite = BrokenSpec::NotFinite { by: "meter_a".to_owned() };
    assert_eq!(broken(&|m| m.functions[0].ranges[0].accuracy.clone_from(&infinite)), not_finite);
    assert_eq!(broken(&|m| m.functions[0].ranges[0].nought = f64::NAN), not_finite);
}

#[test]
fn what_a_slot_says_of_its_circuit_makes_sense_and_meters_are_there() {
    let mut parts = sound();
    parts.slots[0].circuit = Some(Circuit { resistance: -1.0, doubt: 0.0 });
    assert_eq!(refusal(parts), BrokenSpec::Instrument { by: "rest".to_owned() });

    let mut parts = sound();
    parts.slots[0].frequency = Some(NumberId(9));
    assert!(matches!(refusal(parts), BrokenSpec::OutOfRange { list: "number", index: 9, .. }));

    let mut parts = sound();
    parts.meters = vec![InstrumentId(0)];
    assert!(matches!(refusal(parts), BrokenSpec::OutOfRange { list: "instrument", index: 0, .. }));
}
