//! The README stays true: its commands run, its specs check, its outputs are what comes.
//!
//! `TRUING_WRITE_PAGES=1 cargo test -p truing-cli --test readme` writes the outputs anew. Its
//! Rust block is the example `embed` of the crate `truing`, which the tests run.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that panics has failed")]

use std::process::{Command, Output};

use truing_tests::markdown::{Block, blocks};
use truing_tests::place;

fn truing(arguments: &[&str], folder: &std::path::Path) -> Output {
    Command::new(env!("CARGO_BIN_EXE_truing"))
        .args(arguments)
        .current_dir(folder)
        .env("COLUMNS", "100")
        .output()
        .unwrap()
}

fn text(output: &Output) -> String {
    let out = String::from_utf8_lossy(&output.stdout).into_owned();
    format!("{out}{}", String::from_utf8_lossy(&output.stderr)).trim_end().to_owned()
}

fn page_blocks(language: &str) -> Vec<Block> {
    let page = place::read("README.md").unwrap();
    blocks(&page).into_iter().filter(|block| block.language == language).collect()
}

/// The block with this tag equals `made`, or is written anew where that was asked for.
fn hold(tag: &str, made: &str) {
    let page = place::read("README.md").unwrap();
    let block = page_blocks("text").into_iter().find(|block| block.has(tag)).unwrap();
    if block.text.trim_end() == made {
        return;
    }
    if std::env::var_os("TRUING_WRITE_PAGES").is_some() {
        let fence = format!("```text,{tag}\n");
        let new =
            page.replace(&format!("{fence}{}```", block.text), &format!("{fence}{made}\n```"));
        std::fs::write(place::root().join("README.md"), new).unwrap();
        return;
    }
    panic!("README.md says\n{}\nand what comes is\n{made}", block.text);
}

#[test]
fn the_main_job_prints_what_the_readme_shows() {
    let commands = page_blocks("console");
    let command = commands.first().unwrap().text.trim().to_owned();
    assert!(command.starts_with("$ cargo run --release --quiet -p truing-cli -- "), "{command}");
    let (_, arguments) = command.split_once(" -- ").unwrap();
    let arguments: Vec<&str> = arguments.split_whitespace().collect();
    let output = truing(&arguments, &place::root());
    assert!(output.status.code().is_some_and(|code| code != 2), "{}", text(&output));
    hold("assess", &text(&output));
}

#[test]
fn the_command_for_the_tests_is_the_one_that_integration_runs() {
    let commands = page_blocks("console");
    let tests = commands.get(1).unwrap().text.trim().trim_start_matches("$ ").to_owned();
    let integration = place::read(".ci/run").unwrap();
    assert!(integration.contains(&tests), ".ci/run does not run `{tests}`");
}

#[test]
fn the_job_sheet_is_one_for_the_spec() {
    let folder = tempfile::tempdir().unwrap();
    let spec = page_blocks("truing").into_iter().next().unwrap().text;
    let sheet = page_blocks("toml").into_iter().next().unwrap().text;
    std::fs::write(folder.path().join("trike.truing"), spec).unwrap();
    std::fs::write(folder.path().join("job.toml"), sheet).unwrap();
    let found = ["assess", "trike.truing", "job.toml", "--round", "as found"];
    let found = truing(&found, folder.path());
    assert_eq!(found.status.code(), Some(1), "{}", text(&found));
    let left = truing(&["assess", "trike.truing", "job.toml"], folder.path());
    assert_eq!(left.status.code(), Some(0), "{}", text(&left));
}

#[test]
fn the_record_of_a_job_is_one_for_the_demo() {
    let records: Vec<Block> =
        page_blocks("toml").into_iter().filter(|block| block.text.contains("shows = ")).collect();
    let [record] = records.as_slice() else { panic!("{} records on the page", records.len()) };
    let folder = tempfile::tempdir().unwrap();
    let sheet = folder.path().join("job.toml");
    std::fs::write(&sheet, &record.text).unwrap();
    let spec = "specs/demo/ostrevik-hauler-680.truing";
    let output = truing(&["assess", spec, sheet.to_str().unwrap()], &place::root());
    assert_eq!(output.status.code(), Some(3), "{}", text(&output));
}

#[test]
fn the_spec_checks_and_its_broken_twin_is_refused_as_shown() {
    let spec = page_blocks("truing").into_iter().next().unwrap().text;
    let lines = spec.lines().filter(|line| !line.trim().is_empty()).count();
    assert!((15..=24).contains(&lines), "the spec has {lines} lines");
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("trike.truing"), &spec).unwrap();
    let good = truing(&["check", "--deny-warnings", "trike.truing"], folder.path());
    assert_eq!(good.status.code(), Some(0), "{}", text(&good));
    let test = truing(&["test", "trike.truing"], folder.path());
    assert_eq!(test.status.code(), Some(0), "{}", text(&test));

    let broken = spec.replacen("min 12.6 V", "min 12.6 A", 1);
    assert_ne!(broken, spec, "the README's spec has no `min 12.6 V` to break");
    std::fs::write(folder.path().join("trike.truing"), broken).unwrap();
    let refused = truing(&["check", "trike.truing"], folder.path());
    assert_eq!(refused.status.code(), Some(2), "{}", text(&refused));
    hold("refused", &text(&refused));
}
