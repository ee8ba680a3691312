//! The generated machine: its spec says what its network says, and it stays within its memory.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    missing_docs,
    reason = "a test that panics has failed"
)]

use truing::engine::suspects::Complaint;
use truing::{Compiled, Sheet, SuspectRound};
use truing_benches::machine::{Machine, evidence, reading_of, shown};
use truing_benches::reading;
use truing_diagnosis::{MaxFaults, Network, Situation, StopRules};
use truing_model::SlotId;

fn sheet(compiled: &Compiled, shown: &[(usize, usize)]) -> Sheet {
    let mut sheet = Sheet::new(compiled.spec());
    for (check, band) in shown {
        let slot = SlotId(u32::try_from(*check).unwrap());
        sheet.set(slot, reading(compiled.spec(), slot, reading_of(*band))).unwrap();
    }
    sheet
}

fn alike(a: f64, b: f64) {
    assert!((a - b).abs() <= 1e-12 * a.abs().max(1.0), "{a} is not {b}");
}

#[test]
fn spec_and_network_say_the_same() {
    let machine = Machine::new(30, 50);
    let compiled = Compiled::from_text("machine.truing", &machine.spec()).unwrap();
    let plan = compiled.suspect_plan().unwrap().unwrap();
    let (of_spec, own): (&Network, Network) =
        (plan.network(), machine.draft(MaxFaults::One).build().unwrap());
    let seen = shown(&own, &machine.looked_at(7, 12), 7);
    let readings = evidence(&own, &seen);
    let (theirs, ours) = (of_spec.posterior(&readings).unwrap(), own.posterior(&readings).unwrap());
    for ((h, p), (other, q)) in ours.iter().zip(theirs.iter()) {
        assert_eq!(h, other);
        alike(p, q);
    }
    let next = |network: &Network, posterior| {
        let (situation, rules) = (Situation::default(), StopRules::default());
        network.next(posterior, &readings, &situation, &rules).unwrap()
    };
    let (theirs, ours) = (next(of_spec, &theirs), next(&own, &ours));
    assert_eq!((&theirs.advice, theirs.proposed), (&ours.advice, ours.proposed));
    for (theirs, ours) in theirs.candidates.iter().zip(&ours.candidates) {
        assert_eq!(theirs.chain, ours.chain);
        alike(theirs.minutes, ours.minutes);
        alike(theirs.bits, ours.bits);
    }
    alike(theirs.plan.unwrap().minutes, ours.plan.unwrap().minutes);

    // The same through sheets.
    let sheet = sheet(&compiled, &seen);
    let rounds = [SuspectRound { sheet: &sheet, fitted: &[] }];
    let stages = compiled.suspects(&rounds, Complaint::None).unwrap();
    let ranking = stages.first().unwrap().ranking.as_ref().unwrap();
    let posterior = own.posterior(&readings).unwrap();
    for fault in &ranking.faults {
        let p = posterior.faults().get(fault.fault.0 as usize).copied().unwrap();
        assert!((p - fault.probability).abs() < 1e-6, "{p} is not {}", fault.probability);
    }
    assert_eq!(ranking.faults.first().unwrap().fault.0, 7);
}

/// From the text to the ranking: 200 faults, 500 checks, 20 of them read.
#[test]
fn a_large_machine_stays_within_its_memory() {
    let machine = Machine::new(200, 500);
    let text = machine.spec();
    let own = machine.draft(MaxFaults::One).build().unwrap();
    let seen = shown(&own, &machine.looked_at(17, 20), 17);
    let took = allocation_counter::measure(|| {
        let compiled = Compiled::from_text("machine.truing", &text).unwrap();
        let sheet = sheet(&compiled, &seen);
        let rounds = [SuspectRound { sheet: &sheet, fitted: &[] }];
        let stages = compiled.suspects(&rounds, Complaint::None).unwrap();
        let ranking = stages.first().unwrap().ranking.as_ref().unwrap();
        assert_eq!(ranking.faults.first().unwrap().fault.0, 17);
    });
    eprintln!("{} bytes at the highest", took.bytes_max);
    assert!(took.bytes_max < 50_000_000, "{} bytes", took.bytes_max);
}
