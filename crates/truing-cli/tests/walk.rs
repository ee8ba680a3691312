//! `truing walk` and `truing study procedures`

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use std::path::Path;

use call::{Called, Shop};

/// Limits, odds and chances are invented.
const CART: &str = r#"
spec cart "Orchard cart (invented)" { edition "1"  decide simple }
source sheet "Service sheet (invented)"
property regulator "Regulator" : shunt, series
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
limit charging     : dc_voltage = 13.8 .. 14.8 V cite sheet
limit ground       : resistance = min 1 Mohm cite sheet
caution exhaust "Run the engine outdoors."
caution hands   "Keep hands clear of the belt."
state stopped "Engine off" { takes 1 min }
state running "Engine at idle" { from stopped  takes 5 min  caution exhaust, hands }
reading rest "Battery at rest" : dc_voltage {
    during stopped
    red   on "battery positive post"
    black on "battery negative post"
    takes 2 min
}
reading charge "Charge voltage" : dc_voltage { during running  takes 5 min  plausible 0 .. 18 V }
reading to_ground "Winding to ground" : resistance { during stopped  takes 10 min }
observation eyelet "Ground eyelet" : clean, corroded { takes 1 min }
check charged      "Battery is charged" : rest within rest_voltage
check charges      "System charges" : charge within charging { when charged passes }
check insulated    "Winding is clear of ground" : to_ground within ground
check eyelet_clean "Eyelet is clean" : eyelet is clean
check plain        "Shunt regulator holds" : charge >= 14.0 V { applies if regulator is shunt }
fault stator_grounded "Stator grounded" {
    odds 10 of 100
    makes charges low 90 %
    makes insulated low 95 %
    fix renew_stator
}
fault eyelet_corroded "Eyelet corroded" {
    odds 10 of 100
    makes charges low 80 %
    makes eyelet_clean fail 95 %
    fix clean_eyelet
}
fix renew_stator "Renew the stator" { part "stator"  takes 130 min  proves insulated, charges }
fix clean_eyelet "Clean the eyelet" { takes 10 min  proves charges }
procedure no_charge "Does not charge" {
    caution hands
    take eyelet
    take charged, charges
    if charged fails { advise "Charge the battery first."  stop }
    if charges passes { advise "It charges now."  stop }
    if eyelet_clean fails { suspect eyelet_corroded  stop }
    take insulated
    if insulated fails { suspect stator_grounded  stop }
    advise "Neither shows: measure again when it fails."
}
"#;

const FOUND: &str = "\
complaint = \"does not charge\"
[[round]]
name = \"as found\"
[round.readings]
rest = \"12.71 V\"
charge = \"12.50 V\"
";

fn shop(sheet: &str) -> Shop {
    let shop = Shop::empty();
    shop.write("cart.truing", CART);
    shop.write("job.toml", sheet);
    shop
}

fn walk(shop: &Shop, more: &[&str]) -> Called {
    shop.call(&[&["walk", "cart.truing", "no_charge", "job.toml"], more].concat())
}

