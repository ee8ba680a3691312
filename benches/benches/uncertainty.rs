//! What errors cost: decisions by probability with meters, with and without budgets; random trials;
//! and derived quantities beside a Python library. The meter is invented.
#![allow(missing_docs, clippy::unwrap_used, reason = "a bench on a wrong input must not go on")]

#[path = "uncertainty/peer.rs"]
mod peer;
#[path = "uncertainty/trials.rs"]
mod trials;

use std::hint::black_box;
use std::sync::Arc;

use criterion::{Criterion, criterion_group, criterion_main};
use truing_benches::{COUNT, read_text, reading, spec, two_sided};
use truing_engine::{MeterUse, Plan, Sheet};
use truing_model::{
    CheckId, CommonParts, DecideRule, ErrorTerms, Instrument, LimitOfError, MeterFunction,
    MeterRange, SlotId, Spec,
};
use truing_units::{Catalogue, Decimal, Kind, Measure};

fn meter() -> MeterUse {
    let unit = Catalogue::standard().unit("V").unwrap();
    let terms = ErrorTerms { reading: 0.005, counts: 0.02, ..ErrorTerms::default() };
    let range = MeterRange {
        bottom: -60.0,
        top: 60.0,
        printed: Measure { figure: Decimal::new(60, 0), unit: unit.clone() },
        nought: 0.0,
        step: Some(0.01),
        accuracy: Some(LimitOfError { sums: vec![terms] }),
        accuracy_printed: None,
        capture: None,
        band: None,
    };
    let function = MeterFunction {
        kind: Kind::DC_VOLTAGE,
        unit,
        ranges: vec![range],
        leads: None,
        test_voltage: None,
        input: None,
        burden: None,
        technique: None,
        common: CommonParts::default(),
        notes: Vec::new(),
    };
    let instrument = Instrument {
        name: "invented".to_owned(),
        title: "Invented".to_owned(),
        functions: vec![function],
        valid: None,
        calibration: None,
        notes: Vec::new(),
    };
    MeterUse::new("M", Arc::new(instrument))
}

fn filled(spec: &Spec, texts: impl IntoIterator<Item = String>) -> Sheet {
    let mut sheet = Sheet::new(spec);
    sheet.decide(DecideRule::At { probability: 0.95 }).unwrap();
    for (slot, text) in (0..).map(SlotId).zip(texts) {
        sheet.set(slot, reading(spec, slot, &text)).unwrap();
        sheet.measure_with(slot, meter()).unwrap();
    }
    sheet
}

fn one(c: &mut Criterion) {
    let mut group = c.benchmark_group("one check at 95 % with a meter");
    let spec = spec(&two_sided(1));
    let plan = Plan::new(&spec);
    let mut evaluator = plan.evaluator();
    let sheet = filled(&spec, ["12.05 V".to_owned()]);
    evaluator.outcomes(&sheet);
    let counted = allocation_counter::measure(|| {
        evaluator.outcomes(black_box(&sheet));
    });
    println!("one check near an end, its probability: {} allocations", counted.count_total);
    let mut lines = Vec::new();
    evaluator.budget(&sheet, CheckId(0), &mut lines);
    let counted = allocation_counter::measure(|| {
        evaluator.budget(black_box(&sheet), CheckId(0), &mut lines);
    });
    println!("one check near an end, its budget: {} allocations", counted.count_total);
    for (name, text) in [("clear", "12.60 V"), ("near an end", "12.05 V")] {
        let sheet = filled(&spec, [text.to_owned()]);
        group.bench_function(format!("{name}, outcome only"), |b| {
            b.iter(|| evaluator.outcomes(black_box(&sheet)).first().copied());
        });
        group.bench_function(format!("{name}, with its budget in a buffer"), |b| {
            b.iter(|| evaluator.budget(black_box(&sheet), CheckId(0), &mut lines));
        });
        group.bench_function(format!("{name}, with its reasons and its budget"), |b| {
            b.iter(|| evaluator.findings(&spec, black_box(&sheet)).findings.len());
        });
    }
}

fn twenty(c: &mut Criterion) {
    let mut group = c.benchmark_group("20 readings x 20 checks at 95 % with a meter");
    let spec = spec(&two_sided(COUNT));
    let plan = Plan::new(&spec);
    let mut evaluator = plan.evaluator();
    let sheet = filled(&spec, (0..COUNT).map(read_text));
    group.bench_function("outcomes only", |b| {
        b.iter(|| evaluator.outcomes(black_box(&sheet)).len());
    });
    group.bench_function("every reason and budget as data", |b| {
        b.iter(|| evaluator.findings(&spec, black_box(&sheet)).findings.len());
    });
}

criterion_group!(benches, one, twenty, trials::a_million, peer::derived);
criterion_main!(benches);
