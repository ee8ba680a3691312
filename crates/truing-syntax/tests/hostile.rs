//! Texts that nobody means well: deep, long, unclosed, random. None may crash, none may take long.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use std::sync::LazyLock;
use std::time::{Duration, Instant};

use proptest::prelude::*;
use truing_syntax::{
    FileId, format, parse, parse_calc, parse_expression, parse_path, parse_reading,
};

const FIXTURES: [&str; 3] = [
    include_str!("fixtures/spec.truing"),
    include_str!("fixtures/library.truing"),
    include_str!("fixtures/instrument.truing"),
];

/// The whole measure where the compiler has optimised, a part of it where it has not.
const SIZE: usize = if cfg!(debug_assertions) { 8 << 10 } else { 64 << 10 };

/// What 64 kB may take. A build that is not optimised is given the time of some sound files.
const PATIENCE: Duration = Duration::from_millis(if cfg!(debug_assertions) { 500 } else { 50 });

/// How many times as long as a sound file of the same size a text may take where the build is not
/// optimised.
const TIMES_SOUND: u32 = 8;

fn filled(head: &str, unit: &str) -> String {
    let mut text = head.to_owned();
    text.push_str(&unit.repeat((SIZE - head.len()) / unit.len()));
    text
}

/// How long this thread has been running, where the system tells; a busy machine lets it wait, and
/// that is not the parser's doing. Elsewhere what the clock on the wall says.
fn clock() -> Duration {
    static START: LazyLock<Instant> = LazyLock::new(Instant::now);
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok();
    let nanoseconds = told.and_then(|text| text.split_whitespace().next()?.parse().ok());
    nanoseconds.map_or_else(|| START.elapsed(), Duration::from_nanos)
}

/// How long a text takes: the best of some, since other tests run beside this one.
fn time(text: &str) -> Duration {
    let once = || {
        let start = clock();
        std::hint::black_box(parse(FileId(0), text));
        clock().saturating_sub(start)
    };
    (0..5).map(|_| once()).min().unwrap_or_default()
}

/// Whether a text takes no longer than it may.
fn in_time(text: &str, sound: &str) -> Result<(), Duration> {
    // A quick look first: the careful one is only for what seems slow.
    let start = Instant::now();
    std::hint::black_box(parse(FileId(0), text));
    if start.elapsed() < PATIENCE / 2 {
        return Ok(());
    }
    let most = match cfg!(debug_assertions) {
        true => PATIENCE.max(time(sound) * TIMES_SOUND),
        false => PATIENCE,
    };
    let took = time(text);
    if took <= most { Ok(()) } else { Err(took) }
}

/// Heads after which a unit is repeated to 64 kB.
const HEADS: &[&str] = &[
    "",
    "limit a = ",
    "limit a = by b { 1 : ",
    "constant a = ",
    "derived d = ",
    "check c \"C\" : ",
    "check c \"C\" : a within ",
    "check c \"C\" : a { when ",
    "reading r \"R\" : k { ",
    "procedure p \"P\" { ",
    "procedure p \"P\" {\n",
    "case c \"C\" {\n",
    "case c \"C\" { a = ",
    "instrument m \"M\" { measures k {\n",
    "fault f \"F\" {\n",
    "family f = ",
    "case c \"C\" { expect ",
    "limit l = by k {\n",
    "check c \"C\" : a {\n",
    "limit a : b = when a : ",
];

