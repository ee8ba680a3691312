//! The language against published and trade figures.
//!
//! `reference/trade-facts.toml` is worked out by `published/trade.truing`, one derived quantity for
//! each fact; `reference/interpolation-statistics.toml` by specs that are generated here. A figure
//! that the language cannot say is excused by name, with the reason: every figure is either worked
//! out or excused, never both, so a new one cannot slip by.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use serde::Deserialize;
use truing::Compiled;
use truing_engine::{Bound, Findings, Sheet};
use truing_model::{LimitRule, Spec};
use truing_tests::place;
use truing_units::{Place, from_coherent};

#[derive(Deserialize)]
struct Facts {
    fact: Vec<Fact>,
}

#[derive(Deserialize)]
struct Fact {
    id: String,
    value: f64,
    unit: String,
    tolerance: f64,
    source: String,
    provenance: String,
}

impl Fact {
    /// The derived quantity that works it out.
    fn quantity(&self) -> String {
        self.id.replace('-', "_")
    }

    /// How far a value may lie off. A fact without a tolerance holds to what a double carries;
    /// a constant that a standard prints rounded holds to half its last digit.
    fn allowed(&self) -> f64 {
        let printed = match self.id.as_str() {
            // IEC 60028 prints 0.00393; 1/254.5 is 0.003 929 3.
            "cu-alpha20" => 0.000_005,
            _ => 0.0,
        };
        self.tolerance.max(printed).max(1e-12 * self.value.abs())
    }
}

fn facts() -> Vec<Fact> {
    let text = place::read("tests/reference/trade-facts.toml").unwrap();
    toml::from_str::<Facts>(&text).unwrap().fact
}

/// Facts that no expression works out, and why.
fn excused(id: &str) -> Option<&'static str> {
    let starts = |heads: &[&str]| heads.iter().any(|head| id.starts_with(head));
    if starts(&["model-"]) {
        return Some("comes from a circuit model of the alternator: the language has no circuits");
    }
    if starts(&["meter-", "clamp-", "torque-mpe", "gauge-class", "micrometer", "type-k", "pt100"]) {
        return Some("the error of an instrument: needs the instrument model");
    }
    if starts(&["pconf-"]) {
        return Some("the doubt is the meter's, not the last digit's: needs the instrument model");
    }
    if starts(&["co-", "loaddump", "h2-", "class-b", "ir-random"]) {
        return Some("a figure for people: no reading is held against it");
    }
    if starts(&["bat-full-agm", "bat-sae", "bat-en", "bat-load-soc"]) {
        return Some("a rating or a table value that no spec here uses as a limit");
    }
    None
}

/// Facts that are an end of a limit somewhere in the specs: fact, file, limit, lower end or upper.
const LIMIT_ENDS: &[(&str, &str, &str, bool)] = &[
    ("can-practical-low", "tests/published/trade.truing", "can_practical", true),
    ("can-practical-high", "tests/published/trade.truing", "can_practical", false),
    ("bat-full-flooded", "specs/demo/lowmoor-420-orchard.truing", "arrival_voltage", true),
    ("bat-half", "specs/demo/tarnwick-trio-300.truing", "test_charge", true),
    ("bat-load-21c", "specs/demo/ostrevik-hauler-680.truing", "load_test", true),
    ("drop-side", "specs/demo/lowmoor-420-orchard.truing", "positive_drop_limit", false),
    ("drop-joint", "specs/demo/lowmoor-420-orchard.truing", "clamp_drop_limit", false),
];

/// Facts that are the ends of a go and no-go reading.
const GO_NO_GO: [&str; 2] = ["feeler-low", "feeler-high"];

fn compiled(path: &str) -> Compiled {
    Compiled::from_path(place::root().join(path)).unwrap_or_else(|error| panic!("{path}: {error}"))
}

/// The sheet that the spec's first case describes.
fn sheet_of_case(compiled: &Compiled) -> Sheet {
    let case = compiled.spec().cases.first().expect("a case");
    let mut sheet = Sheet::new(compiled.spec());
    for (slot, reading) in &case.readings {
        sheet.set(*slot, reading.clone()).unwrap();
    }
    sheet
}

/// The value of a derived quantity in `unit`.
fn worked_out(spec: &Spec, findings: &Findings, name: &str, unit: &str) -> Result<f64, String> {
    let (place, derived) = spec
        .derived
        .iter()
        .enumerate()
        .find(|(_, derived)| derived.label == name)
        .ok_or_else(|| format!("no derived quantity `{name}`"))?;
    let found = findings.derived.get(place).expect("one finding for each derived quantity");
    let best = found
        .value
        .and_then(|value| value.best)
        .ok_or_else(|| format!("`{name}` has no value: {:?}", found.because))?;
    let unit = spec.catalogue().unit(unit).map_err(|error| format!("`{name}`: {error}"))?;
    if unit.dimension() != derived.ty.dimension(&spec.catalogue()) {
        return Err(format!("`{name}` is no quantity in {}", unit.symbol()));
    }
    Ok(from_coherent(best, &unit, Place::Amount))
}

