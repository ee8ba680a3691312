//! Faults, fixes, states and procedures that a spec holds are sound: each way of not being so is
//! refused by name.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    reason = "what a test is made of may fail as the test may"
)]

use truing_model::{
    Band, Bands, BrokenSpec, Cause, Check, CheckBand, CheckId, CheckRule, Effect, Fault, FaultId,
    Fix, FixId, Interval, Learned, Limit, LimitId, LimitRule, LogicId, LogicNode, Outcome, Part,
    PartId, Procedure, Shown, Side, Spec, SpecParts, State, StateId, Step, StepId, Taken, Waiver,
};
use truing_units::{Catalogue, Kind};

fn check(label: &str, rule: CheckRule) -> Check {
    Check {
        label: label.to_owned(),
        name: label.to_owned(),
        member: None,
        title: label.to_owned(),
        rule,
        when: None,
        applies: None,
        decide: None,
        advise: Vec::new(),
        notes: Vec::new(),
        cites: Vec::new(),
        slots: Vec::new(),
    }
}

fn state(name: &str, from: &[u32]) -> State {
    State {
        name: name.to_owned(),
        title: name.to_owned(),
        from: from.iter().copied().map(StateId).collect(),
        takes: None,
        stays: false,
        brings: false,
        waived: Vec::new(),
        cautions: Vec::new(),
        notes: Vec::new(),
    }
}

fn edge(value: f64) -> Option<truing_model::Edge> {
    Some(truing_model::Edge { value, exact: None, open: false })
}

fn limit(rule: LimitRule) -> Limit {
    Limit {
        name: None,
        title: None,
        kind: Kind::LENGTH,
        unit: Catalogue::standard().unit("m").unwrap(),
        printed: String::new(),
        rule,
        conditions: Vec::new(),
        reference: Vec::new(),
        typical: None,
        cites: Vec::new(),
    }
}

fn within(limit: u32) -> CheckRule {
    CheckRule::Within {
        subject: truing_model::NumberId(0),
        subject_label: String::new(),
        limit: LimitId(limit),
        at: None,
    }
}

/// A gap with a service limit, and a connector that is seen; the gap is judged only when the
/// connector is sound. One fault upsets both.
fn sound() -> SpecParts {
    let graded = LimitRule::Band(Band {
        standard: Interval { low: edge(0.1), high: edge(0.3) },
        service: Some(Interval { low: None, high: edge(0.6) }),
    });
    let seen = CheckRule::Logic { logic: LogicId(0), label: String::new() };
    let mut gap = check("gap_right", within(0));
    gap.when = Some(LogicId(1));
    let effect = |check: u32, band, chance| Effect { check: CheckId(check), band, chance };
    SpecParts {
        name: "rings".to_owned(),
        numbers: vec![truing_model::NumberNode::Constant { value: 0.2, exact: None }],
        logic: vec![LogicNode::Constant(true), LogicNode::Passes(CheckId(0))],
        limits: vec![limit(graded), limit(LimitRule::NotSpecified)],
        checks: vec![check("sound", seen), gap, check("recorded", within(1))],
        order: vec![CheckId(0), CheckId(1), CheckId(2)],
        states: vec![state("still", &[]), state("open", &[0])],
        parts: vec![Part { name: "piston rings".to_owned() }],
        fixes: vec![Fix {
            name: "renew".to_owned(),
            title: "Renew the rings".to_owned(),
            parts: vec![PartId(0)],
            seconds: Some(3600.0),
            verify_seconds: 0.0,
            price: Some(0.0),
            proves: vec![CheckId(1)],
            cautions: Vec::new(),
            notes: Vec::new(),
        }],
        faults: vec![Fault {
            label: "worn".to_owned(),
            name: "worn".to_owned(),
            member: None,
            title: "Rings worn".to_owned(),
            prior: 0.04,
            effects: vec![
                effect(0, CheckBand::Fail, 1.0),
                effect(1, CheckBand::Worn, 0.4),
                effect(1, CheckBand::High, 0.6),
            ],
            fixes: vec![FixId(0)],
            cautions: Vec::new(),
            notes: Vec::new(),
        }],
        procedures: vec![Procedure {
            name: "smokes".to_owned(),
            title: "Smokes".to_owned(),
            steps: vec![
                Step::Take(vec![Taken::Check(CheckId(1))]),
                Step::If {
                    condition: LogicId(1),
                    label: String::new(),
                    then: vec![StepId(2)],
                    otherwise: Vec::new(),
                },
                Step::Suspect(vec![FaultId(0)]),
            ],
            body: vec![StepId(0), StepId(1)],
        }],
        ..SpecParts::default()
    }
}

