//! Written procedures: the workshop's six jobs walked through those of the library, what an order is
//! expected to take against walking it with every machine that there may be, and what a way says of
//! a suspect against the posterior of the readings on it.
//!
//! Specs, sheets, odds and readings are invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

use std::collections::BTreeMap;

use truing::{Compiled, SuspectRound};
use truing_diagnosis::{
    Band, Evidence, Fault, Hypothesis, Likelihood, Network, Situation, StopRules,
};
use truing_engine::procedure::{End, Settled, StageWalk, Walk, What, order_study, walk};
use truing_engine::{PolicyLimits, Sheet};
use truing_job::{JobSheet, fitted, read_sheet_file};
use truing_model::{CheckId, FixId, Procedure, SlotId, Spec, Step, StepId, Taken};
use truing_tests::place;

const HAULER: &str = "specs/demo/ostrevik-hauler-680.truing";
const TRIO: &str = "specs/demo/tarnwick-trio-300.truing";
const TRIKE: &str = "specs/demo/lowmoor-420-orchard.truing";

fn compiled(path: &str) -> Compiled {
    Compiled::from_path(place::root().join(path)).unwrap()
}

fn rounds(spec: &Compiled, name: &str) -> Vec<(Sheet, Vec<FixId>)> {
    let path = place::root().join("specs/demo/jobs").join(name);
    let sheet: JobSheet = read_sheet_file(&path).unwrap();
    (0..sheet.rounds.len())
        .map(|round| {
            (spec.bind(&sheet, round).unwrap(), fitted(&sheet, round, spec.spec()).unwrap())
        })
        .collect()
}

fn stages(spec: &Compiled, procedure: &str, rounds: &[(Sheet, Vec<FixId>)]) -> Vec<StageWalk> {
    let rounds: Vec<_> =
        rounds.iter().map(|(sheet, fitted)| SuspectRound { sheet, fitted }).collect();
    spec.walks(spec.procedure(procedure).unwrap(), &rounds)
}

fn suspects(spec: &Spec, walk: &Walk) -> Vec<String> {
    let mut names: Vec<String> =
        walk.suspects().iter().map(|id| spec.fault(*id).unwrap().name.clone()).collect();
    names.dedup();
    names
}

/// The condition that a walk ends at, as written, with the checks that are not known.
fn open(spec: &Spec, procedure: &Procedure, walk: &Walk) -> String {
    let End::Unknown { step, asked } = &walk.end else { return String::new() };
    let Some(Step::If { label, .. }) = procedure.step(*step) else { panic!() };
    assert!(asked.iter().all(|asked| asked.holds.is_none()));
    let _ = spec;
    label.clone()
}

fn next(spec: &Spec, walk: &Walk) -> Vec<String> {
    let slots = walk.next.iter().flat_map(|next| next.slots());
    slots.map(|slot| spec.slot(slot).unwrap().label.clone()).collect()
}

#[test]
fn the_open_diode_is_found_though_the_clamps_were_left_out() {
    let spec = compiled(HAULER);
    let walks = stages(&spec, "goes_flat", &rounds(&spec, "pl-0702.toml"));
    assert_eq!(walks.len(), 2);
    let found = &walks[0].walk;
    assert!(matches!(found.end, End::Stopped(_)), "{:?}", found.end);
    assert_eq!(suspects(spec.spec(), found), ["upper_diode_open", "lower_diode_open"]);
    let left: Vec<_> = found.left_out().collect();
    assert_eq!(left.len(), 1, "the connector, which nobody looked at: {left:?}");
    // As left every check that was made passes; what was not made again is open.
    let left = &walks[1];
    assert_eq!(left.fitted.len(), 1);
    assert_eq!(
        open(spec.spec(), spec.procedure("goes_flat").unwrap(), &left.walk),
        "no_drain fails"
    );
    assert!(suspects(spec.spec(), &left.walk).is_empty());
}

