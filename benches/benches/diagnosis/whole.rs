//! From a sheet to the ranking, the reasons and the next measurement, as data. Specs are compiled and
//! their faults laid out beforehand, and every first question asked.

use std::hint::black_box;

use criterion::Criterion;
use truing::engine::suspects::Complaint;
use truing::job::read_sheet_file;
use truing::{Compiled, Detail, Sheet, SuspectRound};
use truing_benches::machine::{Machine, reading_of, shown};
use truing_benches::{reading, root};
use truing_engine::Visit;
use truing_model::SlotId;

use crate::{CHECKS, FAULT, FAULTS};

/// Everything, and the part that comes after the checks were judged.
fn both(
    c: &mut Criterion,
    name: &str,
    compiled: &Compiled,
    sheets: &[Sheet],
    complaint: Complaint,
) {
    let rounds: Vec<SuspectRound<'_>> =
        sheets.iter().map(|sheet| SuspectRound { sheet, fitted: &[] }).collect();
    let plan = compiled.suspect_plan().unwrap().unwrap();
    let stages = compiled.suspects(&rounds, complaint).unwrap();
    assert!(stages.first().unwrap().ranking.is_ok());
    let mut group = c.benchmark_group(name.to_owned());
    group.bench_function("judged and ranked, next and reasons", |b| {
        b.iter(|| compiled.suspects(black_box(&rounds), complaint).unwrap());
    });
    let findings: Vec<_> =
        sheets.iter().map(|sheet| compiled.assess_with(sheet, Detail::Budgets)).collect();
    let visits: Vec<Visit<'_>> = sheets
        .iter()
        .zip(&findings)
        .map(|(sheet, findings)| Visit { sheet, findings, fitted: &[] })
        .collect();
    group.bench_function("ranked only", |b| {
        b.iter(|| plan.rank(compiled.spec(), black_box(&visits), complaint));
    });
}

/// 200 faults, 500 checks, 20 of them read.
pub fn large(c: &mut Criterion) {
    let machine = Machine::new(FAULTS, CHECKS);
    let text = machine.spec();
    let compiled = Compiled::from_text("machine.truing", &text).unwrap();
    let network = compiled.suspect_plan().unwrap().unwrap().network();
    let seen = shown(network, &machine.looked_at(FAULT, 20), FAULT);
    let mut sheet = Sheet::new(compiled.spec());
    for (check, band) in &seen {
        let slot = SlotId(u32::try_from(*check).unwrap());
        sheet.set(slot, reading(compiled.spec(), slot, reading_of(*band))).unwrap();
    }
    let took = allocation_counter::measure(|| {
        let compiled = Compiled::from_text("machine.truing", &text).unwrap();
        let rounds = [SuspectRound { sheet: &sheet, fitted: &[] }];
        black_box(compiled.suspects(&rounds, Complaint::None).unwrap());
    });
    println!("spec and ranking: {:.1} MB at the highest", took.bytes_max as f64 / 1e6);
    both(c, "sheet of 200 faults, 500 checks", &compiled, &[sheet], Complaint::None);
}

/// A job on the demo machine whose faults are those of the charging library.
pub fn charging(c: &mut Criterion) {
    let (compiled, sheets) = demo();
    let network = compiled.suspect_plan().unwrap().unwrap().network();
    println!("charging model: {} faults, {} checks", network.faults(), network.checks());
    both(c, "sheet of the charging model", &compiled, &sheets, Complaint::Told);
}

/// The demo machine and the first round of one of its jobs.
pub fn demo() -> (Compiled, Vec<Sheet>) {
    let compiled =
        Compiled::from_path(root().join("specs/demo/ostrevik-hauler-680.truing")).unwrap();
    let job = read_sheet_file(&root().join("specs/demo/jobs/pl-0702.toml")).unwrap();
    let sheets = vec![compiled.bind(&job, 0).unwrap()];
    (compiled, sheets)
}
