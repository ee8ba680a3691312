//! T.
#![allow(missing_docs, clippy::all, clippy::pedantic)]
#[path = "../tests/large/mod.rs"]
mod large;
use truing_diagnosis::*;
fn main() {
    let draft = large::draft(200, 500, MaxFaults::Two);
    let network = draft.build().unwrap();
    for n in [0, 5, 20] {
        let evidence = large::readings(&draft, Fault(17), n);
        for _ in 0..3 {
            let t = std::time::Instant::now();
            let posterior = network.posterior(&evidence).unwrap();
            let t1 = t.elapsed();
            let next = network
                .next(&posterior, &evidence, &Situation::default(), &StopRules::default())
                .unwrap();
            println!(
                "{n}: posterior {t1:?} all {:?} {:?} {:?}",
                t.elapsed(),
                next.advice,
                next.value
            );
            println!("   {:?}", posterior.top(3));
        }
    }
}
