//! What was learned of a spec, from text to the model. Figures are invented.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "helpers of tests may panic"
)]

mod support;

use support::{findings, slugs, spec};
use truing_compile::{Library, LoadError, Loaded, check};
use truing_model::{CheckBand, Spec};
use truing_syntax::Sources;

/// One library, whatever is asked for.
struct Counts(String);

impl Library for Counts {
    fn load(&self, _from: &str, path: &str) -> Result<Loaded, LoadError> {
        Ok(Loaded { name: path.into(), text: self.0.as_str().into() })
    }
}

const FAULTS: &str = r#"
source sheet "Invented"
family phase = U, V, W
reading running "Battery while running" : dc_voltage
reading to_ground[phase] "Winding {phase} to ground" : resistance
limit charging : dc_voltage = 13.6 .. 14.8 V cite sheet
check charges "System charges" : running within charging
check insulated[phase] "Winding {phase} is clear" : to_ground[phase] within min 1 Mohm
fault regulator "Regulator" { odds 8 of 100  makes charges low 60 %  makes charges high 20 % }
fault grounded[phase] "Winding {phase} grounded" { odds 1 of 100  makes insulated low 95 % }
"#;

const LEARNED: &str = r#"learned demo {
    edition "2025-01"
    author 30
    cause regulator 2
    cause grounded[V] 0.25
    shows regulator charges low 1 of 1.5
    shows regulator charges high 0.5 of 1.5
    shows grounded[V] insulated[V] low 0.25 of 0.25
}
"#;

/// `regulator 2`, `regulator charges low 1 of 1.5`
fn told(spec: &Spec) -> Vec<String> {
    let learned = spec.learned.as_ref().unwrap();
    let fault = |id| &spec.fault(id).unwrap().label;
    let causes = learned.causes.iter().map(|of| format!("{} {}", fault(of.fault), of.jobs));
    let shown = learned.shown.iter().map(|of| {
        let check = &spec.check(of.check).unwrap().label;
        format!("{} {check} {} {} of {}", fault(of.fault), of.band.word(), of.seen, of.judged)
    });
    causes.chain(shown).collect()
}

#[test]
fn counts_are_of_the_faults_and_checks_that_there_are() {
    let spec = spec(&format!("{FAULTS}{LEARNED}"));
    assert_eq!(
        told(&spec),
        [
            "regulator 2",
            "grounded[V] 0.25",
            "regulator charges low 1 of 1.5",
            "regulator charges high 0.5 of 1.5",
            "grounded[V] insulated[V] low 0.25 of 0.25",
        ]
    );
    let learned = spec.learned.as_ref().unwrap();
    assert_eq!(learned.edition.as_deref(), Some("2025-01"));
    assert_eq!((learned.author_jobs, learned.jobs()), (30.0, 2.25));
    // The author's odds and chances stay as they are written: the counts are weighed with them later.
    assert_eq!(spec.faults[0].prior, 0.08);
    assert_eq!(spec.faults[0].effects[0].band, CheckBand::High);
    assert_eq!(spec.faults[0].effects[0].chance, 0.2);
}

#[test]
fn without_a_word_the_author_counts_as_twenty_jobs() {
    let spec = spec(&format!("{FAULTS}learned demo {{ cause regulator 2 }}\n"));
    assert_eq!(spec.learned.as_ref().unwrap().author_jobs, 20.0);
}

/// A library of counts names faults of the spec that uses it, which no library can know.
#[test]
fn a_library_of_counts_is_read_with_the_spec_that_uses_it() {
    let library = Counts(format!("library counts \"Counts (invented)\"\n{LEARNED}"));
    assert_eq!(findings(&library.0), [""; 0]);
    let mut sources = Sources::new();
    let spec = "spec demo \"Demonstration\" { edition \"2026-11\" }\nuse \"counts\"\n";
    let file = sources.add("a.truing", format!("{spec}{FAULTS}"));
    let checked = check(&mut sources, file, &library);
    assert!(!checked.has_errors(), "{:?}", checked.findings);
    assert_eq!(told(&checked.spec.unwrap()).len(), 5);
}

#[test]
fn a_library_by_itself_is_held_to_its_counts() {
    let found =
        slugs("library counts \"C\"\nlearned demo { cause f 1  shows f c low 3 of 2  author 0 }");
    assert_eq!(found, ["learned-count", "learned-count"]);
}
