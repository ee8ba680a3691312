//! `truing learn`: which jobs count, what they come to, and what a spec makes of it. The pump, its
//! odds and its jobs are invented; so are the demo machines.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]
#![allow(dead_code, reason = "each test file takes from `call` what it needs")]

mod call;

use call::Shop;
use serde_json::Value;

/// What is seen is certain, so that all can be worked out by hand.
const PUMP: &str = r#"spec pump "Pump (invented)" { edition "2" }
observation noise "Noise" : quiet, loud { takes 1 min }
observation shaft "Shaft" : dry, wet { takes 1 min }
observation feel "Coupling" : firm, loose { takes 1 min }
check runs_quiet "Runs quiet" : noise is quiet
check shaft_dry "Shaft is dry" : shaft is dry
check coupling_firm "Coupling is firm" : feel is firm
fault seal_worn "Seal worn" { odds 30 of 100  makes runs_quiet fail 60 %  makes shaft_dry fail 90 %  fix renew_seal }
fault bearing_worn "Bearing worn" { odds 20 of 100  makes runs_quiet fail 80 %  fix renew_bearing }
fault coupling_loose "Coupling loose" { odds 10 of 100  makes coupling_firm fail 95 %  makes runs_quiet fail 50 %  fix renew_coupling }
fix renew_seal "Renew the seal" { part "seal" }
fix renew_bearing "Renew the bearing" { part "bearing" }
fix renew_coupling "Renew the coupling" { part "coupling" }
"#;

/// A job in which something is found and something is done, and all is in order afterwards.
fn job(number: &str, found: &str, fitted: &str) -> String {
    let found = match found {
        "" => String::new(),
        readings => format!("{readings}\n"),
    };
    format!(
        "version = 2\njob = \"{number}\"\nspec = \"pump\"\nedition = \"2\"\ncomplaint = \"loud\"\n\
         [[round]]\nname = \"as found\"\n[round.readings]\n{found}\
         [[round]]\nname = \"as left\"\nfitted = [{fitted}]\n[round.readings]\n\
         noise = \"quiet\"\nshaft = \"dry\"\nfeel = \"firm\"\n"
    )
}

const LOUD: &str = "noise = \"loud\"\nshaft = \"dry\"\nfeel = \"firm\"";
const WET: &str = "noise = \"loud\"\nshaft = \"wet\"\nfeel = \"firm\"";

fn shop() -> Shop {
    let shop = Shop::empty();
    shop.write("pump.truing", PUMP);
    shop.write("jobs/p1.toml", job("P-1", LOUD, "\"renew_bearing\""));
    shop.write("jobs/p2.toml", job("P-2", LOUD, "\"renew_bearing\""));
    shop.write("jobs/p3.toml", job("P-3", WET, "\"renew_seal\""));
    shop
}

fn learned(shop: &Shop, more: &[&str], status: i32) -> Value {
    let call = [&["learn", "pump.truing", "--format", "json"], more].concat();
    shop.call(&call).exits(status).document("truing-learned")
}

fn near(json: &Value, expected: f64) {
    let got = json.as_f64().unwrap();
    assert!((got - expected).abs() < 1e-9, "{got} is not {expected}");
}

fn of<'j>(list: &'j Value, wanted: &[(&str, &str)]) -> &'j Value {
    let fits = |one: &&Value| wanted.iter().all(|(key, value)| one[key] == *value);
    let mut all = list.as_array().unwrap().iter().filter(fits);
    all.next().unwrap_or_else(|| panic!("{wanted:?} in {list:#}"))
}

