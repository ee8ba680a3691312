//! Readings, the calculator's line and paths, as they stand on a job sheet.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use truing_syntax::tree::{Figure, Index, ReadingValueKind as R};
use truing_syntax::{FileId, parse_calc, parse_path, parse_reading};

fn reading(text: &str) -> R {
    parse_reading(FileId(0), text).unwrap_or_else(|why| panic!("{text}: {why:#?}")).kind
}

fn slug(text: &str) -> &'static str {
    parse_reading(FileId(0), text).unwrap_err()[0].slug().0
}

fn show(figure: &Figure) -> String {
    match &figure.unit {
        Some(unit) => format!("{} {}", figure.number, unit.node),
        None => figure.number.to_string(),
    }
}

#[test]
fn figures() {
    assert!(matches!(reading("12.71 V"), R::Figure(f) if show(&f) == "12.71 V"));
    assert!(matches!(reading("  4188 "), R::Figure(f) if show(&f) == "4188"));
    assert!(matches!(reading("-3.2 degC"), R::Figure(f) if show(&f) == "-3.2 degC"));
    assert!(matches!(reading("−3 V"), R::Figure(f) if show(&f) == "-3 V"));
}

#[test]
fn above_the_range() {
    for text in ["OL", "ol", "O.L", ".OL", "OL.", "Ol"] {
        assert_eq!(reading(text), R::Overload { range: None }, "{text}");
    }
    assert!(
        matches!(reading("OL on 60 Mohm"), R::Overload { range: Some(f) } if show(&f) == "60 Mohm")
    );
    assert_eq!(slug("0L"), "overload-spelling");
    assert_eq!(slug("1 ."), "overload-spelling");
    assert_eq!(slug("1."), "overload-spelling");
    assert!(matches!(reading("0 L"), R::Figure(_)));
}

#[test]
fn bounds_and_intervals() {
    assert!(matches!(reading("> 20 Mohm"), R::Above { inclusive: false, .. }));
    assert!(matches!(reading(">= 20 Mohm"), R::Above { inclusive: true, .. }));
    assert!(matches!(reading("<0.1 ohm"), R::Below { inclusive: false, .. }));
    assert!(matches!(reading("<= 0.1 ohm"), R::Below { inclusive: true, .. }));
    assert!(matches!(reading("0.13 .. 0.15 mm"), R::Between { .. }));
    let R::Unsteady { low, high, moved_by } =
        reading("12 ohm .. 0.9 Mohm unsteady \"when tapped\"")
    else {
        panic!()
    };
    assert_eq!((show(&low), show(&high)), ("12 ohm".to_owned(), "0.9 Mohm".to_owned()));
    assert_eq!(&*moved_by.unwrap().node, "when tapped");
}

#[test]
fn rows_of_readings() {
    let R::Repeats(all) = reading("3.52, 3.50, 3.55 mm") else { panic!() };
    assert_eq!(all.len(), 3);
    let R::Sweep(points) = reading("1200 rpm : 18.1 V, 5000 rpm : 69.5 V") else { panic!() };
    assert_eq!(points.len(), 2);
}

#[test]
fn words_and_nothing() {
    assert!(matches!(reading("burnt"), R::Word(word) if &*word.node == "burnt"));
    assert!(matches!(reading("standard"), R::Word(_)));
    assert!(matches!(reading("old"), R::Word(_)));
    assert_eq!(reading("not taken"), R::NotTaken(None));
    assert!(matches!(reading("not taken \"no access\""), R::NotTaken(Some(_))));
}

#[test]
fn a_decimal_comma_is_told_with_its_mend() {
    let findings = parse_reading(FileId(0), "12,5 V").unwrap_err();
    assert_eq!(findings[0].slug().0, "decimal-comma");
    let mend = findings[0].mending().unwrap();
    assert_eq!(mend.edits[0].1, "12.5");
    assert_eq!((mend.edits[0].0.start, mend.edits[0].0.end), (0, 4));
    let findings = parse_reading(FileId(0), "1,200 rpm").unwrap_err();
    assert!(findings[0].notes()[0].contains("1200"));
    let findings = parse_reading(FileId(0), "3.52,3.50,3.55 mm").unwrap_err();
    assert_eq!(findings[0].mending().unwrap().edits[0].1, ", ");
}

#[test]
fn what_is_no_reading_is_told() {
    for text in
        ["", "12 V 13 V", ".5 V", "12 .. V", "OL on", "\"text\"", "12 V;", "12\u{a0}V", "1,5,7"]
    {
        assert!(parse_reading(FileId(0), text).is_err(), "{text:?}");
    }
    assert_eq!(slug(".5 V"), "bare-point");
    assert_eq!(slug("12\u{a0}V"), "foreign-sign");
}

#[test]
fn the_calculator_takes_a_unit_to_convert_to() {
    let line = parse_calc("34 N.m in lbf.ft").unwrap();
    assert_eq!(&*line.to.unwrap().node, "lbf.ft");
    let line = parse_calc("3 in in mm").unwrap();
    assert_eq!(&*line.to.unwrap().node, "mm");
    assert!(parse_calc("20 degC + 10 degC").unwrap().to.is_none());
    assert!(parse_calc("2 * 3 ft in m").unwrap().to.is_some());
    assert!(parse_calc("34 N.m in").is_err());
}

#[test]
fn paths() {
    let path = parse_path("to_ground[U]").unwrap();
    assert_eq!(&*path.name.node, "to_ground");
    assert!(matches!(path.index, Some(Index::One(_))));
    assert!(matches!(parse_path("d[U-V]").unwrap().index, Some(Index::Pair(..))));
    assert!(matches!(parse_path("d[pair.first]").unwrap().index, Some(Index::Part(..))));
    for text in ["", "to_ground[", "to ground", "limit", "a[b[c]]", "3"] {
        assert!(parse_path(text).is_err(), "{text}");
    }
}