#[test]
fn every_trade_fact_is_worked_out_or_excused() {
    let compiled = compiled("tests/published/trade.truing");
    let findings = compiled.assess(&sheet_of_case(&compiled));
    let elsewhere: BTreeSet<&str> =
        LIMIT_ENDS.iter().map(|(fact, ..)| *fact).chain(GO_NO_GO).collect();
    let (mut wrong, mut reached, mut excuses) = (Vec::new(), 0, Vec::new());
    let facts = facts();
    for fact in &facts {
        let has_quantity =
            compiled.spec().derived.iter().any(|derived| derived.label == fact.quantity());
        let ways = [has_quantity, elsewhere.contains(&*fact.id), excused(&fact.id).is_some()];
        if ways.iter().filter(|way| **way).count() != 1 {
            wrong.push(format!("{}: worked out, a limit's end, excused: {ways:?}", fact.id));
            continue;
        }
        if let Some(why) = excused(&fact.id) {
            excuses.push(format!("{}: {why}", fact.id));
        }
        if !has_quantity {
            continue;
        }
        match worked_out(compiled.spec(), &findings, &fact.quantity(), &fact.unit) {
            Ok(got) if (got - fact.value).abs() <= fact.allowed() => reached += 1,
            Ok(got) => wrong.push(format!(
                "{}: {got} {}, not {} ± {} ({}; {})",
                fact.id,
                fact.unit,
                fact.value,
                fact.allowed(),
                fact.source,
                fact.provenance
            )),
            Err(why) => wrong.push(format!("{}: {why}", fact.id)),
        }
    }
    println!("{reached} facts worked out; not said by the language:\n{}", excuses.join("\n"));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(reached >= 49, "only {reached} facts were worked out");
}

#[test]
fn facts_that_are_limits_stand_in_the_specs() {
    let facts: BTreeMap<String, Fact> =
        facts().into_iter().map(|fact| (fact.id.clone(), fact)).collect();
    for (id, path, name, lower) in LIMIT_ENDS {
        let compiled = compiled(path);
        let spec = compiled.spec();
        let limit = spec
            .limits
            .iter()
            .find(|limit| limit.name.as_deref() == Some(name))
            .unwrap_or_else(|| panic!("{path} has no limit `{name}`"));
        let band = match &limit.rule {
            LimitRule::Band(band) => band,
            // The load test's fact is its point at 21 °C.
            LimitRule::Curve(curve) => {
                let at = 294.15;
                &curve.points.iter().find(|point| (point.x - at).abs() < 1e-9).unwrap().band
            }
            other => panic!("`{name}` is {other:?}"),
        };
        let edge = if *lower { &band.standard.low } else { &band.standard.high };
        let edge = edge.as_ref().unwrap_or_else(|| panic!("`{name}` has no such end"));
        let fact = &facts[*id];
        let unit = spec.catalogue().unit(&fact.unit).unwrap();
        let got = from_coherent(edge.value, &unit, Place::Amount);
        assert!((got - fact.value).abs() <= 1e-12 * fact.value, "{id}: {got}, not {}", fact.value);
    }
}

#[test]
fn a_go_and_no_go_reading_keeps_both_its_ends() {
    let compiled = compiled("tests/published/trade.truing");
    let findings = compiled.assess(&sheet_of_case(&compiled));
    let place = compiled.spec().derived.iter().position(|derived| derived.label == "feeler");
    let value = findings.derived[place.unwrap()].value.unwrap();
    // The 0.13 mm blade goes, so 0.13 mm is possible; the 0.15 mm blade does not, so 0.15 mm is not.
    assert_eq!(value.low, Some(Bound { value: 0.000_13, open: false }));
    assert_eq!(value.high, Some(Bound { value: 0.000_15, open: true }));
    assert_eq!(value.best, None);
}

// -------------------------------------------------------------------------------------------------
// Interpolation and statistics
// -------------------------------------------------------------------------------------------------

#[derive(Deserialize)]
struct Checks {
    check: Vec<PublishedCheck>,
}

#[derive(Deserialize)]
struct PublishedCheck {
    id: String,
    inputs: toml::Table,
    expected: toml::Value,
    tolerance: toml::Table,
    source: String,
}

impl PublishedCheck {
    fn list(&self, key: &str) -> Vec<f64> {
        self.inputs[key].as_array().unwrap().iter().map(number).collect()
    }

    fn input(&self, key: &str) -> f64 {
        number(&self.inputs[key])
    }

