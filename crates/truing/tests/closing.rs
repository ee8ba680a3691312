//! What stands in the way of closing a job. Spec, readings and jobs are invented.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that panics has failed")]

use truing::job::closing::{Conclusion, Obstacle};
use truing::job::{SheetFormat, read_sheet};
use truing::report::obstacle_text;
use truing::{Compiled, JudgedJob};

const SPEC: &str = r#"
spec bench "Bench" { edition "1"  decide simple }
source sheet "Bench data"
caution exhaust "Exhaust gas kills. Run the engine outdoors."
caution hot_parts "Exhaust, engine and oil burn."
state as_received "Key off, as the machine came in"
state rested "Battery charged and rested" { from as_received  takes 8 h }
state idling "Engine at idle" { from rested  takes 10 min  caution exhaust }
state hot "Engine hot, just stopped" { from idling  takes 40 min  caution hot_parts }
reading battery_received "Battery as received" : dc_voltage { during as_received }
reading battery_rest "Battery at rest" : dc_voltage { during rested }
reading voltage_idle "Voltage at idle" : dc_voltage { during idling }
reading to_ground "Winding to ground, hot" : resistance { during hot }
limit rest : dc_voltage = min 12.4 V cite sheet "1"
limit charging : dc_voltage = 13.2 .. 14.8 V cite sheet "2"
limit insulation : resistance = min 1 Mohm cite sheet "3"
check arrived "Arrived charged" : battery_received within rest
check rested_well "Battery holds" : battery_rest within rest
check charges "Charges at idle" : voltage_idle within charging
check insulated "Clear of ground, hot" : to_ground within insulation
fix renew_stator "Renew the stator" { part "stator"  takes 60 min  proves charges, insulated  caution hot_parts }
fix renew_battery "Renew the battery" { part "battery"  takes 10 min  proves rested_well }
fault grounded "Winding to ground" { odds 40 of 100  makes insulated low 95 %  makes charges low 80 %  fix renew_stator }
fault worn_out "Battery worn out" { odds 30 of 100  makes rested_well low 90 %  fix renew_battery }
"#;

/// The head says the complaint; both rounds have every caution that they need.
const HEAD: &str = "version = 2\ncomplaint = \"no charge\"\n";
const FOUND: &str = "[[round]]\nname = \"as found\"\ncautions = [\"exhaust\", \"hot_parts\"]\n\
                     [round.readings]\nbattery_rest = \"12.7 V\"\nvoltage_idle = \"12.5 V\"\n\
                     to_ground = \"0.3 ohm\"\n";
const LEFT: &str = "[[round]]\nname = \"as left\"\nfitted = \"renew_stator\"\n[round.readings]\n\
                    battery_rest = \"12.7 V\"\nvoltage_idle = \"14.2 V\"\nto_ground = \"48 Mohm\"\n";

fn judged(text: &str) -> (Compiled, JudgedJob, Vec<String>) {
    let compiled = Compiled::from_text("bench", SPEC).unwrap_or_else(|error| panic!("{error}"));
    let sheet = read_sheet("job.toml", text, SheetFormat::Toml).unwrap();
    let job = compiled.judge(&sheet).unwrap_or_else(|errors| panic!("{errors:?}"));
    let words = job.obstacles.iter().map(|it| obstacle_text(compiled.spec(), &sheet, it)).collect();
    (compiled, job, words)
}

/// The obstacles of a job in short, and what it comes to.
fn brief(text: &str) -> (Vec<String>, Conclusion) {
    let (compiled, job, words) = judged(text);
    let spec = compiled.spec();
    let check = |id| spec.check(id).unwrap().label.clone();
    let brief = job.obstacles.iter().map(|obstacle| match obstacle {
        Obstacle::StillFails { check: of, round } => format!("still fails: {} {round}", check(*of)),
        Obstacle::NotTakenAgain { check: of, failed, repaired } => {
            format!("not taken again: {} {failed} {repaired}", check(*of))
        }
        Obstacle::Unclear { check: of, round } => format!("unclear: {} {round}", check(*of)),
        Obstacle::OtherCondition { shows } => {
            format!("other condition: {}", spec.state(*shows).unwrap().name)
        }
        Obstacle::BypassLeft { what, round } => format!("bypass: {what} {round}"),
        Obstacle::CautionUnread { caution, round } => {
            format!("caution: {} {round}", spec.cautions.get(caution.0 as usize).unwrap().name)
        }
        Obstacle::RepairNotProven { verdict, .. } => format!("repair: {verdict:?}"),
    });
    let brief: Vec<String> = brief.collect();
    assert!(
        words.iter().all(|text| text.lines().count() == 1 && !text.ends_with('.')),
        "{words:?}"
    );
    (brief, job.conclusion)
}

