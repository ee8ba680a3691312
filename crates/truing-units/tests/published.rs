//! The catalogue held against published values: `tests/reference/units.toml`, `trade-units.toml` and
//! `ucum-conversions.csv` at the top of the repository.
//!
//! Every entry either passes or stands in `NOT_EXPRESSIBLE` with the reason. An entry that begins to
//! fail, and one that stands in the list without need, fails the test.

#![expect(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test stops where its data are not what they should be"
)]

use std::path::PathBuf;

use toml::{Table, Value};
use truing_units::{Catalogue, Decimal, Measure, Place, Unit, convert, significant_text};

/// Entries that say something else than a conversion of units.
const NOT_EXPRESSIBLE: [(&str, &str); 2] = [
    (
        "units.awg.",
        "a wire gauge is a number on a scale, not a unit: the language wants the diameter or the area",
    ),
    (
        "units.fuel.mpg_us_L_100km",
        "consumption is the reciprocal of economy, so no factor leads from one to the other",
    ),
];

fn reference(name: &str) -> String {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference").join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn entries(name: &str, key: &str) -> Vec<Table> {
    let table: Table = reference(name).parse().unwrap();
    table[key].as_array().unwrap().iter().map(|entry| entry.as_table().unwrap().clone()).collect()
}

fn number(value: &Value) -> f64 {
    value.as_float().or_else(|| value.as_integer().map(|whole| whole as f64)).expect("a number")
}

/// A double as the figure with its shortest digits.
fn figure(value: f64) -> Decimal {
    Decimal::parse(&value.to_string()).unwrap()
}

fn converted(value: f64, from: &Unit, to: &Unit, place: Place) -> Result<f64, String> {
    let measure = Measure::new(figure(value), from.clone());
    convert(&measure, to, place).map(|converted| converted.value).map_err(|error| error.to_string())
}

/// The unit names of the source, in the catalogue's spelling.
fn spelled(source: &str) -> String {
    const NAMES: [(&str, &str); 27] = [
        ("survey_foot", "ft_us"),
        ("nautical_mile", "nmi"),
        ("circular_mil", "cmil"),
        ("imperial_fluid_ounce", "imp_floz"),
        ("fluid_ounce", "US_floz"),
        ("tablespoon", "tbsp"),
        ("imperial_gallon", "imp_gal"),
        ("imperial_quart", "imp_qt"),
        ("quart", "US_qt"),
        ("gallon", "US_gal"),
        ("gal_us", "US_gal"),
        ("international_calorie", "cal_IT"),
        ("calorie", "cal"),
        ("international_british_thermal_unit", "BTU"),
        ("metric_horsepower", "PS"),
        ("electrical_horsepower", "hp_e"),
        ("horsepower", "hp"),
        ("force_ounce", "ozf"),
        ("arcminute", "arcmin"),
        ("grade", "gon"),
        ("centipoise", "cP"),
        ("centistokes", "cSt"),
        ("mm[H2O]", "mmH2O"),
        ("delta_degC", "degC"),
        ("delta_degF", "degF"),
        ("microohm", "uohm"),
        ("milliohm", "mohm"),
    ];
    let word = |word: &str| {
        NAMES
            .iter()
            .find(|(name, _)| *name == word)
            .map_or(word.to_owned(), |(_, ours)| (*ours).to_owned())
    };
    let plain = source.replace("**", "^");
    let mut out = String::new();
    let mut name = String::new();
    for sign in plain.chars().chain(['\n']) {
        if matches!(sign, '*' | '/' | '^' | '\n') {
            out.push_str(&word(&name));
            name.clear();
            out.extend(Some(sign).filter(|sign| *sign != '\n'));
        } else {
            name.push(sign);
        }
    }
    out
}

/// Whether a value is within the tolerance that the entry states.
fn holds(got: f64, expected: f64, tolerance: &Table) -> bool {
    let part = |key: &str| tolerance.get(key).map_or(0.0, number);
    (got - expected).abs() <= part("abs").max(part("rel") * expected.abs())
}

