//! On a network of plain indices: 200 faults, 500 checks of three bands.

use std::hint::black_box;

use criterion::Criterion;
use truing_benches::machine::{Machine, evidence, shown};
use truing_diagnosis::{MaxFaults, Situation, StopRules};

use crate::{CHECKS, FAULT, FAULTS};

pub fn large(c: &mut Criterion) {
    let mut group = c.benchmark_group("200 faults, 500 checks");
    let machine = Machine::new(FAULTS, CHECKS);
    let (situation, rules) = (Situation::default(), StopRules::default());
    for (name, most) in [("singles", MaxFaults::One), ("pairs", MaxFaults::Two)] {
        let draft = machine.draft(most);
        let network = draft.build().unwrap();
        let seen = shown(&network, &machine.looked_at(FAULT, 20), FAULT);
        let took = allocation_counter::measure(|| {
            let network = draft.build().unwrap();
            let readings = evidence(&network, &seen);
            let posterior = network.posterior(&readings).unwrap();
            black_box(network.next(&posterior, &readings, &situation, &rules).unwrap());
            black_box(network.explain(&posterior, &readings));
        });
        println!("{name}: {:.1} MB at the highest", took.bytes_max as f64 / 1e6);
        for n in [0, 5, 20] {
            let seen = shown(&network, &machine.looked_at(FAULT, n), FAULT);
            let readings = evidence(&network, &seen);
            group.bench_function(format!("posterior, {name}, {n} readings"), |b| {
                b.iter(|| network.posterior(black_box(&readings)).unwrap());
            });
            let posterior = network.posterior(&readings).unwrap();
            group.bench_function(format!("next measurement, {name}, {n} readings"), |b| {
                b.iter(|| network.next(black_box(&posterior), &readings, &situation, &rules));
            });
        }
        group.bench_function(format!("the network from its draft, {name}"), |b| {
            b.iter(|| black_box(&draft).build().unwrap());
        });
    }
}
