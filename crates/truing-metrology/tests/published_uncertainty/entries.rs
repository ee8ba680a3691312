//! Reading the published values, and holding results against them.

use std::path::PathBuf;

use toml::{Table, Value};

/// One published value.
pub struct Entry(Table);

impl Entry {
    pub fn id(&self) -> &str {
        self.word("id")
    }

    pub fn topic(&self) -> &str {
        self.word("topic")
    }

    fn word(&self, key: &str) -> &str {
        self.0.get(key).and_then(Value::as_str).unwrap_or("")
    }

    fn input_value(&self, key: &str) -> &Value {
        let inputs = self.0["inputs"].as_table().unwrap();
        inputs.get(key).unwrap_or_else(|| panic!("{}: no input {key}", self.id()))
    }

    pub fn has(&self, key: &str) -> bool {
        self.0["inputs"].as_table().unwrap().contains_key(key)
    }

    pub fn input(&self, key: &str) -> f64 {
        number(self.input_value(key))
    }

    pub fn optional(&self, key: &str) -> Option<f64> {
        self.has(key).then(|| self.input(key))
    }

    pub fn inputs(&self, key: &str) -> Vec<f64> {
        self.input_value(key).as_array().unwrap().iter().map(number).collect()
    }

    pub fn input_word(&self, key: &str) -> &str {
        self.input_value(key).as_str().unwrap()
    }

    /// What differs, if anything does.
    fn difference(&self, got: &Value) -> Option<String> {
        let tolerance = self.0["tolerance"].as_table().unwrap();
        let part = |key: &str| tolerance.get(key).map_or(0.0, number);
        differs(got, &self.0["expected"], part("abs"), part("rel"))
    }
}

pub fn number(value: &Value) -> f64 {
    value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64)).expect("a number")
}

fn differs(got: &Value, expected: &Value, abs: f64, rel: f64) -> Option<String> {
    let differ = || Some(format!("{got} where {expected} is expected"));
    match (got, expected) {
        (Value::String(got), Value::String(expected)) if got == expected => None,
        (Value::Array(got), Value::Array(expected)) if got.len() == expected.len() => {
            got.iter().zip(expected).find_map(|(got, expected)| differs(got, expected, abs, rel))
        }
        (Value::Table(got), Value::Table(expected)) if got.keys().eq(expected.keys()) => got
            .values()
            .zip(expected.values())
            .find_map(|(got, expected)| differs(got, expected, abs, rel)),
        (Value::Float(_) | Value::Integer(_), Value::Float(_) | Value::Integer(_)) => {
            let (got, expected) = (number(got), number(expected));
            let allowed = abs.max(rel * expected.abs());
            if (got - expected).abs() <= allowed { None } else { differ() }
        }
        _ => differ(),
    }
}

/// Numbers under the names of the published ones.
pub fn named<const N: usize>(pairs: [(&str, f64); N]) -> Value {
    pairs
        .into_iter()
        .map(|(name, value)| (name.to_owned(), Value::Float(value)))
        .collect::<Table>()
        .into()
}

/// Numbers in a row.
pub fn row(numbers: &[f64]) -> Value {
    numbers.iter().map(|number| Value::Float(*number)).collect::<Vec<_>>().into()
}

/// Holds every entry of a file whose topic starts with one of these against what `result` makes of it.
/// `unmet` lists entries that cannot be met, with the reason: one that is met all the same, or is not
/// there, fails.
pub fn hold(
    file: &str,
    topics: &[&str],
    unmet: &[(&str, &str)],
    result: impl Fn(&Entry) -> Option<Value>,
) {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference").join(file);
    let text = std::fs::read_to_string(&path).unwrap();
    let table: Table = text.parse().unwrap();
    let mut wrong = Vec::new();
    let mut seen = Vec::new();
    for entry in table["check"].as_array().unwrap() {
        let entry = Entry(entry.as_table().unwrap().clone());
        if !topics.iter().any(|topic| entry.topic().starts_with(topic)) {
            continue;
        }
        println!("{} [{}; {}]", entry.id(), entry.word("source"), entry.word("provenance"));
        seen.push(entry.id().to_owned());
        let difference = match result(&entry) {
            None => Some("no test handles it".to_owned()),
            Some(got) => entry.difference(&got),
        };
        let excuse = unmet.iter().find(|(id, _)| *id == entry.id());
        match (difference, excuse) {
            (None, None) => {}
            (Some(difference), Some((_, reason))) => println!("  not met, {reason}: {difference}"),
            (Some(difference), None) => wrong.push(format!("{}: {difference}", entry.id())),
            (None, Some(_)) => wrong.push(format!("{}: met, though listed", entry.id())),
        }
    }
    assert!(!seen.is_empty(), "{file} has nothing on {topics:?}");
    let unknown = unmet.iter().filter(|(id, _)| !seen.iter().any(|seen| seen == id));
    wrong.extend(unknown.map(|(id, _)| format!("{id}: listed, but not there")));
    assert!(wrong.is_empty(), "{wrong:#?}");
}
