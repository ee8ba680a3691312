//! Any job sheet, in any of the three formats, against one spec: it ends without a panic, and both
//! evaluators agree on what was accepted.
#![no_main]

use std::sync::OnceLock;

use libfuzzer_sys::fuzz_target;
use truing_compile::{NoLibrary, check};
use truing_engine::{assess, reference};
use truing_job::{SheetFormat, bind, read_sheet};
use truing_model::Spec;
use truing_syntax::Sources;

const SPEC: &str = include_str!("../seed.truing");

fn spec() -> &'static Spec {
    static SPEC_ONCE: OnceLock<Spec> = OnceLock::new();
    SPEC_ONCE.get_or_init(|| {
        let mut sources = Sources::new();
        let file = sources.add("seed.truing", SPEC);
        check(&mut sources, file, &NoLibrary).spec.expect("the seed spec is in order")
    })
}

fuzz_target!(|input: (u8, &str)| {
    let (format, text) = input;
    let format = match format % 3 {
        0 => SheetFormat::Toml,
        1 => SheetFormat::Json,
        _ => SheetFormat::Csv,
    };
    let Ok(sheet) = read_sheet("fuzz", text, format) else { return };
    for round in 0..sheet.rounds.len() {
        let Ok(bound) = bind(&sheet, round, spec()) else { continue };
        let findings = assess(spec(), &bound);
        let outcomes: Vec<_> = findings.findings.iter().map(|finding| finding.outcome).collect();
        assert_eq!(outcomes, reference::outcomes(spec(), &bound));
    }
});