    /// The expected value at a key or a place; `""` where it is a single one.
    fn wanted(&self, part: &str) -> f64 {
        match &self.expected {
            toml::Value::Table(table) => number(&table[part]),
            toml::Value::Array(list) => number(&list[part.parse::<usize>().unwrap()]),
            single => number(single),
        }
    }

    fn parts(&self) -> Vec<String> {
        match &self.expected {
            toml::Value::Table(table) => table.keys().cloned().collect(),
            toml::Value::Array(list) => (0..list.len()).map(|place| place.to_string()).collect(),
            _ => vec![String::new()],
        }
    }

    fn allowed(&self, wanted: f64) -> f64 {
        let part = |key: &str| self.tolerance.get(key).map_or(0.0, number);
        part("abs").max(part("rel") * wanted.abs())
    }
}

fn number(value: &toml::Value) -> f64 {
    value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64)).unwrap()
}

/// Parts of published checks that the language cannot say.
const EXCUSED: &[(&str, &[&str], &str)] = &[
    ("stat.nist.", &["sd", "lag1"], "no function gives a standard deviation or a correlation"),
    ("stat.mean_u", &["1", "2", "3"], "no function gives a standard deviation"),
    (
        "interp.pchip_slopes",
        &["0", "1", "2", "3", "4"],
        "curves are straight, stepped or logarithmic",
    ),
    (
        "interp.rpn14",
        &["0", "1", "2", "3", "4", "5", "6"],
        "curves are straight, stepped or logarithmic",
    ),
    ("interp.bilinear", &[""], "a curve goes by one quantity"),
];

fn why_not(id: &str, part: &str) -> Option<&'static str> {
    EXCUSED
        .iter()
        .find(|(head, parts, _)| id.starts_with(head) && parts.contains(&part))
        .map(|(.., why)| *why)
}

/// A spec of one check: its items, and the derived quantity for each part that is worked out.
struct Worked {
    items: String,
    readings: Vec<(String, String)>,
    parts: Vec<(String, String)>,
}

fn text_of(values: &[f64]) -> String {
    let words: Vec<String> = values.iter().map(f64::to_string).collect();
    words.join(", ")
}

/// The mean of repeats, and the same over a family.
fn mean_of(data: &[f64], part: &str) -> Worked {
    let items = "reading shown \"Shown\" : ratio { reduce mean }\nderived the_mean = shown".into();
    Worked {
        items,
        readings: vec![("shown".into(), text_of(data))],
        parts: vec![(part.into(), "the_mean".into())],
    }
}

/// A curve of single values asked at some places.
fn curve_at(head: &str, xs: &[f64], ys: &[f64], x_unit: &str, y_unit: &str, at: &[f64]) -> Worked {
    let mut items = format!("{head} {{\n");
    for (x, y) in xs.iter().zip(ys) {
        writeln!(items, "    {x} {x_unit} : {y} .. {y} {y_unit}").unwrap();
    }
    items.push_str("}\n");
    let mut parts = Vec::new();
    for (place, x) in at.iter().enumerate() {
        writeln!(items, "derived at_{place} = line({x} {x_unit})").unwrap();
        let part = if at.len() == 1 { String::new() } else { place.to_string() };
        parts.push((part, format!("at_{place}")));
    }
    Worked { items, readings: Vec::new(), parts }
}

fn worked(check: &PublishedCheck) -> Option<Worked> {
    let pairs = |check: &PublishedCheck| {
        let mut data = vec![check.input("first")];
        for _ in 0..check.input("pairs") as usize {
            data.extend(check.list("pair"));
        }
        data
    };
    Some(match check.id.as_str() {
        "stat.nist.NumAcc2" | "stat.nist.NumAcc3" | "stat.nist.NumAcc4" => {
            mean_of(&pairs(check), "mean")
        }
        "stat.nist.PiDigits" => {
            let mut digits = pi_digits(5000);
            assert_eq!(digits[956], 8, "the data set differs from pi there");
            digits[956] = 3;
            let digits: Vec<f64> = digits.into_iter().map(f64::from).collect();
            mean_of(&digits, "mean")
        }
        "stat.nist.Lew" | "stat.nist.Lottery" | "stat.nist.Michelso" => {
            mean_of(&check.list("data"), "mean")
        }
        "stat.mean_u" => mean_of(&check.list("data"), "0"),
        "stat.weighted_mean" => {
            let weights: Vec<String> =
                check.list("u").iter().map(|u| format!("1 / {u} ^ 2")).collect();
            let terms: Vec<String> = check
                .list("values")
                .iter()
                .zip(check.list("u"))
                .map(|(value, u)| format!("{value} / {u} ^ 2"))
                .collect();
            let (terms, weights) = (terms.join(" + "), weights.join(" + "));
            let items = format!(
                "derived weighted = ({terms}) / ({weights})\nderived doubt = sqrt(1 / ({weights}))"
            );
            let parts = vec![("0".into(), "weighted".into()), ("1".into(), "doubt".into())];
            Worked { items, readings: Vec::new(), parts }
        }
        "stat.pooled" => {
            let (s, n) = (check.list("s"), check.list("n"));
            let top: Vec<String> =
                s.iter().zip(&n).map(|(s, n)| format!("({n} - 1) * {s} ^ 2")).collect();
            let below: Vec<String> = n.iter().map(|n| format!("{n} - 1")).collect();
            let items =
                format!("derived pooled = sqrt(({}) / ({}))", top.join(" + "), below.join(" + "));
            Worked { items, readings: Vec::new(), parts: vec![(String::new(), "pooled".into())] }
        }
        "interp.linear" => curve_at(
            "limit line : ratio = by ratio",
            &check.list("x"),
            &check.list("y"),
            "",
            "",
            &check.list("q"),
        ),
        "interp.pt100_inverse_lin" => curve_at(
            "limit line : temperature_difference = by resistance",
            &check.list("x"),
            &check.list("y"),
            "ohm",
            "K",
            &[check.input("q")],
        ),
        _ => return None,
    })
}

