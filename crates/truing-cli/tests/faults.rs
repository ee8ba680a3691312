//! `truing study faults`: figures, matrix and page. The machine, its limits, odds and chances are
//! invented.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use call::Shop;
use scraper::{Html, Selector};
use serde_json::Value;

/// Case `hand-5x4` of `tests/reference/diagnosis.toml` (worked there by hand), told in the language:
/// a chance of 90 % is most probably so, one of 5 % is not.
const HAND: &str = r#"spec hand "Five <script>alert(1)</script> & four (invented)" { edition "2026-11" }
source sheet "Invented"
limit least : dc_voltage = min 12 V cite sheet
reading r1 "One" : dc_voltage { takes 1 min }
reading r2 "Two" : dc_voltage { takes 2 min }
reading r3 "Three" : dc_voltage { takes 4 min }
reading r4 "Four" : dc_voltage { takes 8 min }
check c1 "One" : r1 within least
check c2 "Two" : r2 within least
check c3 "Three" : r3 within least
check c4 "Four" : r4 within least
fix p "P" { part "p" }
fix q "Q" { part "q" }
fix r "R" { part "r" }
fix s "S" { part "s" }
fix t "T" { part "t" }
fault f1 "First <b>fault</b>" { odds 40 of 100  makes c1 low 90 %  fix p }
fault f2 "Second" { odds 30 of 100  makes c1 low 90 %  makes c2 low 75 %  fix q }
fault f3 "Third" { odds 10 of 100  makes c1 low 90 %  makes c2 low 90 %  fix r }
fault f4 "Fourth" { odds 10 of 100  makes c3 low 90 %  fix s }
fault f5 "Fifth" { odds 10 of 100  makes c3 low 5 %  makes c4 low 5 %  fix t }
"#;

fn shop() -> Shop {
    let shop = Shop::empty();
    shop.write("hand.truing", HAND);
    shop
}

fn near(json: &Value, expected: f64) {
    let got = json.as_f64().unwrap();
    assert!((got - expected).abs() < 1e-9, "{got} is not {expected}");
}

#[test]
fn the_figures_are_those_of_the_case_worked_by_hand() {
    let shop = shop();
    let called = shop.call(&["study", "faults", "hand.truing", "--format", "json"]).exits(1);
    let study = called.document("truing-faults")["study"].clone();
    near(&study["detected"], 0.9);
    near(&study["detected_by_number"], 0.8);
    near(&study["isolated"], 5.0 / 9.0);
    near(&study["isolated_to_cure"], 5.0 / 9.0);
    near(&study["mean_group"], 1.3 / 0.9);
    near(&study["false_removals"], 0.1 / 0.9);
    assert_eq!(study["undetected"], serde_json::json!(["f5"]));
    assert_eq!(study["groups"][0]["faults"], serde_json::json!(["f2", "f3"]));
    assert_eq!(study["groups"][0]["one_cure"], false);
    assert_eq!(study["useless"], serde_json::json!(["c4"]));
    assert_eq!(study["checks"], serde_json::json!(["c1", "c2", "c3", "c4"]));
    let first = &study["faults"][0];
    near(&first["probability"], 0.4);
    assert_eq!(first["upsets"][0]["mostly"], "low");
    near(&first["upsets"][0]["bands"][0]["chance"], 0.9);
    assert_eq!(study["faults"][4]["upsets"][1]["mostly"], Value::Null);
}

/// By hand: f2 and f3 differ only at c2, by chances of failing with slip
/// `x = 0.98 d + 0.01`: the coefficient is `sqrt(x y) + sqrt((1 - x)(1 - y))`.
#[test]
fn an_overlap_stands_beside_what_rounding_calls_equal() {
    let shop = shop();
    let called = shop.call(&["study", "faults", "hand.truing", "--format", "json"]).exits(1);
    let study = called.document("truing-faults")["study"].clone();
    let fails = |d: f64| 0.98 * d + 0.01;
    let (x, y) = (fails(0.75), fails(0.9));
    let expected = (x * y).sqrt() + ((1.0 - x) * (1.0 - y)).sqrt();
    near(&study["groups"][0]["overlap"], expected);
    near(&study["alike"][0]["overlap"], expected);
    assert_eq!(study["alike"][0]["faults"], serde_json::json!(["f2", "f3"]));
}