#[test]
fn a_job_that_was_repaired_and_measured_again_has_nothing_in_its_way() {
    assert_eq!(brief(&format!("{HEAD}{FOUND}{LEFT}")), (vec![], Conclusion::Proven));
    let hot = format!("{HEAD}shows = \"hot\"\n{FOUND}{LEFT}");
    assert_eq!(brief(&hot), (vec![], Conclusion::Proven));
}

#[test]
fn a_failed_check_that_was_not_taken_again_is_in_the_way() {
    let left = LEFT.replace("voltage_idle = \"14.2 V\"\n", "");
    let (told, conclusion) = brief(&format!("{HEAD}{FOUND}{left}"));
    assert_eq!(told[..1], ["not taken again: charges 0 1"]);
    assert_eq!(told[1..], ["repair: Some(NotProven)"]);
    assert_eq!(conclusion, Conclusion::NotProven);
}

#[test]
fn a_check_that_fails_after_the_repair_or_passes_unclearly_is_in_the_way() {
    let fails = LEFT.replace("48 Mohm", "0.2 ohm");
    let (told, conclusion) = brief(&format!("{HEAD}{FOUND}{fails}"));
    assert_eq!(told, ["still fails: insulated 1", "repair: Some(StillFaulty)"]);
    assert_eq!(conclusion, Conclusion::NotProven);
    let unclear = LEFT.replace("\"48 Mohm\"", "\"0.5 Mohm .. 2 Mohm\"");
    let (told, _) = brief(&format!("{HEAD}{FOUND}{unclear}"));
    assert_eq!(told, ["unclear: insulated 1", "repair: Some(NotProven)"]);
}

#[test]
fn a_proof_under_another_condition_than_the_complaint_s_is_in_the_way() {
    // The insulation failed cold as well, say, and is read cold again: in another state than the hot one.
    let cold = LEFT.replace("\"48 Mohm\"", "{ value = \"48 Mohm\", state = \"rested\" }");
    let (told, conclusion) = brief(&format!("{HEAD}shows = \"hot\"\n{FOUND}{cold}"));
    assert!(told.contains(&"other condition: hot".to_owned()), "{told:?}");
    assert_eq!(conclusion, Conclusion::NotProven);
    // A hot reading before the repair proves nothing of it.
    let never = LEFT.replace("to_ground = \"48 Mohm\"\n", "");
    let (told, _) = brief(&format!("{HEAD}shows = \"hot\"\n{FOUND}{never}"));
    assert!(told.contains(&"other condition: hot".to_owned()), "{told:?}");
}

#[test]
fn a_bypass_that_is_not_off_again_is_in_the_way() {
    let with = |removed: &str| {
        let bypass = format!("bypasses = [{{ what = \"seat switch\", removed = {removed} }}]\n");
        FOUND.replace("[round.readings]", &format!("{bypass}[round.readings]"))
    };
    let (told, conclusion) = brief(&format!("{HEAD}{}{LEFT}", with("false")));
    assert_eq!(told, ["bypass: seat switch 0"]);
    assert_eq!(conclusion, Conclusion::NotProven);
    assert_eq!(brief(&format!("{HEAD}{}{LEFT}", with("true"))).0, [""; 0]);
}

