//! Broken files: every mistake is told, once, where it is, and the rest is read.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use truing_syntax::tree::{
    CheckMember, FaultMember, FixMember, InstrumentMember, ItemKind, LimitForm, StepKind,
};
use truing_syntax::{FileId, Parsed, decode, parse, parse_strict};

/// Slug, line and message of every finding.
fn told(parsed: &Parsed, text: &str) -> Vec<(&'static str, usize, String)> {
    parsed
        .findings
        .iter()
        .map(|finding| {
            let start = finding.primary().span.start as usize;
            let line = text[..start].matches('\n').count() + 1;
            (finding.slug().0, line, finding.message().to_owned())
        })
        .collect()
}

#[track_caller]
fn one(text: &str) -> (&'static str, String, Vec<String>) {
    let parsed = parse(FileId(0), text);
    assert_eq!(parsed.findings.len(), 1, "{text}: {:#?}", parsed.findings);
    let finding = &parsed.findings[0];
    let edits =
        finding.mending().map_or(Vec::new(), |m| m.edits.iter().map(|e| e.1.clone()).collect());
    (finding.slug().0, finding.message().to_owned(), edits)
}

/// A mend makes the text sound.
#[track_caller]
fn mended(text: &str, expected: &str) {
    let parsed = parse(FileId(0), text);
    assert_eq!(parsed.findings.len(), 1, "{text}: {:#?}", parsed.findings);
    let Some(mend) = parsed.findings[0].mending() else { panic!("{text}: {:#?}", parsed.findings) };
    let mut edits = mend.edits.clone();
    edits.sort_by_key(|(span, _)| std::cmp::Reverse(span.start));
    let mut new = text.to_owned();
    for (span, written) in edits {
        new.replace_range(span.start as usize..span.end as usize, &written);
    }
    assert_eq!(new, expected);
    assert!(parse_strict(FileId(0), &new).is_ok(), "{new}");
}

#[test]
fn one_bad_item_hides_no_other() {
    let text = "limit a = 5 V\nlimmit b = min 5 V\nlimit c = min 12,5 V\nlimit d = min 5 V\n";
    let parsed = parse(FileId(0), text);
    let slugs: Vec<(&str, usize)> = told(&parsed, text).into_iter().map(|t| (t.0, t.1)).collect();
    assert_eq!(slugs, [("syntax", 1), ("unknown-item", 2), ("decimal-comma", 3)]);
    assert_eq!(parsed.tree.items.len(), 1);
    let unread: Vec<&str> = parsed.unread.iter().map(|name| &*name.node).collect();
    assert_eq!(unread, ["a", "b", "c"]);
}

#[test]
fn ten_mistakes_give_ten_findings() {
    let text = "spec s \"S\" {\n    edition 2026\n    decid simple\n}\nreading r \"R\" : k {\n    durring s\n    red \"a\"\n    takes 1 min\n    reduce median\n}\nprocedure p \"P\" {\n    tak a\n    if a fail { stop }\n    if b passes {\n        sispect c\n        take d\n        advise x\n    } else { halt }\n}\n";
    let parsed = parse(FileId(0), text);
    let lines: Vec<usize> = told(&parsed, text).into_iter().map(|t| t.1).collect();
    assert_eq!(lines, [2, 3, 6, 7, 9, 12, 13, 15, 17, 18]);
    // What was sound is there.
    let ItemKind::Reading(reading) = &parsed.tree.items[1].kind else { panic!() };
    assert_eq!(reading.members.len(), 1);
    let ItemKind::Procedure(procedure) = &parsed.tree.items[2].kind else { panic!() };
    let StepKind::If { then, otherwise, .. } = &procedure.steps[0].kind else { panic!() };
    assert_eq!((then.len(), otherwise.as_ref().map(Vec::len)), (1, Some(0)));
}

#[test]
fn a_bad_head_does_not_hide_its_body() {
    let text = "reading r \"R\" k {\n    takes 1 min\n    durring s\n}\n";
    let parsed = parse(FileId(0), text);
    let lines: Vec<usize> = told(&parsed, text).into_iter().map(|t| t.1).collect();
    assert_eq!(lines, [1, 3]);
    assert!(parsed.tree.items.is_empty());
}

