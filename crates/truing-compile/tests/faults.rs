//! Faults, fixes, bands, states and procedures, from text to the model.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "helpers of tests may panic"
)]

mod support;

use support::{Specs, findings, root, slugs, spec};
use truing_compile::Session;
use truing_model::{Beside, CheckBand as B, Effect, Expectation, LogicNode, Spec, Step, Taken};
use truing_syntax::Sources;

/// What readings, limits and checks the tests need; the figures are invented.
const READ: &str = r#"
source sheet "Invented"
family phase = U, V, W
state still "Engine off"
reading rest "Battery at rest" : dc_voltage { during still  takes 2 min }
reading running "Battery while running" : dc_voltage { during still  takes 3 min }
reading to_ground[phase] "Winding {phase} to ground" : resistance { during still  takes 30 s }
reading gap "Ring gap" : length { during still }
observation connector "Connector" : clean, burnt { during still }
limit charging : dc_voltage = 13.6 .. 14.8 V cite sheet
limit ring_gap : length = standard 0.15 .. 0.30 mm, service max 0.60 mm cite sheet
check charged "Battery is charged" : rest >= 12.4 V
check charges "System charges" : running within charging { when charged passes and rest >= 11 V }
check insulated[phase] "Winding {phase} is clear" : to_ground[phase] within min 1 Mohm
check gap_right "Ring gap" : gap within ring_gap
check sound "Connector is sound" : connector is clean
"#;

fn with(items: &str) -> Spec {
    spec(&format!("{READ}{items}"))
}

fn found(items: &str) -> Vec<String> {
    findings(&format!("spec demo \"Demonstration\" {{ edition \"1\" }}\n{READ}{items}"))
}

/// `insulated[U] low 0.95`, each effect of a fault.
fn effects(spec: &Spec, fault: &str) -> Vec<String> {
    let fault = spec.fault(spec.fault_labelled(fault).unwrap()).unwrap();
    let shown = |effect: &Effect| {
        let label = &spec.check(effect.check).unwrap().label;
        format!("{label} {} {:.4}", effect.band.word(), effect.chance)
    };
    fault.effects.iter().map(shown).collect()
}

#[test]
fn chances_are_figures_or_words() {
    let spec = with(
        r#"fault f "F" { odds 8 of 1000  makes charged low  makes charges low usually  makes charges high rarely
            makes gap_right worn sometimes  makes gap_right high 12.5 %  makes sound fail always }
        fault g "G" { makes charged low 0.4 }"#,
    );
    assert_eq!(
        effects(&spec, "f"),
        [
            "charged low 0.9700",
            "charges high 0.1000",
            "charges low 0.8500",
            "gap_right worn 0.5000",
            "gap_right high 0.1250",
            "sound fail 0.9700",
        ]
    );
    assert_eq!(spec.faults[0].prior, 0.008);
    // Without odds: ten of a thousand, and a finding that says so.
    assert_eq!(spec.faults[1].prior, 0.01);
    assert_eq!(effects(&spec, "g"), ["charged low 0.4000"]);
}

#[test]
fn a_check_without_an_index_is_the_member_at_hand_or_all_of_them() {
    let spec = with(
        r#"fault rubs[phase] "Winding {phase} rubs" { odds 1 of 100  makes insulated low 90 %  note "Phase {phase}." }
        fault wet "Stator wet" { odds 1 of 100  makes insulated low 60 % }
        fault one "Winding V only" { odds 1 of 100  makes insulated[V] low 70 % }"#,
    );
    let labels: Vec<&str> = spec.faults.iter().map(|fault| &*fault.label).collect();
    assert_eq!(labels, ["rubs[U]", "rubs[V]", "rubs[W]", "wet", "one"]);
    assert_eq!(effects(&spec, "rubs[V]"), ["insulated[V] low 0.9000"]);
    let rubs = spec.fault(spec.fault_labelled("rubs[W]").unwrap()).unwrap();
    assert_eq!((&*rubs.title, rubs.member.as_deref()), ("Winding W rubs", Some("W")));
    assert_eq!(rubs.notes, ["Phase W."]);
    assert_eq!(effects(&spec, "wet").len(), 3);
    assert_eq!(effects(&spec, "one"), ["insulated[V] low 0.7000"]);
    assert_eq!(spec.faults_named("rubs").count(), 3);
}