#[test]
fn published_interpolation_and_statistics_are_worked_out_or_excused() {
    let text = place::read("tests/reference/interpolation-statistics.toml").unwrap();
    let checks: Checks = toml::from_str(&text).unwrap();
    let (mut wrong, mut reached, mut excuses) = (Vec::new(), 0, BTreeSet::new());
    for check in &checks.check {
        let worked = worked(check);
        let said = worked.as_ref().map_or(&[][..], |worked| &worked.parts);
        for part in check.parts() {
            let excuse = why_not(&check.id, &part);
            let driven = said.iter().any(|(said, _)| *said == part);
            match excuse {
                Some(why) if !driven => drop(excuses.insert(format!("{} {part}: {why}", check.id))),
                None if driven => {}
                _ => wrong.push(format!("{} {part}: worked out or excused?", check.id)),
            }
        }
        let Some(worked) = worked else { continue };
        let text = format!(
            "spec published \"Published\" {{ edition \"1\" }}\nsource here \"{}\"\n{}\n",
            check.source.replace('"', "'"),
            worked.items
        );
        let compiled = Compiled::from_text(&check.id, text.as_str())
            .unwrap_or_else(|error| panic!("{}: {error}\n{text}", check.id));
        let mut sheet = compiled.sheet();
        for (name, value) in &worked.readings {
            sheet = sheet.read(name, value).unwrap_or_else(|error| panic!("{}: {error}", check.id));
        }
        let findings = sheet.assess();
        for (part, name) in &worked.parts {
            let unit = compiled.spec().derived.iter().find(|derived| derived.label == *name);
            let unit = unit.unwrap().unit.symbol().to_owned();
            let (wanted, got) =
                (check.wanted(part), worked_out(compiled.spec(), &findings, name, &unit));
            match got {
                Ok(got) if (got - wanted).abs() <= check.allowed(wanted) => reached += 1,
                got => wrong.push(format!(
                    "{} {part}: {got:?}, not {wanted} ± {} ({})",
                    check.id,
                    check.allowed(wanted),
                    check.source
                )),
            }
        }
    }
    let excuses: Vec<String> = excuses.into_iter().collect();
    println!("{reached} values worked out; not said by the language:\n{}", excuses.join("\n"));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(reached, 18);
}

/// The first decimal digits of pi, 3 first, by the spigot of Rabinowitz and Wagon (American
/// Mathematical Monthly 102, 1995; from memory), which works on whole numbers alone.
fn pi_digits(count: usize) -> Vec<u8> {
    let length = (count + 2) * 10 / 3 + 1;
    let mut cells = vec![2_u64; length];
    let (mut digits, mut nines, mut held) = (Vec::new(), 0, None::<u8>);
    while digits.len() < count {
        let mut carry = 0;
        for place in (1..length).rev() {
            let sum = cells[place] * 10 + carry;
            let odd = 2 * place as u64 + 1;
            cells[place] = sum % odd;
            carry = sum / odd * place as u64;
        }
        let sum = cells[0] * 10 + carry;
        cells[0] = sum % 10;
        match (u8::try_from(sum / 10).unwrap(), held) {
            (9, _) => nines += 1,
            (10, kept) => {
                digits.extend(kept.map(|digit| digit + 1));
                digits.extend(std::iter::repeat_n(0, nines));
                (nines, held) = (0, Some(0));
            }
            (digit, kept) => {
                digits.extend(kept);
                digits.extend(std::iter::repeat_n(9, nines));
                (nines, held) = (0, Some(digit));
            }
        }
    }
    digits.truncate(count);
    digits
}
