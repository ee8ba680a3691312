//! Every mistake of the corpus is found where it stands, and nothing else is.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use truing_report::{Style, render_diagnostics};
use truing_tests::corpus::{FOLDERS, Found, check_file, found, must_fail};

#[test]
fn findings_are_the_expected_ones_exactly() {
    let mut report = String::new();
    let mut failed = 0;
    let corpus = must_fail().unwrap();
    for file in &corpus {
        let (sources, findings) = check_file(file);
        let mut came: Vec<Found> =
            findings.iter().map(|finding| found(&sources, &file.name, finding)).collect();
        let mut expected = file.expected.clone();
        came.sort();
        expected.sort();
        if came == expected {
            continue;
        }
        failed += 1;
        writeln!(report, "{}", file.name).unwrap();
        for missing in expected.iter().filter(|one| !came.contains(one)) {
            writeln!(report, "    missing:  {missing}").unwrap();
        }
        for invented in came.iter().filter(|one| !expected.contains(one)) {
            writeln!(report, "    invented: {invented}").unwrap();
        }
        let repeated = came.windows(2).filter(|pair| pair[0] == pair[1]);
        for twice in repeated {
            writeln!(report, "    twice:    {}", twice[0]).unwrap();
        }
    }
    assert_eq!(failed, 0, "{failed} of {} files\n{report}", corpus.len());
}

#[test]
fn the_corpus_is_large_and_every_file_asks_for_something() {
    let corpus = must_fail().unwrap();
    assert!(corpus.len() >= 120, "{} files", corpus.len());
    for file in &corpus {
        assert!(!file.expected.is_empty(), "{} expects nothing", file.name);
        let distinct: BTreeSet<&Found> = file.expected.iter().collect();
        assert_eq!(distinct.len(), file.expected.len(), "{} repeats itself", file.name);
        let first = file.text.lines().next().unwrap();
        assert!(first.starts_with("# ") && first.ends_with(['.', '?']), "{}: {first}", file.name);
    }
    for folder in FOLDERS {
        let files = corpus.iter().filter(|file| file.name.starts_with(folder)).count();
        assert!(files >= 25, "only {files} files in {folder}");
    }
    let tens = corpus.iter().filter(|file| file.expected.len() == 10).count();
    assert!(tens >= 10, "only {tens} files with ten mistakes");
}

/// Slugs that no file of the corpus can hold, and why.
const NOT_IN_CORPUS: &[(&str, &str)] = &[
    ("file-too-large", "a file of 16 MB: see bad_input.rs"),
    ("item-too-long", "an item of 256 kB: see bad_input.rs"),
    ("not-utf8", "a file that is no text: see bad_input.rs"),
    ("too-many-findings", "a file of hundreds of mistakes: see bad_input.rs"),
    ("internal", "says that this program is wrong, not the text"),
];

#[test]
fn every_slug_occurs_in_the_corpus() {
    let corpus = must_fail().unwrap();
    let held: BTreeSet<&str> =
        corpus.iter().flat_map(|file| &file.expected).map(|one| one.slug.as_str()).collect();
    let known: BTreeSet<&str> = truing_syntax::slugs()
        .iter()
        .chain(truing_compile::slugs())
        .map(|doc| doc.slug.0)
        .collect();
    let excused: BTreeSet<&str> = NOT_IN_CORPUS.iter().map(|(slug, _)| *slug).collect();
    let missing: Vec<_> =
        known.iter().filter(|s| !held.contains(*s) && !excused.contains(*s)).collect();
    assert!(missing.is_empty(), "no file holds {missing:?}");
    let unknown: Vec<_> = held.iter().filter(|slug| !known.contains(*slug)).collect();
    assert!(unknown.is_empty(), "no such slug: {unknown:?}");
    let needless: Vec<_> =
        excused.iter().filter(|s| held.contains(*s) || !known.contains(*s)).collect();
    assert!(needless.is_empty(), "needless excuse for {needless:?}");
}

/// About every third file, chosen by its name so that a new file moves no other.
fn is_shown(name: &str) -> bool {
    // FNV-1a, 64 bit.
    let hash = name.bytes().fold(0xcbf2_9ce4_8422_2325_u64, |hash, byte| {
        (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3)
    });
    hash % 3 == 0
}

#[test]
fn a_third_of_the_corpus_reads_as_reviewed() {
    let corpus = must_fail().unwrap();
    let shown: Vec<_> = corpus.iter().filter(|file| is_shown(&file.name)).collect();
    assert!(shown.len() * 4 >= corpus.len(), "{} of {} files", shown.len(), corpus.len());
    for file in shown {
        let (sources, findings) = check_file(file);
        let text = render_diagnostics(&sources, &findings, Style::PLAIN);
        let name = file.name.trim_end_matches(".truing").replace('/', "__");
        insta::with_settings!({ prepend_module_to_snapshot => false, omit_expression => true }, {
            insta::assert_snapshot!(name, text);
        });
    }
}