#[test]
fn flat_after_three_weeks_waits_for_the_clamps_and_warns_before_cranking() {
    let spec = compiled(HAULER);
    let walks = stages(&spec, "goes_flat", &rounds(&spec, "pl-0701.toml"));
    let [StageWalk { walk, .. }] = walks.as_slice() else { panic!("{walks:?}") };
    let procedure = spec.procedure("goes_flat").unwrap();
    assert_eq!(open(spec.spec(), procedure, walk), "any of clamps_tight fails");
    assert!(suspects(spec.spec(), walk).is_empty(), "nothing failed, so nothing is named");
    assert_eq!(next(spec.spec(), walk), ["clamp_drop[positive]", "clamp_drop[negative]"]);
    let next = walk.next.as_ref().unwrap();
    let cautions: Vec<&str> =
        next.cautions.iter().map(|id| spec.spec().cautions[id.0 as usize].name.as_str()).collect();
    assert_eq!(cautions, ["no_start", "moving_parts", "battery_acid"]);
    // Two drops of 1 min each, cranking 2 min: the battery came in low and was charged already.
    assert!((next.minutes - 4.0).abs() < 1e-9, "{}", next.minutes);
}

#[test]
fn a_dead_system_waits_for_the_fuse_and_charges_once_the_stator_is_new() {
    let spec = compiled(HAULER);
    let walks = stages(&spec, "no_charge", &rounds(&spec, "pl-0703.toml"));
    assert_eq!(walks.iter().map(|of| of.rounds.len()).collect::<Vec<_>>(), [2, 2]);
    let procedure = spec.procedure("no_charge").unwrap();
    let found = &walks[0].walk;
    assert_eq!(open(spec.spec(), procedure, found), "fuse_sound fails or holder_sound fails");
    let left = &walks[1].walk;
    assert!(left.ended(), "{:?}", left.end);
    assert!(left.trail.iter().any(|passed| passed.what == What::Advised));
    assert!(suspects(spec.spec(), left).is_empty());
}

#[test]
fn weak_charge_ends_at_the_ground_side() {
    let spec = compiled(HAULER);
    for job in ["pl-0704.toml", "pl-0704.csv"] {
        let walks = stages(&spec, "weak_charge", &rounds(&spec, job)[..1]);
        let found = &walks[0].walk;
        assert!(found.ended(), "{:?}", found.end);
        assert_eq!(suspects(spec.spec(), found), ["ground_wire_bad", "clamp_bad"]);
    }
}

#[test]
fn a_click_is_asked_for_before_anything_is_cranked() {
    let spec = compiled(TRIO);
    let mut rounds = rounds(&spec, "pl-0705.toml");
    let procedure = spec.procedure("does_not_crank").unwrap();
    let found = stages(&spec, "does_not_crank", &rounds).remove(0).walk;
    assert_eq!(open(spec.spec(), procedure, &found), "clicks fails");
    assert_eq!(next(spec.spec(), &found), ["solenoid_sound"]);
    // "Clicks", says the customer; then the joints are good and the battery sags.
    let sheet = &mut rounds[0].0;
    let slot = |name: &str| spec.spec().slot_labelled(name).unwrap();
    let mut put = |name: &str, text: &str| {
        let reading = spec.sheet().read(name, text).unwrap().build();
        sheet.set(slot(name), reading.get(slot(name)).unwrap().clone()).unwrap();
    };
    put("solenoid_sound", "click");
    put("starter_cable_drop", "0.08 V");
    put("by_hand", "freely");
    let found = stages(&spec, "does_not_crank", &rounds).remove(0).walk;
    assert!(found.ended(), "{:?}", found.end);
    assert_eq!(
        suspects(spec.spec(), &found),
        ["starting_battery_weak", "starter_armature_shorted"]
    );
}

#[test]
fn a_hot_fault_is_named_only_once_it_was_measured_hot() {
    let spec = compiled(HAULER);
    let rounds = rounds(&spec, "pl-0706.toml");
    let cold = stages(&spec, "stops_when_hot", &rounds[..1]).remove(0).walk;
    let procedure = spec.procedure("stops_when_hot").unwrap();
    assert_eq!(open(spec.spec(), procedure, &cold), "any of insulated_hot fails");
    assert!(suspects(spec.spec(), &cold).is_empty());
    let hot = stages(&spec, "stops_when_hot", &rounds[..2]).remove(0).walk;
    assert!(hot.ended(), "{:?}", hot.end);
    assert_eq!(suspects(spec.spec(), &hot), ["stator_grounds_hot", "stator_grounded"]);
}

