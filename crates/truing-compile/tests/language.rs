//! The language as a whole: what the reference shows, what the shipped specs say.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "helpers of tests may panic"
)]

mod support;

use std::collections::BTreeMap;
use std::sync::Arc;

use support::{Specs, findings, root, slugs, spec};
use truing_compile::{Library, LoadError, Loaded, Session};
use truing_model::{CheckRule, Expectation, LogicNode, NumberNode};
use truing_syntax::{Severity, Sources};

#[test]
fn the_shipped_specs_are_sound() {
    let session = Session::new();
    let mut seen = 0;
    for folder in ["specs/std", "specs/meters", "specs/demo"] {
        let mut files: Vec<_> = std::fs::read_dir(root().join(folder))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.extension().is_some_and(|e| e == "truing"))
            .collect();
        files.sort();
        for path in files {
            let mut sources = Sources::new();
            let name = path.display().to_string();
            let file = sources.add(name.as_str(), std::fs::read_to_string(&path).unwrap());
            let checked = session.check(&mut sources, file, &Specs);
            let errors: Vec<_> =
                checked.findings.iter().filter(|f| f.severity() == Severity::Error).collect();
            assert!(errors.is_empty(), "{name}: {errors:?}");
            assert_eq!(checked.spec.is_some(), !checked.library, "{name}");
            seen += 1;
        }
    }
    assert!(seen >= 5, "{seen} files");
}

/// The library and the spec that the language was designed with, made complete.
const LIBRARY: &str = r#"
library pm_charging "Charging system with a permanent-magnet alternator"

source practice "Common practice of the trade, no source"

family phase = U, V, W
family pair  = pairs of phase

limit rest_voltage       : dc_voltage
limit charge_voltage     : dc_voltage
limit winding_resistance : resistance
limit phase_output       : ac_voltage by rotational_speed
limit insulation         : resistance = min 1 Mohm cite practice
limit diode_forward      : diode_drop = 0.35 .. 0.75 V cite practice
limit rotor_nut          : torque
limit ring_gap           : length

caution exhaust "Run the engine only where the exhaust is led outdoors."

state at_rest   "Engine off for 30 min, key off"
state idling    "Engine running at idle, in park" { from at_rest  takes 1 min  caution exhaust }
state unplugged "Engine off, alternator connector unplugged" { from at_rest  takes 5 min }
state spun      "Engine running, connector unplugged" { from unplugged  caution exhaust }

reading battery_rest "Battery voltage at rest" : dc_voltage {
    during at_rest
    red   on "battery positive post"
    black on "battery negative post"
    takes 1 min
    plausible 0 .. 18 V
}
reading running_voltage "Battery voltage at idle" : dc_voltage { during idling }
reading engine_speed "Engine speed" : rotational_speed { during spun }
reading ac_output[pair] "Alternator output {pair}" : ac_voltage {
    during spun
    with engine_speed
    red   on "alternator pin {pair.first}"
    black on "alternator pin {pair.second}"
}
reading to_ground[phase] "Winding {phase} to ground" : resistance { during unplugged }
reading winding[pair] "Winding {pair}" : resistance { during unplugged }
reading winding_temperature "Winding temperature" : temperature { during unplugged }
reading forward[phase] "Diode {phase}" : diode_drop { during unplugged }
reading nut "Torque of the rotor nut" : torque { during at_rest }
reading gap "Ring gap" : length { during at_rest }
observation connector "Alternator connector" : clean, corroded, burnt { during unplugged }

derived imbalance "Output imbalance between phases" =
    (max(ac_output) - min(ac_output)) / mean(ac_output)

check battery_charged  "Battery is charged"         : battery_rest within rest_voltage
check charges          "System charges the battery" : running_voltage within charge_voltage { when battery_charged passes }
check insulated[phase] "Winding {phase} is clear of ground" : to_ground[phase] within insulation
check level[pair]      "Winding {pair}" :
    refer(winding[pair], from: winding_temperature, to: 20 degC, of: copper) within winding_resistance
check output[pair]     "Output {pair}"              : ac_output[pair] within phase_output at engine_speed
check balanced         "Phases agree"               : imbalance <= 10 %
check conducts[phase]  "Diode {phase} conducts"     : forward[phase] within diode_forward
check connector_sound  "Connector is sound"         : connector is clean
check nut_tight        "Rotor nut is tight"         : nut within rotor_nut
check ring             "Ring gap"                   : gap within ring_gap

