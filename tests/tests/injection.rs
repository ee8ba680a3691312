//! Mistakes put into good specs are reported where they stand, and nothing else is.

use std::fmt::Write as _;

use truing_compile::Session;
use truing_syntax::Sources;
use truing_tests::injection::{Chance, Good, Verdict, judge, spoil};
use truing_tests::mutation::MistakeKind;
use truing_tests::place::root;
use truing_tests::shelf::{Shelf, truing_files};

const RUNS: u64 = 320;
const MISTAKES: usize = 8;

fn shelf() -> Shelf {
    Shelf::new(vec![root().join("specs")])
}

/// The specs of this test and those of the demo.
fn good_specs() -> std::io::Result<Vec<Good>> {
    let mut good = Vec::new();
    for (folder, prefix) in [("tests/good", "good"), ("specs/demo", "demo")] {
        for (name, text) in truing_files(&root().join(folder))? {
            good.push(Good { name: format!("{prefix}/{name}"), text });
        }
    }
    Ok(good)
}

#[test]
fn the_good_specs_are_good() {
    let good = good_specs().unwrap();
    assert!(good.len() >= 2, "{} good specs", good.len());
    for spec in good {
        let mut sources = Sources::new();
        let file = sources.add(spec.name.as_str(), spec.text.as_str());
        let checked = Session::new().check(&mut sources, file, &shelf());
        let findings: Vec<_> =
            checked.findings.iter().map(|one| (one.slug().0, one.message())).collect();
        assert!(findings.is_empty(), "{}: {findings:#?}", spec.name);
    }
}

#[test]
fn mistakes_are_reported_in_their_place_and_none_is_invented() {
    let good = good_specs().unwrap();
    let session = Session::new();
    let mut all = Verdict::default();
    for run in 0..RUNS {
        let spec = &good[run as usize % good.len()];
        let spoilt = spoil(&spec.text, MISTAKES, &mut Chance::new(run));
        all.add(judge(&session, &shelf(), spec, &spoilt, run));
    }
    let (put, seen) = all.totals();
    let mut table = String::new();
    for (kind, (put, seen)) in &all.kinds {
        writeln!(table, "    {kind:?}: {seen} of {put}").unwrap();
    }
    println!("{RUNS} runs: {seen} of {put} mistakes reported in their place\n{table}");
    println!("{} follow-up findings, {} invented", all.follow_ups.len(), all.invented.len());
    for line in all.missed.iter().take(40).chain(&all.follow_ups) {
        println!("    {line}");
    }
    assert!(put as u64 >= RUNS * 6, "only {put} mistakes in {RUNS} runs");
    for kind in MistakeKind::ALL {
        assert!(all.kinds.get(kind).is_some_and(|(put, _)| *put >= 12), "{kind:?} is too rare");
    }
    assert!(
        all.invented.is_empty(),
        "{} invented:\n{}",
        all.invented.len(),
        all.invented.join("\n")
    );
    assert!(seen * 100 >= put * 95, "{seen} of {put} reported; missed:\n{}", all.missed.join("\n"));
}

#[test]
fn a_seed_means_the_same_run() {
    let spec = &good_specs().unwrap()[0];
    let one = spoil(&spec.text, MISTAKES, &mut Chance::new(7));
    let again = spoil(&spec.text, MISTAKES, &mut Chance::new(7));
    let other = spoil(&spec.text, MISTAKES, &mut Chance::new(8));
    assert_eq!(one.text, again.text);
    assert_ne!(one.text, other.text);
    assert!(one.injected.len() > 4, "{} mistakes", one.injected.len());
}