/// A reading as an order would have it: what the walk is told comes of the walk alone.
const BENCH: &str = r#"
spec bench "Bench (invented)" { edition "1"  decide simple }
source sheet "Service sheet (invented)"
limit arrival    : dc_voltage = min 12.6 V     cite sheet
limit full       : dc_voltage = min 12.4 V     cite sheet
limit charging   : dc_voltage = 13.6 .. 14.8 V cite sheet
limit insulation : resistance = min 1 Mohm     cite sheet
caution gas "No flame."
caution exhaust "Outdoors."
state came_in "As it came in"
state rested "Charged and rested" { from came_in  takes 480 min  stays  waived by arrived passes  caution gas }
state cover_off "Cover off" { from rested  takes 30 min  stays }
reading arrival_voltage "Battery as it came in" : dc_voltage { during came_in  takes 3 min }
reading rest_voltage "Battery at rest" : dc_voltage { during rested  takes 4 min }
reading charge_voltage "Charge voltage" : dc_voltage { during rested  takes 5 min  caution exhaust }
reading to_ground "Winding to ground" : resistance { during cover_off  takes 2 min }
observation plug "Plug" : clean, burnt { takes 1 min }
check arrived    "Battery came in charged" : arrival_voltage within arrival
check charged    "Battery is charged"      : rest_voltage within full
check charges    "System charges"          : charge_voltage within charging { when charged passes }
check insulated  "Winding is clear"        : to_ground within insulation
check plug_sound "Plug is sound"           : plug is clean
fault worn "Battery worn" {
    odds 20 of 100
    makes arrived low 85 %
    makes charged low 60 %
    fix renew_battery
}
fault plug_burnt "Plug burnt" {
    odds 8 of 100
    makes arrived low 70 %
    makes plug_sound fail 95 %
    makes charges low 50 %
    fix renew_plug
}
fault grounded "Winding grounded" {
    odds 6 of 100
    makes arrived low 80 %
    makes charges low 90 %
    makes insulated low 95 %
    fix renew_stator
}
fault too_high "Regulator too high" { odds 3 of 100  makes charges high 92 %  fix renew_regulator }
fix renew_battery "Renew the battery" { part "battery"  takes 20 min }
fix renew_plug "Renew the plug" { part "plug"  takes 20 min }
fix renew_stator "Renew the stator" { part "stator"  takes 130 min }
fix renew_regulator "Renew the regulator" { part "regulator"  takes 30 min }
"#;

const ORDER: &str = r#"
procedure goes_flat "Goes flat" {
    take arrival_voltage, plug
    take charged, charges
    if charged fails { advise "Charge it again."  suspect worn  stop }
    if charges fails or not plug_sound passes {
        take insulated
        if insulated fails { suspect grounded  stop }
        if plug is clean { suspect too_high, plug_burnt } else { suspect plug_burnt }
        stop
    }
    advise "In order."
}
"#;

fn bench(order: &str) -> Compiled {
    Compiled::from_text("bench", &format!("{BENCH}{order}")).unwrap()
}

/// What each check comes out as, of every machine that there may be, with its probability under a
/// hypothesis: bands drawn independently, slips of the hand included.
fn machines(
    spec: &Spec,
    network: &Network,
    checks: &[(CheckId, truing_diagnosis::Check)],
) -> Vec<(Hypothesis, BTreeMap<CheckId, usize>, f64)> {
    let faults = (0..spec.faults.len()).map(|at| Hypothesis::Single(Fault(at)));
    let all: Vec<Hypothesis> =
        [Hypothesis::None].into_iter().chain(faults).chain([Hypothesis::Other]).collect();
    let sum: f64 = all.iter().map(|of| network.weight(*of)).sum();
    let mut machines = Vec::new();
    for hypothesis in all {
        let mut open = vec![(BTreeMap::new(), network.weight(hypothesis) / sum)];
        for (id, check) in checks {
            let chances = network.outcome_read(*check, hypothesis).unwrap();
            open = open
                .into_iter()
                .flat_map(|(came, p): (BTreeMap<CheckId, usize>, f64)| {
                    chances.clone().into_iter().enumerate().map(move |(band, chance)| {
                        let mut came = came.clone();
                        came.insert(*id, band);
                        (came, p * chance)
                    })
                })
                .collect();
        }
        machines.extend(open.into_iter().map(|(came, p)| (hypothesis, came, p)));
    }
    machines
}

