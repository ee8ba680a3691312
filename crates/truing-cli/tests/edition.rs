//! Sheets that were judged by another edition of the spec, or by another text of it.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use call::{Shop, TRIKE};
use truing::Compiled;

const READINGS: &str = "\n[[round]]\n[round.readings]\nbattery_rest = \"12.45 V\"\n\
                        to_ground = \"OL on 60 Mohm\"\nconnector = \"clean\"\n";
const JUDGED: &str = "\n[[judged]]\ncheck = \"charged\"\nlimit = \"min 12.6 V\"\n\
                      source = \"Lowmoor 420 service data, issue 2, 6-2\"\n\
                      [[judged]]\ncheck = \"insulated\"\nlimit = \"min 1 Mohm\"\n";

fn shop(head: &str, tail: &str) -> Shop {
    let shop = Shop::with_trike();
    shop.write("job.toml", format!("version = 2\n{head}{READINGS}{tail}"));
    shop
}

fn hash(text: &str) -> String {
    Compiled::from_text("trike.truing", text).unwrap().spec_hash().to_owned()
}

#[test]
fn another_edition_is_refused_and_told_with_what_changed() {
    let shop = shop("edition = \"2025-03\"\n", JUDGED);
    for command in ["assess", "next"] {
        let called = shop.call(&[command, "trike.truing", "job.toml"]).exits(2);
        assert_eq!(called.out, "");
        let told = called.err.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(
            told,
            "error[edition-mismatch]: the job was judged by edition 2025-03, and this spec is edition \
             2026-11; 1 limit changed: charged was min 12.6 V, is min 12.4 V --> job.toml:2 = help: \
             take the spec of that edition, or judge the job anew with --this-edition"
        );
    }
    let json = shop
        .call(&["assess", "trike.truing", "job.toml", "--format", "json"])
        .exits(2)
        .document("truing-errors");
    assert_eq!(json["errors"][0]["slug"], "edition-mismatch");
}

#[test]
fn a_sheet_that_lists_no_limits_says_that_the_changes_are_not_known() {
    let called = shop("edition = \"2025-03\"\n", "").call(&["assess", "trike.truing", "job.toml"]);
    let called = called.exits(2);
    assert!(called.err.contains("which limits changed is not known"), "{}", called.err);
}

#[test]
fn a_check_that_was_not_taken_is_no_limit_that_changed() {
    let shop = shop(
        "edition = \"2025-03\"\n",
        "[[judged]]\ncheck = \"charged\"\nlimit = \"min 12.4 V\"\n",
    );
    let sheet = shop.read("job.toml").replace("to_ground = \"OL on 60 Mohm\"\n", "");
    shop.write("job.toml", sheet);
    let called = shop.call(&["assess", "trike.truing", "job.toml"]).exits(2);
    assert!(called.err.contains("no limit of its readings changed"), "{}", called.err);
}

#[test]
fn a_job_is_judged_anew_where_that_is_asked_for_and_the_report_says_so() {
    let shop = shop("edition = \"2025-03\"\n", JUDGED);
    let call = ["assess", "trike.truing", "job.toml", "--this-edition"];
    let out = shop.call(&call).exits(0).out.replace("\n             ", " ");
    assert!(out.contains("  Mind       the job was judged by edition 2025-03"), "{out}");
    assert!(out.contains("charged was min 12.6 V, is min 12.4 V."), "{out}");
    let json = shop
        .call(&[&call[..], &["--format", "json"]].concat())
        .exits(0)
        .document("truing-findings");
    let standing = &json["sheets"][0]["standing"];
    assert_eq!(standing["standing"], "other-edition");
    assert_eq!(standing["changes"]["limits"][0]["check"], "charged");
    let next = shop.call(&["next", "trike.truing", "job.toml", "--this-edition"]);
    assert!(next.err.starts_with("mind: the job was judged by edition 2025-03"), "{}", next.err);
}

#[test]
fn readings_that_a_newer_edition_does_not_know_do_not_hide_that_it_is_one() {
    let shop = shop("edition = \"2025-03\"\n", JUDGED);
    let text = TRIKE.replace("connector", "plug");
    shop.write("trike.truing", text);
    let called = shop.call(&["assess", "trike.truing", "job.toml"]).exits(2);
    assert!(called.err.starts_with("error[edition-mismatch]"), "{}", called.err);
    assert!(called.err.contains("error[unknown-reading]"), "{}", called.err);
}

#[test]
fn the_same_edition_with_another_text_is_judged_and_minded() {
    let shop = shop(&format!("edition = \"2026-11\"\nspec_hash = \"{}\"\n", hash(TRIKE)), JUDGED);
    let plain = shop.call(&["assess", "trike.truing", "job.toml"]).exits(0);
    assert!(!plain.out.contains("Mind"), "{}", plain.out);
    let json = shop
        .call(&["assess", "trike.truing", "job.toml", "--format", "json"])
        .document("truing-findings");
    assert_eq!(json["sheets"][0]["standing"]["standing"], "same");
    shop.write("trike.truing", TRIKE.replace("min 12.4 V", "min 12.3 V"));
    let out =
        shop.call(&["assess", "trike.truing", "job.toml"]).out.replace("\n             ", " ");
    assert!(out.contains("  Mind       the text of the spec"), "{out}");
    assert!(out.contains("charged was min 12.6 V, is min 12.3 V."), "{out}");
    // Ends of lines are no other text.
    shop.write("trike.truing", TRIKE.replace('\n', "\r\n"));
    let json = shop
        .call(&["assess", "trike.truing", "job.toml", "--format", "json"])
        .document("truing-findings");
    assert_eq!(json["sheets"][0]["standing"]["standing"], "same");
}

#[test]
fn what_a_sheet_says_of_itself_can_not_move_the_cursor() {
    let shop = shop("edition = \"\\u001b[2J2025\"\n", "");
    let called = shop.call(&["assess", "trike.truing", "job.toml"]).exits(2);
    assert!(!called.err.contains('\u{1b}'), "{:?}", called.err);
    let called = shop.call(&["assess", "trike.truing", "job.toml", "--this-edition"]).exits(0);
    assert!(!called.out.contains('\u{1b}'), "{:?}", called.out);
}
