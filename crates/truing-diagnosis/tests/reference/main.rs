//! The engine against `tests/reference/diagnosis.toml`: 155 cases, one test for each of its tables.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    missing_docs,
    reason = "a test that panics has failed"
)]

mod cases;
mod charging;
mod choice;
mod inference;
#[path = "../oracle/mod.rs"]
mod oracle;
mod policy;
mod upkeep;
mod worked;
