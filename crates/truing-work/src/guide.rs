//! Where the next step comes from: the engine, which takes the measurement that tells most, or a
//! written procedure of the spec.

use truing::engine::Visit;
use truing::engine::procedure::{Walk, walk};
use truing::engine::suspects::{NextCheck, Recommended, RepairVerdict};
use truing::model::{CheckId, Outcome, Procedure, SlotId, Taken};

use crate::bench::{Bench, Standing};
use crate::task::{Aim, Task};

/// What is proposed.
#[derive(Clone, Debug, PartialEq)]
pub enum Proposal {
    /// This step, and what its outcomes would point to.
    Take(Task, Option<NextCheck>),
    /// Nothing has to be measured for a decision: what the ranking recommends says why. A measurement
    /// that would tell most all the same.
    Decided(Option<Task>),
    /// Nothing is left.
    Nothing,
}

/// What is proposed next by the engine; where the spec lists no faults, its checks in order.
#[must_use]
pub fn by_engine(bench: &Bench, standing: &Standing, left_out: &[CheckId]) -> Proposal {
    let spec = bench.spec();
    if standing.stages.is_empty() {
        return next_in_order(bench, standing, left_out);
    }
    let Some(ranking) = standing.ranking() else { return Proposal::Nothing };
    let best = ranking.next.as_ref();
    let open = best.and_then(|next| {
        let all = std::iter::once((next.check, next.minutes))
            .chain(next.others.iter().map(|other| (other.check, other.minutes)));
        let mut tasks = all.map(|(check, minutes)| Task::check(spec, check, Some(minutes)));
        tasks.find(|task| !task.left(standing).is_empty())
    });
    // After a repair its proof comes first: what had failed.
    if let Some(proof) = &ranking.proof
        && proof.verdict == RepairVerdict::NotProven
    {
        let again = proof.missing.iter().filter(|check| !left_out.contains(check));
        let again = again.map(|check| Task::check(spec, *check, None));
        if let Some(task) = again.clone().find(|task| !task.left(standing).is_empty()) {
            return Proposal::Take(task, None);
        }
    }
    match (&ranking.recommended, open) {
        (Recommended::Measure(_), Some(task)) => {
            let why = best.filter(|next| task.aim == Aim::Check(next.check));
            Proposal::Take(task, why.cloned())
        }
        (_, open) => Proposal::Decided(open),
    }
}

/// The first check, as they depend on each other, that was not taken.
fn next_in_order(bench: &Bench, standing: &Standing, left_out: &[CheckId]) -> Proposal {
    let spec = bench.spec();
    let open = spec.order.iter().filter(|check| {
        !left_out.contains(check)
            && standing.outcome(**check).is_none_or(|outcome| outcome == Outcome::NotTaken)
    });
    let mut tasks = open.map(|check| Task::check(spec, *check, None));
    match tasks.find(|task| !task.left(standing).is_empty()) {
        Some(task) => Proposal::Take(task, None),
        None => Proposal::Nothing,
    }
}

/// Where a job stands in a procedure of the spec. Only what was read since the last repair counts.
#[must_use]
pub fn walked(bench: &Bench, standing: &Standing, procedure: &Procedure) -> Walk {
    let since = standing.rounds.iter().rposition(|round| !round.fitted.is_empty()).unwrap_or(0);
    let rounds = standing.rounds.get(since..).unwrap_or_default();
    let visits: Vec<Visit<'_>> = rounds
        .iter()
        .map(|of| Visit { sheet: &of.sheet, findings: &of.findings, fitted: &of.fitted })
        .collect();
    walk(bench.spec(), bench.compiled().plan(), procedure, &visits)
}

/// The step that a procedure takes next; nothing where it has ended or cannot go on.
#[must_use]
pub fn by_procedure(bench: &Bench, standing: &Standing, walk: &Walk) -> Option<Task> {
    let step = walk.next.as_ref()?;
    let spec = bench.spec();
    let of_condition = step.checks.first().map(|check| Taken::Check(*check));
    let taken = step.takes.iter().copied().chain(of_condition);
    let again: Vec<SlotId> = if step.again { step.slots().collect() } else { Vec::new() };
    let tasks =
        taken.map(|taken| Task::taken(spec, taken, Some(step.minutes)).again(again.clone()));
    let mut tasks = tasks.filter(|task| !task.left(standing).is_empty());
    // Where no check or reading is named, what settles a condition is read one by one.
    let by_reading = || step.slots().map(|slot| Task::taken(spec, Taken::Slot(slot), None));
    tasks.next().or_else(|| by_reading().find(|task| !task.left(standing).is_empty()))
}