fn refusal(change: impl FnOnce(&mut SpecParts)) -> BrokenSpec {
    let mut parts = sound();
    change(&mut parts);
    Spec::seal(parts).expect_err("not sound")
}

#[test]
fn bands_are_those_of_the_rule_in_their_usual_order() {
    let spec = Spec::seal(sound()).unwrap();
    use CheckBand as B;
    assert_eq!(spec.bands_of(CheckId(0)).unwrap().order, [B::Ok, B::Fail]);
    // Below the standard limit the gap is worn, since the service limit has no lower end.
    assert_eq!(spec.bands_of(CheckId(1)).unwrap().order, [B::Ok, B::Worn, B::High]);
    assert_eq!(spec.bands_of(CheckId(2)).unwrap().order, [B::Ok]);
    assert_eq!(spec.bands_of(CheckId(1)).unwrap().place(B::High), Some(2));
    assert_eq!(spec.bands_of(CheckId(1)).unwrap().place(B::Low), None);
    assert_eq!((spec.bands[0].leaks(), spec.bands[0].slip), (Bands::LEAK, Bands::SLIP));
    assert_eq!(spec.prerequisites(CheckId(1)), [CheckId(0)]);
    assert_eq!(spec.prerequisites(CheckId(0)), []);
    assert_eq!(B::of(Outcome::Outside(Some(Side::High))), Some(B::High));
    assert_eq!(B::of(Outcome::Outside(None)), Some(B::Fail));
    assert_eq!(B::of(Outcome::Undecided), None);
}

#[test]
fn a_spec_with_faults_survives_its_serialised_form() {
    let spec = Spec::seal(sound()).unwrap();
    let text = serde_json::to_string(&spec).unwrap();
    let again: Spec = serde_json::from_str(&text).unwrap();
    assert_eq!(again, spec);
    assert_eq!(again.fault_labelled("worn"), Some(FaultId(0)));
    assert_eq!(again.fix_named("renew"), Some(FixId(0)));
    assert!(again.procedure_named("smokes").is_some());
}

#[test]
fn what_faults_fixes_and_procedures_name_must_be_there() {
    let out = |list: &str, broken: BrokenSpec| {
        assert!(
            matches!(&broken, BrokenSpec::OutOfRange { list: l, .. } if *l == list),
            "{broken}"
        );
    };
    out("check", refusal(|p| p.faults[0].effects[0].check = CheckId(9)));
    out("fix", refusal(|p| p.faults[0].fixes.push(FixId(1))));
    out("caution", refusal(|p| p.faults[0].cautions.push(truing_model::CautionId(0))));
    out("part", refusal(|p| p.fixes[0].parts.push(PartId(1))));
    out("check", refusal(|p| p.fixes[0].proves.push(CheckId(3))));
    out("fault", refusal(|p| p.procedures[0].steps[2] = Step::Suspect(vec![FaultId(1)])));
    out(
        "slot",
        refusal(|p| {
            p.procedures[0].steps[0] = Step::Take(vec![Taken::Slot(truing_model::SlotId(0))]);
        }),
    );
    out(
        "check",
        refusal(|p| {
            p.states[1].waived.push(Waiver { check: CheckId(3), band: CheckBand::Ok });
        }),
    );
    out(
        "fault",
        refusal(|p| {
            p.cases.push(truing_model::Case {
                name: "c".to_owned(),
                title: "C".to_owned(),
                place: String::new(),
                readings: Vec::new(),
                properties: Vec::new(),
                decide: None,
                meter: None,
                expectations: vec![truing_model::Expectation::Suspect {
                    fault: "worn".to_owned(),
                    faults: vec![FaultId(1)],
                    first: true,
                    at_least: None,
                }],
            });
        }),
    );
}

