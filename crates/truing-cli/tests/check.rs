//! `truing check`

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use call::{Shop, TRIKE};

const TWO_ERRORS: &str = "\
spec trike \"Trike\" {}
source sheet \"Sheet\"
limit rest = min 12.4 cite sheet \"1\"
limit torn = 60 .. 70 N.n cite sheet \"2\"
";

#[test]
fn a_sound_spec_passes_and_is_counted() {
    let called = Shop::with_trike().call(&["check", "trike.truing"]).exits(0);
    assert_eq!(called.out, "1 file checked: no findings\n");
    assert_eq!(called.err, "");
}

#[test]
fn every_error_is_told_with_its_place() {
    let shop = Shop::empty();
    shop.write("bad.truing", TWO_ERRORS);
    let called = shop.call(&["check", "bad.truing"]).exits(2);
    assert!(called.out.contains("--> bad.truing:3:"), "{}", called.out);
    assert!(called.out.contains("--> bad.truing:4:"), "{}", called.out);
    assert!(called.out.contains("1 file checked: "), "{}", called.out);
    assert!(called.out.contains("More on a finding: truing explain "), "{}", called.out);
}

#[test]
fn a_directory_is_searched_and_files_come_in_order_of_name() {
    let shop = Shop::with_trike();
    shop.write("b/bad.truing", TWO_ERRORS);
    shop.write("a/bad.truing", TWO_ERRORS);
    shop.write("a/notes.txt", "not a spec");
    let called = shop.call(&["check"]).exits(2);
    let a = called.out.find("a/bad.truing").unwrap();
    let b = called.out.find("b/bad.truing").unwrap();
    assert!(a < b);
    assert!(called.out.contains("3 files checked: "), "{}", called.out);
}

#[test]
fn the_same_files_give_the_same_bytes() {
    let shop = Shop::empty();
    for i in 0..20 {
        shop.write(&format!("{i:02}.truing"), TWO_ERRORS);
    }
    let first = shop.call(&["check"]).exits(2).out;
    for _ in 0..3 {
        assert_eq!(shop.call(&["check"]).out, first);
    }
}

#[test]
fn a_warning_passes_unless_it_is_denied() {
    let shop = Shop::empty();
    // A limit without a source is a weakness, not an error.
    shop.write("trike.truing", TRIKE.replace(" cite sheet \"6-4\"", ""));
    let called = shop.call(&["check"]).exits(0);
    assert!(called.out.contains("warning["), "{}", called.out);
    assert!(called.out.contains("1 file checked: 1 warning\n"), "{}", called.out);
    shop.call(&["check", "--deny-warnings"]).exits(2);
}

#[test]
fn standard_input_is_checked() {
    let shop = Shop::empty();
    shop.call_with_input(&["check", "-"], TRIKE).exits(0);
    let called = shop.call_with_input(&["check", "-"], TWO_ERRORS).exits(2);
    assert!(called.out.contains("--> standard input:3:"), "{}", called.out);
}

#[test]
fn json_is_one_document_by_its_schema() {
    let shop = Shop::with_trike();
    let json = shop.call(&["check", "--format", "json"]).exits(0).document("truing-diagnostics");
    assert_eq!(json["summary"]["files"], 1);
    assert_eq!(json["summary"]["errors"], 0);
    shop.write("bad.truing", TWO_ERRORS);
    let json = shop
        .call(&["check", "--format", "json", ".", "gone.truing"])
        .exits(2)
        .document("truing-diagnostics");
    assert_eq!(json["findings"][0]["file"], "bad.truing");
    assert_eq!(json["findings"][0]["start"]["line"], 3);
    assert_eq!(json["errors"][0]["slug"], "no-such-file");
    assert!(json["summary"]["errors"].as_u64().unwrap() >= 2);
}

#[test]
fn what_is_not_there_is_said_and_hides_nothing() {
    let shop = Shop::with_trike();
    shop.write("empty/notes.txt", "");
    let called = shop.call(&["check", "gone.truing", "empty", "trike.truing"]).exits(2);
    assert!(called.err.contains("error[no-such-file]"), "{}", called.err);
    assert!(called.err.contains("gone.truing"), "{}", called.err);
    assert!(called.err.contains("error[no-specs]"), "{}", called.err);
    assert!(called.out.contains("1 file checked: no findings"), "{}", called.out);
}

#[test]
fn a_file_that_is_named_and_found_is_checked_once() {
    let called =
        Shop::with_trike().call(&["check", ".", "trike.truing", "./trike.truing"]).exits(0);
    assert_eq!(called.out, "1 file checked: no findings\n");
}

#[test]
fn a_directory_without_specs_is_an_error() {
    let called = Shop::empty().call(&["check"]).exits(2);
    assert!(called.err.contains("no file in this directory ends in .truing"), "{}", called.err);
}

#[test]
fn text_that_is_not_utf_8_is_named_with_its_place() {
    let shop = Shop::empty();
    let mut bytes = b"spec a \"A\" {}\n# caf".to_vec();
    bytes.push(0xE9);
    shop.write("latin.truing", &bytes);
    let called = shop.call(&["check"]).exits(2);
    assert!(called.err.contains("latin.truing:2"), "{}", called.err);
    assert!(called.err.contains("UTF-8"), "{}", called.err);
    let called = shop.call_with_input(&["check", "-"], &bytes).exits(2);
    assert!(called.err.contains("at byte 19"), "{}", called.err);
}

#[test]
fn a_byte_order_mark_windows_line_ends_and_tabs_are_no_errors() {
    let shop = Shop::empty();
    let text = TRIKE.replace("    ", "\t").replace('\n', "\r\n");
    shop.write("trike.truing", format!("\u{FEFF}{text}"));
    let called = shop.call(&["check"]).exits(0);
    assert_eq!(called.out, "1 file checked: no findings\n");
}

#[test]
fn a_file_beyond_any_spec_is_refused_at_once_with_the_cap() {
    let shop = Shop::empty();
    let path = shop.write("huge.truing", "");
    // Sparse: no byte of the 100 MB is written, and none may be read.
    std::fs::File::options().write(true).open(path).unwrap().set_len(100_000_000).unwrap();
    let start = std::time::Instant::now();
    let called = shop.call(&["check", "huge.truing"]).exits(2);
    assert!(called.err.contains("100000000 bytes"), "{}", called.err);
    assert!(called.err.contains("16777216"), "{}", called.err);
    assert!(start.elapsed().as_millis() < 1000, "{:?}", start.elapsed());
}
