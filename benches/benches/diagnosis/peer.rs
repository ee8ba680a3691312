//! Posteriors over the same networks and readings by the Python library pyAgrum, which is started
//! from here.

use std::hint::black_box;
use std::process::Command;
use std::time::Instant;

use criterion::Criterion;
use serde_json::{Value, json};
use truing_benches::machine::{Machine, shown};
use truing_benches::root;
use truing_diagnosis::{Check, Evidence, Fault, Hypothesis, Likelihood, MaxFaults, Network};

use crate::whole::demo;
use crate::{CHECKS, FAULT, FAULTS};

const ROUNDS: usize = 9;

/// Readings of the same checks on as many machines.
const QUERIES: usize = 8;

const INSTALL: &str = "\
the Python library is not there; to measure beside it:
  python3 -m venv target/peer
  target/peer/bin/pip install -r benches/peer/requirements.txt
  TRUING_PEER_PYTHON=$PWD/target/peer/bin/python3 cargo bench -p truing-benches --bench diagnosis";

type Query = Vec<(usize, Vec<f64>)>;

struct Case {
    name: &'static str,
    network: Network,
    queries: Vec<Query>,
}

impl Case {
    /// Of the checks at hand, on machines with one fault each; every third reading is in doubt.
    fn new(name: &'static str, network: Network, checks: &[usize]) -> Self {
        let query = |fault: usize| -> Query {
            let seen = shown(&network, checks, fault).into_iter().zip(0..);
            let weights = seen.map(|((check, band), at)| {
                let bands = network.bands(Check(check)).unwrap();
                let doubt = if at % 3 == 0 { 0.1 / (bands as f64 - 1.0) } else { 0.0 };
                let weight = |k: usize| {
                    if k == band { 1.0 - doubt * (bands as f64 - 1.0) } else { doubt }
                };
                (check, (0..bands).map(weight).collect())
            });
            weights.collect()
        };
        let faults = network.faults();
        let queries = (0..QUERIES).map(|at| query(at * faults / QUERIES)).collect();
        Self { name, network, queries }
    }

    fn written(&self) -> Value {
        let network = &self.network;
        let checks = (0..network.checks()).map(Check).map(|check| {
            let pushes: Vec<_> = network.pushes(check).map(|(f, into)| (f.0, into)).collect();
            json!({
                "leak": network.outcome(check, Hypothesis::None),
                "slip": network.slip(check),
                "pushes": pushes,
            })
        });
        json!({
            "name": self.name,
            "none": network.weight(Hypothesis::None),
            "other": network.weight(Hypothesis::Other),
            "odds": (0..network.faults()).map(|f| network.odds(Fault(f))).collect::<Vec<_>>(),
            "pairs": network.max_faults() == MaxFaults::Two,
            "checks": checks.collect::<Vec<_>>(),
            "queries": self.queries,
        })
    }

    /// From the readings' likelihoods to the posterior.
    fn posterior(&self, query: &Query) -> truing_diagnosis::Posterior {
        let mut readings = Evidence::new();
        for (check, weights) in query {
            readings.read(Check(*check), Likelihood::given(weights).unwrap());
        }
        self.network.posterior(&readings).unwrap()
    }

    /// The median of some rounds, in nanoseconds per query, as the Python script takes it.
    fn per_query(&self) -> f64 {
        const REPEATS: usize = 20;
        let mut rounds: Vec<f64> = (0..ROUNDS)
            .map(|_| {
                let start = Instant::now();
                for query in (0..REPEATS).flat_map(|_| &self.queries) {
                    black_box(self.posterior(black_box(query)));
                }
                start.elapsed().as_nanos() as f64 / (REPEATS * self.queries.len()) as f64
            })
            .collect();
        rounds.sort_by(f64::total_cmp);
        rounds.get(ROUNDS / 2).copied().unwrap()
    }

    /// That the library says the same.
    fn compare(&self, theirs: &Value) {
        let theirs = theirs.get("posteriors").unwrap().as_array().unwrap();
        assert_eq!(theirs.len(), self.queries.len());
        for (query, theirs) in self.queries.iter().zip(theirs) {
            let theirs: Vec<f64> = serde_json::from_value(theirs.clone()).unwrap();
            let posterior = self.posterior(query);
            assert_eq!(posterior.iter().count(), theirs.len());
            for ((hypothesis, ours), theirs) in posterior.iter().zip(theirs) {
                let name = self.name;
                assert!((ours - theirs).abs() <= 1e-9, "{name}: {hypothesis:?} {ours} {theirs}");
            }
        }
    }
}

fn cases() -> Vec<Case> {
    let (compiled, sheets) = demo();
    let plan = compiled.suspect_plan().unwrap().unwrap();
    let charging = plan.network().clone();
    let read: Vec<usize> = (0..charging.checks())
        .filter(|check| {
            let slots = plan.check(Check(*check)).and_then(|id| compiled.spec().check(id));
            let slots = slots.map_or(&[][..], |check| &check.slots);
            sheets.iter().any(|sheet| slots.iter().all(|slot| sheet.taken(*slot)))
        })
        .collect();
    let machine = Machine::new(FAULTS, CHECKS);
    let checks = machine.looked_at(FAULT, 20);
    let small = Machine::new(20, 22);
    let all: Vec<usize> = (0..22).collect();
    let built = |machine: &Machine, most| machine.draft(most).build().unwrap();
    vec![
        Case::new("the charging model, one fault", charging, &read),
        Case::new("20 faults, 22 checks, two faults", built(&small, MaxFaults::Two), &all),
        Case::new("200 faults, 500 checks, one fault", built(&machine, MaxFaults::One), &checks),
        Case::new("200 faults, 500 checks, two faults", built(&machine, MaxFaults::Two), &checks),
    ]
}

/// What the Python library says and how long it takes; `None` where it is not there.
fn python(cases: &[Case]) -> Option<Value> {
    let interpreter = std::env::var("TRUING_PEER_PYTHON").unwrap_or("python3".to_owned());
    let script = root().join("benches/peer/agrum_peer.py");
    let networks: Vec<Value> = cases.iter().map(Case::written).collect();
    let directory = tempfile::tempdir().unwrap();
    let file = directory.path().join("networks.json");
    let text = serde_json::to_string(&json!({ "networks": networks })).unwrap();
    std::fs::write(&file, text).unwrap();
    let output = Command::new(interpreter).arg(script).arg(file).output().ok()?;
    output.status.success().then(|| serde_json::from_slice(&output.stdout).unwrap())
}

pub fn posteriors(_: &mut Criterion) {
    let cases = cases();
    let Some(told) = python(&cases) else { return println!("{INSTALL}") };
    let networks = told.get("networks").unwrap().as_array().unwrap();
    assert_eq!(networks.len(), cases.len());
    for (case, theirs) in cases.iter().zip(networks) {
        // The same figures, before times are compared.
        case.compare(theirs);
        let ours = case.per_query();
        let nanoseconds = theirs.get("per_query_ns").and_then(Value::as_f64).unwrap();
        println!(
            "posterior, {} ({} readings): truing {:.1} µs; pyAgrum {:.0} µs by {} ({:.0} times)",
            case.name,
            case.queries.first().map_or(0, Vec::len),
            ours / 1e3,
            nanoseconds / 1e3,
            theirs.get("inference").unwrap(),
            nanoseconds / ours,
        );
    }
    println!("{}", told.get("versions").unwrap());
}