fault diode_open[phase] "Rectifier diode open, phase {phase}" {
    odds  8 of 1000
    makes conducts[phase] high
    makes charges low 90 %
    fix   replace_regulator
}
fault stator_grounded "Stator grounded" { odds 6 of 1000  makes insulated low 95 %  fix replace_stator }
fault stator_open "Stator open" { odds 4 of 1000  makes level high  makes output low  fix replace_stator }
fix replace_regulator "Replace the regulator-rectifier" {
    part   "regulator-rectifier"
    takes  30 min
    proves charges, conducts
}
fix replace_stator "Replace the stator" { part "stator"  takes 130 min  proves insulated }

procedure goes_flat "Battery goes flat between outings" {
    take battery_charged
    if battery_charged fails { advise "Charge the battery and load-test it first."  stop }
    take charges
    if charges passes { advise "The charging system is in order: look for a drain at rest."  stop }
    take insulated, output
    if any of insulated fails or any of output fails { suspect stator_grounded, stator_open  stop }
    take conducts
    if any of conducts fails { suspect diode_open }
}
"#;

const SPEC: &str = r#"
## Charging system of the Lowmoor 420 orchard trike. Invented machine, invented limits.
spec lowmoor_420_charging "Lowmoor 420 charging system" {
    edition "2026-11"
    machine "Lowmoor" "420 orchard trike" 2019 .. 2024
}

source sheet "Lowmoor 420 service data, issue 3"

use "pm"

limit rest_voltage       = min 12.4 V                 cite sheet "6-2"
limit charge_voltage     = 13.6 .. 14.8 V             cite sheet "6-2"
limit winding_resistance = 0.18 ± 0.04 ohm at 20 degC cite sheet "6-4"
limit phase_output       = by rotational_speed {
    1200 rpm : 17 .. 23 V
    5000 rpm : 60 .. 75 V
} cite sheet "6-5"
limit rotor_nut          = 60 .. 70 N.m (44 .. 52 lbf.ft) cite sheet "5-1"
limit ring_gap           = standard 0.15 .. 0.30 mm, service max 0.60 mm cite sheet "4-3"

instrument handheld_6000 "6000-count hand-held multimeter" {
    measures dc_voltage {
        range 6 V    step 0.001 V  accuracy 0.5 % + 3 counts
        range 60 V   step 0.01 V   accuracy 0.5 % + 3 counts
    }
    measures resistance {
        range 600 ohm  step 0.1 ohm  accuracy 0.9 % + 5 counts
        leads 0.2 ohm ± 0.1 ohm            # adds to every reading unless zeroed
    }
    measures diode_drop { range 2 V  step 0.001 V  accuracy 1.0 % + 3 counts }
}

case grounded_winding "Winding V rubs on the core" {
    meter handheld_6000
    battery_rest = 12.71 V
    to_ground[U] = 0.6 ohm
    to_ground[V] = 0.3 ohm
    to_ground[W] = 0.5 ohm
    expect insulated[V] outside low
    expect suspect stator_grounded first, at least 90 %
}
"#;

#[test]
fn the_design_is_sound_without_a_word() {
    let (spec, found) = with_library(SPEC, LIBRARY);
    assert_eq!(found, [""; 0]);
    let spec = spec.unwrap();
    assert_eq!((spec.checks.len(), spec.slots.len(), spec.cases.len()), (18, 19, 1));
    let (none, found) = with_library(LIBRARY, "");
    assert_eq!(found, [""; 0]);
    assert!(none.is_none());
}

/// Checks a text beside one library; the spec, and what was found where.
fn with_library(text: &str, library: &str) -> (Option<truing_model::Spec>, Vec<String>) {
    struct One(Arc<str>);
    impl Library for One {
        fn load(&self, _: &str, path: &str) -> Result<Loaded, LoadError> {
            Ok(Loaded { name: path.into(), text: self.0.clone() })
        }
    }
    let mut sources = Sources::new();
    let file = sources.add("main", text);
    let checked = truing_compile::check(&mut sources, file, &One(library.into()));
    let shown = |f: &truing_syntax::Diagnostic| {
        format!("{} at {}", f.slug().0, sources.slice(f.primary().span))
    };
    let found = checked.findings.iter().map(shown).collect();
    (checked.spec, found)
}

const FAMILIES: &str = "
family phase = U, V, W
family pair = pairs of phase
reading ground[phase] \"To ground {phase}\" : resistance
reading ac[pair] \"Output {pair}, {pair.first} against {pair.second}\" : ac_voltage { red on \"pin {pair.first}\" }
derived share[pair] \"Share\" : ratio = ac[pair] / mean(ac)
derived first[pair] : resistance = ground[pair.first] - ground[pair.second]
check clear[phase] \"Winding {phase}\" : ground[phase] within min 1 Mohm
check alike \"Alike\" : max(ac) - min(ac) <= 5 V { when all of clear passes }
check near[pair] \"Pair {pair}\" : share[pair] <= 110 %
check small[pair] \"Difference {pair}\" : first[pair] <= 1 kohm
";

