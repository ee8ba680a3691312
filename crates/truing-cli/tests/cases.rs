//! `truing test`

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use call::{Shop, TRIKE};

#[test]
fn cases_that_pass_are_counted() {
    let called = Shop::with_trike().call(&["test"]).exits(0);
    assert_eq!(called.out, "3 cases: 3 passed\n");
}

#[test]
fn a_failed_expectation_says_what_was_expected_what_came_and_why() {
    let shop = Shop::empty();
    shop.write(
        "trike.truing",
        TRIKE.replace("expect insulated outside low", "expect insulated within"),
    );
    let called = shop.call(&["test"]).exits(1);
    insta::assert_snapshot!(called.out);
}

#[test]
fn verbose_tells_every_case() {
    let called = Shop::with_trike().call(&["test", "--verbose"]).exits(0);
    for name in ["all_good", "flat", "grounded"] {
        assert!(called.out.contains(&format!("passed  {name}")), "{}", called.out);
    }
}

#[test]
fn no_case_is_run_while_a_spec_is_in_error() {
    let shop = Shop::with_trike();
    shop.write("bad.truing", "limit = = 3\n");
    let called = shop.call(&["test"]).exits(2);
    assert_eq!(called.out, "");
    assert!(called.err.contains("No case was run: a spec is in error."), "{}", called.err);
    shop.call(&["test", "gone.truing"]).exits(2);
}

#[test]
fn json_is_one_document_by_its_schema() {
    let shop = Shop::empty();
    shop.write(
        "trike.truing",
        TRIKE.replace("expect insulated outside low", "expect insulated within"),
    );
    let json = shop.call(&["test", "--format", "json"]).exits(1).document("truing-cases");
    assert_eq!(json["summary"]["failed"], 1);
    let failed = json["cases"].as_array().unwrap().iter().find(|case| case["passed"] == false);
    let failed = failed.unwrap();
    assert_eq!(failed["name"], "grounded");
    assert_eq!(failed["expectations"][0]["came"], "outside low");
    shop.write("bad.truing", "limit = = 3\n");
    shop.call(&["test", "--format", "json"]).exits(2).document("truing-diagnostics");
    shop.call(&["test", "--format", "json", "gone"]).exits(2).document("truing-errors");
}
