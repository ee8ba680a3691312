//! Twenty derived quantities, each with its standard uncertainty, beside the Python library
//! uncertainties, which is started from here.

use std::fmt::Write as _;
use std::hint::black_box;
use std::process::Command;
use std::time::Instant;

use criterion::Criterion;
use serde_json::Value;
use truing::Compiled;
use truing_benches::root;
use truing_engine::{Evaluator, Sheet};
use truing_model::{DerivedId, SlotId};

const ROUNDS: usize = 9;

const INSTALL: &str = "\
the Python library is not there; to measure beside it:
  python3 -m venv target/peer
  target/peer/bin/pip install -r benches/peer/requirements.txt
  TRUING_PEER_PYTHON=$PWD/target/peer/bin/python3 cargo bench -p truing-benches --bench uncertainty";

/// The quantities of `derived.json`; their readings stand one after the other.
struct Quantities {
    names: Vec<String>,
    spec: String,
    readings: Vec<(String, f64)>,
}

fn quantities() -> Quantities {
    let text = std::fs::read_to_string(root().join("benches/peer/derived.json")).unwrap();
    let json: Value = serde_json::from_str(&text).unwrap();
    let (mut names, mut readings) = (Vec::new(), Vec::new());
    let mut spec = "spec peer \"Peer\" { edition \"1\" }\n".to_owned();
    for quantity in json.get("quantities").unwrap().as_array().unwrap() {
        let word = |of: &Value, key: &str| of.get(key).unwrap().as_str().unwrap().to_owned();
        let name = word(quantity, "name");
        let mut expression = format!(" {} ", word(quantity, "expression"));
        for reading in quantity.get("readings").unwrap().as_array().unwrap() {
            let own = format!("{name}_{}", word(reading, "name"));
            expression = renamed(&expression, &word(reading, "name"), &own);
            writeln!(spec, "reading {own} \"{own}\" : ratio").unwrap();
            readings.push((word(reading, "value"), word(reading, "u").parse().unwrap()));
        }
        writeln!(spec, "derived {name} ={expression}").unwrap();
        names.push(name);
    }
    Quantities { names, spec, readings }
}

/// An expression with one name replaced by another.
fn renamed(expression: &str, name: &str, by: &str) -> String {
    let is_part = |of: Option<char>| of.is_some_and(|of| of.is_alphanumeric() || of == '_');
    let mut out = String::new();
    let mut rest = expression;
    while let Some((before, behind)) = rest.split_once(name) {
        out.push_str(before);
        let whole = !is_part(out.chars().next_back()) && !is_part(behind.chars().next());
        out.push_str(if whole { by } else { name });
        rest = behind;
    }
    out + rest
}

/// Every quantity with its uncertainty; what they come to keeps them from being left out.
fn all(evaluator: &mut Evaluator<'_>, sheet: &Sheet) -> f64 {
    evaluator.quantities(sheet).iter().flatten().map(|(y, u)| y + u).sum()
}

/// The median of some rounds, in nanoseconds per quantity, as the Python script takes it.
fn per_evaluation(mut work: impl FnMut(), count: usize) -> f64 {
    const REPEATS: usize = 2000;
    let mut rounds: Vec<f64> = (0..ROUNDS)
        .map(|_| {
            let start = Instant::now();
            (0..REPEATS).for_each(|_| work());
            start.elapsed().as_nanos() as f64 / (REPEATS * count) as f64
        })
        .collect();
    rounds.sort_by(f64::total_cmp);
    rounds.get(ROUNDS / 2).copied().unwrap()
}

/// What the Python library says and how long it takes; `None` where it is not there.
fn python() -> Option<Value> {
    let interpreter = std::env::var("TRUING_PEER_PYTHON").unwrap_or("python3".to_owned());
    let script = root().join("benches/peer/uncertainties_peer.py");
    let output = Command::new(interpreter).arg(script).args(["--repeats", "2000"]).output().ok()?;
    output.status.success().then(|| serde_json::from_slice(&output.stdout).unwrap())
}

pub fn derived(c: &mut Criterion) {
    let Quantities { names, spec, readings } = quantities();
    let compiled = Compiled::from_text("derived.truing", &spec).unwrap();
    let mut sheet = compiled.sheet().build();
    for ((value, u), slot) in readings.iter().zip((0..).map(SlotId)) {
        let reading = truing_benches::reading(compiled.spec(), slot, value);
        sheet.set(slot, reading).unwrap();
        sheet.state_uncertainty(slot, *u, None).unwrap();
    }
    let mut evaluator = compiled.plan().evaluator();
    c.bench_function("20 derived quantities, each with its standard uncertainty", |b| {
        b.iter(|| all(&mut evaluator, black_box(&sheet)));
    });

    let Some(told) = python() else { return println!("{INSTALL}") };
    // The same figures, before times are compared.
    let figure = |of: &Value, key: &str| of.get(key).and_then(Value::as_f64).unwrap();
    for (id, result) in (0..).zip(told.get("results").unwrap().as_array().unwrap()) {
        let (value, u) = evaluator.quantity(&sheet, DerivedId(id)).unwrap();
        for (ours, theirs) in [(value, figure(result, "value")), (u, figure(result, "u"))] {
            assert!((ours - theirs).abs() <= 1e-9 * theirs.abs(), "{result}: {value} ± {u}");
        }
    }
    let ours = per_evaluation(
        || {
            black_box(all(&mut evaluator, &sheet));
        },
        names.len(),
    );
    let ready = figure(&told, "per_evaluation_ns");
    let made = figure(&told, "per_evaluation_with_readings_ns");
    println!(
        "a derived quantity with its uncertainty: truing {ours:.0} ns; uncertainties {ready:.0} ns \
         ({:.0} times), with its numbers made anew {made:.0} ns ({:.0} times); {}",
        ready / ours,
        made / ours,
        told.get("versions").unwrap(),
    );
}
