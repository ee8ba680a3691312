//! The fault libraries against `tests/reference/fault-matrices.toml`, cell by cell, and the rankings
//! that the arithmetic of the naive model gives.
//!
//! Source of every cell: common practice, no source.

#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::panic,
    reason = "a test that panics has failed"
)]

use std::collections::BTreeMap;

use serde::Deserialize;
use truing::Compiled;
use truing_diagnosis::{
    Check, CheckDraft, Draft, Evidence, Fault, Hypothesis, Likelihood, Likely, Network,
};
use truing_engine::SuspectPlan;
use truing_model::{CheckBand, Spec};
use truing_tests::place;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    charging: Table,
    starting: Table,
    ranking: Vec<Ranking>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Table {
    source: String,
    library: String,
    column: Vec<Column>,
    row: Vec<Row>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Column {
    key: String,
    check: Vec<String>,
    background: Option<f64>,
    side: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    key: String,
    title: String,
    fault: Vec<String>,
    odds: f64,
    printed: String,
    values: Option<BTreeMap<String, f64>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Ranking {
    evidence: String,
    pass: Vec<String>,
    fail: Vec<String>,
    first: Vec<(String, f64)>,
}

fn file() -> File {
    let path = place::root().join("tests/reference/fault-matrices.toml");
    let file: File = toml::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    for table in [&file.charging, &file.starting] {
        assert_eq!(table.source, "common practice, no source");
    }
    file
}

impl Table {
    fn background(&self, key: &str) -> f64 {
        self.column.iter().find(|c| c.key == key).unwrap().background.unwrap()
    }
}

impl Row {
    fn printed(&self) -> Vec<&str> {
        self.printed.split(' ').collect()
    }

    /// In per cent.
    fn cell(&self, table: &Table, key: &str) -> f64 {
        let values = self.values.as_ref().unwrap();
        values.get(key).copied().unwrap_or_else(|| table.background(key))
    }
}

/// `F` is 95 or more, `.` is 5 or less; a figure is met to so much.
fn as_printed(printed: &str, percent: f64, tolerance: f64) -> bool {
    match printed {
        "F" => percent >= 95.0 - 1e-9 - tolerance,
        "." => percent <= 5.0 + 1e-9 + tolerance,
        figure => (percent - figure.parse::<f64>().unwrap()).abs() <= tolerance,
    }
}

#[test]
fn the_printed_table_and_the_figures_behind_it_agree() {
    let table = file().charging;
    assert_eq!((table.row.len(), table.column.len()), (20, 22));
    assert!((table.row.iter().map(|row| row.odds).sum::<f64>() - 100.0).abs() < 1e-9);
    for row in &table.row {
        assert_eq!(row.printed().len(), 22, "{}", row.key);
        for (column, printed) in table.column.iter().zip(row.printed()) {
            let cell = row.cell(&table, &column.key);
            let background = table.background(&column.key);
            let said = row.values.as_ref().unwrap().contains_key(&column.key);
            // Where the background itself is above 5, that is what is printed.
            let fits =
                as_printed(printed, cell, 0.0) || (!said && as_printed(printed, background, 0.0));
            assert!(fits, "{} {}: {printed} is not {cell}", row.key, column.key);
        }
    }
    let starting = file().starting;
    assert_eq!((starting.row.len(), starting.column.len()), (10, 12));
    assert!(starting.row.iter().all(|row| row.printed().len() == 12));
}

/// A spec whose faults are those of a library.
struct Library {
    compiled: Compiled,
}

impl Library {
    fn of(path: &str) -> Self {
        Self { compiled: Compiled::from_path(place::root().join(path)).unwrap() }
    }

    fn spec(&self) -> &Spec {
        self.compiled.spec()
    }

    fn plan(&self) -> &SuspectPlan {
        self.compiled.suspect_plan().unwrap().unwrap()
    }

    fn network(&self) -> &Network {
        self.plan().network()
    }

    /// The network's checks that stand for a check of the spec, or for a family of it.
    fn checks(&self, names: &[String]) -> Vec<Check> {
        let all = (0..self.network().checks()).map(Check);
        let named = all.filter(|check| {
            let id = self.plan().check(*check).unwrap();
            names.contains(&self.spec().check(id).unwrap().name)
        });
        named.collect()
    }

    /// The faults of a name, one for each member.
    fn faults(&self, names: &[String]) -> Vec<Fault> {
        let all = self.spec().faults.iter().enumerate();
        let named: Vec<Fault> =
            all.filter(|(_, f)| names.contains(&f.name)).map(|(at, _)| Fault(at)).collect();
        assert!(!named.is_empty(), "no fault {names:?}");
        named
    }

    /// In per cent: that any of some checks is not in order.
    fn fails(&self, checks: &[Check], hypothesis: Hypothesis) -> f64 {
        let ok = checks.iter().map(|c| self.network().outcome(*c, hypothesis).unwrap()[0]);
        100.0 * (1.0 - ok.product::<f64>())
    }

    /// In per cent: that a check is out of order on one side.
    fn fails_on(&self, check: Check, side: CheckBand, hypothesis: Hypothesis) -> f64 {
        let id = self.plan().check(check).unwrap();
        let place = self.spec().bands_of(id).unwrap().place(side).unwrap();
        100.0 * self.network().outcome(check, hypothesis).unwrap()[place]
    }

    fn odds_are(&self, row: &Row) {
        let faults = self.faults(&row.fault);
        let odds: f64 = faults.iter().map(|fault| self.spec().faults[fault.0].prior).sum();
        assert!((100.0 * odds - row.odds).abs() < 1e-9, "{} {}: {odds}", row.key, row.title);
        // Every fault has a cure with its time, and with a price where there is something to order.
        for fault in faults {
            let of = &self.spec().faults[fault.0];
            let fix = self.spec().fix(*of.fixes.first().unwrap()).unwrap();
            assert!(fix.seconds.is_some() && fix.price.is_some(), "{}", fix.name);
        }
    }
}

/// Of 440 cells four stand at or below what the check does without any fault, `K01`, whose background
/// is 60: no cause makes a check fail less often, so the library leaves them there.
const BELOW: [(&str, f64); 4] = [("F04", 45.0), ("F08", 60.0), ("F13", 60.0), ("F18", 20.0)];

/// 20 faults, 22 checks, and the background of each.
#[test]
fn the_charging_library_is_the_table() {
    let table = file().charging;
    let library = Library::of("specs/demo/ostrevik-hauler-680.truing");
    assert_eq!(table.library, "std/pm-charging");
    let all: usize = table.row.iter().map(|row| library.faults(&row.fault).len()).sum();
    assert_eq!(all, library.spec().faults.len(), "a fault that the table lacks");
    let mut below = Vec::new();
    let mut cells = 0;
    for column in &table.column {
        let checks = library.checks(&column.check);
        // Six diodes of two families are six checks; every other family counts as one.
        assert_eq!(checks.len(), if column.check.len() == 2 { 6 } else { 1 }, "{}", column.key);
        // A single check to rounding. Of six the figures are written to a hundredth of a per cent.
        let tolerance = if checks.len() == 1 { 1e-9 } else { 0.1 };
        let near = |got: f64, wanted: f64, place: &str| {
            assert!((got - wanted).abs() <= tolerance, "{} {place}: {got} {wanted}", column.key);
        };
        let background = table.background(&column.key);
        near(library.fails(&checks, Hypothesis::None), background, "background");
        for row in &table.row {
            let cell = row.cell(&table, &column.key);
            let said = row.values.as_ref().unwrap().contains_key(&column.key);
            if said && cell <= background {
                below.push((row.key.as_str(), cell));
            }
            for fault in library.faults(&row.fault) {
                let got = library.fails(&checks, Hypothesis::Single(fault));
                near(got, cell.max(background), &row.key);
                cells += 1;
            }
        }
    }
    assert_eq!(below, BELOW);
    // Six faults for each of F15 and F16.
    assert_eq!(cells, 22 * 30);
    table.row.iter().for_each(|row| library.odds_are(row));
}

/// The starting library with every limit filled; figures invented.
const STARTER: &str = r#"
spec starter "Starting system (invented)" { edition "1" }
source card "Invented"
use "std/starting"
constant battery_capacity = 9 Ah cite card
limit rest_voltage = min 12.6 V cite card
limit cranking_minimum = min 9.6 V cite card
limit drain_limit = max 3 mA cite card
limit starter_current_limit = 90 .. 140 A cite card
limit coil_limit = 3 .. 5 ohm cite card
"#;

fn starter() -> Library {
    Library { compiled: Compiled::from_text("starter.truing", STARTER).unwrap() }
}

/// 10 faults, 12 checks. Too high and too low a current are two sides of one check.
#[test]
fn the_starting_library_is_the_table() {
    let table = file().starting;
    let library = starter();
    assert_eq!(table.library, "std/starting");
    let all: usize = table.row.iter().map(|row| library.faults(&row.fault).len()).sum();
    assert_eq!(all, library.spec().faults.len(), "a fault that the table lacks");
    assert!((table.row.iter().map(|row| row.odds).sum::<f64>() - 100.0).abs() < 1e-9);
    for (at, column) in table.column.iter().enumerate() {
        let checks = library.checks(&column.check);
        for row in &table.row {
            let printed = row.printed()[at];
            let [fault] = library.faults(&row.fault)[..] else { panic!("{}", row.key) };
            let hypothesis = Hypothesis::Single(fault);
            // One side of two: the check does by itself, one time in a hundred, what the other side is.
            let tolerance = if column.side.is_some() { 1.0 + 1e-9 } else { 1e-9 };
            let got = match (column.side.as_deref(), &checks[..]) {
                // No fault acts on it: it is no check of the network.
                (None, []) => 0.0,
                (None, [check]) => library.fails(&[*check], hypothesis),
                (Some("high"), [check]) => library.fails_on(*check, CheckBand::High, hypothesis),
                (Some("low"), [check]) => library.fails_on(*check, CheckBand::Low, hypothesis),
                other => panic!("{}: {other:?}", column.key),
            };
            let place = format!("{} {}", row.key, column.key);
            assert!(as_printed(printed, got, tolerance), "{place}: {got} is not {printed}");
        }
    }
    table.row.iter().for_each(|row| library.odds_are(row));
}

/// Drops mean nothing without current: they are blocked, and a solenoid that stays silent is a finding
/// of its own.
#[test]
fn no_current_blocks_the_drops_and_silence_is_seen() {
    let spec = starter().compiled;
    let read = [
        ("battery_rest", "12.70 V"),
        ("cranking_voltage", "12.6 V"),
        ("cranking_current", "0 A"),
        ("solenoid_drop", "12.5 V"),
        ("starter_cable_drop", "0.00 V"),
        ("starter_ground_drop", "0.00 V"),
        ("solenoid_sound", "silent"),
    ];
    let sheet = read.iter().fold(spec.sheet(), |sheet, (name, text)| {
        if *name == "solenoid_sound" {
            sheet.see(name, text).unwrap()
        } else {
            sheet.read(name, text).unwrap()
        }
    });
    let findings = sheet.assess();
    let outcome = |name: &str| {
        let check = spec.spec().check_labelled(name).unwrap();
        findings.findings.iter().find(|of| of.check == check).unwrap().outcome.words()
    };
    for drop in ["solenoid_closes", "starter_cable_sound", "starter_grounded"] {
        assert_eq!(outcome(drop), "blocked", "{drop}");
    }
    assert_eq!(outcome("clicks"), "outside");
    assert_eq!(outcome("starter_draws"), "outside low");
}

/// The naive model by a plain loop, and by a network that says the same: no leak but the background,
/// no slip, no "no fault", nothing unlisted.
#[test]
fn naive_rankings_come_to_the_printed_tenth() {
    let file = file();
    let table = &file.charging;
    let network = naive(table);
    for ranking in &file.ranking {
        let mut weights: Vec<(f64, &str)> = Vec::new();
        for row in &table.row {
            let cell = |key: &String| row.cell(table, key) / 100.0;
            let pass: f64 = ranking.pass.iter().map(|key| 1.0 - cell(key)).product();
            let fail: f64 = ranking.fail.iter().map(cell).product();
            weights.push((row.odds * pass * fail, &row.key));
        }
        let sum: f64 = weights.iter().map(|(weight, _)| weight).sum();
        let posterior = network.posterior(&read(table, ranking)).unwrap();
        for ((weight, key), row) in weights.iter().zip(0..) {
            let by_network = posterior.probability(Hypothesis::Single(Fault(row)));
            assert!((weight / sum - by_network).abs() < 1e-12, "{} {key}", ranking.evidence);
        }
        weights.sort_by(|a, b| b.0.total_cmp(&a.0));
        for ((weight, key), (first, percent)) in weights.iter().zip(&ranking.first) {
            assert_eq!(key, first, "{}", ranking.evidence);
            let got = 100.0 * weight / sum;
            assert!((got - percent).abs() <= 0.05 + 1e-9, "{} {key}: {got}", ranking.evidence);
        }
    }
    assert_eq!(file.ranking.len(), 10);
}

fn naive(table: &Table) -> Network {
    let mut draft = Draft::new();
    (draft.none_weight, draft.other_weight) = (0.0, 0.0);
    for row in &table.row {
        let part = draft.part();
        draft.fault(Likely::Odds(row.odds), vec![part]);
    }
    for column in &table.column {
        let leak = table.background(&column.key) / 100.0;
        let push = |row: &Row| 1.0 - (1.0 - row.cell(table, &column.key) / 100.0) / (1.0 - leak);
        // K01 takes no part in the rankings, and some of its cells lie below its background.
        let pushes: Vec<(Fault, f64)> =
            table.row.iter().enumerate().map(|(at, row)| (Fault(at), push(row).max(0.0))).collect();
        draft.check(CheckDraft::pass_fail(leak, 0.0, 1.0, &pushes));
    }
    draft.build().unwrap()
}

fn read(table: &Table, ranking: &Ranking) -> Evidence {
    let mut evidence = Evidence::new();
    let both = [(&ranking.pass, [1.0, 0.0]), (&ranking.fail, [0.0, 1.0])];
    for (key, weights) in both.iter().flat_map(|(keys, w)| keys.iter().map(move |key| (key, w))) {
        assert_ne!(key, "K01");
        let at = table.column.iter().position(|column| column.key == *key).unwrap();
        evidence.read(Check(at), Likelihood::given(weights).unwrap());
    }
    evidence
}