/// By hand: odds 3/7, 2/8 and 1/9 (of 30, 20 and 10 of 100); 20 jobs' worth of the author, and three
/// jobs: two bearings, one seal. A share is (20 a + n)/23, its deviation sqrt(m (1 - m)/24).
#[test]
fn shares_and_chances_are_those_worked_out_by_hand() {
    let json = learned(&shop(), &["jobs"], 0);
    assert_eq!(json["counted"], 3);
    let odds = [3.0 / 7.0, 0.25, 1.0 / 9.0];
    let whole: f64 = odds.iter().sum();
    let named = ["seal_worn", "bearing_worn", "coupling_loose"].into_iter().zip(odds);
    for ((fault, odds), jobs) in named.zip([1.0, 2.0, 0.0]) {
        let (row, author) = (of(&json["faults"], &[("fault", fault)]), odds / whole);
        let mean = (20.0 * author + jobs) / 23.0;
        near(&row["author"], author);
        near(&row["jobs"], jobs);
        near(&row["learned"], mean);
        near(&row["standard_deviation"], (mean * (1.0 - mean) / 24.0).sqrt());
    }
    let effect = |fault, check| of(&json["effects"], &[("fault", fault), ("check", check)]);
    // Loud in both of two: (20 · 0.8 + 2)/22; wet in one of one: (20 · 0.9 + 1)/21.
    let bearing = effect("bearing_worn", "runs_quiet");
    near(&bearing["learned"], 18.0 / 22.0);
    near(&bearing["standard_deviation"], (18.0_f64 / 22.0 * 4.0 / 22.0 / 23.0).sqrt());
    near(&effect("seal_worn", "shaft_dry")["learned"], 19.0 / 21.0);
    // A bearing does nothing to the shaft: nothing is counted there.
    let none = json["effects"].as_array().unwrap();
    assert!(none.iter().all(|of| of["fault"] != "bearing_worn" || of["check"] != "shaft_dry"));
}

/// The same with ten jobs' worth of the author: (10 a + 2)/13.
#[test]
fn the_author_may_count_for_more_or_less() {
    let json = learned(&shop(), &["jobs", "--equivalent", "10"], 0);
    let author = 0.25 / (3.0 / 7.0 + 0.25 + 1.0 / 9.0);
    near(
        &of(&json["faults"], &[("fault", "bearing_worn")])["learned"],
        (10.0 * author + 2.0) / 13.0,
    );
    for wrong in ["0", "-1", "many", "inf"] {
        shop().call(&["learn", "pump.truing", "jobs", "--equivalent", wrong]).exits(2);
    }
}

#[test]
fn the_same_jobs_give_the_same_file_in_whatever_order() {
    let shop = shop();
    let spec = shop.read("pump.truing");
    shop.call(&["learn", "pump.truing", "jobs", "-o", "one.truing"]).exits(0);
    let files = ["jobs/p3.toml", "jobs/p1.toml", "jobs", "jobs/p2.toml", "jobs/p1.toml"];
    let call = [&["learn", "pump.truing", "-o", "two.truing"], &files[..]].concat();
    shop.call(&call).exits(0);
    assert_eq!(shop.read("one.truing"), shop.read("two.truing"));
    // Taken up by the spec, it is still weighed with the author's own word.
    shop.write("pump.truing", format!("{spec}use \"one\"\n"));
    shop.call(&["learn", "pump.truing", "jobs", "-o", "one.truing"]).exits(0);
    assert_eq!(shop.read("one.truing"), shop.read("two.truing"));
    assert_eq!(shop.read("pump.truing"), format!("{spec}use \"one\"\n"), "the spec is not touched");
    shop.call(&["check", "--deny-warnings", "one.truing"]).exits(0);
    shop.call(&["check", "pump.truing"]).exits(0);
    shop.call(&["fmt", "--check", "one.truing"]).exits(0);
    assert!(
        shop.read("one.truing")
            .contains("    cause seal_worn 1  # author 54.3 %, learned 51.5 %, sd 10.2 %")
    );
}

