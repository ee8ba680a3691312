//! Which fault explains the readings: the equations alone, the whole way from a sheet to the advice,
//! and posteriors beside a Python library. The large machine is invented.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a bench on a wrong input must not go on"
)]

#[path = "diagnosis/equations.rs"]
mod equations;
#[path = "diagnosis/peer.rs"]
mod peer;
#[path = "diagnosis/whole.rs"]
mod whole;

use criterion::{criterion_group, criterion_main};

/// The size of the large machine.
const FAULTS: usize = 200;
const CHECKS: usize = 500;

/// The fault that its readings are of.
const FAULT: usize = 17;

criterion_group!(benches, equations::large, whole::large, whole::charging, peer::posteriors);
criterion_main!(benches);
