//! `truing history`. Jobs, machines and readings are invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use call::{Shop, TRIKE};

const JOB: &str = "version = 2\njob = \"PL-0801\"\nspec = \"trike\"\ndate = 2026-11-03\n\
                   complaint = \"no start\"\n[machine]\nmodel = \"Lowmoor 420\"\n[[round]]\n\
                   name = \"as found\"\ncautions = \"gas\"\n[round.readings]\nbattery_rest = \"12.1 V\"\n";
const LEFT: &str = "[[round]]\nname = \"as left\"\nfitted = \"renew_battery\"\n\
                    parts = [{ name = \"battery\", quantity = 2, price = \"89.00\" }]\n[round.readings]\n\
                    battery_rest = \"12.8 V\"\n[closed]\ndate = 2026-11-04\n";

fn spec() -> String {
    let faults = "fix renew_battery \"Renew the battery\" { part \"battery\"  takes 10 min  proves charged }\n\
                  fault worn_out \"Battery worn out\" { odds 30 of 100  makes charged low 90 %  fix renew_battery }\n";
    format!("{TRIKE}\n{faults}")
}

/// A shop with a spec and a folder of jobs beside it.
fn shop(jobs: &[(&str, String)]) -> Shop {
    let shop = Shop::empty();
    shop.write("trike.truing", spec());
    for (name, text) in jobs {
        shop.write(&format!("jobs/{name}"), text);
    }
    shop
}

#[test]
fn every_job_stands_in_the_table_with_what_came_of_it() {
    let numbered = |number: &str| JOB.replace("PL-0801", number);
    let shop = shop(&[
        ("a.toml", format!("{JOB}{LEFT}")),
        ("deep/b.toml", format!("{}{}", numbered("PL-0803"), LEFT.replace("12.8 V", "12.0 V"))),
        ("c.toml", numbered("PL-0802")),
    ]);
    let called = shop.call(&["history", "jobs"]).exits(0);
    insta::assert_snapshot!(called.out);
    assert_eq!(called.err, "");
    let json = shop.call(&["history", "jobs", "--format", "json"]).exits(0);
    let json = json.document("truing-history");
    let conclusions: Vec<_> =
        (0..3).map(|job| json["jobs"][job]["outcome"]["conclusion"].as_str().unwrap()).collect();
    assert_eq!(conclusions, ["proven", "nothing-repaired", "not-proven"]);
    assert_eq!(json["jobs"][0]["outcome"]["fault"]["name"], "worn_out");
    assert_eq!(json["jobs"][0]["parts"][0]["price"], "89.00");
    assert_eq!(json["by_fault"][1]["counts"]["proven"], 1);
}

#[test]
fn jobs_are_put_together_by_machine_or_by_fault() {
    let other = JOB.replace("PL-0801", "PL-0802").replace("Lowmoor 420", "Lowmoor 430");
    let shop = shop(&[("a.toml", format!("{JOB}{LEFT}")), ("b.toml", other)]);
    let machine = shop.call(&["history", "jobs", "--by", "machine"]).exits(0).out;
    assert!(machine.starts_with("Lowmoor 420: 1 job (1 proven)\n"), "{machine}");
    assert!(machine.contains("\nLowmoor 430: 1 job (1 nothing repaired)\n"), "{machine}");
    let fault = shop.call(&["history", "jobs", "--by", "fault"]).exits(0).out;
    assert!(fault.starts_with("No fault found: 1 job (1 nothing repaired)\n"), "{fault}");
    assert!(fault.contains("\nworn_out: 1 job (1 proven)\n"), "{fault}");
}