/// The words of a text, however it was broken into lines.
fn told(called: &Called) -> String {
    called.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn where_a_job_stands_is_told_step_by_step_with_what_comes_next() {
    let called = walk(&shop(FOUND), &[]).exits(3);
    insta::assert_snapshot!(called.out);
}

#[test]
fn cautions_stand_before_the_step_that_they_are_of() {
    let shop = shop("");
    let called = shop.call(&["walk", "cart.truing", "no_charge", "--set", "eyelet=clean"]).exits(3);
    let (exhaust, next) = (called.out.find("outdoors"), called.out.find("Next"));
    assert!(exhaust.unwrap() < next.unwrap(), "{}", called.out);
    // Of a step whose way needs the engine stopped nothing but what the order itself said.
    let sheet = format!("{FOUND}eyelet = \"clean\"\n");
    let called = walk(&self::shop(&sheet), &[]).exits(3);
    assert!(
        told(&called).contains("Next step 13: take insulated, about 11 min."),
        "{}",
        called.out
    );
    assert!(!called.out.contains("outdoors"), "{}", called.out);
    assert!(called.out.contains("Caution    Keep hands clear"), "{}", called.out);
}

#[test]
fn neither_way_is_taken_where_a_condition_is_not_known() {
    // Not taken.
    let called = walk(&shop(FOUND), &[]).exits(3);
    let text = told(&called);
    assert!(text.contains("at step 10: neither way is taken"), "{text}");
    assert!(text.contains("eyelet_clean is not taken: it needs eyelet"), "{text}");
    assert!(!called.out.contains("suspect "), "{}", called.out);
    // Undecided: with the doubt of its last digit it may lie on either side.
    let sheet = FOUND.replace("12.50 V", "13.8 V");
    let called = walk(&self::shop(&sheet), &["--decide", "guarded 2"]).exits(3);
    let text = told(&called);
    assert!(text.contains("neither way is taken, since charges is undecided"), "{text}");
    assert!(text.contains("Next step 2: take eyelet"), "{text}");
    // Blocked: the reading is doubted before the machine is; it is taken again.
    let sheet = format!("{}eyelet = \"clean\"\n", FOUND.replace("12.50 V", "125 V"));
    let called = walk(&shop(&sheet), &[]).exits(3);
    let text = told(&called);
    assert!(text.contains("since charges is blocked: charge: 125 V is not plausible"), "{text}");
    assert!(text.contains("take charge again, or after all"), "{text}");
    // What can be had only of the machine as it came in is not asked for once that is over.
    let shop = shop(&format!("{FOUND}eyelet = \"clean\"\n"));
    shop.write("cart.truing", CART.replace("{ takes 1 min }", ""));
    let text = told(&walk(&shop, &[]).exits(3));
    assert!(text.contains("it could be read only while the machine stood as it came in"), "{text}");
    assert!(!text.contains("Next"), "{text}");
    // Set down as not taken: it is not asked for again, and the condition stays open.
    let sheet = format!("{FOUND}eyelet = 'not taken \"no light\"'\n");
    let called = walk(&self::shop(&sheet), &[]).exits(3);
    let text = told(&called);
    assert!(text.contains("take eyelet: set down as not taken"), "{text}");
    assert!(text.contains("take eyelet again, or after all"), "{text}");
}

#[test]
fn a_reading_counts_in_whichever_order_it_was_taken() {
    let sheet = format!("{FOUND}eyelet = \"corroded\"\n");
    let called = walk(&shop(&sheet), &[]).exits(0);
    assert!(told(&called).contains("Suspects Eyelet corroded"), "{}", called.out);
    // What nobody looked at is passed over where what was read decides, and is named.
    let sheet = FOUND.replace("12.50 V", "14.20 V");
    let called = walk(&shop(&sheet), &[]).exits(0);
    let text = told(&called);
    assert!(text.contains("Left out eyelet (step 2)."), "{text}");
    assert!(text.contains("advise It charges now."), "{text}");
}

#[test]
fn a_check_that_cannot_be_judged_yet_is_not_asked_for() {
    let called = walk(&shop("rest = \"12.10 V\"\n"), &[]);
    let sheet = "[readings]\nrest = \"12.10 V\"\neyelet = \"clean\"\n";
    assert_eq!(called.status, 2, "no table of readings: {called:?}");
    let called = walk(&shop(sheet), &[]).exits(0);
    let text = told(&called);
    assert!(text.contains("charges: not made, since what it needs first does not hold"), "{text}");
    assert!(text.contains("advise Charge the battery first."), "{text}");
}

#[test]
fn after_a_repair_the_order_begins_anew_and_one_round_can_be_asked_for() {
    let left = "[[round]]\nname = \"as left\"\nfitted = [\"clean_eyelet\"]\n[round.readings]\n\
                rest = \"12.71 V\"\ncharge = \"14.20 V\"\neyelet = \"clean\"\n";
    let shop = shop(&format!("{FOUND}eyelet = \"corroded\"\n{left}"));
    let called = walk(&shop, &[]).exits(0);
    assert!(called.out.contains("As found\n"), "{}", called.out);
    assert!(called.out.contains("As left, after clean_eyelet\n"), "{}", called.out);
    let called = walk(&shop, &["--round", "1"]).exits(0);
    assert!(!called.out.contains("As left"), "{}", called.out);
    let called = walk(&shop, &["--round", "as right"]).exits(2);
    assert!(called.err.contains("its rounds are as found, as left"), "{}", called.err);
}

#[test]
fn procedures_are_listed_and_the_nearest_name_is_offered() {
    let shop = shop(FOUND);
    let called = shop.call(&["walk", "cart.truing"]).exits(0);
    assert!(told(&called).contains("no_charge Does not charge 17"), "{}", called.out);
    let called = shop.call(&["walk", "cart.truing", "no_charg", "job.toml"]).exits(2);
    assert!(called.err.contains("did you mean `no_charge`?"), "{}", called.err);
    let called = shop.call(&["walk", "cart.truing", "weather"]).exits(2);
    assert!(called.err.contains("its procedures are no_charge"), "{}", called.err);
    let trike = Shop::with_trike();
    let called = trike.call(&["walk", "trike.truing"]).exits(0);
    assert!(called.out.contains("has no procedures"), "{}", called.out);
    let called = trike.call(&["walk", "trike.truing", "any"]).exits(2);
    assert!(called.err.contains("it has none at all"), "{}", called.err);
    trike.call(&["study", "procedures", "trike.truing"]).exits(0);
}

#[test]
fn a_sheet_may_come_by_standard_input() {
    let shop = shop("");
    let call = ["walk", "cart.truing", "no_charge", "-", "--sheet-format", "toml"];
    let called = shop.call_with_input(&call, FOUND);
    assert_eq!(called.status, 3, "{called:?}");
    assert!(called.out.contains("does not charge"), "{}", called.out);
}

#[test]
fn json_is_one_document_by_its_schema() {
    let shop = shop(FOUND);
    let json = walk(&shop, &["--format", "json"]).exits(3).document("truing-walk");
    let stage = &json["walk"]["stages"][0];
    assert_eq!(stage["end"]["at"], "unknown");
    assert_eq!(stage["end"]["step"], 10);
    assert_eq!(stage["end"]["condition"], "eyelet_clean fails");
    assert_eq!(stage["end"]["unknown"][0]["missing"][0], "eyelet");
    assert_eq!(stage["steps"][2]["takes"][1]["side"], "low");
    assert_eq!(stage["steps"][3]["holds"], false);
    assert_eq!(stage["next"]["takes"][0], "eyelet");
    assert_eq!(stage["next"]["cautions"][0]["name"], "hands");
    assert_eq!(json["walk"]["expected"]["paths"], 5);
    let listed = shop.call(&["walk", "cart.truing", "--format", "json"]).exits(0);
    assert!(listed.document("truing-walk")["walk"].is_null());
    let study = shop.call(&["study", "procedures", "cart.truing", "--format", "json"]).exits(0);
    let study = study.document("truing-procedures");
    assert_eq!(study["procedures"][0]["expected"], json["walk"]["expected"]);
    assert_eq!(study["engine"], json["walk"]["engine"]);
    let trike = Shop::with_trike();
    let study = trike.call(&["study", "procedures", "trike.truing", "--format", "json"]);
    assert!(study.document("truing-procedures")["engine"].is_null());
}

#[test]
fn the_study_sets_what_is_written_beside_the_engines_own_order() {
    let called = shop("").call(&["study", "procedures", "cart.truing"]).exits(0);
    insta::assert_snapshot!(called.out);
    // An order that asks about what it never took comes to a condition that nobody can answer.
    let shop = shop("");
    shop.write("cart.truing", CART.replace("    take insulated\n", ""));
    let called = shop.call(&["study", "procedures", "cart.truing"]).exits(1);
    assert!(!called.out.contains("none\n"), "{}", called.out);
    let called = shop.call(&["check", "cart.truing"]);
    assert!(called.out.contains("condition-settled"), "{}", called.out);
    shop.call(&["study", "procedures", "cart.truing", "--cut-off", "2"]).exits(2);
}

#[test]
fn nothing_in_a_text_drives_the_terminal() {
    let hostile = CART
        .replace("\"Does not charge\"", "\"Does not \u{1b}[31mcharge\"")
        .replace("It charges now.", "\u{1b}]0;owned\u{7} now.");
    let shop = shop(&FOUND.replace("12.50 V", "14.20 V"));
    shop.write("cart.truing", hostile);
    let called = walk(&shop, &[]);
    assert!(!called.out.contains('\u{1b}') && !called.out.contains('\u{7}'), "{:?}", called.out);
}

/// The workshop's six jobs, each through the procedure of its complaint: how the command ends, and
/// what it says. Jobs, machines and readings are invented.
#[test]
fn the_six_jobs_are_walked_through_the_procedures_of_the_library() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../..");
    let path = |name: &str| root.join("specs/demo").join(name).display().to_string();
    let hauler = path("ostrevik-hauler-680.truing");
    let trio = path("tarnwick-trio-300.truing");
    for (spec, procedure, job, round, status, says) in [
        (&hauler, "goes_flat", "pl-0701", "1", 3, "take clamps_tight[positive]"),
        (&hauler, "goes_flat", "pl-0702", "1", 0, "Upper diode U open (also V and W)"),
        (&hauler, "goes_flat", "pl-0702", "2", 3, "no_drain is not taken: it needs drain"),
        (
            &hauler,
            "no_charge",
            "pl-0703",
            "1",
            3,
            "holder_sound is not taken: it needs fuse_holder",
        ),
        (&hauler, "no_charge", "pl-0703", "3", 0, "It charges now."),
        (&hauler, "weak_charge", "pl-0704", "1", 0, "Resistance in the regulator's ground"),
        (
            &trio,
            "does_not_crank",
            "pl-0705",
            "1",
            3,
            "clicks is not taken: it needs solenoid_sound",
        ),
        (&hauler, "stops_when_hot", "pl-0706", "1", 3, "insulated_hot[U] is not taken"),
        (&hauler, "stops_when_hot", "pl-0706", "2", 3, "take charges_high, insulated[U]"),
        (&hauler, "overcharges", "pl-0706", "4", 3, "charges_high is not taken"),
    ] {
        let sheet = path(&format!("jobs/{job}.toml"));
        let call = ["walk", spec, procedure, &sheet, "--round", round];
        let called = Shop::empty().call(&call).exits(status);
        assert!(told(&called).contains(says), "{job}, round {round}: {}", called.out);
    }
}