#[test]
fn fail_is_the_side_that_there_is_or_either_of_two() {
    let spec = with(
        r#"fault f "F" { odds 1 of 100  makes charged fail 80 %  makes charges fail 70 %
            makes gap_right fail 40 %  makes sound fail 60 % }"#,
    );
    assert_eq!(
        effects(&spec, "f"),
        [
            "charged low 0.8000",
            "charges high 0.3500",
            "charges low 0.3500",
            "gap_right high 0.4000",
            "sound fail 0.6000",
        ]
    );
}

#[test]
fn bands_leak_and_slip_are_said_or_usual() {
    let spec = with(
        r#"check high_shows "Voltage" : running within charging { leak 5 %  slip 0.5 %  bands low, high }
        check worn_shows "Gap" : gap within ring_gap { bands worn  leak 0 % }"#,
    );
    let bands = |label: &str| spec.bands_of(spec.check_labelled(label).unwrap()).unwrap();
    assert_eq!(bands("charges").order, [B::Ok, B::High, B::Low]);
    assert_eq!((bands("charges").leak.clone(), bands("charges").slip), (vec![0.01, 0.01], 0.02));
    assert_eq!(bands("high_shows").order, [B::Ok, B::Low, B::High]);
    assert_eq!(
        (bands("high_shows").leak.clone(), bands("high_shows").slip),
        (vec![0.025, 0.025], 0.005)
    );
    // Those that are not named come before those that are.
    assert_eq!(bands("worn_shows").order, [B::Ok, B::High, B::Worn]);
    assert_eq!(bands("worn_shows").leaks(), 0.0);
    assert_eq!(bands("sound").order, [B::Ok, B::Fail]);
    assert_eq!(spec.bands.len(), spec.checks.len());
    let charges = spec.check_labelled("charges").unwrap();
    assert_eq!(spec.prerequisites(charges), [spec.check_labelled("charged").unwrap()]);
}

/// A leak by band stands beside the bands in their order; what a rule has not is left out of it.
#[test]
fn a_leak_is_said_in_all_or_by_band() {
    let spec = with(
        r#"check first "Voltage" : running within charging { leak high 1 %, low 3 % }
        check turned "Voltage" : running within charging { leak high 1 %, low 3 %  bands low, high }
        check one "Voltage" : running within charging { leak low 3 % }"#,
    );
    let leak =
        |label: &str| spec.bands_of(spec.check_labelled(label).unwrap()).unwrap().leak.clone();
    assert_eq!(leak("first"), [0.01, 0.03]);
    assert_eq!(leak("turned"), [0.03, 0.01]);
    assert_eq!(leak("one"), [0.0, 0.03]);
}

#[test]
fn what_stands_beside_the_faults_is_said_or_usual() {
    let beside = |line: &str| {
        let text = format!("spec demo \"Demonstration\" {{ edition \"1\" {line} }}\n{READ}");
        let mut sources = Sources::new();
        let file = sources.add("demo.truing", text.as_str());
        truing_compile::check(&mut sources, file, &truing_compile::NoLibrary).spec.unwrap().beside
    };
    assert_eq!(beside(""), Beside { none: Beside::NONE, other: Beside::OTHER });
    let said = beside("odds none 4 of 1000  odds other 0 of 1");
    assert_eq!(said, Beside { none: 0.004, other: 0.0 });
}

#[test]
fn fixes_share_their_parts_and_prove_in_the_time_of_their_checks() {
    let spec = with(
        r#"fix renew "Renew" { part "stator"  part "gasket"  takes 2 h  price 119.50  proves insulated, charges }
        fix rewind "Rewind" { part "stator"  takes 5 h  verify 20 min  proves insulated[U] }
        fix clean "Clean" { proves sound, sound }
        fault f "F" { odds 1 of 100  makes charged low  fix renew, rewind, clean }"#,
    );
    let parts: Vec<&str> = spec.parts.iter().map(|part| &*part.name).collect();
    assert_eq!(parts, ["stator", "gasket"]);
    let [renew, rewind, clean] = &spec.fixes[..] else { panic!() };
    assert_eq!(renew.parts[0], rewind.parts[0]);
    assert_eq!((renew.seconds, renew.price), (Some(7200.0), Some(119.5)));
    // Three phases of 30 s and a reading of 3 min; what only a condition asks for is not proved.
    assert_eq!(renew.verify_seconds, 270.0);
    assert_eq!(renew.proves.len(), 4);
    assert_eq!(rewind.verify_seconds, 1200.0);
    assert_eq!((clean.parts.len(), clean.seconds, clean.price), (0, None, None));
    assert_eq!(clean.proves.len(), 1);
    assert_eq!(clean.verify_seconds, 0.0);
    assert_eq!(spec.faults[0].fixes.len(), 3);
}

