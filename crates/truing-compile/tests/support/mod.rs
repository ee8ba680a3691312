//! Texts to check, and the libraries beside them.
#![allow(
    dead_code,
    clippy::unwrap_used,
    reason = "every test file uses a part of it; a helper of tests may panic"
)]

use std::path::{Path, PathBuf};
use std::sync::Arc;

use truing_compile::{Checked, Library, LoadError, Loaded, check};
use truing_model::Spec;
use truing_syntax::{Severity, Sources};

/// The libraries of the project's `specs` folder.
pub struct Specs;

pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

impl Library for Specs {
    fn load(&self, _from: &str, path: &str) -> Result<Loaded, LoadError> {
        let file = root().join("specs").join(format!("{path}.truing"));
        match std::fs::read_to_string(file) {
            Ok(text) => Ok(Loaded { name: Arc::from(path), text: text.into() }),
            Err(_) => Err(LoadError::NotFound { nearest: None }),
        }
    }
}

pub fn checked(text: &str) -> (Sources, Checked) {
    let mut sources = Sources::new();
    let file = sources.add("test", text);
    let checked = check(&mut sources, file, &Specs);
    (sources, checked)
}

/// Every finding as `slug at "text": message`.
pub fn findings(text: &str) -> Vec<String> {
    let (sources, checked) = checked(text);
    let shown = |finding: &truing_syntax::Diagnostic| {
        let at = sources.slice(finding.primary().span);
        format!("{} at \"{at}\": {}", finding.slug().0, finding.message())
    };
    checked.findings.iter().map(shown).collect()
}

/// Only the names of the findings, in order.
pub fn slugs(text: &str) -> Vec<&'static str> {
    checked(text).1.findings.iter().map(|finding| finding.slug().0).collect()
}

/// The spec of items below a header; warnings aside, nothing may be found.
pub fn spec(items: &str) -> Spec {
    let text = format!("spec demo \"Demonstration\" {{ edition \"1\" }}\n{items}");
    let (sources, checked) = checked(&text);
    let errors: Vec<_> = checked
        .findings
        .iter()
        .filter(|finding| finding.severity() == Severity::Error)
        .map(|finding| (finding.slug(), finding.message(), sources.slice(finding.primary().span)))
        .collect();
    assert!(checked.spec.is_some(), "no spec: {errors:?}");
    checked.spec.unwrap()
}
