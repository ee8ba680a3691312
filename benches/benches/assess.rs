//! Readings against limits: Truing beside `cel` and `rhai`, which do the bare comparison without
//! units, and beside hand-written Rust.
#![allow(
    missing_docs,
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a bench on a wrong input must not go on"
)]

use std::collections::HashMap;
use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use truing_benches::{COUNT, low_of, read_at, read_text, reading, spec, two_sided};
use truing_engine::{Plan, Sheet};
use truing_model::{Indication, Reading, SlotId, Spec};

fn filled(spec: &Spec, count: usize) -> (Sheet, Vec<Reading>) {
    let mut sheet = Sheet::new(spec);
    let readings: Vec<_> =
        (0..count).map(|index| reading(spec, SlotId(index as u32), &read_text(index))).collect();
    for (index, reading) in readings.iter().enumerate() {
        sheet.set(SlotId(index as u32), reading.clone()).unwrap();
    }
    (sheet, readings)
}

fn figure_of(reading: &Reading) -> Option<&Indication> {
    match reading {
        Reading::Figure(figure) => Some(figure),
        _ => None,
    }
}

fn cel_program(index: usize) -> cel::Program {
    let (low, high) = (low_of(index), low_of(index) + 1.2);
    cel::Program::compile(&format!("r{index} >= {low:.1} && r{index} <= {high:.1}")).unwrap()
}

fn rhai_text(index: usize) -> String {
    let (low, high) = (low_of(index), low_of(index) + 1.2);
    format!("r{index} >= {low:.1} && r{index} <= {high:.1}")
}

/// One two-sided check, all reasons off.
fn one_check(c: &mut Criterion) {
    let mut group = c.benchmark_group("one two-sided check");
    let spec = spec(&two_sided(1));
    let plan = Plan::new(&spec);
    let (sheet, _) = filled(&spec, 1);
    let mut evaluator = plan.evaluator();
    group.bench_function("truing, outcome only", |b| {
        b.iter(|| evaluator.outcomes(black_box(&sheet)).first().copied());
    });

    let program = cel_program(0);
    let mut context = cel::Context::default();
    context.add_variable_from_value("r0", read_at(0));
    group.bench_function("cel, bare comparison", |b| {
        b.iter(|| program.execute(black_box(&context)).unwrap());
    });

    let engine = rhai::Engine::new();
    let ast = engine.compile_expression(rhai_text(0)).unwrap();
    let mut scope = rhai::Scope::new();
    scope.push("r0", read_at(0));
    group.bench_function("rhai, bare comparison", |b| {
        b.iter(|| engine.eval_ast_with_scope::<bool>(black_box(&mut scope), &ast).unwrap());
    });
    group.finish();
}

/// Twenty readings, twenty two-sided checks; new readings are bound every time.
fn twenty_by_twenty(c: &mut Criterion) {
    let mut group = c.benchmark_group("20 readings x 20 two-sided checks");
    let spec = spec(&two_sided(COUNT));
    let plan = Plan::new(&spec);
    let (mut sheet, readings) = filled(&spec, COUNT);
    let figures: Vec<Indication> = readings.iter().filter_map(figure_of).cloned().collect();
    assert_eq!(figures.len(), COUNT);
    let mut evaluator = plan.evaluator();

    group.bench_function("truing, by slot, outcomes only", |b| {
        b.iter(|| evaluator.outcomes(black_box(&sheet)).len());
    });
    group.bench_function("truing, readings bound by slot, outcomes only", |b| {
        b.iter(|| {
            for (index, figure) in figures.iter().enumerate() {
                sheet.set_figure(SlotId(index as u32), black_box(figure)).unwrap();
            }
            evaluator.outcomes(&sheet).len()
        });
    });
    group.bench_function("truing, readings given away by slot, outcomes only", |b| {
        b.iter(|| {
            for (index, reading) in readings.iter().enumerate() {
                sheet.set(SlotId(index as u32), black_box(reading).clone()).unwrap();
            }
            evaluator.outcomes(&sheet).len()
        });
    });
    group.bench_function("truing, by name, every reason as data", |b| {
        let names: Vec<String> = (0..COUNT).map(|index| format!("reading_{index}")).collect();
        b.iter(|| {
            for (name, reading) in names.iter().zip(&readings) {
                let slot = spec.slot_labelled(black_box(name)).unwrap();
                sheet.set(slot, reading.clone()).unwrap();
            }
            evaluator.findings(&spec, &sheet).findings.len()
        });
    });

    let limits: Vec<(f64, f64)> = (0..COUNT).map(|i| (low_of(i), low_of(i) + 1.2)).collect();
    let values: Vec<f64> = (0..COUNT).map(read_at).collect();
    group.bench_function("hand-written Rust, bare comparison", |b| {
        b.iter(|| {
            let pairs = black_box(&values).iter().zip(black_box(&limits));
            pairs.filter(|(value, (low, high))| *value >= low && *value <= high).count()
        });
    });

    let programs: Vec<_> = (0..COUNT).map(cel_program).collect();
    group.bench_function("cel, bare comparison", |b| {
        b.iter(|| {
            let mut context = cel::Context::default();
            for (index, value) in values.iter().enumerate() {
                context.add_variable_from_value(format!("r{index}"), *value);
            }
            let yes = cel::Value::Bool(true);
            programs.iter().filter(|program| program.execute(&context).unwrap() == yes).count()
        });
    });

    let engine = rhai::Engine::new();
    let asts: Vec<_> =
        (0..COUNT).map(|i| engine.compile_expression(rhai_text(i)).unwrap()).collect();
    let names: Vec<String> = (0..COUNT).map(|index| format!("r{index}")).collect();
    group.bench_function("rhai, bare comparison", |b| {
        b.iter(|| {
            let mut scope = rhai::Scope::new();
            for (name, value) in names.iter().zip(&values) {
                scope.push(name.as_str(), *value);
            }
            let inside = asts.iter();
            inside
                .filter(|ast| engine.eval_ast_with_scope::<bool>(&mut scope, ast).unwrap())
                .count()
        });
    });
    group.bench_function("readings by name in a HashMap, hand-written", |b| {
        let named: HashMap<String, (f64, f64)> =
            names.iter().cloned().zip(limits.iter().copied()).collect();
        b.iter(|| {
            let pairs = names.iter().zip(&values);
            pairs
                .filter(|(name, value)| {
                    let (low, high) = named[black_box(name.as_str())];
                    **value >= low && **value <= high
                })
                .count()
        });
    });
    group.finish();
}

criterion_group!(benches, one_check, twenty_by_twenty);
criterion_main!(benches);