const UNITS: &[&str] = &[
    "(",
    "[",
    "{",
    ")",
    "}",
    "{\n",
    "(\n",
    "\"",
    "\\",
    "#",
    "# x\n",
    "\n",
    " ",
    "\n\n# c\n",
    "a",
    "a ",
    "a\n",
    "a.b",
    "a,",
    "1+",
    "1 + 1 + ",
    "- ",
    "not ",
    "any of ",
    "all of (",
    "if ",
    "if a then b else ",
    "if a { ",
    "if a {\n",
    "if a { take b }\n",
    "if a { take b } ",
    "if a { } else ",
    "else if a { } ",
    "12,5 ",
    "1 .. ",
    "1 ± ",
    "1.",
    ".1 ",
    "a within ",
    "a within 5 V at (",
    "a at ",
    "min ",
    "min 5 V or ",
    "when a : ",
    "standard 1 .. 2, service ",
    "cite s \"x\" ",
    "was ",
    "limit a\n",
    "limit a = ",
    "limmit a = 5\n",
    "take a\n",
    "tkae a\n",
    "takes 1 min\n",
    "takes\n",
    "x = 3\n",
    "x = \n",
    "1 : 2 .. 3\n",
    "1 2\n",
    "range 1 V\n",
    "measures k {\n",
    "é",
    "“",
    "\u{0}",
    "= ",
    "== ",
    "< ",
    "a < ",
    "a < a and ",
    "a passes and ",
    "when a : min 1 V ",
    "\"a\" ",
    "1 .. 2 .. ",
    "a;\n",
    "a = 1;\n",
    "a, b : 1\n",
    "--",
    "1e9",
    "^",
    "a[",
    "a(",
    "f(a, ",
    "V/",
    "5 V/m.",
    "\u{feff}",
    "\t",
    "\r\n",
    "OL ",
    "0L\n",
    "state s \"S\" {\n",
    "fix f \"F\" {\n  fix g\n",
];

#[test]
fn repetitions_of_anything_are_read_in_time() {
    let sound = filled("", FIXTURES[1]);
    let mut slow = Vec::new();
    for (rank, unit) in UNITS.iter().enumerate() {
        for (other, head) in HEADS.iter().enumerate() {
            // A debug build takes every fourth pair.
            if cfg!(debug_assertions) && (rank + other) % 4 != 0 {
                continue;
            }
            if let Err(took) = in_time(&filled(head, unit), &sound) {
                slow.push((took, *head, *unit));
            }
        }
    }
    slow.sort();
    assert!(slow.is_empty(), "{slow:#?}");
}

#[test]
fn deep_nesting_up_to_the_cap_fits_a_small_stack() {
    // 2 MiB is what a thread gets by default, in servers as in tests.
    let work = || {
        let deep = |open: &str, inner: &str, close: &str| {
            format!("{}{inner}{}", open.repeat(127), close.repeat(127))
        };
        let good = [
            format!("derived d = {}", deep("(", "1", ")")),
            format!("derived d = {}", deep("f(a, not -", "1", ")")),
            format!("derived d = {}", deep("(if (a) then b else ", "1", ")")),
            format!("procedure p \"P\" {{{}}}", deep("if a fails { take b ", "stop", " }")),
            format!("limit l = {}", deep("by k { 1 : ", "min 5 V", " }")),
            format!("limit l = {}", deep("min (a + ", "1", ")")),
            format!(
                "check c \"C\" : {}",
                deep("any of (a within min (b + ", "1", "))").replace("))", ") )")
            )
            .replace(") )", "))"),
        ];
        for text in &good[..6] {
            let parsed = parse(FileId(0), text);
            assert!(parsed.findings.is_empty(), "{:?}", &parsed.findings[0]);
            let again = parsed.tree.clone();
            assert_eq!(again, parsed.tree);
        }
        let bad = good.map(|text| text.replacen("1", "1 1", 1).replacen("stop", "stopp", 1));
        for text in &bad {
            assert!(!parse(FileId(0), text).findings.is_empty());
        }
    };
    std::thread::Builder::new().stack_size(2 << 20).spawn(work).unwrap().join().unwrap();
}

#[test]
fn one_bracket_more_is_a_finding() {
    let text = format!("derived d = {}1{}\nlimit a = min 5 V\n", "(".repeat(129), ")".repeat(129));
    let parsed = parse(FileId(0), &text);
    assert_eq!(parsed.findings.len(), 1);
    assert_eq!(parsed.findings[0].slug().0, "nested-too-deep");
    assert_eq!(parsed.tree.items.len(), 1);
    assert_eq!(&*parsed.unread[0].node, "d");
    let alone = parse_expression(FileId(0), &"(".repeat(1000)).unwrap_err();
    assert_eq!(alone[0].slug().0, "nested-too-deep");
}

