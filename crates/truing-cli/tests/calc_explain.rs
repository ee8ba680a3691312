//! `truing calc` and `truing explain`

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use call::Shop;

#[test]
fn a_conversion_keeps_the_digits_that_the_figure_deserves() {
    let shop = Shop::empty();
    // 1 lbf.ft is 1.3558179483314004 N.m (0.45359237 kg x 9.80665 m/s2 x 0.3048 m); arithmetic.
    let told = "25 lbf.ft\n  more exactly 25.07711308 lbf.ft\n";
    assert_eq!(shop.call(&["calc", "34 N.m in lbf.ft"]).exits(0).out, told);
    // Words may come one by one, as they do without quotes.
    assert_eq!(shop.call(&["calc", "34", "N.m", "in", "lbf.ft"]).exits(0).out, told);
}

#[test]
fn json_is_one_document_by_its_schema() {
    let shop = Shop::empty();
    for arguments in [
        &["calc", "--json", "34 N.m in lbf.ft"][..],
        &["calc", "--format", "json", "34 N.m in lbf.ft"],
    ] {
        let json = shop.call(arguments).exits(0).document("truing-calculation");
        assert_eq!(json["text"], "25 lbf.ft");
        assert!((json["value"].as_f64().unwrap() - 25.077).abs() < 0.001);
        assert_eq!(json["unit"]["symbol"], "lbf.ft");
    }
    shop.call(&["calc", "--json", "34 N.m in volt"]).exits(2).document("truing-diagnostics");
}

#[test]
fn what_cannot_be_worked_out_says_where() {
    let called = Shop::empty().call(&["calc", "12 V + 3 ohm"]).exits(2);
    assert_eq!(called.out, "");
    assert!(called.err.contains("12 V + 3 ohm"), "{}", called.err);
    assert!(called.err.contains('^'), "{}", called.err);
}

#[test]
fn every_listed_name_is_explained() {
    let shop = Shop::empty();
    let list = shop.call(&["explain", "--list"]).exits(0).out;
    assert!(list.lines().count() > 60, "{list}");
    for line in list.lines().step_by(9) {
        let name = line.split_whitespace().next().unwrap();
        let called = shop.call(&["explain", name]).exits(0);
        assert!(called.out.starts_with(&format!("{name} (")), "{}", called.out);
    }
    let json = shop.call(&["explain", "--list", "--format", "json"]).document("truing-slugs");
    assert_eq!(json["slugs"].as_array().unwrap().len(), list.lines().count());
}

#[test]
fn a_name_may_be_copied_as_it_was_shown() {
    let shop = Shop::empty();
    let name = shop.call(&["explain", "--list"]).out.split_whitespace().next().unwrap().to_owned();
    let plain = shop.call(&["explain", &name]).exits(0).out;
    assert_eq!(shop.call(&["explain", &format!("error[{name}]:")]).exits(0).out, plain);
}

#[test]
fn an_unknown_name_says_what_was_probably_meant() {
    let shop = Shop::empty();
    let called = shop.call(&["explain", "unit-mismach"]).exits(2);
    assert!(called.err.contains("did you mean `unit-mismatch`?"), "{}", called.err);
    shop.call(&["explain", "zzzzzzzz", "--format", "json"]).exits(2).document("truing-errors");
}
