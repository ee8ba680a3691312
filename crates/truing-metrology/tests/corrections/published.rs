//! Reading the published check values, and holding a result against one.

use std::collections::BTreeMap;
use std::path::PathBuf;

use serde::Deserialize;
use toml::Value;

#[derive(Deserialize)]
struct File {
    check: Vec<Check>,
}

/// One entry.
#[derive(Deserialize)]
pub struct Check {
    pub id: String,
    pub topic: String,
    inputs: BTreeMap<String, Value>,
    pub expected: Value,
    tolerance: Tolerance,
    source: String,
    provenance: String,
}

#[derive(Deserialize)]
struct Tolerance {
    #[serde(default)]
    abs: f64,
    #[serde(default)]
    rel: f64,
    #[serde(default)]
    exact: bool,
}

impl Check {
    /// A number of the inputs.
    pub fn number(&self, name: &str) -> f64 {
        number(&self.inputs[name])
    }

    /// A whole number of the inputs.
    pub fn whole(&self, name: &str) -> i64 {
        self.inputs[name].as_integer().unwrap()
    }

    /// A row of numbers of the inputs.
    pub fn row(&self, name: &str) -> Vec<f64> {
        self.inputs[name].as_array().unwrap().iter().map(number).collect()
    }

    /// Three numbers of the inputs.
    pub fn three(&self, name: &str) -> [f64; 3] {
        self.row(name).try_into().unwrap()
    }

    /// A word of the inputs.
    pub fn word(&self, name: &str) -> &str {
        self.inputs[name].as_str().unwrap()
    }

    /// The expected numbers, those of a table in the order of their names.
    fn expected(&self) -> Vec<f64> {
        match &self.expected {
            Value::Array(cells) => cells.iter().map(number).collect(),
            Value::Table(cells) => {
                let sorted: BTreeMap<_, _> = cells.iter().collect();
                sorted.into_values().map(number).collect()
            }
            Value::Boolean(truth) => vec![f64::from(*truth)],
            other => vec![number(other)],
        }
    }

    /// What is wrong with `got`.
    fn complaint(&self, got: &[f64]) -> Option<String> {
        let expected = self.expected();
        let near = |(got, expected): (&f64, &f64)| {
            let allowed = self.tolerance.abs.max(self.tolerance.rel * expected.abs());
            let allowed = if self.tolerance.exact { 0.0 } else { allowed };
            (got - expected).abs() <= allowed
        };
        let holds = got.len() == expected.len() && got.iter().zip(&expected).all(near);
        (!holds).then(|| format!("{}: got {got:?}, expected {expected:?}", self.id))
    }
}

fn number(value: &Value) -> f64 {
    value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64)).unwrap()
}

/// Holds every entry of a file whose topic starts with `topic` against `work_out`. An entry for
/// which it gives nothing is a failure, and so is a file without such entries.
pub fn hold(file: &str, topic: &str, work_out: impl Fn(&Check) -> Option<Vec<f64>>) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference").join(file);
    let text = std::fs::read_to_string(&path).unwrap();
    let checks = toml::from_str::<File>(&text).unwrap().check;
    let mut complaints = Vec::new();
    let mut held = 0;
    for check in checks.iter().filter(|check| check.topic.starts_with(topic)) {
        println!("{} [{}; {}]", check.id, check.source, check.provenance);
        match work_out(check) {
            Some(got) => complaints.extend(check.complaint(&got)),
            None => complaints.push(format!("{}: no test works it out", check.id)),
        }
        held += 1;
    }
    assert!(held > 0, "no entries of {topic} in {file}");
    assert!(complaints.is_empty(), "{}", complaints.join("\n"));
}