#[test]
fn bad_points_of_a_curve_are_told_one_by_one() {
    let text = "limit a : k by j = by j {\n    1 rpm 5 .. 6 V\n    2 rpm : 5 .. 6 V\n    3 rpm : V\n    4 rpm : min\n} cite s\n";
    let parsed = parse(FileId(0), text);
    assert_eq!(parsed.findings.len(), 3, "{:#?}", parsed.findings);
    let ItemKind::Limit(limit) = &parsed.tree.items[0].kind else { panic!() };
    let LimitForm::Curve { points, .. } = &limit.value.as_ref().unwrap().form else { panic!() };
    assert_eq!((points.len(), limit.cites.len()), (1, 1));
}

#[test]
fn bad_ranges_of_a_meter_are_told_one_by_one() {
    let text = "instrument m \"M\" {\n    measures dc_voltage {\n        range 6 V step\n        range 60 V step 0.01 V\n        lead 5 ohm\n    }\n    valid 18 28\n    measures resistance { range 6 ohm }\n}\n";
    let parsed = parse(FileId(0), text);
    let lines: Vec<usize> = told(&parsed, text).into_iter().map(|t| t.1).collect();
    assert_eq!(lines, [3, 5, 7]);
    let ItemKind::Instrument(meter) = &parsed.tree.items[0].kind else { panic!() };
    assert!(
        matches!(&meter.members[0], InstrumentMember::Measures { members, .. } if members.len() == 1)
    );
    assert_eq!(meter.members.len(), 2);
}

#[test]
fn the_lines_of_meters_and_readings_are_told_one_by_one() {
    let text = "instrument m \"M\" {\n    measures length {\n        technique mm\n        common span\n        range 25 mm accuracy 1 % or\n        common gain\n        capture min\n    }\n    calibration\n    valid 18 .. 28 degC widens\n}\nreading a \"A\" : k {\n    frequency\n    circuit ±\n    during b\n    capture 1 %\n}\nspec s \"S\" {\n    meter\n    decide simple\n}\n";
    let parsed = parse(FileId(0), text);
    let lines: Vec<usize> = told(&parsed, text).into_iter().map(|t| t.1).collect();
    assert_eq!(lines, [3, 4, 5, 7, 9, 10, 13, 14, 16, 19], "{:#?}", parsed.findings);
    let ItemKind::Instrument(meter) = &parsed.tree.items[0].kind else { panic!() };
    assert!(
        matches!(&meter.members[0], InstrumentMember::Measures { members, .. } if members.len() == 1)
    );
    let ItemKind::Reading(reading) = &parsed.tree.items[1].kind else { panic!() };
    assert_eq!(reading.members.len(), 1);
}

#[test]
fn the_lines_of_diagnosis_are_told_one_by_one() {
    let text = "state a \"A\" {\n    stays here\n    waived c passes\n    waived by c\n    from b\n    stay\n}\ncheck d \"D\" : e >= 1 V {\n    leak\n    bands high low\n    slip 2 %\n}\nfix f \"F\" {\n    price dear\n    verify 5 min\n    part g\n}\nfault h \"H\" {\n    makes d low often\n    makes d high rarely\n}\n";
    let parsed = parse(FileId(0), text);
    let lines: Vec<usize> = told(&parsed, text).into_iter().map(|t| t.1).collect();
    assert_eq!(lines, [2, 3, 4, 6, 9, 10, 14, 16, 19], "{:#?}", parsed.findings);
    // What was sound is there.
    let ItemKind::Check(check) = &parsed.tree.items[1].kind else { panic!() };
    assert!(check.members.iter().any(|line| matches!(line, CheckMember::Slip(_))));
    let ItemKind::Fix(fix) = &parsed.tree.items[2].kind else { panic!() };
    assert!(fix.members.iter().any(|line| matches!(line, FixMember::Verify(_))));
    let ItemKind::Fault(fault) = &parsed.tree.items[3].kind else { panic!() };
    assert!(matches!(&fault.members[..], [.., FaultMember::Makes { chance: Some(_), .. }]));
}

#[test]
fn several_mistakes_on_one_line() {
    let text = "fault f \"F\" { odds 8 of makes a sideways makes b low fix }\n";
    let parsed = parse(FileId(0), text);
    assert_eq!(parsed.findings.len(), 3, "{:#?}", parsed.findings);
}

