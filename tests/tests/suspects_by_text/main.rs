//! `tests/reference/diagnosis.toml` fed through the language: each case is written as a spec and a
//! sheet, compiled, and what the engine ranks is held against the file to 1e-12.
//!
//! What the language cannot say, and why:
//!
//! - `model = "independent"` (13 of `posterior`): any number of faults at once. One at a time is ranked.
//! - `model = "upto2"` (10 of `posterior`, 3 of `bands_posterior`, all of `after_repair`): pairs are
//!   worked out for the alarm alone. Here the alarm is held against the file, and the ranking against
//!   the library's network with one fault at a time.
//! - leak and slip both nought (3 of `posterior`): refused, `leak-and-slip-nought`.
//! - `log_evidence`, the cost of handing back and of giving up, the chance that a repair succeeds: no
//!   words for them. Expected costs and the order of repairs are held against the file by the library.
//! - `weight_of_evidence` between two faults of one cure, or against a fault that is not listed: the
//!   engine weighs the likeliest against the likeliest with another cure.
//! - `strategy`, `testability`, `hitting_sets`, `polybox`, `repair_order`, `likelihood`, `update_*`,
//!   `noisy_*`, `general_bn` are tables, orders and sums without a network of faults: by the library.
//!
//! A likelihood is written as a reading whose last digit lies across the limit: `10 V` is anywhere from
//! 9.5 V to 10.5 V, so a limit of `max 9.85 V` makes it in order by 35 %.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    missing_docs,
    reason = "a test that panics has failed"
)]

mod by_text;
#[path = "../../../crates/truing-diagnosis/tests/reference/cases.rs"]
#[allow(dead_code, reason = "not every table can be said")]
mod cases;
#[path = "../../../crates/truing-diagnosis/tests/reference/charging.rs"]
#[allow(dead_code, reason = "not every table can be said")]
mod charging;
mod text;