/// Checks one entry of units.toml; the error says what went wrong.
fn check(catalogue: &Catalogue, entry: &Table) -> Result<(), String> {
    let inputs = entry["inputs"].as_table().unwrap();
    let tolerance = entry["tolerance"].as_table().unwrap();
    let text = |key: &str| inputs.get(key).and_then(Value::as_str);
    if let Some(code) = text("ucum") {
        let valid = catalogue.unit_from_ucum(code).is_ok();
        return if Some(valid) == entry["expected"].as_bool() {
            Ok(())
        } else {
            Err(format!("{code}: valid = {valid}"))
        };
    }
    if let (Some(first), Some(second)) = (text("u1"), text("u2")) {
        let (v1, v2) = (number(&inputs["v1"]), number(&inputs["v2"]));
        let multiplies = entry["id"].as_str().unwrap().contains("multiplication");
        let code = format!("({first}){}({second})", if multiplies { '.' } else { '/' });
        let value = if multiplies { v1 * v2 } else { v1 / v2 };
        let from = catalogue.unit_from_ucum(&code).map_err(|error| error.to_string())?;
        let to = catalogue
            .unit_from_ucum(text("ucum_to").unwrap())
            .map_err(|error| error.to_string())?;
        let got = converted(value, &from, &to, Place::Amount)?;
        let expected = number(&entry["expected"]);
        return if holds(got, expected, tolerance) {
            Ok(())
        } else {
            Err(format!("{got} is not {expected}"))
        };
    }
    let value = inputs.get("value").map(number).ok_or("it has no value to convert")?;
    let expected = entry["expected"].as_float().ok_or("its answer is not one number")?;
    let place = if text("kind") == Some("absolute") { Place::Point } else { Place::Amount };
    let mut pairs = Vec::new();
    if let (Some(from), Some(to)) = (text("from"), text("to")) {
        let unit = |name: &str| catalogue.unit(&spelled(name)).map_err(|error| error.to_string());
        pairs.push((unit(from)?, unit(to)?));
    }
    if let (Some(from), Some(to)) = (text("ucum_from"), text("ucum_to")) {
        let unit = |code: &str| catalogue.unit_from_ucum(code).map_err(|error| error.to_string());
        pairs.push((unit(from)?, unit(to)?));
    }
    if pairs.is_empty() {
        return Err("it names no units".to_owned());
    }
    for (from, to) in pairs {
        let got = converted(value, &from, &to, place)?;
        if !holds(got, expected, tolerance) {
            return Err(format!("{value} {from} is {got} {to}, not {expected}"));
        }
    }
    Ok(())
}

#[test]
fn published_values_are_met() {
    let catalogue = Catalogue::standard();
    let (mut met, mut listed, mut wrong) = (0, 0, Vec::new());
    for entry in entries("units.toml", "check") {
        let id = entry["id"].as_str().unwrap();
        let reason = NOT_EXPRESSIBLE.iter().find(|(prefix, _)| id.starts_with(prefix));
        match (check(&catalogue, &entry), reason) {
            (Ok(()), None) => met += 1,
            (Err(_), Some((_, reason))) => {
                println!("not expressible: {id}: {reason}");
                listed += 1;
            }
            (Ok(()), Some(_)) => wrong.push(format!("{id} passes and need not be listed")),
            (Err(error), None) => wrong.push(format!("{id}: {error}")),
        }
    }
    println!("{met} met, {listed} not expressible");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(met >= 110, "only {met} entries were read");
}

#[test]
fn trade_figures_are_met() {
    let catalogue = Catalogue::standard();
    for entry in entries("trade-units.toml", "fact") {
        let (id, statement) = (entry["id"].as_str().unwrap(), entry["statement"].as_str().unwrap());
        let mut words = statement.split(' ');
        let figure = Decimal::parse(words.next().unwrap()).unwrap();
        let from = catalogue.unit(words.next().unwrap()).unwrap();
        let to = catalogue.unit(entry["unit"].as_str().unwrap()).unwrap();
        let place = if statement.contains("point") { Place::Point } else { Place::Amount };
        let got = convert(&Measure::new(figure, from), &to, place).unwrap();
        let expected = number(&entry["value"]);
        // A stated tolerance of nought means exact, and a double is as near as it gets.
        let tolerance = number(&entry["tolerance"]);
        assert!((got.value - expected).abs() <= tolerance, "{id}: {} is not {expected}", got.value);
    }
}

#[test]
fn the_ucum_suite_is_met() {
    let catalogue = Catalogue::standard();
    let text = reference("ucum-conversions.csv");
    let unit =
        |code: &str| catalogue.unit_from_ucum(code).unwrap_or_else(|error| panic!("{error}"));
    let significant = |value: &str| value.replace('.', "").len() as u32;
    let mut rows = 0;
    for row in csv::Reader::from_reader(text.as_bytes()).records() {
        let row = row.unwrap();
        let (case, value, from, to, expected) =
            (&row[0], &row[1], &row[2], &row[3], row[4].parse::<f64>().unwrap());
        let to = unit(to);
        let (value, digits, from) = match (value.split_once('|'), from.split_once('|')) {
            (Some((v1, v2)), Some((u1, u2))) => {
                let digits = significant(v1).max(significant(v2));
                let (v1, v2): (f64, f64) = (v1.parse().unwrap(), v2.parse().unwrap());
                let product = unit(&format!("({u1}).({u2})"));
                match product.dimension() == to.dimension() {
                    true => (v1 * v2, digits, product),
                    false => (v1 / v2, digits, unit(&format!("({u1})/({u2})"))),
                }
            }
            _ => (value.parse().unwrap(), significant(value), unit(from)),
        };
        let got = converted(value, &from, &to, Place::Amount).unwrap();
        // The suite rounds the answer to the digits of the figure, or gives it in full.
        let rounded: f64 = significant_text(got, digits).parse().unwrap();
        let close = (got / expected - 1.0).abs() < 1e-14;
        assert!(close || rounded == expected, "{case}: {got} is not {expected}");
        rows += 1;
    }
    assert_eq!(rows, 31);
}
