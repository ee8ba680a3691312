//! What a spec's author reads when a text is wrong.

#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that panics has failed")]

use truing_report::{Style, diagnostics_json, render_diagnostics};
use truing_syntax::{Diagnostic, FileId, Slug, Sources, Span};

const SPEC: &str = "spec trike \"Trike\" { edition \"1\" }
limit rest = min 12.4 V
limit nut  = 60 .. 70 N.m (44 .. 58 lbf.ft)
\treading battery : dc_voltage
check nut_tight \"The nut is tight\" : battery within nut
";

/// The span of the first `what` behind the first `behind`.
fn span_of(text: &str, file: FileId, behind: &str, what: &str) -> Span {
    let from = text.find(behind).unwrap();
    let start = from + text[from..].find(what).unwrap();
    Span::new(file, start as u32, (start + what.len()) as u32)
}

fn one_file(text: &str) -> (Sources, FileId) {
    let mut sources = Sources::new();
    let file = sources.add("trike.truing", text);
    (sources, file)
}

fn kind_mismatch(file: FileId) -> Diagnostic {
    Diagnostic::error(
        Slug("kind-mismatch"),
        span_of(SPEC, file, "within", "nut"),
        "a dc voltage cannot be within a limit on torque",
    )
    .here("this limit is on torque")
    .label(span_of(SPEC, file, "check", "battery"), "this is a dc voltage")
    .label(span_of(SPEC, file, "reading", "dc_voltage"), "declared here")
    .note("dc voltage is measured in volts, torque in newton metres")
}

fn two_units(file: FileId) -> Diagnostic {
    Diagnostic::warning(
        Slug("two-units"),
        span_of(SPEC, file, "limit nut", "(44 .. 58 lbf.ft)"),
        "the limit is printed twice, and the two do not agree",
    )
    .here("70 N.m is 52 lbf.ft to the digits printed, not 58 lbf.ft")
    .mend_by(
        "write what the other unit says",
        vec![(span_of(SPEC, file, "limit nut", "58"), "52".to_owned())],
    )
}

#[test]
fn both_sides_of_a_mismatch_are_marked() {
    let (sources, file) = one_file(SPEC);
    insta::assert_snapshot!(render_diagnostics(&sources, &[kind_mismatch(file)], Style::PLAIN));
}

#[test]
fn a_mend_shows_the_changed_line() {
    let (sources, file) = one_file(SPEC);
    insta::assert_snapshot!(render_diagnostics(&sources, &[two_units(file)], Style::PLAIN));
}

#[test]
fn several_findings_come_in_the_order_given() {
    let (sources, file) = one_file(SPEC);
    let text = render_diagnostics(&sources, &[two_units(file), kind_mismatch(file)], Style::PLAIN);
    let warning = text.find("warning[two-units]").unwrap();
    let error = text.find("error[kind-mismatch]").unwrap();
    assert!(warning < error);
}

#[test]
fn a_place_in_another_file_is_shown_with_its_name() {
    let (mut sources, file) = one_file(SPEC);
    let other = "library l \"L\"\nlimit rest : resistance\n";
    let library = sources.add("std/charging.truing", other);
    let finding = Diagnostic::error(
        Slug("kind-mismatch"),
        span_of(SPEC, file, "limit rest", "12.4 V"),
        "the limit `rest` is on resistance, and this is a dc voltage",
    )
    .here("a dc voltage")
    .label(span_of(other, library, "limit", "resistance"), "the library asks for a resistance")
    .mend("give the limit in ohms");
    insta::assert_snapshot!(render_diagnostics(&sources, &[finding], Style::PLAIN));
}

#[test]
fn windows_line_ends_and_tabs_do_not_shift_the_marks() {
    let text = SPEC.replace('\n', "\r\n");
    let (sources, file) = one_file(&text);
    let finding = Diagnostic::error(
        Slug("unknown-kind"),
        span_of(&text, file, "reading", "dc_voltage"),
        "no such kind",
    )
    .here("here");
    insta::assert_snapshot!(render_diagnostics(&sources, &[finding], Style::PLAIN));
}

