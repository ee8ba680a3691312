//! Corrections and interpolation, held against published figures, against finite differences and
//! against their own inverses.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

mod interpolation;
mod inverses;
mod materials;
mod published;
mod refusals;
mod slopes;
mod tables;
mod three_phase;