#[test]
fn a_forgotten_brace_costs_one_item() {
    let text =
        "state a \"A\" {\n    takes 5 min\n\nlimit b = min 5 V\nstate c \"C\" { takes 1 min }\n";
    let parsed = parse(FileId(0), text);
    assert_eq!(
        told(&parsed, text).into_iter().map(|t| (t.0, t.1)).collect::<Vec<_>>(),
        [("unclosed", 1)]
    );
    assert_eq!(parsed.tree.items.len(), 3);
    let text = "procedure p \"P\" {\n    if a fails {\n        take b\n}\nlimit b = min 5 V\n";
    let parsed = parse(FileId(0), text);
    assert_eq!(parsed.findings.len(), 1, "{:#?}", parsed.findings);
    assert_eq!(parsed.findings[0].slug().0, "unclosed");
    let (slug, _, _) = one("constant a = (5 V\nlimit b = min 5 V\n");
    assert_eq!(slug, "unclosed");
    let (slug, _, _) = one("caution a \"Hot\nlimit b = min 5 V\n");
    assert_eq!(slug, "unclosed");
}

#[test]
fn a_brace_too_many_is_told() {
    let (_, message, _) = one("state a \"A\" { takes 5 min } }\nlimit b = min 5 V\n");
    assert!(message.contains('}'), "{message}");
    let (_, message, _) = one("state a \"A\" { takes 5 min } limit b = min 5 V\n");
    assert!(message.contains("limit"), "{message}");
}

#[test]
fn known_misspellings_are_mended() {
    for (text, expected) in [
        ("limit a = 12,5 .. 14 V", "limit a = 12.5 .. 14 V"),
        ("limit a = min .5 V", "limit a = min 0.5 V"),
        ("limit a = min 5. V", "limit a = min 5 V"),
        ("limit a = min 5 V;", "limit a = min 5 V"),
        ("limit a = 13.6 - 14.8 V", "limit a = 13.6 .. 14.8 V"),
        ("limit a = 13.6-14.8 V", "limit a = 13.6 .. 14.8 V"),
        ("limit a = 13.6 to 14.8 V", "limit a = 13.6 .. 14.8 V"),
        ("limit a = 13.6 V to 14.8 V", "limit a = 13.6 V .. 14.8 V"),
        ("limit a = 13.6 – 14.8 V", "limit a = 13.6 .. 14.8 V"),
        ("limit a = 13.6 … 14.8 V", "limit a = 13.6 .. 14.8 V"),
        ("limit a = 14.2 V +/- 2 %", "limit a = 14.2 V ± 2 %"),
        ("limit a = Min 5 V", "limit a = min 5 V"),
        ("check c \"C\" : a => 5", "check c \"C\" : a >= 5"),
        ("check c \"C\" : a =< 5", "check c \"C\" : a <= 5"),
        ("check c \"C\" : a <> 5", "check c \"C\" : a != 5"),
        ("check c \"C\" : a ≤ 5", "check c \"C\" : a <= 5"),
        ("check c \"C\" : a passes && b passes", "check c \"C\" : a passes and b passes"),
        ("check c \"C\" : a passes || b passes", "check c \"C\" : a passes or b passes"),
        ("check c \"C\" : !a", "check c \"C\" : not a"),
        ("check c \"C\" : a = 5", "check c \"C\" : a == 5"),
        ("check c \"C\" a within b", "check c \"C\" : a within b"),
        ("check c \"C\" : a Within b", "check c \"C\" : a within b"),
        ("check c \"C\" : a withn b", "check c \"C\" : a within b"),
        ("caution a “Hot”", "caution a \"Hot\""),
        ("caution a 'Hot'", "caution a \"Hot\""),
        ("caution a \"C:\\d\"", "caution a \"C:\\\\d\""),
        ("limit\u{a0}a", "limit a"),
        ("Limit a", "limit a"),
        ("reeding r \"R\" : k", "reading r \"R\" : k"),
        ("fault f \"F\" { odds 1 in 100 }", "fault f \"F\" { odds 1 of 100 }"),
        ("case c \"C\" { a = 0L }", "case c \"C\" { a = OL }"),
        ("family f := U, V", "family f = U, V"),
    ] {
        mended(text, expected);
    }
}

#[test]
fn messages_are_in_plain_words() {
    for (text, expected) in [
        ("limit a = foo", "a figure alone does not say which side it limits"),
        (
            "limit a = \"x\"",
            "expected a limit such as `min 12.4 V` or `13.6 .. 14.8 V`, found a text",
        ),
        ("limit a = min", "expected a name or a number, found the end of the item"),
        ("limit = min 5 V", "expected a name, found `=`"),
        ("source sheet", "expected a text in quotes, found the end of the item"),
        (
            "check c \"C\" : a within",
            "expected a limit such as `min 12.4 V` or `13.6 .. 14.8 V` or a name, found the end of the item",
        ),
        (
            "case c \"C\" { a = }",
            "expected a reading such as `12.71 V`, `OL` or `not taken`, found `}`",
        ),
        ("use std", "expected a text in quotes, found `std`"),
        ("reading state \"S\" : k", "`state` is a word of the language and cannot be a name"),
        ("limit a = 20 V +5", "a deviation to one side needs the other side too"),
        ("caution a \"x\" \u{1}", "the character `\\u{1}` (U+0001) means nothing here"),
    ] {
        let (_, message, _) = one(text);
        assert_eq!(message, expected, "{text}");
    }
}

