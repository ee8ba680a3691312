//! Single runs on a large invented network, and on the charging system of the reference cases.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    dead_code,
    missing_docs,
    reason = "a bench that panics has failed, and it shares its networks with the tests"
)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use truing_diagnosis::{Evidence, Fault, MaxFaults, Network, Situation, StopRules};

#[path = "../tests/reference/cases.rs"]
mod cases;
#[path = "../tests/reference/charging.rs"]
mod charging;
#[path = "../tests/large/mod.rs"]
mod large;

fn next(network: &Network, evidence: &Evidence) -> truing_diagnosis::Next {
    let posterior = network.posterior(evidence).unwrap();
    let rules = StopRules::default();
    network.next(&posterior, evidence, &Situation::default(), &rules).unwrap()
}

/// 200 faults, 500 checks, each fault on 12 of them.
fn large_network(c: &mut Criterion) {
    let mut group = c.benchmark_group("200 faults, 500 checks");
    let draft = large::draft(200, 500, MaxFaults::Two);
    let pairs = draft.build().unwrap();
    let singles = large::draft(200, 500, MaxFaults::One).build().unwrap();
    group.bench_function("build, pairs", |b| b.iter(|| black_box(&draft).build().unwrap()));
    for n in [0, 5, 20] {
        let evidence = large::readings(&draft, Fault(17), n);
        group.bench_function(format!("posterior, singles, {n} readings"), |b| {
            b.iter(|| singles.posterior(black_box(&evidence)).unwrap());
        });
        group.bench_function(format!("posterior, pairs, {n} readings"), |b| {
            b.iter(|| pairs.posterior(black_box(&evidence)).unwrap());
        });
        group.bench_function(format!("posterior and next, singles, {n} readings"), |b| {
            b.iter(|| next(&singles, black_box(&evidence)));
        });
        group.bench_function(format!("posterior and next, pairs, {n} readings"), |b| {
            b.iter(|| next(&pairs, black_box(&evidence)));
        });
    }
    group.finish();
}

/// 13 faults, 15 checks: posterior, next measurement with look-ahead, explanation, plan.
fn charging_system(c: &mut Criterion) {
    let mut group = c.benchmark_group("13 faults, 15 checks");
    let file = cases::file();
    for (name, model) in [("singles", cases::Model::Single), ("pairs", cases::Model::Upto2)] {
        let charging = charging::Charging::of(&file, "charging", model, charging::Needs::Said);
        let case = &file.next_test[2];
        for (readings, evidence) in
            [("none read", Evidence::new()), ("some read", charging.observed(&case.observed))]
        {
            group.bench_function(format!("everything, {name}, {readings}"), |b| {
                b.iter(|| {
                    let network = &charging.network;
                    let posterior = network.posterior(black_box(&evidence)).unwrap();
                    let explanation = network.explain(&posterior, &evidence);
                    (next(network, &evidence), explanation, network.repair_plan(&posterior))
                });
            });
        }
    }
    group.finish();
}

criterion_group!(benches, large_network, charging_system);
criterion_main!(benches);