#[test]
fn long_chains_are_a_finding() {
    for unit in ["1 + ", "not ", "-", "a and ", "2 ^ ", "any of "] {
        let text = format!("derived d = {}a\n", unit.repeat(257));
        let parsed = parse(FileId(0), &text);
        assert_eq!(parsed.findings.len(), 1, "{unit}");
        assert_eq!(parsed.findings[0].slug().0, "expression-too-long", "{unit}");
        let text = format!("derived d = {}a\n", unit.repeat(256));
        assert!(parse(FileId(0), &text).findings.is_empty(), "{unit}");
    }
}

#[test]
fn findings_have_an_end() {
    let parsed = parse(FileId(0), &"limit a = 5 V\n".repeat(2000));
    assert!(parsed.findings.len() < 600);
    assert!(parsed.findings.iter().any(|finding| finding.slug().0 == "too-many-findings"));
}

fn read_everything(text: &str) {
    let parsed = parse(FileId(0), text);
    for finding in &parsed.findings {
        let place = finding.primary().span;
        assert!(place.start <= place.end && place.end as usize <= text.len());
        assert!(text.is_char_boundary(place.start as usize), "{finding:?}");
        assert!(text.is_char_boundary(place.end as usize), "{finding:?}");
        for (span, _) in finding.mending().iter().flat_map(|mend| &mend.edits) {
            assert!(text.get(span.start as usize..span.end as usize).is_some());
        }
    }
    let _any = format(text);
    let _any = parse_expression(FileId(0), text);
    let _any = parse_reading(FileId(0), text);
    let _any = parse_calc(text);
    let _any = parse_path(text);
}

/// A fixture with some stretches cut out, doubled or written over.
fn mutated() -> impl Strategy<Value = String> {
    let change = (any::<prop::sample::Index>(), 0_usize..40, 0_usize..UNITS.len(), 0_u8..4);
    (0_usize..3, prop::collection::vec(change, 1..6)).prop_map(|(which, changes)| {
        let mut text: Vec<char> = FIXTURES[which].chars().collect();
        for (place, length, unit, how) in changes {
            let start = place.index(text.len());
            let end = (start + length).min(text.len());
            let unit: Vec<char> = UNITS[unit].chars().collect();
            let cut: Vec<char> = match how {
                0 => text.splice(start..end, []).collect(),
                1 => text.splice(start..end, unit).collect(),
                2 => text.splice(start..start, unit).collect(),
                _ => Vec::new(),
            };
            if how == 3 {
                let doubled: Vec<char> = text[start..end].to_vec();
                text.splice(end..end, doubled);
            }
            drop(cut);
        }
        text.into_iter().collect()
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, ..ProptestConfig::default() })]

    #[test]
    fn no_text_crashes(text in any::<String>()) {
        read_everything(&text);
    }

    #[test]
    fn no_row_of_words_crashes(units in prop::collection::vec(0_usize..UNITS.len(), 0..80), head in 0_usize..HEADS.len()) {
        let mut text = HEADS[head].to_owned();
        for unit in units {
            text.push_str(UNITS[unit]);
        }
        read_everything(&text);
    }

    #[test]
    fn no_mutated_spec_crashes(text in mutated()) {
        read_everything(&text);
    }

    /// What can be formatted is stable and says the same: `format` itself compares, and refuses
    /// with `Changed` where it does not.
    #[test]
    fn mutated_specs_format_or_are_left_alone(text in mutated()) {
        match format(&text) {
            Ok(once) => prop_assert_eq!(format(&once).unwrap(), once),
            Err(truing_syntax::FormatError::Unparsed(_)) => {}
            Err(truing_syntax::FormatError::Changed) => prop_assert!(false, "changed:\n{}", text),
        }
    }
}