/// By hand: with two jobs' worth of the author the bearing has (2 · 0.3165 + 2)/5 = 0.527 against
/// 0.417 of the seal, which had 0.543: so a pump that is only loud is the bearing's.
#[test]
fn a_spec_that_takes_up_the_counts_ranks_by_them() {
    let shop = shop();
    shop.write(
        "loud.toml",
        "spec = \"pump\"\ncomplaint = \"loud\"\n[readings]\nnoise = \"loud\"\n",
    );
    let first = |shop: &Shop| {
        let json = shop.call(&["next", "pump.truing", "loud.toml", "--format", "json"]);
        let json = json.document("truing-next");
        let faults = json["stage"]["ranking"]["faults"].clone();
        (
            faults[0]["fault"].as_str().unwrap().to_owned(),
            faults[1]["fault"].as_str().unwrap().to_owned(),
        )
    };
    assert_eq!(first(&shop).0, "seal_worn");
    shop.call(&["learn", "pump.truing", "jobs", "--equivalent", "2", "-o", "counts.truing"])
        .exits(0);
    shop.write("pump.truing", format!("{PUMP}use \"counts\"\n"));
    assert_eq!(first(&shop), ("bearing_worn".to_owned(), "seal_worn".to_owned()));
    let study = shop.call(&["study", "faults", "pump.truing", "--format", "json"]);
    let study = study.document("truing-faults")["study"].clone();
    let bearing = of(&study["faults"], &[("fault", "bearing_worn")]);
    near(&bearing["author"], 0.2);
    // All odds together stay what the author said.
    let whole = 3.0 / 7.0 + 0.25 + 1.0 / 9.0;
    let odds = (2.0 * 0.25 / whole + 2.0) / 5.0 * whole;
    near(&bearing["probability"], odds / (1.0 + odds));
    near(&bearing["upsets"][0]["bands"][0]["chance"], (2.0 * 0.8 + 2.0) / 4.0);
    // Another edition with other odds weighs the same counts anew.
    let edition =
        PUMP.replace("edition \"2\"", "edition \"3\"").replace("odds 20 of", "odds 50 of");
    shop.write("pump.truing", format!("{edition}use \"counts\"\n"));
    let study = shop.call(&["study", "faults", "pump.truing", "--format", "json"]);
    let study = study.document("truing-faults")["study"].clone();
    let whole = 3.0 / 7.0 + 1.0 + 1.0 / 9.0;
    let odds = (2.0 / whole + 2.0) / 5.0 * whole;
    near(&of(&study["faults"], &[("fault", "bearing_worn")])["probability"], odds / (1.0 + odds));
}

/// By hand: loud and nothing else read, and both parts renewed at once. Loud is `x(d)` probable with
/// slip 2 %: x(d) = 0.98 d + 0.01. The job is shared out as odds times that,
/// in hundredths: 3/7 · x(0.6) to 1/4 · x(0.8).
#[test]
fn two_parts_renewed_at_once_share_the_job() {
    let shop = shop();
    let both = job("P-9", "noise = \"loud\"", "\"renew_seal\", \"renew_bearing\"");
    shop.write("both.toml", both);
    let json = learned(&shop, &["both.toml"], 0);
    let x = |d: f64| 0.98 * d + 0.01;
    let (seal, bearing) = (3.0 / 7.0 * x(0.6), 0.25 * x(0.8));
    let seal = (100.0 * seal / (seal + bearing)).round() / 100.0;
    near(&of(&json["faults"], &[("fault", "seal_worn")])["jobs"], seal);
    near(&of(&json["faults"], &[("fault", "bearing_worn")])["jobs"], 1.0 - seal);
    assert!(seal > 0.5 && seal < 0.6, "{seal}");
    // Loud counts for each as far as the job does.
    let effect = of(&json["effects"], &[("fault", "bearing_worn"), ("check", "runs_quiet")]);
    near(&effect["seen"], 1.0 - seal);
    near(&effect["learned"], (20.0 * 0.8 + 1.0 - seal) / (21.0 - seal));
}

#[test]
fn only_a_job_that_is_proven_counts_and_the_others_say_why() {
    let shop = Shop::empty();
    shop.write("pump.truing", PUMP);
    let sound = job("P-1", LOUD, "\"renew_bearing\"");
    let still = sound.replacen("noise = \"quiet\"", "noise = \"loud\"", 1);
    shop.write("jobs/still.toml", still.replace("P-1", "P-2"));
    shop.write(
        "jobs/untested.toml",
        sound.replace("P-1", "P-3").replacen("noise = \"quiet\"\n", "", 1),
    );
    let closed = format!("{sound}[closed]\ndate = 2026-11-09\nreason = \"customer in a hurry\"\n");
    shop.write("jobs/closed.toml", closed.replace("P-1", "P-4"));
    shop.write("jobs/nothing.toml", sound.replace("P-1", "P-5").replace("\"renew_bearing\"", ""));
    let bypass = "bypasses = [{ what = \"switch bridged\", removed = false }]\n[round.readings]\nnoise = \"quiet\"";
    shop.write(
        "jobs/bypass.toml",
        sound.replace("P-1", "P-6").replace("[round.readings]\nnoise = \"quiet\"", bypass),
    );
    let json = learned(&shop, &["jobs"], 3);
    assert_eq!(json["counted"], 0);
    let why = |job: &str| of(&json["jobs"], &[("job", job)])["why"].as_str().unwrap().to_owned();
    assert!(why("P-2").contains("not proven"), "{}", why("P-2"));
    assert!(why("P-3").contains("was not taken again"), "{}", why("P-3"));
    assert!(why("P-4").contains("customer in a hurry"), "{}", why("P-4"));
    assert_eq!(why("P-5"), "nothing was repaired");
    assert!(why("P-6").contains("switch bridged"), "{}", why("P-6"));
    // Without a job that counts nothing is written.
    let called = shop.call(&["learn", "pump.truing", "jobs", "-o", "none.truing"]).exits(3);
    assert!(called.out.contains("nothing to learn"), "{}", called.out);
    assert!(!shop.path().join("none.truing").exists());
}