#[test]
fn a_finding_at_the_end_of_a_file_without_a_last_line_break() {
    let text = "limit rest = min 12.4";
    let (sources, file) = one_file(text);
    let end = text.len() as u32;
    let finding = Diagnostic::error(
        Slug("missing-unit"),
        Span::new(file, end, end),
        "a number stands here without its unit",
    )
    .here("the unit is missing")
    .mend_by(
        "write the unit behind the number",
        vec![(Span::new(file, end, end), " V".to_owned())],
    );
    insta::assert_snapshot!(render_diagnostics(&sources, &[finding], Style::PLAIN));
}

#[test]
fn colour_repeats_what_words_say() {
    let (sources, file) = one_file(SPEC);
    let findings = [two_units(file), kind_mismatch(file)];
    let colored = render_diagnostics(&sources, &findings, Style { color: true, width: 80 });
    assert!(colored.contains("\u{1b}["));
    let plain = render_diagnostics(&sources, &findings, Style::PLAIN);
    assert!(!plain.contains('\u{1b}'));
    assert_eq!(without_escapes(&colored), plain);
}

fn without_escapes(text: &str) -> String {
    let mut out = String::new();
    let mut chars = text.chars();
    while let Some(c) = chars.next() {
        if c == '\u{1b}' {
            chars.by_ref().find(|c| *c == 'm');
        } else {
            out.push(c);
        }
    }
    out
}

#[test]
fn escape_sequences_in_a_file_do_not_reach_the_terminal() {
    let text = "limit \u{1b}[2Jrest = 1 V";
    let (sources, file) = one_file(text);
    let finding = Diagnostic::error(Slug("syntax"), Span::new(file, 6, 10), "unexpected \u{1b}[2J")
        .here("\u{1b}[2J")
        .note("\u{1b}[2J")
        .mend_by("\u{1b}[2J", vec![(Span::new(file, 6, 10), "\u{1b}[2J".to_owned())]);
    assert!(!render_diagnostics(&sources, &[finding], Style::PLAIN).contains('\u{1b}'));
}

/// Whatever a span says, also one that is upside down, cuts a character or belongs to no file, the
/// message comes out.
#[test]
fn no_span_makes_the_message_disappear() {
    let text = "µ é\r\n\t電\n";
    let (sources, file) = one_file(text);
    for start in 0..=text.len() as u32 + 2 {
        for end in 0..=text.len() as u32 + 2 {
            for file in [file, FileId(7)] {
                let span = Span::new(file, start, end);
                let finding = Diagnostic::error(Slug("x"), span, "the message")
                    .here("here")
                    .label(Span::new(file, end, start), "there")
                    .mend_by("change it", vec![(span, "new\ntext".to_owned())]);
                let text =
                    render_diagnostics(&sources, std::slice::from_ref(&finding), Style::PLAIN);
                assert!(text.contains("error[x]: the message"), "{start}..{end}");
                assert!(text.contains("change it"), "{start}..{end}");
                let json = diagnostics_json(&sources, &[finding]);
                assert_eq!(json["findings"][0]["message"], "the message");
            }
        }
    }
}

/// A finding costs what its own lines cost, not what the file costs: ten thousand findings in a
/// file of a megabyte. Were each to go through the whole file it would take minutes.
#[test]
fn a_long_file_with_many_findings_is_drawn_in_reasonable_time() {
    let line = "limit a_name = 12.4 .. 14.4 V # a comment that fills the line up to hundred characters  and more\n";
    let text = line.repeat(10_000);
    let (sources, file) = one_file(&text);
    let findings: Vec<Diagnostic> = (0..10_000u32)
        .map(|i| {
            let start = i * line.len() as u32 + 6;
            Diagnostic::error(Slug("x"), Span::new(file, start, start + 6), "m")
        })
        .collect();
    let start = std::time::Instant::now();
    let text = render_diagnostics(&sources, &findings, Style::PLAIN);
    assert!(text.contains("trike.truing:10000:7"));
    assert!(start.elapsed().as_secs() < 30, "{:?}", start.elapsed());
}

#[test]
fn json_says_every_part_of_a_finding() {
    let (sources, file) = one_file(SPEC);
    let findings = [two_units(file), kind_mismatch(file)];
    insta::assert_json_snapshot!(diagnostics_json(&sources, &findings));
}
