//! `truing fmt`

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use std::fs;

use call::{Shop, TRIKE};

/// The spec with its layout lost, and with its comment.
fn untidy() -> String {
    let text = TRIKE.replace("    ", " ").replace("limit insulation :", "limit  insulation:");
    format!("# kept\n{text}")
}

/// The layout that the command gives it.
fn tidy(shop: &Shop) -> String {
    shop.call_with_input(&["fmt", "-"], untidy()).exits(0).out
}

#[test]
fn files_are_changed_and_named() {
    let shop = Shop::empty();
    let tidy = tidy(&shop);
    assert_ne!(tidy, untidy());
    assert!(tidy.starts_with("# kept\n"));
    shop.write("a.truing", untidy());
    shop.write("b.truing", &tidy);
    let called = shop.call(&["fmt"]).exits(0);
    assert_eq!(called.out, "changed  a.truing\n2 files looked at: 1 changed\n");
    assert_eq!(shop.read("a.truing"), tidy);
    let called = shop.call(&["fmt"]).exits(0);
    assert_eq!(called.out, "2 files looked at: 0 changed\n");
}

#[test]
fn check_changes_nothing_and_says_what_would() {
    let shop = Shop::empty();
    shop.write("a.truing", untidy());
    let called = shop.call(&["fmt", "--check"]).exits(1);
    assert_eq!(called.out, "would change  a.truing\n1 file looked at: 1 would change\n");
    assert_eq!(shop.read("a.truing"), untidy());
    shop.call(&["fmt"]).exits(0);
    shop.call(&["fmt", "--check"]).exits(0);
}

#[test]
fn nothing_is_left_beside_the_files() {
    let shop = Shop::empty();
    shop.write("a.truing", untidy());
    shop.call(&["fmt"]).exits(0);
    let names: Vec<_> =
        fs::read_dir(shop.path()).unwrap().map(|entry| entry.unwrap().file_name()).collect();
    assert_eq!(names, ["a.truing"]);
}

#[test]
fn a_file_with_errors_is_left_as_it_is_and_the_others_are_not() {
    let shop = Shop::empty();
    shop.write("bad.truing", "limit = = 3\n");
    shop.write("good.truing", untidy());
    let called = shop.call(&["fmt"]).exits(2);
    assert!(called.err.contains("bad.truing:1:"), "{}", called.err);
    assert!(called.out.contains("changed  good.truing"), "{}", called.out);
    assert_eq!(shop.read("bad.truing"), "limit = = 3\n");
}

#[test]
fn standard_input_goes_to_standard_output() {
    let shop = Shop::empty();
    let tidy = tidy(&shop);
    assert_eq!(shop.call_with_input(&["fmt", "-"], &tidy).exits(0).out, tidy);
    shop.call_with_input(&["fmt", "-", "--check"], &tidy).exits(0);
    let called = shop.call_with_input(&["fmt", "-", "--check"], untidy()).exits(1);
    assert!(called.out.starts_with("would change  standard input\n"), "{}", called.out);
    let called = shop.call_with_input(&["fmt", "-"], "limit = = 3\n").exits(2);
    assert!(!called.out.contains("limit"), "{}", called.out);
}

#[test]
fn a_read_only_file_is_not_changed() {
    let shop = Shop::empty();
    let path = shop.write("a.truing", untidy());
    let mut permissions = fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).unwrap();
    let called = shop.call(&["fmt"]).exits(2);
    assert!(called.err.contains("read-only"), "{}", called.err);
    assert_eq!(shop.read("a.truing"), untidy());
}

#[cfg(unix)]
#[test]
fn a_link_stays_a_link_and_permissions_stay() {
    use std::os::unix::fs::{PermissionsExt, symlink};

    let shop = Shop::empty();
    let real = shop.write("real/a.txt", untidy());
    fs::set_permissions(&real, fs::Permissions::from_mode(0o664)).unwrap();
    let link = shop.path().join("a.truing");
    symlink(&real, &link).unwrap();
    shop.call(&["fmt", "a.truing"]).exits(0);
    assert!(fs::symlink_metadata(&link).unwrap().file_type().is_symlink());
    assert_eq!(shop.read("real/a.txt"), tidy(&shop));
    assert_eq!(fs::metadata(&real).unwrap().permissions().mode() & 0o777, 0o664);
}

#[test]
fn json_is_one_document_by_its_schema() {
    let shop = Shop::empty();
    shop.write("a.truing", untidy());
    shop.write("bad.truing", "limit = = 3\n");
    let json = shop.call(&["fmt", "--check", "--format", "json", ".", "gone"]).exits(2);
    let json = json.document("truing-format");
    assert_eq!(json["changed"][0], "a.truing");
    assert_eq!(json["errors"][0]["file"], "gone");
    assert_eq!(json["findings"][0]["file"], "bad.truing");
}
