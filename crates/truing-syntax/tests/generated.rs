//! Items made at random from every construct: they parse, and the formatter keeps what they say.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use proptest::prelude::*;
use truing_syntax::{FileId, format, parse};

fn pick(from: &'static [&'static str]) -> impl Strategy<Value = String> + Clone {
    prop::sample::select(from).prop_map(str::to_owned)
}

fn name() -> impl Strategy<Value = String> + Clone {
    pick(&[
        "a",
        "rest_voltage",
        "b2",
        "min_x",
        "takes",
        "range",
        "note",
        "first",
        "step_1",
        "U",
        "of",
    ])
}

fn text() -> impl Strategy<Value = String> + Clone {
    pick(&["\"Title\"", "\"\"", "\"{ # \\\" \\\\ \\n }\"", "\"Größe °\"", "\"limit\""])
}

fn figure() -> impl Strategy<Value = String> + Clone {
    let number = pick(&["0", "12.50", "1e3", "7", "0.001", "30000"]);
    let unit = pick(&[
        "",
        " V",
        "V",
        "  ohm",
        " N.m/deg",
        " %",
        " µm",
        " kgf/cm²",
        " min",
        " in",
        " m/s^2",
        " °C",
    ]);
    (number, unit).prop_map(|(number, unit)| number + &unit)
}

fn signed() -> impl Strategy<Value = String> + Clone {
    (pick(&["", "-", "+", "−"]), figure()).prop_map(|(sign, figure)| sign + &figure)
}

fn path() -> impl Strategy<Value = String> + Clone {
    (name(), pick(&["", "[pair]", "[ U - V ]", "[pair.first]", "[1]"])).prop_map(|(n, i)| n + &i)
}

fn list(
    of: impl Strategy<Value = String> + Clone,
    sign: &'static str,
) -> impl Strategy<Value = String> + Clone {
    prop::collection::vec(of, 1..4).prop_map(move |all| all.join(sign))
}

fn expression() -> impl Strategy<Value = String> + Clone {
    let sum = arithmetic();
    let test = prop_oneof![
        (sum.clone(), pick(&["<", "<=", ">", ">=", "==", "!="]), sum.clone())
            .prop_map(|(a, sign, b)| format!("{a} {sign} {b}")),
        (sum.clone(), name()).prop_map(|(a, limit)| format!("{a} within {limit}")),
        (path(), name(), sum).prop_map(|(a, limit, at)| format!("{a} within {limit} at {at}")),
        (path(), plain_limit()).prop_map(|(a, limit)| format!("{a} within {limit}")),
        path().prop_map(|p| format!("{p} passes")),
        path().prop_map(|p| format!("not {p} fails")),
        (path(), pick(&["clean", "standard", "worn"])).prop_map(|(p, w)| format!("{p} is not {w}")),
        path().prop_map(|p| format!("{p} is any of ( clean,worn )")),
        path().prop_map(|p| format!("any of {p} fails")),
        list(path().prop_map(|p| p + " passes"), ", ").prop_map(|l| format!("all of ({l})")),
    ];
    list(test, " and\n ").prop_map(|tests| tests.replacen("and", "or", 1))
}

fn arithmetic() -> impl Strategy<Value = String> + Clone {
    let leaf = prop_oneof![figure(), path(), Just("f()".to_owned())];
    leaf.prop_recursive(3, 12, 3, |inner| {
        prop_oneof![
            (inner.clone(), pick(&["+", "-", "*", " / ", "^"]), inner.clone())
                .prop_map(|(a, sign, b)| format!("{a} {sign} {b}")),
            inner.clone().prop_map(|a| format!("-( {a} )")),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("max({a} ,of : {b})")),
            (inner.clone(), inner).prop_map(|(a, b)| format!("(if p passes then {a} else {b})")),
        ]
    })
    .boxed()
}