#[test]
fn what_cannot_be_read_or_judged_is_listed_and_stops_nothing() {
    let shop = shop(&[
        ("a.toml", format!("{JOB}{LEFT}")),
        ("b.toml", "battery_rest = 12.7 V\n".to_owned()),
        ("c.toml", JOB.replace("\"trike\"", "\"triek\"")),
        ("d.toml", JOB.replace("battery_rest", "batery_rest")),
        ("e.toml", JOB.replace("version = 2", "version = 9")),
        ("f.toml", JOB.replace("spec = \"trike\"", "edition = \"1\"")),
        ("g.toml", JOB.replace("spec = \"trike\"", "spec = \"trike\"\nedition = \"2025-03\"")),
        ("h.journal", "{}\n{}\n".to_owned()),
        ("notes.txt", "no job".to_owned()),
    ]);
    let called = shop.call(&["history", "jobs"]).exits(3);
    insta::assert_snapshot!(called.out);
    let json = shop.call(&["history", "jobs", "--format", "json"]).exits(3);
    let json = json.document("truing-history");
    assert_eq!(json["counts"]["jobs"], 5);
    assert_eq!(json["counts"]["not_judged"], 4);
    assert_eq!(json["unreadable"].as_array().unwrap().len(), 3);
    let anew = shop.call(&["history", "jobs", "--this-edition", "--format", "json"]).exits(3);
    assert_eq!(anew.document("truing-history")["counts"]["not_judged"], 3);
}

#[test]
fn a_job_is_judged_by_the_edition_of_its_spec_that_is_found() {
    let old = spec().replace("2026-11", "2025-03").replace("min 12.4 V", "min 12.0 V");
    let dated = JOB.replace("spec = \"trike\"", "spec = \"trike\"\nedition = \"2025-03\"");
    let shop = shop(&[("a.toml", dated)]);
    shop.call(&["history", "jobs"]).exits(3);
    shop.write("kept/trike-2025.truing", &old);
    shop.call(&["history", "jobs", "--specs", "kept"]).exits(0);
    shop.write("jobs/trike-2025.truing", &old);
    shop.call(&["history", "jobs"]).exits(0);
}

#[test]
fn one_job_in_several_forms_is_one_job_and_its_journal_goes_first() {
    let csv = "reading,value\nbattery_rest,12.1 V\n";
    let shop = shop(&[("a.toml", format!("{JOB}{LEFT}")), ("a.csv", csv.to_owned())]);
    let json = shop.call(&["history", "jobs", "--format", "json"]).exits(0);
    assert_eq!(json.document("truing-history")["counts"]["jobs"], 1);
    let sheet = truing::job::read_sheet_file(&shop.path().join("jobs/a.toml")).unwrap();
    let mut events = truing::job::journal::unfold(&sheet).into_iter();
    let Some(truing::job::journal::Event::Opened(header)) = events.next() else { unreachable!() };
    let header = truing::job::journal::Header { job: Some("PL-0899".to_owned()), ..header };
    let path = shop.path().join("jobs/a.journal");
    let mut journal = truing::job::journal::Journal::create(&path, header).unwrap();
    events.for_each(|event| {
        journal.append(event).unwrap();
    });
    // While the job is open elsewhere, it can be looked at.
    let json = shop.call(&["history", "jobs", "--format", "json"]).exits(0);
    let json = json.document("truing-history");
    assert_eq!(json["jobs"][0]["job"], "PL-0899");
    assert_eq!(json["jobs"][0]["outcome"]["conclusion"], "proven");
}

#[test]
fn what_a_sheet_says_can_not_drive_the_terminal_however_long_it_is() {
    let hostile = "\\u001b[2J\\u001b]0;title\\u0007\\u202e".to_owned() + &"שלום ".repeat(2_000);
    let shop =
        shop(&[("a.toml", JOB.replace("no start", &hostile).replace("PL-0801", "\\u001b[31m"))]);
    let out = shop.call(&["history", "jobs"]).exits(0).out;
    assert!(!out.contains(['\u{1b}', '\u{7}', '\u{202e}']), "{out:?}");
    assert!(out.lines().count() < 40, "{out}");
}

#[test]
fn a_folder_that_is_none_and_specs_that_are_none_are_errors() {
    let shop = shop(&[("a.toml", JOB.to_owned())]);
    let gone = shop.call(&["history", "gone"]).exits(2);
    assert!(gone.err.contains("no-such-file"), "{}", gone.err);
    let file = shop.call(&["history", "jobs/a.toml"]).exits(2);
    assert!(file.err.contains("a folder of jobs is due here"), "{}", file.err);
    let specs = shop.call(&["history", "jobs", "--specs", "gone", "--format", "json"]).exits(2);
    specs.document("truing-errors");
    shop.write("none/readme.txt", "nothing");
    let empty = shop.call(&["history", "none"]).exits(0);
    assert_eq!(empty.out, "0 jobs.\n");
}
