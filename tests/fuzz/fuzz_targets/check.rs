//! Any text: checking ends without a panic; a spec that is accepted can be planned and judged.
#![no_main]

use libfuzzer_sys::fuzz_target;
use truing_compile::{NoLibrary, check};
use truing_engine::{Sheet, assess};
use truing_syntax::Sources;

fuzz_target!(|text: &str| {
    let mut sources = Sources::new();
    let file = sources.add("fuzz.truing", text);
    let checked = check(&mut sources, file, &NoLibrary);
    if let Some(spec) = checked.spec {
        let findings = assess(&spec, &Sheet::new(&spec));
        assert_eq!(findings.findings.len(), spec.checks.len());
    }
});