fn plain_limit() -> impl Strategy<Value = String> + Clone {
    prop_oneof![
        (pick(&["min", "max", "above", "below"]), signed()).prop_map(|(w, f)| format!("{w} {f}")),
        (signed(), pick(&["..", " .. below "]), signed())
            .prop_map(|(a, d, b)| format!("{a} {d} {b}")),
        (name(), pick(&["±", "+-"]), figure()).prop_map(|(a, sign, b)| format!("{a} {sign} {b}")),
        (figure(), figure()).prop_map(|(a, b)| format!("5 V +{a} -{b}")),
        arithmetic().prop_map(|e| format!("min ({e})")),
        Just("not specified".to_owned()),
    ]
    .boxed()
}

fn limit() -> impl Strategy<Value = String> + Clone {
    let extra = prop_oneof![
        Just(String::new()),
        (figure(), figure()).prop_map(|(a, b)| format!("( {a}..{b} )")),
        figure().prop_map(|f| format!("typical {f}")),
        figure().prop_map(|f| format!("at {f}")),
        (path(), figure()).prop_map(|(p, f)| format!("at {p} {f} ± 3")),
    ];
    let one = (plain_limit(), extra).prop_map(|(l, e)| format!("{l} {e}"));
    let points = prop::collection::vec((signed(), one.clone()), 0..4).prop_map(|points| {
        points.iter().map(|(at, l)| format!("{at} : {l}\n")).collect::<String>()
    });
    prop_oneof![
        4 => one.clone(),
        1 => (one.clone(), one.clone()).prop_map(|(a, b)| format!("standard {a}, service {b}")),
        1 => (one.clone(), one.clone()).prop_map(|(a, b)| format!("{a} or {b} whichever is less")),
        1 => (pick(&["", "step", "log"]), points).prop_map(|(i, p)| format!("by speed {i} {{ {p} }}")),
        1 => (expression(), one.clone(), one).prop_map(|(e, a, b)| format!("when {e} : {a}\notherwise : {b}")),
    ]
    .boxed()
}

/// The lines made here that may stand once in a body.
const ONCE: &[&str] = &[
    "during",
    "red",
    "takes",
    "plausible",
    "reduce",
    "capture",
    "frequency",
    "circuit",
    "decide",
    "odds",
    "author",
    "edition",
    "leak",
    "slip",
    "bands",
    "price",
    "verify",
    "stays",
    "meter",
    "leads",
    "technique",
    "common",
    "test",
    "valid",
    "calibration",
];

/// A body on one line or on several.
fn body(
    line: impl Strategy<Value = String> + Clone + 'static,
) -> impl Strategy<Value = String> + Clone {
    (prop::collection::vec(line, 0..4), pick(&[" ", "\n", "  # why\n", "\n\n\n"]))
        .prop_map(|(mut lines, between)| {
            // Some lines may stand once in a body.
            let mut said = std::collections::BTreeSet::new();
            lines.retain(|line| {
                let word = line.split(' ').next().unwrap().to_owned();
                !ONCE.contains(&word.as_str()) || said.insert(word)
            });
            let inside: String = lines.iter().map(|line| format!("{between}{line}")).collect();
            format!("{{{inside}{between}}}")
        })
        .boxed()
}

fn reading_value() -> impl Strategy<Value = String> + Clone {
    prop_oneof![
        signed(),
        Just("OL".to_owned()),
        figure().prop_map(|f| format!("O.L on {f}")),
        figure().prop_map(|f| format!(">= {f}")),
        (figure(), figure()).prop_map(|(a, b)| format!("{a} .. {b} unsteady \"x\"")),
        list(figure(), ", "),
        list((figure(), figure()).prop_map(|(a, b)| format!("{a} : {b}")), ", "),
        pick(&["burnt", "not taken", "not taken \"why\""]),
    ]
    .boxed()
}

fn step() -> impl Strategy<Value = String> + Clone {
    let simple = prop_oneof![
        list(path(), ", ").prop_map(|l| format!("take {l}")),
        text().prop_map(|t| format!("advise {t}")),
        list(path(), ",").prop_map(|l| format!("suspect {l}")),
        Just("stop".to_owned()),
    ];
    simple
        .prop_recursive(3, 12, 3, |inner| {
            (expression(), body(inner.clone()), body(inner.clone()), body(inner))
                .prop_map(|(e, a, b, c)| format!("if {e} {a} else if {e} {b} else {c}"))
        })
        .boxed()
}