/// A reading that makes a check come out in a band.
fn reading(check: &str, word: &str) -> (&'static str, &'static str) {
    match (check, word) {
        ("arrived", "ok") => ("arrival_voltage", "12.80 V"),
        ("arrived", _) => ("arrival_voltage", "11.90 V"),
        ("charged", "ok") => ("rest_voltage", "12.70 V"),
        ("charged", _) => ("rest_voltage", "12.10 V"),
        ("charges", "ok") => ("charge_voltage", "14.20 V"),
        ("charges", "low") => ("charge_voltage", "12.50 V"),
        ("charges", _) => ("charge_voltage", "15.50 V"),
        ("insulated", "ok") => ("to_ground", "30 Mohm"),
        ("insulated", _) => ("to_ground", "0.3 ohm"),
        ("plug_sound", "ok") => ("plug", "clean"),
        ("plug_sound", _) => ("plug", "burnt"),
        other => panic!("{other:?}"),
    }
}

#[test]
fn what_an_order_takes_is_what_walking_every_machine_takes() {
    let compiled = bench(ORDER);
    let (spec, plan) = (compiled.spec(), compiled.suspect_plan().unwrap().unwrap());
    let procedure = compiled.procedure("goes_flat").unwrap();
    let study = order_study(spec, Some(plan), procedure).written;
    let network = plan.network_of_complaints();
    let checks: Vec<_> =
        spec.check_ids().map(|(id, _)| (id, plan.check_in_network(id).unwrap())).collect();
    let (mut minutes, mut readings, mut named, mut names, mut many, mut all) =
        (0.0, 0.0, 0.0, 0.0, 0.0, 0.0);
    for (hypothesis, came, p) in machines(spec, network, &checks) {
        all += p;
        // Whoever follows the order reads one thing after the other, and looks what comes next.
        let texts: BTreeMap<SlotId, &str> = came
            .iter()
            .map(|(id, band)| {
                let label = &spec.check(*id).unwrap().label;
                let word = spec.bands_of(*id).unwrap().order[*band].word();
                let (slot, text) = reading(label, word);
                (spec.slot_labelled(slot).unwrap(), text)
            })
            .collect();
        let mut sheet = compiled.sheet();
        let walk = loop {
            let built = sheet.clone().build();
            let walk = compiled.walk(procedure, &[SuspectRound { sheet: &built, fitted: &[] }]);
            let Some(next) = &walk.next else { break walk };
            let stand = &next.stands[0];
            let slot = stand.readings[0].slot;
            let label = &spec.slot(slot).unwrap().label;
            sheet = sheet.read(label, texts[&slot]).unwrap();
            let way =
                stand.way.iter().map(|state| match spec.state(*state).unwrap().name.as_str() {
                    "rested" => 480.0,
                    "cover_off" => 30.0,
                    _ => 0.0,
                });
            let own = match label.as_str() {
                "arrival_voltage" => 3.0,
                "rest_voltage" => 4.0,
                "charge_voltage" => 5.0,
                "to_ground" => 2.0,
                _ => 1.0,
            };
            minutes += p * (way.sum::<f64>() + own);
            readings += p;
        };
        assert!(walk.ended(), "{:?}", walk.end);
        let suspects = walk.suspects();
        if !suspects.is_empty() {
            names += p;
            many += p * suspects.len() as f64;
        }
        let is =
            |id: &truing_model::FaultId| hypothesis == Hypothesis::Single(Fault(id.0 as usize));
        if suspects.iter().any(is) {
            named += p;
        }
    }
    let near = |got: f64, expected: f64, what: &str| {
        assert!((got - expected).abs() < 1e-9 * expected.max(1.0), "{what}: {got} for {expected}");
    };
    near(all, 1.0, "all machines");
    near(study.minutes, minutes, "minutes");
    near(study.readings, readings, "readings");
    near(study.named, named, "named");
    near(study.names, names, "names");
    near(study.suspects, many / names, "suspects");
    near(study.stuck, 0.0, "stuck");
    near(study.beyond, 0.0, "beyond");
    assert!(names < 0.9 && named < names, "some are not named: {names}, {named}");
}