#[test]
fn a_job_of_another_edition_is_read_again_or_refused_by_name() {
    let shop = shop();
    let old = job("P-7", LOUD, "\"renew_bearing\"").replace("edition = \"2\"", "edition = \"1\"");
    shop.write("old.toml", &old);
    let json = learned(&shop, &["old.toml"], 0);
    let read = of(&json["jobs"], &[("job", "P-7")]);
    assert_eq!(read["fate"], "counted");
    assert!(read["read_again"].as_str().unwrap().contains("edition 1"), "{read:#}");
    // The old edition had a reading that this one has not.
    shop.write(
        "older.toml",
        old.replace("P-7", "P-8").replace("noise = \"loud\"", "sound = \"loud\""),
    );
    let called = shop.call(&["learn", "pump.truing", "old.toml", "older.toml"]).exits(3);
    let text = called.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("refused P-8, older.toml: the job was judged by edition 1"), "{text}");
    assert!(text.contains("sound: `sound` is no reading of this spec"), "{text}");
    let json = learned(&shop, &["old.toml", "older.toml"], 3);
    let refused = &of(&json["jobs"], &[("file", "older.toml")])["problems"];
    assert_eq!(refused[0]["slug"], "edition-mismatch");
    assert_eq!(refused[1]["entry"], "sound");
    assert_eq!(json["counted"], 1);
}

#[test]
fn a_job_of_another_spec_and_what_is_no_job_are_refused_by_name() {
    let shop = shop();
    shop.write(
        "jobs/other.toml",
        job("P-4", LOUD, "\"renew_bearing\"").replace("\"pump\"", "\"fan\""),
    );
    shop.write("jobs/bad.toml", "this is no sheet");
    let called = shop.call(&["learn", "pump.truing", "jobs"]).exits(3);
    let text = called.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("refused P-4") || text.contains("refused jobs/other.toml"), "{text}");
    assert!(text.contains("written for `fan`, and this spec is `pump`"), "{text}");
    assert!(text.contains("refused jobs/bad.toml"), "{text}");
    assert!(text.contains("3 jobs counted, 2 refused."), "{text}");
    // Here and in the call nothing is there.
    let called = shop.call(&["learn", "pump.truing", "gone"]).exits(2);
    assert!(called.err.contains("gone"), "{}", called.err);
    shop.call(&["learn", "pump.truing"]).exits(2);
    shop.call(&["learn", "gone.truing", "jobs"]).exits(2);
}

#[test]
fn a_job_counts_once_whichever_files_it_stands_in() {
    let shop = shop();
    shop.write("copy/p1.toml", job("P-1", LOUD, "\"renew_bearing\""));
    let json = learned(&shop, &["jobs", "copy"], 0);
    assert_eq!(json["counted"], 3);
    let same = of(&json["jobs"], &[("fate", "same-as")]);
    assert_eq!(same["file"], "jobs/p1.toml");
    assert_eq!(same["same_as"], "copy/p1.toml");
    // One number for two jobs: nobody can tell which is meant.
    shop.write("copy/p1.toml", job("P-1", WET, "\"renew_seal\""));
    let json = learned(&shop, &["jobs", "copy"], 3);
    assert_eq!(json["counted"], 2);
    for file in ["copy/p1.toml", "jobs/p1.toml"] {
        let refused = of(&json["jobs"], &[("file", file)]);
        assert_eq!(refused["problems"][0]["slug"], "job-twice");
        let message = refused["problems"][0]["message"].as_str().unwrap();
        assert!(message.contains("copy/p1.toml, jobs/p1.toml"), "{message}");
    }
    // Two without a number are one where they say the same.
    let unnumbered = job("P-1", LOUD, "\"renew_bearing\"").replace("job = \"P-1\"\n", "");
    shop.write("loose/a.toml", &unnumbered);
    shop.write("loose/b.toml", &unnumbered);
    shop.write("loose/c.toml", unnumbered.replace("complaint = \"loud\"", "complaint = \"noisy\""));
    assert_eq!(learned(&shop, &["loose"], 0)["counted"], 2);
}

