//! Readings as they are typed, and the slips that are asked back. Spec and readings are invented.

#![allow(clippy::unwrap_used, clippy::panic, reason = "a test that panics has failed")]

mod support;

use support::Desk;

#[test]
fn a_reading_is_shown_back_with_its_unit_and_judged() {
    let mut desk = Desk::trike();
    let told = desk.say("connector clean");
    assert!(told.contains("Recorded: connector clean."), "{told}");
    desk.all(&["battery_rest 12,71", "yes"]);
    assert_eq!(desk.reading("battery_rest"), Some("12.71 V"));
    assert!(
        desk.text().contains("Battery is charged (charged): within; 12.71 V is"),
        "{}",
        desk.text()
    );
    desk.all(&[
        "to_ground[U] >20M",
        "to_ground[V]= 0.3 ohm",
        "to_ground[W] 12 ohm .. 0.9M unsteady tapping",
    ]);
    assert_eq!(desk.reading("to_ground[U]"), Some("> 20 Mohm"));
    assert_eq!(desk.reading("to_ground[V]"), Some("0.3 ohm"));
    assert_eq!(desk.reading("to_ground[W]"), Some("12 ohm .. 0.9 Mohm unsteady \"tapping\""));
    let fails = desk.say("battery_rest 11.9");
    assert!(fails.contains("outside low"), "{fails}");
    assert!(fails.contains("Advice: Charge the battery."), "{fails}");
}

#[test]
fn a_number_whose_unit_does_not_go_without_saying_is_asked_back() {
    let mut desk = Desk::trike();
    assert!(desk.say("to_ground[U] 0.3").contains("ohm, kohm, Mohm"));
    assert_eq!(desk.reading("to_ground[U]"), None);
    desk.say("M");
    assert_eq!(desk.reading("to_ground[U]"), Some("0.3 Mohm"));
    desk.all(&["drain 1.8", "mA", "yes"]);
    assert_eq!(desk.reading("drain"), Some("1.8 mA"));
}

#[test]
fn a_factor_of_a_thousand_is_asked_back_and_answered_by_the_unit_or_yes() {
    let mut desk = Desk::trike();
    let told = desk.say("drop 138");
    assert!(told.contains("138 V, or 138 mV?"), "{told}");
    assert_eq!(desk.reading("drop"), None);
    desk.all(&["mV", "yes"]);
    assert_eq!(desk.reading("drop"), Some("138 mV"));
    // Plausible, and far outside its limit: 180 mA of drain are 180 uA where k and m are mixed up.
    assert!(desk.say("drain 180 mA").contains("180 uA"), "{}", desk.text());
    desk.all(&["yes", "yes"]);
    assert_eq!(desk.reading("drain"), Some("180 mA"));
    // A milliohm where a megohm is meant: one capital letter.
    assert!(desk.say("to_ground[U] 20 mohm").contains("20 Mohm"), "{}", desk.text());
}

#[test]
fn a_reading_that_simply_fails_is_not_asked_back() {
    let mut desk = Desk::trike();
    for line in ["connector corroded", "to_ground[U] 0.5 ohm", "battery_rest 11.62"] {
        desk.say(line);
        assert!(!desk.text().contains("keeps"), "{line}: {}", desk.text());
    }
    desk.all(&["yes", "drop 1.07", "yes"]);
    assert_eq!(desk.reading("drop"), Some("1.07 V"));
    assert_eq!(desk.reading("battery_rest"), Some("11.62 V"));
}

#[test]
fn what_is_not_plausible_is_asked_back_with_the_sign_where_that_explains_it() {
    let mut desk = Desk::trike();
    assert!(desk.say("battery_rest -12.7").contains("red and black"), "{}", desk.text());
    assert!(desk.say("battery_rest 30").contains("not plausible, 0 .. 18 V"), "{}", desk.text());
    assert_eq!(desk.reading("battery_rest"), None);
    // The same once more is meant so.
    desk.all(&["30", "yes"]);
    assert_eq!(desk.reading("battery_rest"), Some("30 V"));
}

#[test]
fn the_wrong_function_is_refused_by_the_unit_and_asked_back_by_the_size() {
    let mut desk = Desk::trike();
    let told = desk.say("battery_rest 12.7 A");
    assert!(told.contains("Not recorded"), "{told}");
    assert!(told.contains("Is the meter on dc volts?"), "{told}");
    assert!(desk.say("output 0.0").contains("Is the meter on ac"), "{}", desk.text());
    assert_eq!(desk.reading("output"), None);
}

#[test]
fn the_same_figure_six_times_in_a_row_is_asked_back() {
    let mut desk = Desk::trike();
    desk.all(&["drop .2", "yes"]);
    for _ in 0..4 {
        desk.say("drop .2");
        assert!(!desk.asks_back(), "{}", desk.text());
    }
    assert!(desk.say("drop .2").contains("HOLD"), "{}", desk.text());
    desk.say("yes");
    assert!(desk.text().contains("Recorded"), "{}", desk.text());
    // OL is no figure: six diodes show it six times.
    for _ in 0..7 {
        desk.say("to_ground[U] OL");
        assert!(!desk.text().contains("HOLD"), "{}", desk.text());
    }
}

