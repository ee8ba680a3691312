//! The six demo jobs, each by its script of answers: the sheet that comes of it is judged as the demo's
//! own. Jobs, machines and readings are invented.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that panics has failed")]

mod support;

use std::collections::BTreeSet;

use support::{Desk, demo, root};
use truing::job::closing::Obstacle;
use truing::job::{JobSheet, Part, Round, SheetFormat, read_sheet, read_sheet_file, write_toml};
use truing::{Compiled, JudgedJob};
use truing_work::Sort;

const JOBS: [(&str, &str); 6] = [
    ("pl-0701", "ostrevik-hauler-680"),
    ("pl-0702", "ostrevik-hauler-680"),
    ("pl-0703", "ostrevik-hauler-680"),
    ("pl-0704", "ostrevik-hauler-680"),
    ("pl-0705", "tarnwick-trio-300"),
    ("pl-0706", "ostrevik-hauler-680"),
];

/// The job by its script; every line of it has to be understood.
fn scripted(job: &str, spec: &Compiled) -> Desk {
    let script = root().join(format!("specs/demo/jobs/scripts/{job}.txt"));
    let script = std::fs::read_to_string(script).unwrap();
    let mut desk = Desk::new(spec);
    for line in script.lines().filter(|line| !line.starts_with('#')) {
        assert!(!desk.session.is_over(), "{job}: over before `{line}`");
        desk.say(line);
        let refused = desk.said.iter().find(|said| said.sort == Sort::Refused);
        assert!(refused.is_none(), "{job}: `{line}`: {refused:?}");
    }
    assert!(desk.session.is_over(), "{job}: the script does not close the job");
    desk
}

fn judged(spec: &Compiled, sheet: &JobSheet) -> JudgedJob {
    spec.judge(sheet).unwrap_or_else(|errors| panic!("{errors:?}"))
}

/// What a round's record says besides its readings, without times and remarks.
fn brief(round: &Round) -> (Vec<(&str, &str)>, Vec<String>, Option<&str>) {
    let part = |it: &Part| format!("{:?} {} {:?}", it.number, it.quantity, it.price);
    (
        round.skipped.iter().map(|it| (it.check.as_str(), it.why.as_str())).collect(),
        round.parts.iter().map(part).collect(),
        round.conditions.ambient.as_deref(),
    )
}

/// The cautions of a job. A repair's stand in the round before it here, in the one after it there.
fn cautions(sheet: &JobSheet) -> BTreeSet<&str> {
    sheet.rounds.iter().flat_map(|round| &round.cautions).map(String::as_str).collect()
}

#[test]
fn the_sheet_of_each_script_is_judged_as_the_demo_s() {
    for (job, name) in JOBS {
        let spec = demo(name);
        let desk = scripted(job, &spec);
        let read = read_sheet("written.toml", &write_toml(desk.sheet()), SheetFormat::Toml);
        let made = judged(&spec, &read.unwrap_or_else(|errors| panic!("{job}: {errors:?}")));
        let path = root().join(format!("specs/demo/jobs/{job}.toml"));
        let kept = read_sheet_file(&path).unwrap();
        let shown = judged(&spec, &kept);
        let names = |sheet: &JobSheet| -> Vec<String> {
            sheet.rounds.iter().map(|round| round.name.clone()).collect()
        };
        assert_eq!(names(desk.sheet()), names(&kept), "{job}");
        assert_eq!(made.rounds.len(), shown.rounds.len(), "{job}");
        for (at, (made, shown)) in made.rounds.iter().zip(&shown.rounds).enumerate() {
            assert_eq!(made.findings, shown.findings, "{job}, round {at}");
            assert_eq!(made.fitted, shown.fitted, "{job}, round {at}");
        }
        assert_eq!(made.stages, shown.stages, "{job}");
        for (made, shown) in desk.sheet().rounds.iter().zip(&kept.rounds) {
            assert_eq!(brief(made), brief(shown), "{job}, {}", shown.name);
        }
        assert_eq!(cautions(desk.sheet()), cautions(&kept), "{job}");
        // Each caution was read before the readings that it is about.
        let unread = |it: &&Obstacle| matches!(it, Obstacle::CautionUnread { .. });
        assert_eq!(made.obstacles.iter().find(unread), None, "{job}");
    }
}

/// A technician who takes whatever the session asks for, with the figures of a demo job, and leaves
/// out what that job has no figure for.
#[test]
fn led_by_its_proposals_alone_a_job_comes_to_the_demo_s_repair() {
    // PL-0701 has nothing to repair; what a job's readings do not hold cannot be found in it.
    for (job, name, fix) in [
        ("pl-0702", "ostrevik-hauler-680", "renew_regulator"),
        ("pl-0703", "ostrevik-hauler-680", "renew_stator"),
        ("pl-0704", "ostrevik-hauler-680", "clean_regulator_ground"),
        ("pl-0705", "tarnwick-trio-300", "renew_battery"),
    ] {
        let spec = demo(name);
        let kept = read_sheet_file(&root().join(format!("specs/demo/jobs/{job}.toml"))).unwrap();
        let readings = &kept.rounds.first().unwrap().readings;
        let mut desk = Desk::new(&spec);
        let (mut told, mut steps) = (String::new(), 0);
        // That measuring costs more than it saves is advice: this one measures on all the same.
        let settled = |told: &str| told.contains("type: fit ") && !told.contains("all the same");
        while !settled(&told) && steps < 200 {
            let prompt = desk.session.prompt();
            let label = prompt.split([' ', ':']).next().unwrap_or_default();
            let known = readings.iter().find(|entry| entry.path == label);
            let answer = match (&prompt, known) {
                (prompt, _) if prompt.starts_with("Rectifier") => "diode_bridge".to_owned(),
                (prompt, _) if prompt.starts_with("Serial") => {
                    kept.machine.first().unwrap().value.clone()
                }
                (prompt, _) if prompt.starts_with("Complaint") => kept.complaint.clone().unwrap(),
                (prompt, _) if prompt.starts_with("Read and seen") => "yes".to_owned(),
                (prompt, _) if prompt.contains("(yes, or again)") => "yes".to_owned(),
                (_, Some(entry)) => entry.value.clone(),
                (prompt, None)
                    if spec.spec().slots.iter().any(|it| prompt.starts_with(it.label.as_str())) =>
                {
                    "skip no figure in this job".to_owned()
                }
                (prompt, None) if prompt == "> " => "next".to_owned(),
                _ if told.contains("all the same") => "next".to_owned(),
                _ => String::new(),
            };
            told = desk.say(&answer);
            steps += 1;
        }
        assert!(told.contains(&format!("type: fit {fix}")), "{job} after {steps} lines: {told}");
    }
}