#[test]
fn nothing_but_an_older_file_of_counts_is_written_over() {
    let shop = shop();
    let called = shop.call(&["learn", "pump.truing", "jobs", "-o", "pump.truing"]).exits(2);
    assert!(called.err.contains("left as it is"), "{}", called.err);
    assert_eq!(shop.read("pump.truing"), PUMP);
    shop.call(&["learn", "pump.truing", "jobs", "-o", "counts.toml"]).exits(2);
    shop.write("other.truing", "library other \"Other\"\nconstant c = 1 V\n");
    shop.call(&["learn", "pump.truing", "jobs", "-o", "other.truing"]).exits(2);
    shop.call(&["learn", "pump.truing", "jobs", "-o", "gone/counts.truing"]).exits(2);
    let call = ["learn", "pump.truing", "jobs", "-o", "gone/counts.truing", "--format", "json"];
    shop.call(&call).exits(2).document("truing-errors");
    shop.call(&["learn", "pump.truing", "jobs", "-o", "counts.truing"]).exits(0);
    let json = learned(&shop, &["jobs", "-o", "counts.truing"], 0);
    assert_eq!(json["written"], "counts.truing");
    let left: Vec<String> = std::fs::read_dir(shop.path())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.starts_with('.'))
        .collect();
    assert!(left.is_empty(), "{left:?}");
}

/// The workshop's jobs, by hand: of six, one was on another machine, one needed no repair, and four
/// are proven, each of one fault. A share is (20 a + 1)/24.
#[test]
fn the_demo_jobs_count_as_they_were_written_down() {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../../specs/demo");
    let shop = Shop::empty();
    let (spec, jobs) = (format!("{root}/ostrevik-hauler-680.truing"), format!("{root}/jobs"));
    let call = ["learn", &spec, &jobs, "--format", "json"];
    let json = shop.call(&call).exits(3).document("truing-learned");
    // The cause with the most of a job; what is left goes to others that the same repair mends.
    let cause = |job: &str| {
        let causes = of(&json["jobs"], &[("job", job)])["causes"].as_array().unwrap().clone();
        let share = |of: &Value| of["share"].as_f64().unwrap();
        let most = causes.iter().max_by(|a, b| share(a).total_cmp(&share(b))).unwrap();
        assert!(share(most) >= 0.9, "{causes:#?}");
        most["fault"].as_str().unwrap().to_owned()
    };
    assert_eq!(cause("PL-0702"), "upper_diode_open[V]");
    assert_eq!(cause("PL-0703"), "stator_grounded");
    assert_eq!(cause("PL-0704"), "ground_wire_bad");
    // Renewing the connector did not cure it; the stator did.
    assert_eq!(cause("PL-0706"), "stator_grounds_hot");
    assert_eq!(json["counted"], 4);
    let diode = of(&json["faults"], &[("fault", "upper_diode_open[V]")]);
    let author = diode["author"].as_f64().unwrap();
    near(&diode["learned"], (20.0 * author + 1.0) / 24.0);
    // 0.5 of 100, among odds that come to 1.09: 30 faults, by their odds in the libraries.
    assert!((author - 0.00503 / 1.0865).abs() < 5e-5, "{author}");
    let hot = |check| of(&json["effects"], &[("fault", "stator_grounds_hot"), ("check", check)]);
    // 5 % by the author, never seen in its share of the job; 92 %, seen in all of that.
    let judged = hot("insulated[U]")["judged"].as_f64().unwrap();
    assert!((0.9..1.0).contains(&judged), "{judged}");
    near(&hot("insulated[U]")["learned"], 1.0 / (20.0 + judged));
    near(&hot("insulated_hot[U]")["learned"], (20.0 * 0.92 + judged) / (20.0 + judged));
}

#[test]
fn the_report_is_as_reviewed() {
    let called = shop().call(&["learn", "pump.truing", "jobs", "-o", "counts.truing"]).exits(0);
    insta::assert_snapshot!(called.out);
}

#[test]
fn the_file_is_as_reviewed() {
    let shop = shop();
    shop.call(&["learn", "pump.truing", "jobs", "-o", "counts.truing"]).exits(0);
    insta::assert_snapshot!(shop.read("counts.truing"));
}