#[test]
fn states_stay_and_are_waived() {
    let spec = with(
        r#"state full "Charged" { from still  takes 8 h  waived by charged passes }
        state open "Cover off" { from still  takes 1 h  stays  waived by insulated[V] fails  waived by gap_right passes }
        reading inside "Inside" : dc_voltage { during open }
        reading later "Later" : dc_voltage { during full }"#,
    );
    let state = |name: &str| spec.state(spec.state_named(name).unwrap()).unwrap();
    assert!(!state("full").stays && state("open").stays);
    let waived = |name: &str| -> Vec<String> {
        let shown = |w: &truing_model::Waiver| {
            format!("{} {}", spec.check(w.check).unwrap().label, w.band.word())
        };
        state(name).waived.iter().map(shown).collect()
    };
    assert_eq!(waived("full"), ["charged ok"]);
    assert_eq!(waived("open"), ["insulated[V] low", "gap_right ok", "gap_right worn"]);
}

#[test]
fn a_procedure_is_its_steps_laid_flat() {
    let spec = with(
        r#"caution hot "Hot."
        derived rise "Rise" = running - rest
        derived drop[phase] "Drop" = to_ground[phase] / 2
        fault rubs[phase] "Rubs" { odds 1 of 100  makes insulated low }
        fault flat "Flat" { odds 1 of 100  makes charged low }
        procedure p "P" {
            take insulated, rest, drop, rise
            caution hot
            if charged fails {
                if sound fails { advise "Clean it." }
                suspect flat
                stop
            } else if any of insulated fails { suspect rubs, flat } else { take connector }
            suspect rubs[V]
        }"#,
    );
    let procedure = spec.procedure_named("p").unwrap();
    let block = |ids: &[truing_model::StepId]| -> Vec<u32> { ids.iter().map(|id| id.0).collect() };
    assert_eq!(block(&procedure.body), [0, 1, 2, 10]);
    let Step::Take(taken) = &procedure.steps[0] else { panic!() };
    assert_eq!(taken.len(), 3 + 1 + 3 + 1);
    let Taken::Derived(first) = taken[4] else { panic!("{taken:?}") };
    assert_eq!(spec.derived_at(first).unwrap().label, "drop[U]");
    let Taken::Derived(rise) = taken[7] else { panic!("{taken:?}") };
    assert_eq!(spec.derived_at(rise).unwrap().label, "rise");
    let Step::If { condition, label, then, otherwise } = &procedure.steps[2] else { panic!() };
    assert!(matches!(spec.logic[condition.0 as usize], LogicNode::Fails(_)));
    assert_eq!(label, "charged fails");
    assert_eq!((block(then), block(otherwise)), (vec![3, 5, 6], vec![7]));
    let Step::If { then, otherwise, .. } = &procedure.steps[7] else { panic!() };
    assert_eq!((block(then), block(otherwise)), (vec![8], vec![9]));
    let Step::Suspect(faults) = &procedure.steps[8] else { panic!() };
    assert_eq!(faults.len(), 4);
    let Step::Suspect(faults) = &procedure.steps[10] else { panic!() };
    assert_eq!(spec.fault(faults[0]).unwrap().label, "rubs[V]");
}

#[test]
fn a_case_expects_faults_by_place() {
    let spec = with(
        r#"fault rubs[phase] "Rubs" { odds 1 of 100  makes insulated low }
        case c "C" { rest = 12.6 V  expect suspect rubs first  expect suspect rubs[W] }"#,
    );
    let faults: Vec<Vec<u32>> = spec.cases[0]
        .expectations
        .iter()
        .map(|expectation| match expectation {
            Expectation::Suspect { faults, .. } => faults.iter().map(|id| id.0).collect(),
            other => panic!("{other:?}"),
        })
        .collect();
    assert_eq!(faults, [vec![0, 1, 2], vec![2]]);
}

