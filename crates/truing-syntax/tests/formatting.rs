//! The formatter: one layout, the same meaning, every comment.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test fails by panicking"
)]

use truing_syntax::{FileId, FormatError, format, parse};

const FIXTURES: [&str; 3] = [
    include_str!("fixtures/spec.truing"),
    include_str!("fixtures/library.truing"),
    include_str!("fixtures/instrument.truing"),
];

fn laid_out(text: &str) -> String {
    let once = format(text).unwrap_or_else(|why| panic!("{why:?}\n{text}"));
    assert_eq!(format(&once).unwrap(), once, "not stable");
    once
}

#[test]
fn whole_files_are_stable() {
    for text in FIXTURES {
        laid_out(text);
    }
}

#[test]
fn blanks_and_line_ends_are_one_way() {
    assert_eq!(
        laid_out("\u{20}limit   a=min 12.4V\r\n\r\n\r\n\tlimit b =max 10%cite  sheet\"6\""),
        "limit a = min 12.4 V\n\nlimit b = max 10 % cite sheet \"6\"\n"
    );
}

#[test]
fn signs_and_calls_stand_close() {
    assert_eq!(
        laid_out("derived d = - x[ U - V ]*( max( a ,b)-1 )+refer( R , from :T)"),
        "derived d = -x[U-V] * (max(a, b) - 1) + refer(R, from: T)\n"
    );
    assert_eq!(laid_out("limit a = 20 V +5 -0\n"), "limit a = 20 V +5 -0\n");
    assert_eq!(laid_out("limit a = -1.5..-0.5 V\n"), "limit a = -1.5 .. -0.5 V\n");
}

#[test]
fn a_body_without_line_breaks_stays_on_its_line() {
    assert_eq!(
        laid_out("state a \"A\" {from b takes 1 min}\n"),
        "state a \"A\" { from b  takes 1 min }\n"
    );
    assert_eq!(laid_out("state a \"A\" {  }\n"), "state a \"A\" {}\n");
}

#[test]
fn a_body_with_a_line_break_has_one_member_a_line() {
    assert_eq!(
        laid_out(
            "procedure p \"P\" { take a, b if a fails { stop }\nelse{advise \"x\"\n stop} }\n"
        ),
        "procedure p \"P\" {\n    take a, b\n    if a fails { stop } else {\n        advise \"x\"\n        stop\n    }\n}\n"
    );
}

#[test]
fn a_body_that_is_too_wide_is_broken() {
    let text = "state idling \"Engine running at idle speed and in park\" { from at_rest takes 1 min note \"Lead the exhaust outdoors.\" }";
    assert_eq!(
        laid_out(text),
        "state idling \"Engine running at idle speed and in park\" {\n    from at_rest\n    takes 1 min\n    note \"Lead the exhaust outdoors.\"\n}\n"
    );
}

#[test]
fn long_lines_break_before_a_joining_word() {
    let text = "check c \"Charges\" : first_long_name within first_long_limit and second_long_name within second_long_limit and third fails";
    assert_eq!(
        laid_out(text),
        "check c \"Charges\" : first_long_name within first_long_limit\n    and second_long_name within second_long_limit and third fails\n"
    );
}

#[test]
fn comments_keep_their_places() {
    let text = "# head\n\n\n## doc\nlimit a # why\n  = min 5 V   # end\n# foot\nstate s \"S\" { # open\n\n# inside\nfrom b\n# last\n}\n";
    assert_eq!(
        laid_out(text),
        "# head\n\n## doc\nlimit a  # why\n    = min 5 V  # end\n# foot\nstate s \"S\" {  # open\n\n    # inside\n    from b\n    # last\n}\n"
    );
}

#[test]
fn a_comment_anywhere_is_kept() {
    let library = FIXTURES[1];
    let mut places: Vec<usize> = library.match_indices([' ', '\n']).map(|(at, _)| at).collect();
    places.retain(|at| parse(FileId(0), &with_comment(library, *at)).findings.is_empty());
    assert!(places.len() > 300);
    for at in places.into_iter().step_by(11) {
        laid_out(&with_comment(library, at));
    }
}

fn with_comment(text: &str, at: usize) -> String {
    format!("{} # here\n{}", &text[..at], &text[at..])
}

#[test]
fn ranges_and_limits_have_columns() {
    assert_eq!(
        laid_out(
            "instrument m \"M\" {\nmeasures resistance {\nrange 600 ohm step 0.1 ohm accuracy 0.9 % + 5 counts\nrange 6 kohm step 1 ohm accuracy 0.9 %\n}\n}\n"
        ),
        "instrument m \"M\" {\n    measures resistance {\n        range 600 ohm step 0.1 ohm accuracy 0.9 % + 5 counts\n        range 6 kohm  step 1 ohm   accuracy 0.9 %\n    }\n}\n"
    );
}

#[test]
fn a_band_on_its_own_line_stays_there() {
    let text = "instrument m \"M\" {\n    measures ac_voltage {\n        range 6 V step 1 mV band 45 .. 500 Hz\n        range 60 V step 10 mV\n        band 40 .. 400 Hz\n    }\n}\n";
    let tree = parse(FileId(0), text).tree;
    assert_eq!(parse(FileId(0), &laid_out(text)).tree, tree);
}

#[test]
fn a_broken_text_is_left_alone() {
    let Err(FormatError::Unparsed(findings)) = format("limit a = 5 V\n") else {
        panic!("this has an error")
    };
    assert_eq!(findings.len(), 1);
}

#[test]
fn nothing_is_formatted_to_nothing() {
    assert_eq!(laid_out(""), "");
    assert_eq!(laid_out("\n\n# only\n"), "# only\n");
}