#[test]
fn families_are_written_out() {
    let spec = spec(FAMILIES);
    let slots: Vec<&str> = spec.slots.iter().map(|slot| slot.label.as_str()).collect();
    assert_eq!(slots, ["ground[U]", "ground[V]", "ground[W]", "ac[U-V]", "ac[U-W]", "ac[V-W]"]);
    assert_eq!(spec.slots[4].title, "Output U-W, U against W");
    assert_eq!(spec.slots[4].red.as_deref(), Some("pin U"));
    let near = spec.checks.iter().find(|check| check.label == "near[V-W]").unwrap();
    let CheckRule::Compare { subject_label, against_label, unit, .. } = &near.rule else {
        panic!("{near:?}")
    };
    assert_eq!((subject_label.as_str(), against_label.as_str()), ("share[V-W]", "110 %"));
    assert_eq!(unit.symbol(), "%");
    // The mean of all three stands in each share: nine slots in all, rising.
    assert_eq!(near.slots.iter().map(|slot| slot.0).collect::<Vec<_>>(), [3, 4, 5]);
    // The derived quantity of the pair is one node, in the check as in the list.
    let derived = spec.derived.iter().find(|derived| derived.label == "share[V-W]").unwrap();
    let CheckRule::Compare { subject, .. } = &near.rule else { panic!() };
    assert_eq!(*subject, derived.number);
    // What asks stands behind what is asked.
    let place = |label: &str| {
        let id = spec.checks.iter().position(|check| check.label == label).unwrap();
        spec.order.iter().position(|check| check.0 as usize == id).unwrap()
    };
    assert!(["clear[U]", "clear[V]", "clear[W]"].iter().all(|asked| place(asked) < place("alike")));
    let first = spec.derived.iter().find(|derived| derived.label == "first[U-W]").unwrap();
    let slots: Vec<u32> = first.slots.iter().map(|slot| slot.0).collect();
    assert_eq!(slots, [0, 2]);
}

#[test]
fn a_literal_takes_the_kind_of_its_place() {
    let spec = spec(
        "reading oil \"Oil\" : temperature\nreading inlet \"Inlet\" : temperature
         reading peak \"Peak\" : peak_voltage\nreading share \"Share\" : ratio
         check a \"A\" : oil - inlet <= 10 degC\ncheck b \"B\" : oil + 5 degC <= 100 degC
         check c \"C\" : peak >= 3 V\ncheck d \"D\" : share <= 0.1\ncheck e \"E\" : 12 V <= peak
         derived rise : temperature_difference = oil - 20 degC\ncheck f \"F\" : rise <= 30 degC",
    );
    let constants: Vec<f64> = spec
        .numbers
        .iter()
        .filter_map(|node| match node {
            NumberNode::Constant { value, .. } => Some(*value),
            _ => None,
        })
        .collect();
    for wanted in [10.0, 5.0, 373.15, 3.0, 0.1, 12.0, 293.15, 30.0] {
        assert!(constants.contains(&wanted), "{wanted} is not among {constants:?}");
    }
    // The side that is measured is judged: `12 V <= peak` reads as `peak >= 12 V`.
    let CheckRule::Compare { subject_label, relation, .. } = &spec.checks[4].rule else { panic!() };
    assert_eq!(subject_label, "peak");
    assert_eq!(*relation, truing_model::Relation::GreaterOrEqual);
}

#[test]
fn quantifiers_run_over_members() {
    let spec = spec(
        "family phase = U, V, W\nreading ground[phase] \"G {phase}\" : resistance
         check clear[phase] \"C {phase}\" : ground[phase] >= 1 Mohm
         check some \"One is clear\" : any of clear passes
         check both \"U and V\" : all of (clear[U] passes, clear[V] passes, ground >= 1 kohm)",
    );
    let logic = |name: &str| {
        let check = spec.checks.iter().find(|check| check.name == name).unwrap();
        let CheckRule::Logic { logic, .. } = &check.rule else { panic!("{check:?}") };
        spec.logic[logic.0 as usize].clone()
    };
    assert!(matches!(logic("some"), LogicNode::Any(members) if members.len() == 3));
    assert!(matches!(logic("both"), LogicNode::All(members) if members.len() == 5));
}

#[test]
fn cases_are_lowered() {
    let spec = spec(&format!(
        "{FAMILIES}case one \"One\" {{ decide at 95 %
           ground = 5 Mohm\n ac[U-V] = 69.6 V\n ac[U-W] = OL on 60 V\n ac[V-W] = not taken \"no access\"
           expect clear within\n expect share[U-V] = 100 % }}"
    ));
    let case = &spec.cases[0];
    assert_eq!(case.readings.len(), 6);
    assert_eq!(case.place, "test:13");
    assert_eq!(case.expectations.len(), 4);
    let Expectation::Value { label, value, half_step, .. } = &case.expectations[3] else {
        panic!()
    };
    assert_eq!((label.as_str(), *value, *half_step), ("share[U-V]", 1.0, 0.005));
}