#[test]
fn what_a_way_says_of_a_suspect_is_what_the_posterior_says() {
    let compiled = bench(
        r#"procedure p "P" {
            take charged, charges, plug_sound
            if charged fails { advise "Charge it."  stop }
            if charges fails { suspect worn, grounded, plug_burnt, too_high }
        }"#,
    );
    let (spec, plan) = (compiled.spec(), compiled.suspect_plan().unwrap().unwrap());
    let study = order_study(spec, Some(plan), &spec.procedures[0]);
    let network = plan.network_of_complaints();
    let check = |name: &str| plan.check_in_network(spec.check_labelled(name).unwrap()).unwrap();
    // What the way knows: the battery is charged, and the charge voltage is outside on either side.
    let mut evidence = Evidence::new();
    evidence.read(check("charged"), Likelihood::hard(Band(0), 2).unwrap());
    evidence.read(check("charges"), Likelihood::given(&[0.0, 1.0, 1.0]).unwrap());
    let before = network.posterior(&Evidence::new()).unwrap();
    let after = network.posterior(&evidence).unwrap();
    let odds = |p: f64| p / (1.0 - p);
    let shift = |fault: usize| {
        let of = Hypothesis::Single(Fault(fault));
        10.0 * (odds(after.probability(of)) / odds(before.probability(of))).log10()
    };
    let told: Vec<(u32, f64)> =
        study.unsupported.iter().map(|of| (of.fault.0, of.decibans)).collect();
    let [(0, decibans)] = told.as_slice() else { panic!("the worn battery alone: {told:?}") };
    assert!((decibans - shift(0)).abs() < 1e-9, "{decibans} for {}", shift(0));
    assert!(*decibans < -5.0 && (1..4).all(|fault| shift(fault) > -5.0));
    // Both conditions speak against it; that the charge voltage failed, which it leaves alone, most.
    let against = &study.unsupported[0].against;
    assert_eq!((against.step, against.holds), (StepId(4), true));
    let fails = |of| network.outcome_read(check("charges"), of).unwrap()[1..].iter().sum::<f64>();
    assert!((against.with_it - fails(Hypothesis::Single(Fault(0)))).abs() < 1e-12);
    assert!((study.unsupported[0].probability - after.log_evidence().exp()).abs() < 1e-9);
}

#[test]
fn a_reading_that_no_check_has_may_go_either_way_and_stays_so() {
    let compiled = bench(
        r#"procedure p "P" {
            take rest_voltage
            if rest_voltage < 6 V { advise "A cell is dead."  suspect worn  stop }
            if rest_voltage < 6 V { advise "Never." }
        }"#,
    );
    let spec = compiled.spec();
    let study = order_study(spec, compiled.suspect_plan().unwrap(), &spec.procedures[0]);
    assert_eq!(study.settled, [(StepId(5), Settled::Fails)]);
    assert!((study.written.names - 0.5).abs() < 1e-12, "{:?}", study.written);
}

/// The minutes of a step are those that the next measurement is reckoned with.
#[test]
fn a_step_takes_as_long_as_the_next_measurement_says() {
    let mut compared = 0;
    for path in [HAULER, TRIO, TRIKE] {
        let compiled = compiled(path);
        let (spec, plan) = (compiled.spec(), compiled.suspect_plan().unwrap().unwrap());
        let network = plan.network();
        let nothing = Evidence::new();
        let posterior = network.posterior(&nothing).unwrap();
        let rules = StopRules { shortlist: 500, ..StopRules::default() };
        let next = network.next(&posterior, &nothing, &Situation::default(), &rules).unwrap();
        for candidate in next.candidates.iter().filter(|of| of.chain.len() == 1) {
            let id = plan.check(candidate.chain[0]).unwrap();
            // A family that counts as one is taken as one.
            let members = plan.members(candidate.chain[0]).iter();
            let procedure = Procedure {
                name: "one".to_owned(),
                title: String::new(),
                steps: vec![Step::Take(members.map(|id| Taken::Check(*id)).collect())],
                body: vec![StepId(0)],
            };
            let walk = walk(spec, compiled.plan(), &procedure, &[]);
            let minutes = walk.next.unwrap().minutes;
            // A reading that checks share is preparation there, and looking at it then a tenth.
            let label = &spec.check(id).unwrap().label;
            let apart = candidate.minutes - minutes;
            assert!((-1e-9..=0.1 + 1e-9).contains(&apart), "{label}: {minutes}, {candidate:?}");
            compared += 1;
        }
    }
    assert!(compared > 60, "{compared}");
}

