//! Inputs that the benches share. They are made here, from the project's own specs and from a
//! small generator, so that a bench measures the same thing whoever runs it.

pub mod machine;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use truing_compile::{NoLibrary, check, lower_reading};
use truing_model::{Reading, SlotId, Spec};
use truing_syntax::{FileId, Sources, parse_reading};

/// How many readings, and how many two-sided checks.
pub const COUNT: usize = 20;

/// The project's root.
#[must_use]
pub fn root() -> PathBuf {
    let benches = Path::new(env!("CARGO_MANIFEST_DIR"));
    benches.parent().unwrap_or(benches).to_path_buf()
}

/// A spec with `count` readings and as many two-sided checks, one on each. Invented limits.
#[must_use]
pub fn two_sided(count: usize) -> String {
    let mut text =
        String::from("spec bench \"Bench\" { edition \"1\" }\nsource sheet \"Invented\"\n");
    for index in 0..count {
        let (low, high) = (low_of(index), low_of(index) + 1.2);
        let _ = write!(
            text,
            "limit limit_{index} : dc_voltage = {low:.1} .. {high:.1} V cite sheet \"{index}\"\n\
             reading reading_{index} \"Reading {index}\" : dc_voltage\n\
             check check_{index} \"Check {index}\" : reading_{index} within limit_{index}\n"
        );
    }
    text
}

/// The lower limit of one of them, in volts.
#[must_use]
pub fn low_of(index: usize) -> f64 {
    f64::from(120 + u32::try_from(index).unwrap_or(0)) / 10.0
}

/// What is read there, in volts: mostly inside, every seventh above.
#[must_use]
pub fn read_at(index: usize) -> f64 {
    low_of(index) + if index % 7 == 3 { 1.5 } else { 0.6 }
}

/// The same as a technician writes it.
#[must_use]
pub fn read_text(index: usize) -> String {
    format!("{:.2} V", read_at(index))
}

/// The checked spec of a text that stands alone.
///
/// # Panics
/// Where the text has errors: a bench of something else would be worth nothing.
#[must_use]
#[expect(clippy::panic, reason = "a bench on a wrong input must not go on")]
pub fn spec(text: &str) -> Spec {
    let mut sources = Sources::new();
    let file = sources.add("bench.truing", text);
    let checked = check(&mut sources, file, &NoLibrary);
    match checked.spec {
        Some(spec) => spec,
        None => panic!("the bench's spec has errors: {:?}", checked.findings),
    }
}

/// The reading that a text says, for a slot.
///
/// # Panics
/// Where the text is no reading for it.
#[must_use]
#[expect(clippy::panic, reason = "a bench on a wrong input must not go on")]
pub fn reading(spec: &Spec, slot: SlotId, text: &str) -> Reading {
    let parsed = parse_reading(FileId(0), text);
    match parsed.map(|value| lower_reading(spec, slot, &value)) {
        Ok(Ok(reading)) => reading,
        other => panic!("{text}: {other:?}"),
    }
}

/// The demo spec, whole.
///
/// # Panics
/// Where it cannot be read.
#[must_use]
#[expect(clippy::panic, reason = "a bench on a wrong input must not go on")]
pub fn demo() -> String {
    let path = root().join("specs/demo/ostrevik-hauler-680.truing");
    match std::fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) => panic!("{}: {error}", path.display()),
    }
}

/// The demo spec up to the last blank line before line 200.
#[must_use]
pub fn demo_of_200_lines() -> String {
    let text = demo();
    let lines: Vec<&str> = text.lines().take(200).collect();
    let cut = lines.iter().rposition(|line| line.trim().is_empty()).unwrap_or(lines.len());
    let mut text = lines.get(..cut).unwrap_or(&lines).join("\n");
    text.push('\n');
    text
}