#[test]
fn effects_go_to_bands_that_are_there_and_no_more_than_always() {
    let effect = |broken| assert!(matches!(broken, BrokenSpec::Effect { .. }), "{broken}");
    effect(refusal(|p| p.faults[0].effects[1].band = CheckBand::Low));
    effect(refusal(|p| p.faults[0].effects[1].band = CheckBand::Ok));
    effect(refusal(|p| p.faults[0].effects[1].band = CheckBand::High));
    effect(refusal(|p| p.faults[0].effects[1].chance = 0.41));
    effect(refusal(|p| p.faults[0].effects[0].check = CheckId(2)));
}

#[test]
fn chances_times_and_prices_are_possible_ones() {
    let amount = |broken| assert!(matches!(broken, BrokenSpec::Amount { .. }), "{broken}");
    for prior in [0.0, 1.0, -0.1, f64::NAN] {
        amount(refusal(|p| p.faults[0].prior = prior));
    }
    for chance in [0.0, -0.5, 1.5, f64::NAN] {
        amount(refusal(|p| p.faults[0].effects[0].chance = chance));
    }
    amount(refusal(|p| p.fixes[0].price = Some(-1.0)));
    amount(refusal(|p| p.fixes[0].seconds = Some(f64::INFINITY)));
    amount(refusal(|p| p.fixes[0].verify_seconds = f64::NAN));
    let said = |leak: f64, slip| {
        move |p: &mut SpecParts| {
            p.bands = p.checks.iter().map(|check| Bands::usual(p, &check.rule)).collect();
            p.bands[0].leak = vec![leak];
            p.bands[0].slip = slip;
        }
    };
    amount(refusal(said(0.0, 0.0)));
    amount(refusal(said(1.0, 0.02)));
    amount(refusal(said(0.02, -0.1)));
    amount(refusal(said(f64::NAN, 0.02)));
    let mut parts = sound();
    said(0.0, 0.01)(&mut parts);
    assert!(Spec::seal(parts).is_ok());
    // One for each band behind the first, and below all of it together.
    let leaks = |leak: &'static [f64]| {
        move |p: &mut SpecParts| {
            p.bands = p.checks.iter().map(|check| Bands::usual(p, &check.rule)).collect();
            p.bands[1].leak = leak.to_vec();
        }
    };
    for leak in [&[0.1][..], &[0.1, 0.1, 0.1], &[0.6, 0.5], &[-0.1, 0.2]] {
        amount(refusal(leaks(leak)));
    }
    let mut parts = sound();
    leaks(&[0.1, 0.0])(&mut parts);
    assert!(Spec::seal(parts).is_ok());
    for weight in [-1.0, f64::NAN, 1e9] {
        amount(refusal(|p| p.beside.none = weight));
        amount(refusal(|p| p.beside.other = weight));
    }
}

#[test]
fn bands_are_one_for_each_way_of_each_check() {
    let with = |order: &'static [CheckBand]| {
        refusal(move |p| {
            p.bands = p.checks.iter().map(|check| Bands::usual(p, &check.rule)).collect();
            p.bands[1].order = order.to_vec();
        })
    };
    use CheckBand as B;
    for order in [
        &[B::Worn, B::Ok, B::High][..],
        &[B::Ok, B::Worn],
        &[B::Ok, B::Worn, B::Worn],
        &[B::Ok, B::Worn, B::High, B::Low],
        &[B::Ok, B::Worn, B::High, B::High],
        &[],
    ] {
        assert!(matches!(with(order), BrokenSpec::Bands { .. }), "{order:?}");
    }
    let few = refusal(|p| p.bands = vec![Bands::usual(p, &p.checks[0].rule)]);
    assert!(matches!(few, BrokenSpec::Bands { .. }));
    let waived = refusal(|p| {
        p.states[1].waived.push(Waiver { check: CheckId(0), band: CheckBand::Low });
    });
    assert!(matches!(waived, BrokenSpec::Bands { .. }));
}