#[test]
fn the_engines_own_order_is_reckoned_alike_and_the_same_every_time() {
    let compiled = bench(ORDER);
    let limits = PolicyLimits { cut_off: 0.0, ..PolicyLimits::default() };
    let exact = compiled.engine_order(&limits).unwrap().unwrap();
    assert_eq!((exact.drawn, exact.cut), (0.0, 0.0));
    let network = compiled.suspect_plan().unwrap().unwrap().network_of_complaints();
    let policy = network.policy(&limits, &StopRules::default()).unwrap();
    // States that stay and readings of one check each: both reckonings have the same minutes.
    assert!((policy.minutes() - exact.minutes).abs() < 1e-9, "{exact:?} {}", policy.minutes());
    assert!((policy.measurements() - exact.readings).abs() < 1e-9);
    let drawn = compiled.engine_order(&PolicyLimits::default()).unwrap().unwrap();
    assert!(drawn.drawn > 0.0 && (drawn.minutes / exact.minutes - 1.0).abs() < 0.05, "{drawn:?}");
    assert_eq!(compiled.engine_order(&PolicyLimits::default()).unwrap().unwrap(), drawn);
    let study = compiled.order_study(compiled.procedure("goes_flat").unwrap()).unwrap().unwrap();
    assert!(study.unsupported.is_empty() && study.settled.is_empty(), "{study:?}");
}

/// A spec with so many checks of one family, so many faults, and these steps.
fn many(checks: usize, faults: usize, steps: &str) -> String {
    let members: Vec<String> = (0..checks).map(|n| format!("m{n}")).collect();
    let fault = |n: usize| {
        let check = n % checks;
        format!("fault f{n} \"F{n}\" {{ odds 1 of 1000  makes dry[m{check}] fail 90 % }}\n")
    };
    format!(
        "spec many \"Many\" {{ edition \"1\" }}\nfamily plug = {}\n\
         observation seen[plug] \"Plug {{plug}}\" : clean, wet\n\
         check dry[plug] \"Plug {{plug}} is dry\" : seen[plug] is clean\n{}\
         procedure p \"P\" {{\n{steps}}}\n",
        members.join(", "),
        (0..faults).map(fault).collect::<String>(),
    )
}

/// What nobody writes ends in time: it is followed as far as is stated, and that is told.
#[test]
fn a_procedure_of_any_size_ends_in_time() {
    let ifs = |count: usize| -> String {
        let step = |n: usize| format!("if dry[m{}] fails {{ advise \"{n}\" }}\n", n % 60);
        (0..count).map(step).collect()
    };
    let any =
        "if any of dry fails { advise \"Dry it.\" }\nif all of dry passes { advise \"Look.\" }\n";
    let nested: String = (0..100).map(|n| format!("if dry[m{}] fails {{\n", n % 60)).collect();
    let nested = format!("take dry\n{nested}suspect f1\n{}", "}\n".repeat(100));
    let takes = "take dry\n".repeat(3_000);
    for (what, text, beyond) in [
        ("many conditions", many(60, 300, &format!("take dry\n{}", ifs(300))), true),
        ("too many steps", many(60, 5, &format!("take dry\n{}", ifs(1_500))), true),
        ("families again and again", many(60, 60, &format!("take dry\n{}", any.repeat(12))), false),
        ("nested deep", many(60, 60, &nested), false),
        ("only takes", many(60, 5, &takes), true),
        ("nothing", many(60, 5, ""), false),
    ] {
        let begun = std::time::Instant::now();
        let compiled = Compiled::from_text("many", &text).unwrap();
        let procedure = &compiled.spec().procedures[0];
        let study = compiled.order_study(procedure).unwrap().unwrap();
        assert_eq!(study.written.beyond > 0.0, beyond, "{what}: {:?}", study.written);
        let told = compiled.warnings().iter().any(|of| of.slug().0 == "paths-too-many");
        assert_eq!(told, beyond, "{what}");
        let sheet = compiled.sheet().read("seen[m1]", "wet").unwrap().build();
        let walk = compiled.walk(procedure, &[SuspectRound { sheet: &sheet, fitted: &[] }]);
        assert!(walk.next.is_some() || procedure.steps.is_empty(), "{what}: {:?}", walk.end);
        // Ten times what it takes unoptimised on a busy machine.
        assert!(begun.elapsed().as_secs() < 60, "{what}: {:?}", begun.elapsed());
    }
}
