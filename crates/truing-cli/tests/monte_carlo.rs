//! `truing assess --monte-carlo`

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

/// A difference, a product of two that may both be nought, and the greater of two that are equal.
/// Its limits are invented.
const SPEC: &str = "\
spec drops \"Drops\" { edition \"1\" }

source sheet \"Invented\"

limit drop : dc_voltage = max 0.30 V cite sheet \"1\"
limit loss : power = max 0.02 W cite sheet \"2\"

reading before \"Before the switch\" : dc_voltage
reading behind \"Behind the switch\" : dc_voltage
reading offset \"Across the fuse\" : dc_voltage
reading leak \"Through the fuse\" : dc_current

derived across \"Across the switch\" : dc_voltage = before - behind
derived wasted \"Lost in the fuse\" : power = offset * leak
derived greater \"The greater\" : dc_voltage = max(offset, behind - before)

check little_drop \"Little is dropped\" : across within drop
check little_loss \"Little is lost\" : wasted within loss
check greater_drop \"The greater is little\" : greater within drop
";

const SHEET: &str = "\
decide = \"at 95 %\"

[readings]
before = { value = \"12.40 V\", uncertainty = \"0.02 V\" }
behind = { value = \"12.40 V\", uncertainty = \"0.02 V\" }
offset = { value = \"0.00 V\", uncertainty = \"0.05 V\" }
leak = { value = \"0.00 A\", uncertainty = \"0.05 A\" }
";

fn shop() -> Shop {
    let shop = Shop::empty();
    shop.write("drops.truing", SPEC);
    shop.write("job.toml", SHEET);
    shop
}

const CALL: [&str; 4] = ["assess", "drops.truing", "job.toml", "--monte-carlo"];

fn call(more: &[&str]) -> Vec<&'static str> {
    let more = more.iter().map(|of| -> &'static str { Box::leak((*of).to_owned().into()) });
    CALL.into_iter().chain(more).collect()
}

#[test]
fn beneath_each_budget_stands_whether_it_holds() {
    let called = shop().call(&CALL).exits(0);
    insta::assert_snapshot!(called.out);
    assert_eq!(called.err, "");
}

#[test]
fn the_document_says_the_same() {
    let called = shop().call(&call(&["20000", "--seed", "3", "--format", "json"])).exits(0);
    let document = called.document("truing-findings");
    let checks = &document["sheets"][0]["rounds"][0]["checks"];
    let of = |place: usize| &checks[place]["monte_carlo"];
    for place in 0..3 {
        assert_eq!((&of(place)["trials"], &of(place)["seed"]), (&20000.into(), &3.into()));
    }
    let linear: Vec<&Value> = (0..3).map(|place| &of(place)["linear"]).collect();
    assert!(["agrees", "unsettled"].iter().any(|word| linear[0] == word), "{linear:?}");
    assert_eq!(linear[1..], ["differs", "not-linear"]);
    // √2 · 0.02 V, and 0.05 V · 0.05 A.
    let u = |place: usize| of(place)["standard_uncertainty"].as_f64().unwrap();
    assert!((u(0) - 0.028_284).abs() < 0.001, "{}", u(0));
    assert!((u(1) - 0.0025).abs() < 0.000_2, "{}", u(1));
    assert_eq!(of(2)["difference"], Value::Null);
    // Without trials there are none.
    let plain = shop().call(&["assess", "drops.truing", "job.toml", "--format", "json"]).exits(0);
    let document = plain.document("truing-findings");
    assert_eq!(document["sheets"][0]["rounds"][0]["checks"][0]["monte_carlo"], Value::Null);
}

#[test]
fn the_seed_decides_every_figure() {
    let shop = shop();
    let out = |seed: &str| shop.call(&call(&["5000", "--seed", seed])).exits(0).out;
    assert_eq!(out("7"), out("7"));
    let (one, other) = (out("7"), out("8").replace("seed 8", "seed 7"));
    assert_ne!(one, other);
}

#[test]
fn many_trials_are_announced_on_standard_error() {
    let called = shop().call(&call(&["5_100_000", "--only", "little_drop"])).exits(0);
    assert_eq!(called.err, "5100000 trials: this takes a moment.\n");
    assert!(called.out.contains("5100000 trials, seed 1"), "{}", called.out);
}

#[test]
fn trials_that_make_no_sense_are_an_error() {
    for (trials, said) in [
        ("100000001", "no more than 100000000 trials"),
        ("99999999999999999999999", "no more than 100000000 trials"),
        ("7", "too few trials"),
        ("many", "no number of trials"),
    ] {
        let called = shop().call(&call(&[trials])).exits(2);
        assert!(called.err.contains(said), "{}", called.err);
        assert_eq!(called.out, "");
    }
    let called = shop().call(&["assess", "--monte-carlo", "drops.truing", "job.toml"]).exits(2);
    assert!(called.err.contains("put --monte-carlo behind"), "{}", called.err);
    shop().call(&["assess", "drops.truing", "job.toml", "--seed", "2"]).exits(2);
}
