//! The README's embedding example is the example `embed`, and it runs.

#![allow(clippy::unwrap_used, reason = "a helper of a test fails the test")]

use std::path::{Path, PathBuf};
use std::process::Command;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).ancestors().nth(2).unwrap().to_path_buf()
}

#[test]
fn the_readme_shows_the_example() {
    let readme = std::fs::read_to_string(root().join("README.md")).unwrap();
    let shown = readme.split("```rust\n").nth(1).unwrap().split("```").next().unwrap();
    let example = std::fs::read_to_string(root().join("crates/truing/examples/embed.rs")).unwrap();
    let (_, code) = example.split_once("\n\n").unwrap();
    assert_eq!(shown, code);
}

#[test]
fn the_example_says_what_fails() {
    // `cargo test` builds the example beside this test, target/debug/deps/… and
    // target/debug/examples/…; `cargo test --test embedding` alone does not.
    let this = std::env::current_exe().unwrap();
    let example = this.ancestors().nth(2).unwrap().join("examples/embed");
    let mut command = Command::new(&example);
    if !example.exists() {
        command = Command::new(env!("CARGO"));
        command.args(["run", "--quiet", "--offline", "-p", "truing", "--example", "embed"]);
    }
    let output = command.current_dir(root()).output().unwrap();
    let said = String::from_utf8(output.stdout).unwrap();
    assert!(output.status.success(), "{said}{}", String::from_utf8_lossy(&output.stderr));
    // 9.4 V while cranking is below the demo's limit of 9.6 V.
    assert_eq!(said, "Battery holds up while cranking: outside low\n");
}