#[test]
fn faults_are_told_apart_by_what_they_most_probably_show() {
    let group = |one: &str, other: &str| {
        let found = found(&format!(
            "fix a \"A\" {{ part \"a\" }}\nfix b \"B\" {{ part \"b\" }}\n\
             fault one \"One\" {{ odds 1 of 100  {one}  fix a }}\n\
             fault other \"Other\" {{ odds 1 of 100  {other}  fix b }}"
        ));
        found.iter().filter(|line| line.starts_with("ambiguity-group")).count()
    };
    // Chances differ, and what is seen most often does not.
    assert_eq!(group("makes charged low 95 %", "makes charged low 70 %  makes sound fail 20 %"), 1);
    // Seldom with the one and mostly with the other.
    assert_eq!(
        group("makes charged low 30 %  makes sound fail", "makes charged low  makes sound fail"),
        0
    );
    // Fail is the one side that the rule has.
    assert_eq!(group("makes charged fail", "makes charged low"), 1);
    assert_eq!(group("makes charges low 60 %  makes charges high 30 %", "makes charges low"), 1);
    assert_eq!(group("makes charges fail", "makes charges low"), 0);
    // Neither shows mostly: only the very same effects are one group.
    assert_eq!(group("makes charged low 20 %", "makes charged low 20 %"), 1);
    assert_eq!(group("makes charged low 20 %", "makes charged low 30 %"), 0);
}

#[test]
fn what_a_limit_cannot_show_is_left_out() {
    let recorded = with(
        r#"check weak "Weak" : running within min 13 V
        check recorded "Any" : running within not specified
        fault f "F" { odds 1 of 100  makes recorded high  makes weak low }"#,
    );
    // What is not specified is recorded, and nothing can upset it.
    assert_eq!(effects(&recorded, "f"), ["weak low 0.9700"]);
    // A spec that fills a library's limit with one side: the other is no band there.
    let filled = |high: &str| {
        spec(&format!(
            r#"source sheet "Invented"
            use "std/pm-charging"
            limit rest_voltage = min 12.6 V cite sheet
            limit cranking_minimum = min 9.6 V cite sheet
            limit drain_limit = max 3 mA cite sheet
            constant battery_capacity = 20 Ah
            limit charge_idle = 13.0 .. 14.8 V cite sheet
            limit charge_high = {high} cite sheet
            limit winding_resistance = 0.18 ± 0.04 ohm cite sheet
            limit phase_output = by rotational_speed {{ 1200 rpm : min 17 V  5000 rpm : min 60 V }} cite sheet
            constant alternator_poles = 12"#
        ))
    };
    let charges = |spec: &Spec| {
        let all = effects(spec, "sense_wire_bad");
        all.into_iter().filter(|line| line.starts_with("charges_high")).collect::<Vec<_>>()
    };
    let both = filled("13.8 .. 14.8 V");
    assert_eq!(charges(&both), ["charges_high high 0.4250", "charges_high low 0.4250"]);
    let low = filled("min 13.8 V");
    assert_eq!(charges(&low), ["charges_high low 0.8500"]);
    assert!(
        effects(&both, "regulator_high").iter().any(|line| line.starts_with("charges_high high"))
    );
    assert!(!effects(&low, "regulator_high").iter().any(|line| line.starts_with("charges_high")));
}

#[test]
fn families_of_faults_and_checks_have_an_end() {
    let members = (0..60).map(|n| format!("m{n}")).collect::<Vec<_>>().join(", ");
    let mut text = format!(
        "spec s \"S\" {{ edition \"1\" }}\nfamily row = {members}\nfamily place = {}\n",
        (0..60).map(|n| format!("p{n}")).collect::<Vec<_>>().join(", ")
    );
    text += "reading r[place] \"R\" : dc_voltage\ncheck c[place] \"C\" : r[place] >= 1 V\n";
    for n in 0..70 {
        text += &format!("fault f{n}[row] \"F\" {{ odds 1 of 100  makes c low }}\n");
    }
    // 70 faults of 60 members upset 60 checks each: 252 000 effects.
    assert_eq!(slugs(&text), ["family-too-large"]);
}

#[test]
fn the_shipped_faults_are_lowered_whole() {
    let path = root().join("specs/demo/ostrevik-hauler-680.truing");
    let mut sources = Sources::new();
    let file = sources.add("main", std::fs::read_to_string(path).unwrap());
    let checked = Session::new().check(&mut sources, file, &Specs);
    let spec = checked.spec.unwrap();
    assert!(spec.faults.len() > 20, "{}", spec.faults.len());
    assert!(spec.procedures.len() > 3 && spec.fixes.len() > 10);
    for fault in &spec.faults {
        assert!(!fault.effects.is_empty(), "{}", fault.label);
        assert!(!fault.fixes.is_empty(), "{}", fault.label);
    }
    // As the library says: 18 of 100.
    let worn = spec.fault(spec.fault_labelled("battery_worn").unwrap()).unwrap();
    assert_eq!(worn.prior, 0.18);
}