#[test]
fn too_long_and_too_large() {
    let name = "a".repeat(65);
    let (slug, _, _) = one(&format!("limit {name} = min 5 V"));
    assert_eq!(slug, "name-too-long");
    let (slug, _, _) = one(&format!("limit a = min {} V", "1".repeat(40)));
    assert_eq!(slug, "number-too-long");
    let points = "1 rpm : min 5 V\n".repeat(20_000);
    let (slug, _, _) = one(&format!("limit a = by k {{\n{points}}}"));
    assert_eq!(slug, "item-too-long");
    let (slug, _, _) = one(&"\n".repeat((16 << 20) + 1));
    assert_eq!(slug, "file-too-large");
}

#[test]
fn bytes_that_are_no_text() {
    assert_eq!(decode(FileId(0), b"\xef\xbb\xbflimit a").unwrap(), "limit a");
    let finding = decode(FileId(0), b"limit a\n# \xb0C").unwrap_err();
    assert_eq!((finding.slug().0, finding.primary().span.start), ("not-utf8", 10));
    assert!(finding.message().contains("line 2"));
    assert!(decode(FileId(0), b"\xff\xfel\0i\0").unwrap_err().message().contains("UTF-16"));
    let (slug, _, _) = one("limit a\0");
    assert_eq!(slug, "not-utf8");
}

#[test]
fn an_empty_file_is_a_file() {
    for text in ["", "\n\n", "# only a comment", "## only a doc comment\n"] {
        let parsed = parse(FileId(0), text);
        assert!(parsed.findings.is_empty() && parsed.tree.items.is_empty());
    }
}

/// Where the findings stand, as `slug at text`.
fn places(text: &str) -> Vec<String> {
    let findings = parse(FileId(0), text).findings;
    let place = |span: truing_syntax::Span| text[span.start as usize..span.end as usize].to_owned();
    findings.iter().map(|f| format!("{} {}", f.slug().0, place(f.primary().span))).collect()
}

#[test]
fn every_decimal_comma_of_an_item_is_told_once() {
    let text = "reading a \"A\" : k {\n  takes 1,5 min\n  plausible 0,5 .. 18,25 V\n}\n";
    assert_eq!(places(text), ["decimal-comma 1,5", "decimal-comma 0,5", "decimal-comma 18,25"]);
    // Elsewhere a comma may touch.
    assert_eq!(places("family a = 1,2,3\n"), [""; 0]);
}

#[test]
fn slashes_lose_nothing_but_their_line() {
    let text = "reading a \"A\" : k {\n  during b\n  // why {\n  red on \"x\"\n}\n// end\n";
    assert_eq!(places(text), ["foreign-sign //", "foreign-sign //"]);
    let parsed = parse(FileId(0), text);
    let mended = parse(FileId(0), &text.replace("//", "# "));
    assert_eq!((parsed.tree, mended.findings.len()), (mended.tree, 0));
}

#[test]
fn what_may_stand_once_is_refused_the_second_time() {
    let text = "fault a \"A\" { odds 1 of 10 note \"n\" note \"m\" odds 1 of 20 }\n";
    assert_eq!(places(text), ["said-twice odds 1 of 20"]);
    // In a body with another mistake too, and each function for itself.
    let text = "instrument m \"M\" {\n measures a { leads 1 ohm test 5 V }\n measures b {\n  \
                leads 1 ohm\n  bogus\n  leads 2 ohm\n }\n}\n";
    assert_eq!(places(text), ["syntax bogus", "said-twice leads 2 ohm"]);
}

#[test]
fn a_body_of_one_line_again_and_again_is_told_to_a_limit() {
    let text = format!("reading a \"A\" : k {{ {} }}\n", "during b ".repeat(20_000));
    assert_eq!(places(&text).len(), 127);
    let stray = format!("limit a\n{}", "asdf\nlimit a\n".repeat(20_000));
    assert_eq!(places(&stray)[0], "unknown-item asdf");
}