fn item() -> impl Strategy<Value = String> {
    let reading_line = prop_oneof![
        name().prop_map(|n| format!("during {n}")),
        text().prop_map(|t| format!("red on {t}")),
        list(path(), ", ").prop_map(|l| format!("with {l}")),
        figure().prop_map(|f| format!("takes {f}")),
        Just("plausible 0 .. 18 V".to_owned()),
        Just("reduce min".to_owned()),
        pick(&["capture min", "capture max"]),
        arithmetic().prop_map(|e| format!("frequency {e}")),
        (figure(), pick(&["", " ± 10 kohm"])).prop_map(|(f, d)| format!("circuit {f}{d}")),
        list(name(), ", ").prop_map(|l| format!("caution {l}")),
    ];
    let check_line = prop_oneof![
        expression().prop_map(|e| format!("when {e}")),
        expression().prop_map(|e| format!("applies if {e}")),
        Just("decide at 95 %".to_owned()),
        figure().prop_map(|f| format!("leak {f}")),
        figure().prop_map(|f| format!("slip {f}")),
        pick(&["bands high, low", "bands worn", "bands fail"]),
        (name(), text()).prop_map(|(n, t)| format!("cite {n} {t}")),
    ];
    let fault_line = prop_oneof![
        Just("odds 8 of 1000".to_owned()),
        (path(), pick(&["low", "high 90 %", "fails", "worn", "low usually", "fail\nrarely"]))
            .prop_map(|(p, e)| format!("makes {p} {e}")),
        list(name(), ", ").prop_map(|l| format!("fix {l}")),
        text().prop_map(|t| format!("note {t}")),
    ];
    let learned_line = prop_oneof![
        figure().prop_map(|f| format!("author {f}")),
        (path(), figure()).prop_map(|(p, f)| format!("cause {p} {f}")),
        (path(), path(), figure()).prop_map(|(p, c, f)| format!("shows {p} {c} low {f} of\n{f}")),
        text().prop_map(|t| format!("edition {t}")),
    ];
    let fix_line = prop_oneof![
        text().prop_map(|t| format!("part {t}")),
        figure().prop_map(|f| format!("verify {f}")),
        figure().prop_map(|f| format!("price {f}")),
        list(path(), ", ").prop_map(|l| format!("proves {l}")),
    ];
    let state_line = prop_oneof![
        list(name(), ", ").prop_map(|l| format!("from {l}")),
        Just("stays".to_owned()),
        (path(), pick(&["passes", "fails"])).prop_map(|(p, o)| format!("waived by {p} {o}")),
        figure().prop_map(|f| format!("takes {f}")),
    ];
    let case_line = prop_oneof![
        (path(), reading_value()).prop_map(|(p, v)| format!("{p} = {v}")),
        (path(), pick(&["within", "outside low", "not taken", "fails", "= 3.1 %"]))
            .prop_map(|(p, o)| format!("expect {p} {o}")),
        path().prop_map(|p| format!("expect suspect {p} first, at least 90 %")),
        name().prop_map(|n| format!("meter {n}")),
    ];
    let function_line = prop_oneof![
        (
            figure(),
            figure(),
            pick(&["", " or 2.5 K", "\n+ 5ppm or 3 % of span + 1 count"]),
            pick(&["", " band 45 .. 500 Hz", "\nband 45 .. 500 Hz"])
        )
            .prop_map(|(a, b, or, band)| format!(
                "range {a} step {b} accuracy 0.5 % + 3 counts{or}{band}"
            )),
        figure().prop_map(|f| format!("leads {f} ± {f}")),
        figure().prop_map(|f| format!("test {f}")),
        figure().prop_map(|f| format!("technique {f}")),
        pick(&["capture 1 % + 10 counts", "capture ± 2 % or 3 % of span"]),
        pick(&["common gain, offset", "common offset", "common nothing"]),
    ];
    let measures = prop_oneof![
        3 => (name(), body(function_line)).prop_map(|(n, b)| format!("measures {n} {b}")),
        1 => (figure(), figure(), pick(&["", " widens 10 %"]))
            .prop_map(|(a, b, w)| format!("valid {a} .. {b}{w}")),
        1 => figure().prop_map(|f| format!("calibration {f}")),
    ];
    prop_oneof![
        (name(), limit()).prop_map(|(n, l)| format!("limit {n} = {l} cite sheet \"6-2\"")),
        (name(), text()).prop_map(|(n, t)| format!("limit {n} {t} : dc_voltage by speed")),
        (name(), arithmetic()).prop_map(|(n, e)| format!("derived {n}[pair] \"D\" : k =\n{e}")),
        (name(), text(), body(reading_line))
            .prop_map(|(n, t, b)| format!("reading {n} {t} : k {b}")),
        (name(), expression(), body(check_line))
            .prop_map(|(n, e, b)| format!("check {n} \"C\" : {e} {b}")),
        (name(), body(fault_line)).prop_map(|(n, b)| format!("fault {n} [ pair ] \"F\" {b}")),
        (name(), body(learned_line)).prop_map(|(n, b)| format!("learned {n} {b}")),
        (name(), body(fix_line)).prop_map(|(n, b)| format!("fix {n} \"F\" {b}")),
        (name(), body(state_line)).prop_map(|(n, b)| format!("state {n} \"S\" {b}")),
        (name(), body(step())).prop_map(|(n, b)| format!("procedure {n} \"P\" {b}")),
        (name(), body(case_line)).prop_map(|(n, b)| format!("case {n} \"C\" {b}")),
        (name(), list(name(), ", "))
            .prop_map(|(n, l)| format!("spec {n} \"S\" {{ meter {l} decide simple }}")),
        (name(), body(measures)).prop_map(|(n, b)| format!("instrument {n} \"I\" {b}")),
        list(name(), " , ").prop_map(|l| format!("family f = {l}")),
        name().prop_map(|n| format!("unit {n} \"U\" : angle = 15deg")),
        text().prop_map(|t| format!("use {t}")),
    ]
}

