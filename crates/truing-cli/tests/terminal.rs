//! What holds for every subcommand: help, colour, a closed pipe.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use std::io::Read;
use std::process::Stdio;

use call::Shop;

const SUBCOMMANDS: [&str; 6] = ["check", "fmt", "test", "assess", "calc", "explain"];

#[test]
fn help_names_every_subcommand_and_the_exit_status() {
    let shop = Shop::empty();
    let called = shop.call(&["--help"]).exits(0);
    for name in SUBCOMMANDS {
        assert!(called.out.contains(&format!("\n  {name} ")), "{name}: {}", called.out);
        let called = shop.call(&[name, "--help"]).exits(0);
        assert!(called.out.contains("--format"), "{}", called.out);
        assert!(called.out.contains("--color"), "{}", called.out);
    }
    assert!(called.out.contains("Exit status:"), "{}", called.out);
    assert!(shop.call(&["assess", "--help"]).out.contains("Exit status:"));
    assert!(shop.call(&["--version"]).exits(0).out.starts_with("truing "));
}

#[test]
fn a_call_that_cannot_be_understood_exits_with_2() {
    let shop = Shop::empty();
    for arguments in [&[][..], &["chekc"], &["check", "--what"], &["assess"], &["explain"]] {
        let called = shop.call(arguments).exits(2);
        assert_eq!(called.out, "");
        assert!(!called.err.is_empty());
    }
}

#[test]
fn there_is_no_colour_but_on_a_terminal_or_when_asked_for() {
    let shop = Shop::with_trike();
    shop.write("bad.truing", "limit = = 3\n");
    let set = ["assess", "trike.truing", "--set", "battery_rest=12.1 V"];
    for arguments in [&["check"][..], &set] {
        let plain = shop.call(arguments);
        assert!(!plain.out.contains('\u{1b}') && !plain.err.contains('\u{1b}'), "{plain:#?}");
        let never = shop.call(&[arguments, &["--color", "never"]].concat());
        assert_eq!(never.out, plain.out);
        let always = shop.call(&[arguments, &["--color", "always"]].concat());
        assert!(always.out.contains('\u{1b}'), "{always:#?}");
        assert_eq!(without_escapes(&always.out), plain.out);
        assert_eq!(always.status, plain.status);
    }
}

#[test]
fn text_fits_into_80_columns_or_into_what_is_asked_for() {
    let shop = Shop::with_trike();
    let widest = |columns: Option<&str>| {
        let mut command = shop.command(&["assess", "trike.truing", "--set", "battery_rest=12.1 V"]);
        columns.map(|columns| command.env("COLUMNS", columns));
        let out = String::from_utf8(command.output().unwrap().stdout).unwrap();
        out.lines().map(|line| line.chars().count()).max().unwrap()
    };
    assert!((60..=80).contains(&widest(None)));
    assert!((40..=50).contains(&widest(Some("50"))));
    assert!(widest(Some("nonsense")) <= 80);
}

#[test]
fn json_is_never_coloured() {
    let shop = Shop::with_trike();
    let called = shop.call(&["check", "--color", "always", "--format", "json"]).exits(0);
    assert!(!called.out.contains('\u{1b}'));
}

fn without_escapes(text: &str) -> String {
    let mut out = String::new();
    let mut chars = text.chars();
    while let Some(c) = chars.next() {
        if c == '\u{1b}' {
            chars.by_ref().find(|c| *c == 'm');
        } else {
            out.push(c);
        }
    }
    out
}

/// As `truing explain --list | head -1`: the reader goes away, and nothing is said of it.
#[cfg(unix)]
#[test]
fn a_closed_pipe_ends_the_command_quietly() {
    let shop = Shop::empty();
    // More than a pipe holds, so that writing meets the closed end.
    for i in 0..400 {
        shop.write(&format!("{i}.truing"), "limit = = 3\n");
    }
    let mut child = shop
        .command(&["check"])
        .stdin(Stdio::null())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let mut err = String::new();
    child.stderr.take().unwrap().read_to_string(&mut err).unwrap();
    assert_eq!(err, "");
    // 128 and SIGPIPE's 13: what a shell reports of a tool that the signal ended.
    assert_eq!(child.wait().unwrap().code(), Some(141));
}