#[test]
fn a_lone_one_is_the_number_or_the_sign_where_the_display_may_mean_either() {
    let mut desk = Desk::trike_with("M-A = handheld_2000");
    assert!(desk.say("drop 1").contains("over-range sign"), "{}", desk.text());
    desk.all(&["OL", "2 V", "yes"]);
    assert_eq!(desk.reading("drop"), Some("OL on 2 V"));
    desk.all(&["drop 1", "1"]);
    assert_eq!(desk.reading("drop"), Some("1 V"));
    let mut desk = Desk::trike_with("M-B = handheld_6000");
    desk.all(&["drop 1", "yes"]);
    assert_eq!(desk.reading("drop"), Some("1 V"));
    // No meter shows a speed: no sign is possible.
    assert!(desk.say("speed 1").contains("1 krpm"), "{}", desk.text());
}

#[test]
fn ol_is_asked_for_its_range_once_for_each_meter() {
    let mut desk = Desk::trike_with("M-B = handheld_6000");
    assert!(desk.say("to_ground[U] OL").contains("choose its range by itself"), "{}", desk.text());
    desk.say("");
    assert_eq!(desk.reading("to_ground[U]"), Some("OL on 60 Mohm"));
    desk.say("to_ground[V] o.l");
    assert_eq!(desk.reading("to_ground[V]"), Some("OL on 60 Mohm"));
    let mut desk = Desk::trike_with("M-B = handheld_6000");
    desk.all(&["to_ground[U] OL", "600 ohm"]);
    assert_eq!(desk.reading("to_ground[U]"), Some("OL on 600 ohm"));
    assert!(desk.text().contains("undecided"), "{}", desk.text());
}

#[test]
fn a_comma_that_may_part_thousands_and_a_blank_in_a_number_are_asked_back() {
    let mut desk = Desk::trike();
    assert!(desk.say("speed 1,400").contains("1400 rpm"), "{}", desk.text());
    assert!(desk.all(&["speed 1 400"]).contains("1400 rpm"), "{}", desk.text());
    desk.all(&["1400", "yes"]);
    assert_eq!(desk.reading("speed"), Some("1400 rpm"));
    desk.say("speed 1400 1410");
    assert_eq!(desk.reading("speed"), Some("1400, 1410 rpm"));
}

#[test]
fn a_word_that_is_nearly_one_is_asked_back_and_another_finds_the_nearest() {
    let mut desk = Desk::trike();
    assert!(desk.say("connector corodded").contains("Did you mean corroded?"), "{}", desk.text());
    desk.say("yes");
    assert_eq!(desk.reading("connector"), Some("corroded"));
    desk.say("connector Badly Burnt");
    assert_eq!(desk.reading("connector"), Some("badly_burnt"));
    assert!(desk.say("batery_rest").contains("battery_rest"), "{}", desk.text());
    assert!(desk.say("skpi").contains("Did you mean skip?"), "{}", desk.text());
    assert!(desk.say("battery_rets = 12").contains("battery_rest"), "{}", desk.text());
    assert!(desk.say("to_ground[X] OL").contains("no member"), "{}", desk.text());
}

#[test]
fn what_the_meter_cannot_have_shown_is_asked_back_and_a_meter_that_reaches_is_taken() {
    let mut desk = Desk::trike_with("M-B = handheld_6000");
    assert!(desk.say("drop 0.13812 V").contains("no finer steps"), "{}", desk.text());
    desk.all(&["0.138", "yes"]);
    assert_eq!(desk.reading("drop"), Some("0.138 V"));
    assert!(desk.say("charge 14").contains("reaches up to 10 A"), "{}", desk.text());
    // The clamp goes further, though the multimeter was named last.
    desk.all(&["meter CL = dc_clamp", "meter M-B", "charge 14"]);
    let entry = desk.sheet().rounds.last().unwrap().readings.last().unwrap().clone();
    assert_eq!((entry.path.as_str(), entry.meter.as_deref()), ("charge", Some("CL")));
    // Nothing reaches 600 A: what reaches farthest.
    desk.say("starting 110");
    let entry = desk.sheet().rounds.last().unwrap().readings.last().unwrap().clone();
    assert_eq!((entry.path.as_str(), entry.meter.as_deref()), ("starting", Some("CL")));
}

#[test]
fn what_if_judges_and_records_nothing() {
    let mut desk = Desk::trike();
    let told = desk.say("what if battery_rest 11.9");
    assert!(told.contains("outside low"), "{told}");
    assert!(told.contains("Battery worn"), "{told}");
    assert!(told.contains("Nothing is recorded."), "{told}");
    assert!(desk.sheet().rounds.is_empty());
}

#[test]
fn not_taken_and_a_meter_behind_a_reading_are_understood() {
    let mut desk = Desk::trike_with("M-B = handheld_6000");
    desk.say("battery_rest not taken \"no time\"");
    assert_eq!(desk.reading("battery_rest"), Some("not taken \"no time\""));
    desk.all(&["meter CL = dc_clamp", "drain 1.8 mA with M-B", "yes"]);
    let entry = desk.sheet().rounds.last().unwrap().readings.last().unwrap().clone();
    assert_eq!((entry.value.as_str(), entry.meter.as_deref()), ("1.8 mA", Some("M-B")));
    assert!(desk.say("drain 1.8 mA with M-X").contains("no meter `M-X`"), "{}", desk.text());
}
