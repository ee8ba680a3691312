//! Whole files as an author writes them.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use truing_syntax::tree::{ItemKind, LimitForm};
use truing_syntax::{FileId, parse, parse_strict};

const SPEC: &str = include_str!("fixtures/spec.truing");
const LIBRARY: &str = include_str!("fixtures/library.truing");
const INSTRUMENT: &str = include_str!("fixtures/instrument.truing");

#[test]
fn the_examples_have_no_findings() {
    for text in [SPEC, LIBRARY, INSTRUMENT] {
        let parsed = parse(FileId(0), text);
        assert!(parsed.findings.is_empty(), "{:#?}", parsed.findings);
        assert!(parse_strict(FileId(0), text).is_ok());
    }
}

#[test]
fn the_spec_has_its_items_in_order() {
    let tree = parse_strict(FileId(0), SPEC).unwrap();
    assert_eq!(tree.items.len(), 9);
    assert_eq!(tree.items[0].doc.len(), 1);
    let ItemKind::Limit(rest) = &tree.items[3].kind else { panic!("a limit") };
    assert_eq!(&*rest.name.node, "rest_voltage");
    assert_eq!(rest.cites.len(), 1);
    assert!(matches!(
        rest.value.as_ref().unwrap().form,
        LimitForm::AtLeast { exclusive: false, .. }
    ));
}
