//! Input that no author writes: refused with a finding of its own, never with a crash or a hang.

use std::time::{Duration, Instant};

use truing_compile::{NoLibrary, check};
use truing_syntax::{FileId, Sources, parse};

/// The findings of a whole check, by name.
fn found(text: &str) -> Vec<&'static str> {
    let mut sources = Sources::new();
    let file = sources.add("bad.truing", text);
    let checked = check(&mut sources, file, &NoLibrary);
    checked.findings.iter().map(|finding| finding.slug().0).collect()
}

const HEAD: &str = "library bad \"Bad input\"\n";

#[test]
fn a_file_beyond_the_largest_size_is_one_finding() {
    let text = format!("{HEAD}# {}\n", "x".repeat(16 << 20));
    assert_eq!(found(&text), ["file-too-large"]);
}

#[test]
fn an_item_beyond_the_largest_size_is_one_finding() {
    let members: Vec<String> = (0..50_000).map(|n| format!("m{n}")).collect();
    let text = format!("{HEAD}family many = {}\n", members.join(", "));
    assert_eq!(found(&text), ["item-too-long"]);
}

#[test]
fn a_nul_byte_is_one_finding() {
    assert_eq!(found(&format!("{HEAD}caution acid \"Acid\0\"\n")), ["not-utf8"]);
}

#[test]
fn a_file_of_two_thousand_mistakes_is_not_read_to_its_end() {
    let text: String = (0..2_000).map(|n| format!("check c{n} \"t\" : 1 +\n")).collect();
    let found = found(&text);
    let enough = found.iter().filter(|slug| **slug == "too-many-findings").count();
    assert_eq!(enough, 1);
    assert!(found.len() <= 502, "{} findings", found.len());
}

/// 64 kB of each: brackets, quotes, digits, letters, comments, signs, and words of the language.
fn anything() -> Vec<(&'static str, String)> {
    let size = 64 << 10;
    let all = [
        ("(", "open parentheses"),
        ("{", "open braces"),
        ("}", "closing braces"),
        ("\"", "quotes"),
        ("9", "one long number"),
        ("9 ", "numbers"),
        ("a", "one long name"),
        ("limit ", "keywords"),
        ("limit a = min 1 V\n", "limits"),
        ("check a \"\" : not ", "unfinished checks"),
        ("- ", "minus signs"),
        ("check a \"t\" : 1 + \n", "operators without operands"),
        ("#\n", "empty comments"),
        ("\u{3a9}", "ohm signs"),
        ("if a then ", "choices"),
        ("case a \"\" { b = ", "open cases"),
        ("procedure p \"\" { if a { ", "open branches"),
        ("limit a = by time { 1 s : ", "open curves"),
        ("when a : min 1 V ", "variants"),
        ("a < ", "comparisons in a row"),
        ("\\", "backslashes"),
        ("any of ", "quantifiers"),
        ("\r", "carriage returns"),
        ("..", "dots"),
    ];
    all.iter().map(|(part, what)| (*what, part.repeat(size / part.len()))).collect()
}

#[test]
fn sixty_four_kilobytes_of_anything_are_read_in_time() {
    // Fifty milliseconds where the compiler optimises; a debug build does the same work, slower.
    let most = Duration::from_millis(if cfg!(debug_assertions) { 2_500 } else { 50 });
    for (what, text) in anything() {
        for text in
            [text.clone(), format!("check a \"t\" : {text}"), format!("{HEAD}limit a = {text}")]
        {
            // Other programs share the machine: a slow reading is taken again before it counts.
            let mut tries = (0..3).map(|_| {
                let start = Instant::now();
                let parsed = parse(FileId(0), &text);
                assert!(parsed.tree.items.len() < text.len());
                start.elapsed()
            });
            assert!(tries.any(|time| time <= most), "{what}: never within {most:?}");
        }
    }
}
