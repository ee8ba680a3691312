//! How fast a file is read: `cargo run --release -p truing-syntax --example throughput [FILE…]`.

use std::time::{Duration, Instant};

use truing_syntax::{FileId, parse};

const SPEC: &str = include_str!("../tests/fixtures/spec.truing");
const LIBRARY: &str = include_str!("../tests/fixtures/library.truing");
const INSTRUMENT: &str = include_str!("../tests/fixtures/instrument.truing");

fn main() {
    let named = [("spec", SPEC), ("library", LIBRARY), ("instrument", INSTRUMENT)];
    for (name, text) in named {
        measure(name, &text.repeat(1 + 500_000 / text.len()));
    }
    for path in std::env::args().skip(1) {
        match std::fs::read_to_string(&path) {
            Ok(text) => measure(&path, &text),
            Err(why) => eprintln!("{path}: {why}"),
        }
    }
}

fn measure(name: &str, text: &str) {
    let mut best = Duration::MAX;
    for _ in 0..10 {
        let start = Instant::now();
        std::hint::black_box(parse(FileId(0), text));
        best = best.min(start.elapsed());
    }
    let rate = text.len() as f64 / best.as_secs_f64() / 1e6;
    println!(
        "{name:<12} {:>9} bytes  {:>8.2} ms  {rate:>6.2} MB/s",
        text.len(),
        best.as_secs_f64() * 1e3
    );
}