#[test]
fn states_begin_somewhere() {
    let ring = refusal(|p| p.states[0].from.push(StateId(1)));
    assert!(matches!(ring, BrokenSpec::Unreachable { .. }), "{ring}");
    // Back and forth is no ring as long as a way leads in.
    let mut parts = sound();
    parts.states.push(state("running", &[1]));
    parts.states[1].from.push(StateId(2));
    assert!(Spec::seal(parts).is_ok());
}

#[test]
fn steps_are_a_tree() {
    let steps = |change: fn(&mut Procedure)| {
        let broken = refusal(|p| change(&mut p.procedures[0]));
        assert!(matches!(broken, BrokenSpec::Steps { .. }), "{broken}");
    };
    steps(|p| p.body.push(StepId(2)));
    steps(|p| p.body.push(StepId(9)));
    steps(|p| p.steps.push(Step::Stop));
    steps(|p| {
        p.body.pop();
        p.steps[1] = Step::If {
            condition: LogicId(1),
            label: String::new(),
            then: vec![StepId(1)],
            otherwise: vec![StepId(2)],
        };
    });
}

fn counted() -> Learned {
    let shown =
        |band, seen| Shown { fault: FaultId(0), check: CheckId(1), band, seen, judged: 2.0 };
    Learned {
        edition: None,
        author_jobs: 20.0,
        causes: vec![Cause { fault: FaultId(0), jobs: 2.5 }],
        shown: vec![shown(CheckBand::Worn, 0.5), shown(CheckBand::High, 1.5)],
    }
}

fn learned(change: impl FnOnce(&mut Learned)) -> Result<Spec, BrokenSpec> {
    let mut learned = counted();
    change(&mut learned);
    Spec::seal(SpecParts { learned: Some(learned), ..sound() })
}

#[test]
fn what_was_learned_is_of_what_the_spec_has() {
    let spec = learned(|_| ()).unwrap();
    let again: Spec = serde_json::from_str(&serde_json::to_string(&spec).unwrap()).unwrap();
    assert_eq!(again, spec);
    assert_eq!(spec.learned.as_ref().unwrap().jobs_of(FaultId(0)), 2.5);
    let out = |broken| assert!(matches!(broken, Err(BrokenSpec::OutOfRange { .. })), "{broken:?}");
    out(learned(|of| of.causes[0].fault = FaultId(1)));
    out(learned(|of| of.shown[0].fault = FaultId(1)));
    let effect = |broken| assert!(matches!(broken, Err(BrokenSpec::Effect { .. })), "{broken:?}");
    effect(learned(|of| of.shown[0].check = CheckId(2)));
    effect(learned(|of| of.shown[0].band = CheckBand::Low));
    effect(learned(|of| of.shown[1].band = CheckBand::Worn));
}

#[test]
fn what_was_learned_can_have_been_counted() {
    let amount = |broken| assert!(matches!(broken, Err(BrokenSpec::Amount { .. })), "{broken:?}");
    for jobs in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        amount(learned(|of| of.author_jobs = jobs));
    }
    for jobs in [-1.0, f64::NAN] {
        amount(learned(|of| of.causes[0].jobs = jobs));
        amount(learned(|of| of.shown[0].seen = jobs));
    }
    amount(learned(|of| of.causes.push(of.causes[0])));
    // Seen in more than were judged, judged in two numbers of jobs, and in more than there were.
    amount(learned(|of| of.shown[0].seen = 0.6));
    amount(learned(|of| of.shown[1].judged = 1.9));
    amount(learned(|of| of.causes[0].jobs = 1.9));
    assert!(learned(|of| of.shown.clear()).is_ok());
}