/// By hand, with weights by odds (2/3, 3/7, 1/9, 1/9, 1/9) and "no fault" 0.1: nothing tells f2 from
/// f3, or f5 from no fault. Fewest: c2 shows f2 and f3, after one; of the rest c1 f1, after two; c3
/// tells f4 from what nothing shows, after three. Quickest: c1 (1 min), then c2 (2) or c3 (4).
#[test]
fn the_best_order_is_worked_out_exactly() {
    let shop = shop();
    let called = shop.call(&["study", "faults", "hand.truing", "--format", "json"]).exits(1);
    let effort = called.document("truing-faults")["study"]["effort"].clone();
    let fewest = &effort["fewest_measurements"];
    let [f1, pair, low] = [2.0 / 3.0, 3.0 / 7.0 + 1.0 / 9.0, 1.0 / 9.0 + 1.0 / 9.0 + 0.1];
    let all = f1 + pair + low;
    near(&fewest["cost"], (pair + 2.0 * f1 + 3.0 * low) / all);
    assert_eq!((&fewest["first"], &fewest["exact"]), (&"c2".into(), &true.into()));
    let quickest = &effort["fewest_minutes"];
    near(&quickest["cost"], 1.0 + (2.0 * (f1 + pair) + 4.0 * low) / all);
    assert_eq!(quickest["first"], "c1");
    assert!(quickest["at_least"].as_f64().unwrap() <= quickest["cost"].as_f64().unwrap());
    let called = shop.call(&["study", "faults", "hand.truing"]).exits(1);
    assert!(called.out.contains("1.86: no order is better; it begins with c2."), "{}", called.out);
}

#[test]
fn the_matrix_is_drawn_in_letters_and_digits() {
    let called = shop().call(&["study", "faults", "hand.truing"]).exits(1);
    for line in [
        "       1  2  3  4",
        "  f1  L9 .  .  .",
        "  f2  L9 L7 .  .",
        "  f4  .  .  L9 .",
        "  f5  .  .  l0 l0",
        "  1 c1  2 c2  3 c3  4 c4",
    ] {
        assert!(called.out.lines().any(|found| found.trim_end() == line), "{line}\n{}", called.out);
    }
    assert!(called.out.contains("Shown by none"), "{}", called.out);
}

/// Whether a line gives a check the number of its column.
fn numbered(line: &str, check: &str) -> bool {
    let words: Vec<&str> = line.split_whitespace().collect();
    let is_number = |word: &str| word.bytes().all(|byte| byte.is_ascii_digit());
    words.windows(2).any(|pair| is_number(pair[0]) && pair[1] == check)
}

#[test]
fn it_fits_the_width_and_wraps_in_blocks() {
    let demo = concat!(env!("CARGO_MANIFEST_DIR"), "/../../specs/demo/ostrevik-hauler-680.truing");
    let shop = Shop::empty();
    for columns in ["40", "80", "200"] {
        let mut command = shop.command(&["study", "faults", demo]);
        let output = command.env("COLUMNS", columns).output().unwrap();
        let text = String::from_utf8(output.stdout).unwrap();
        let widest = text.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= columns.parse().unwrap(), "{columns}: {widest}\n{text}");
        // Every check has its column once: the last is named below the last block.
        let named = text.lines().filter(|line| numbered(line, "connector_sound")).count();
        assert_eq!(named, 1, "{text}");
    }
}

#[test]
fn the_page_needs_nothing_else_and_says_the_same() {
    let shop = shop();
    shop.call(&["study", "faults", "hand.truing", "--html", "faults.html"]).exits(1);
    let page = shop.read("faults.html");
    let html = Html::parse_document(&page);
    let all = |selector: &str| {
        let selector = Selector::parse(selector).unwrap();
        let each = html.select(&selector).map(|e| e.text().collect::<String>());
        each.collect::<Vec<_>>()
    };
    // Nothing is run and nothing fetched, and what an author wrote stays text.
    let elsewhere = ["script", "img", "iframe", "object", "[src]", "[href]:not([href='data:,'])"];
    for selector in elsewhere {
        assert!(all(selector).is_empty(), "{selector}");
    }
    let within = page.replace("url(#", "");
    for text in ["http:", "https:", "url(", "@import", "javascript:", " onload", " style="] {
        assert!(!within.contains(text), "{text}");
    }
    assert_eq!(all("h1"), ["Five <script>alert(1)</script> & four (invented)"]);
    assert!(all("td").contains(&"First <b>fault</b>".to_owned()));
    assert_eq!(all(".matrix tbody th"), ["f1", "f2", "f3", "f4", "f5"]);
    assert_eq!(all(".matrix thead th span"), ["c1", "c2", "c3", "c4"]);
    assert_eq!(all(".matrix td.mostly"), ["L90", "L90", "L75", "L90", "L90", "L90"]);
    assert_eq!(all(".matrix td:not(.mostly):not(.none)"), ["l5", "l5"]);
    // The same input gives the same bytes, and an old page is replaced.
    shop.call(&["study", "faults", "hand.truing", "--html", "faults.html"]).exits(1);
    assert_eq!(shop.read("faults.html"), page);
    let called = shop.call(&["study", "faults", "hand.truing", "--html", "gone/faults.html"]);
    assert!(called.exits(2).err.contains("gone/faults.html"));
}

#[test]
fn a_spec_without_faults_says_so() {
    let shop = Shop::with_trike();
    let called = shop.call(&["study", "faults", "trike.truing", "--html", "faults.html"]).exits(0);
    assert!(called.out.contains("This spec lists no faults."), "{}", called.out);
    assert!(shop.read("faults.html").contains("This spec lists no faults."));
    let called = shop.call(&["study", "faults", "trike.truing", "--format", "json"]).exits(0);
    assert_eq!(called.document("truing-faults")["study"], Value::Null);
}