#[test]
fn a_caution_that_was_not_acknowledged_is_in_the_way_once() {
    let found = FOUND.replace("[\"exhaust\", \"hot_parts\"]", "[\"exhaust\"]");
    let unread = format!("{HEAD}{found}{LEFT}");
    // That nobody noted it as read says nothing of the machine, unless the job is closed over it.
    assert_eq!(brief(&unread), (vec!["caution: hot_parts 0".to_owned()], Conclusion::Proven));
    let over = format!("{unread}[closed]\nreason = \"known to all here\"\n");
    assert_eq!(brief(&over).1, Conclusion::NotProven);
    // Acknowledged too late: the hand was there before.
    let late = LEFT.replace("[round.readings]", "cautions = \"hot_parts\"\n[round.readings]");
    assert_eq!(brief(&format!("{HEAD}{found}{late}")).0, ["caution: hot_parts 0"]);
    // Where nothing was read hot, and no repair is hot, there was nothing to acknowledge.
    let cold =
        "[[round]]\n[round.readings]\nbattery_rest = \"12.7 V\"\nto_ground = 'not taken \"a\"'\n";
    assert_eq!(brief(&format!("{HEAD}{cold}")).0, [""; 0]);
    // A repair has its own.
    let repair = format!("{cold}[[round]]\nfitted = \"renew_stator\"\n[round.readings]\n");
    let (told, _) = brief(&format!("{HEAD}{repair}"));
    assert!(told.contains(&"caution: hot_parts 1".to_owned()), "{told:?}");
}

#[test]
fn what_is_closed_over_something_in_the_way_is_not_proven() {
    let closed = "[closed]\ndate = 2026-11-03\n";
    let whole = format!("{HEAD}{FOUND}{LEFT}{closed}");
    assert_eq!(brief(&whole).1, Conclusion::Proven);
    let over = format!("{whole}reason = \"the customer took it\"\n");
    assert_eq!(brief(&over).1, Conclusion::NotProven);
}

#[test]
fn a_failed_check_without_a_repair_is_in_the_way_unless_it_tells_how_the_machine_came_in() {
    let (told, conclusion) = brief(&format!("{HEAD}{FOUND}"));
    assert_eq!(told, ["still fails: charges 0", "still fails: insulated 0"]);
    assert_eq!(conclusion, Conclusion::NothingRepaired);
    let flat =
        "[[round]]\n[round.readings]\nbattery_received = \"11.9 V\"\nbattery_rest = \"12.7 V\"\n";
    assert_eq!(brief(&format!("{HEAD}{flat}")), (vec![], Conclusion::NothingRepaired));
}

#[test]
fn without_listed_faults_the_checks_alone_prove_a_repair() {
    let plain: String = SPEC
        .lines()
        .filter(|line| !line.starts_with("fault"))
        .map(|line| format!("{line}\n"))
        .collect();
    let compiled = Compiled::from_text("bench", &plain).unwrap();
    let judge = |text: &str| {
        let sheet = read_sheet("job.toml", text, SheetFormat::Toml).unwrap();
        compiled.judge(&sheet).unwrap().conclusion
    };
    assert_eq!(judge(&format!("{HEAD}{FOUND}{LEFT}")), Conclusion::Proven);
    let left = LEFT.replace("voltage_idle = \"14.2 V\"\n", "");
    assert_eq!(judge(&format!("{HEAD}{FOUND}{left}")), Conclusion::NotProven);
}

#[test]
fn a_sheet_with_mistakes_is_not_judged_and_each_is_told_once() {
    let compiled = Compiled::from_text("bench", SPEC).unwrap();
    let text = format!("{HEAD}shows = \"hto\"\n{FOUND}{}", LEFT.replace("to_ground", "to_grond"));
    let sheet = read_sheet("job.toml", &text, SheetFormat::Toml).unwrap();
    let errors = compiled.judge(&sheet).unwrap_err();
    let slugs: Vec<&str> = errors.iter().map(|error| error.slug.0).collect();
    assert_eq!(slugs, ["unknown-state", "unknown-reading"]);
    let empty =
        read_sheet("job.toml", "version = 2\nshows = \"hto\"\nround = []\n", SheetFormat::Toml);
    assert_eq!(compiled.judge(&empty.unwrap()).unwrap_err().len(), 1);
}
