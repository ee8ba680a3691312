//! Whatever is typed, nothing breaks and nothing drives the terminal.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that panics has failed")]

mod support;

use proptest::prelude::*;
use support::Desk;
use truing::units::{Catalogue, Kind};
use truing_work::scale::{Gauge, Scale};
use truing_work::tokens::tokens;
use truing_work::typed::typed;

fn gauge(scale: Scale) -> Gauge {
    Gauge { catalogue: Catalogue::standard(), kind: Kind::RESISTANCE, scale, lone_one: true }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, ..ProptestConfig::default() })]

    #[test]
    fn the_reader_of_readings_never_panics(text in "\\PC*|[-+0-9.,<>= a-zM\u{3a9}\u{2212}\"%\\[\\]]{0,40}") {
        let units = ["ohm", "kohm", "Mohm"].map(str::to_owned).to_vec();
        for scale in [Scale::Bare, Scale::Sure("ohm".to_owned()), Scale::Doubtful(units)] {
            let _ = typed(&text, &gauge(scale), None);
        }
        let _ = tokens(&text);
    }

    /// A plain figure keeps its digits, whatever they are.
    #[test]
    fn a_figure_keeps_its_digits(whole in "[1-9][0-9]{0,6}", part in "[0-9]{0,6}") {
        let point = if part.is_empty() { "" } else { "." };
        let text = format!("{whole}{point}{part}");
        let gauge = Gauge { lone_one: false, ..gauge(Scale::Sure("ohm".to_owned())) };
        prop_assert_eq!(typed(&text, &gauge, None).unwrap().text, format!("{text} ohm"));
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn a_session_takes_any_lines(lines in prop::collection::vec(
        prop_oneof![
            3 => "\\PC{0,60}",
            2 => "(battery_rest|drop|to_ground\\[U\\]|connector|speed|drain)( = | )?[-+0-9.,<>a-zA-Z\" ]{0,12}",
            4 => "yes|no|skip|back|again|why|list|next|note x|fit renew_stator|round r|state running|what if 3|done|meter|bypass b|removed|help|",
            2 => "[0-9]{1,4}(\\.[0-9]{1,3})?( ?(V|mV|M|ohm|A))?",
        ],
        1..40,
    )) {
        let mut desk = Desk::trike();
        for line in &lines {
            desk.say(line);
            for said in &desk.said {
                prop_assert!(!said.text.chars().any(char::is_control), "{:?}", said);
            }
            let _ = desk.session.prompt();
        }
        let over = desk.session.end();
        prop_assert!(desk.session.is_over());
        prop_assert!(over.iter().all(|said| !said.text.contains("could not be written")));
    }
}

#[test]
fn control_characters_and_long_lines_do_no_harm() {
    let mut desk = Desk::trike();
    desk.say("note \u{1b}]0;title\u{7}\u{1b}[2Jred\u{202e}drow");
    let remark = desk.sheet().rounds.last().unwrap().remarks.first().unwrap().clone();
    assert!(!remark.text.chars().any(char::is_control), "{remark:?}");
    let long = "x".repeat(10_000);
    desk.say(&format!("note {long}"));
    let remarks = desk.sheet().rounds.last().unwrap().remarks.clone();
    assert_eq!(remarks.last().unwrap().text.len(), 10_000);
    for line in
        [long.as_str(), &format!("battery_rest {long}"), &"9".repeat(10_000), &"[".repeat(10_000)]
    {
        desk.say(line);
        assert!(desk.text().len() < 3_000, "{}", desk.text().len());
    }
}

#[test]
fn the_end_of_the_lines_is_quit() {
    let mut desk = Desk::trike();
    desk.said = desk.session.end();
    assert!(desk.text().contains("Stopped."), "{}", desk.text());
    assert!(desk.session.is_over());
    assert!(desk.say("battery_rest 12.7").is_empty());
}
