//! A million trials of five inputs, on one core.

use std::hint::black_box;

use criterion::Criterion;
use truing_benches::spec;
use truing_engine::{Plan, Simulated, SimulationOptions, simulate};
use truing_metrology::uncertainty::Component;
use truing_metrology::uncertainty::monte_carlo::{self, Input, Options};
use truing_model::CheckId;

use crate::filled;

const MILLION: usize = 1_000_000;

/// Five readings of one meter. Invented limits.
const FIVE: &str = "\
spec five \"Five\" { edition \"1\" }
source sheet \"Invented\"
limit level : ratio = 0.9 .. 1.1 cite sheet \"1\"
reading a \"A\" : dc_voltage
reading b \"B\" : dc_voltage
reading c \"C\" : dc_voltage
reading d \"D\" : dc_voltage
reading e \"E\" : dc_voltage
derived relation \"Relation\" : ratio = (a + b - c) / (d - e)
check level_right \"Level\" : relation within level
";

pub fn a_million(c: &mut Criterion) {
    let mut group = c.benchmark_group("1000000 trials");
    group.sample_size(10);
    let input = |value: f64, component| Input { value, component };
    let inputs = [
        input(12.62, Component::normal(0.02).unwrap()),
        input(12.31, Component::rectangular(0.06).unwrap()),
        input(0.82, Component::normal(0.01).unwrap()),
        input(31.5, Component::rectangular(0.6).unwrap()),
        input(1.02, Component::student(0.01, 9.0).unwrap()),
    ];
    let model = |x: &[f64]| match x {
        [a, b, c, d, e] => (a - b) / c * d * e,
        _ => f64::NAN,
    };
    let options = Options { trials: MILLION, ..Options::default() };
    group.bench_function("a model of five inputs, by the equations alone", |b| {
        b.iter(|| monte_carlo::simulate(black_box(&inputs), None, model, &options).unwrap());
    });

    let spec = spec(FIVE);
    let plan = Plan::new(&spec);
    let texts = ["6.21 V", "7.10 V", "0.98 V", "12.62 V", "0.31 V"];
    let sheet = filled(&spec, texts.map(str::to_owned));
    let options = SimulationOptions { trials: MILLION, ..SimulationOptions::default() };
    let what = Simulated::Check(CheckId(0));
    group.bench_function("a check on five readings of one meter", |b| {
        b.iter(|| simulate(&plan, black_box(&sheet), what, &options).unwrap());
    });
}