fn file() -> impl Strategy<Value = String> {
    let between = pick(&[
        "\n",
        "\n\n",
        "\n\n\n\n",
        "  # behind\n",
        "\n# alone\n",
        "\n\n## doc\n## doc\n",
        "\r\n",
    ]);
    prop::collection::vec((item(), between), 1..5)
        .prop_map(|items| items.into_iter().map(|(item, between)| item + &between).collect())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 256, ..ProptestConfig::default() })]

    #[test]
    fn generated_files_are_kept_by_the_formatter(text in file()) {
        let before = parse(FileId(0), &text);
        prop_assert!(before.findings.is_empty(), "{}\n{:#?}", text, before.findings);
        let once = match format(&text) {
            Ok(once) => once,
            Err(why) => return Err(TestCaseError::fail(format!("{why:?}\n{text}"))),
        };
        let after = parse(FileId(0), &once);
        prop_assert_eq!(&before.tree, &after.tree);
        prop_assert_eq!(before.comments.len(), after.comments.len());
        for (a, b) in before.comments.iter().zip(&after.comments) {
            let of = |text: &str, c: &truing_syntax::Comment| text[c.span.start as usize..c.span.end as usize].to_owned();
            prop_assert_eq!(of(&text, a), of(&once, b));
        }
        let twice = format(&once).map_err(|why| TestCaseError::fail(format!("{why:?}\n{once}")))?;
        prop_assert_eq!(&once, &twice, "not stable");
        prop_assert!(!once.contains('\t') && !once.contains('\r') && !once.contains("\n\n\n"));
        prop_assert!(once.lines().all(|line| line.trim_end() == line));
    }
}