#[test]
fn a_spec_fills_and_replaces_what_a_library_leaves() {
    let library = "library lamp \"Lamp\"\nlimit glow : dc_voltage\nlimit dim : dc_voltage = max 1 V\n\
                   constant nominal : dc_voltage\nreading lamp \"Lamp\" : dc_voltage\n\
                   check on \"On\" : lamp within glow\ncheck off \"Off\" : lamp within dim\n\
                   check share \"Share\" : lamp / nominal >= 90 %\n";
    let check = |text: &str| with_library(text, library);
    let head = "spec demo \"Demo\"\nuse \"lamp\"\n";
    let (none, found) = check(head);
    assert!(none.is_none());
    assert_eq!(found, ["limit-open at \"lamp\""; 2]);
    let filled =
        format!("{head}limit glow = min 11 V\nconstant nominal = 12 V\nlimit dim = max 2 V\n");
    let (spec, found) = check(&filled);
    assert_eq!(found, ["limit-without-source at glow", "limit-without-source at dim"]);
    let printed: Vec<String> = spec.unwrap().limits.iter().map(|l| l.printed.clone()).collect();
    assert_eq!(printed, ["min 11 V", "max 2 V"]);
    let (_, found) = check(&format!("{filled}check on \"On\" : lamp >= 1 V\n"));
    assert!(found.contains(&"defined-twice at on".to_owned()), "{found:?}");
}

#[test]
fn findings_are_the_same_every_time_and_in_order() {
    let mut texts = BTreeMap::new();
    for entry in std::fs::read_dir(root().join("tests/must-fail/names")).unwrap() {
        let path = entry.unwrap().path();
        texts.insert(path.display().to_string(), std::fs::read_to_string(&path).unwrap());
    }
    for (name, text) in texts {
        let (_, first) = support::checked(&text);
        let (_, second) = support::checked(&text);
        assert_eq!(first.findings, second.findings, "{name}");
        let starts: Vec<_> = first
            .findings
            .iter()
            .map(|f| (f.primary().span.file, f.primary().span.start))
            .collect();
        assert!(starts.is_sorted(), "{name}: {starts:?}");
    }
}

#[test]
fn chains_and_circles_of_definitions() {
    let chain = |n: usize, forward: bool| {
        let mut text = "library l \"L\"\nreading r \"R\" : dc_voltage\n".to_owned();
        let mut lines: Vec<String> = (0..n)
            .map(|i| match i {
                0 => "derived d0 = r".to_owned(),
                _ => format!("derived d{i} = d{} + d{}", i - 1, i - 1),
            })
            .collect();
        if !forward {
            lines.reverse();
        }
        text.push_str(&lines.join("\n"));
        text
    };
    assert_eq!(slugs(&chain(60, true)), [""; 0]);
    assert_eq!(slugs(&chain(60, false)), [""; 0]);
    assert_eq!(slugs(&chain(1500, true)), [""; 0]);
    assert_eq!(slugs(&chain(150, false)), ["check-cycle"]);
    let circle = "library l \"L\"\nconstant a = b\nconstant b = a\n";
    assert_eq!(findings(circle), ["check-cycle at \"a\": `a` is worked out from itself"]);
}

#[test]
fn families_inside_families_have_an_end() {
    let members: Vec<String> = (0..60).map(|i| format!("m{i}")).collect();
    let text = format!(
        "library l \"L\"\nfamily f = {}\nreading r[f] \"R\" : dc_voltage
         check c[f] \"C\" : all of (sum(r) - max(r) * count(r) + sum(r[f], r) <= r) and all of (max(r) >= min(r) + r)",
        members.join(", ")
    );
    let found = slugs(&text);
    assert!(found.iter().all(|slug| *slug == "family-too-large"), "{found:?}");
}

#[test]
fn no_text_is_too_deep_for_the_stack() {
    let joined = vec!["max 5 V"; 10_000].join(" or ");
    let many = format!("library l \"L\"\nlimit a : dc_voltage = {joined} whichever is less\n");
    assert_eq!(slugs(&many), ["nested-too-deep"]);
    let arms: Vec<String> = (0..500).map(|i| format!("when s == {i} : max 5 V")).collect();
    let variants = format!(
        "library l \"L\"\nproperty s \"S\" : count\nlimit a : dc_voltage = {} otherwise : max 6 V\n",
        arms.join(" ")
    );
    assert_eq!(slugs(&variants), [""; 0]);
}
