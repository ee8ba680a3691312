//! The walk itself.

use truing_model::{
    CautionId, CheckId, Outcome, Procedure, SlotId, Spec, StateId, Step, StepId, Taken,
};

use super::effort::{Standing, add};
use super::rounds::Rounds;
use super::walked::{Asked, End, Now, Passed, Took, Walk, WalkStep, What};
use crate::plan::Plan;
use crate::suspects::Visit;

/// Where rounds of a job stand in a written order; best rounds with no repair between them. `plan`
/// is that of the spec, and the procedure is one of it.
#[must_use]
pub fn walk(spec: &Spec, plan: &Plan, procedure: &Procedure, visits: &[Visit<'_>]) -> Walk {
    let rounds = Rounds::new(spec, plan, procedure, visits);
    let mut walker = Walker { procedure, rounds: &rounds, trail: Vec::new() };
    let end = walker.follow();
    let next = walker.next(&end);
    Walk { trail: walker.trail, end, next }
}

struct Walker<'a> {
    procedure: &'a Procedure,
    rounds: &'a Rounds<'a>,
    trail: Vec<Passed>,
}

/// A block that is being gone through.
struct Frame<'a> {
    block: &'a [StepId],
    at: usize,
    /// The first step of it that takes something that is open.
    waits: Option<StepId>,
}

impl<'a> Walker<'a> {
    fn follow(&mut self) -> End {
        let procedure = self.procedure;
        let frame = |block: &'a [StepId]| Frame { block, at: 0, waits: None };
        let mut frames = vec![frame(&procedure.body)];
        while let Some(depth) = frames.len().checked_sub(1)
            && let Some(here) = frames.last_mut()
        {
            let Some(id) = here.block.get(here.at).copied() else {
                let waits = here.waits;
                frames.pop();
                match frames.last_mut() {
                    // What a branch left open is open behind it.
                    Some(outer) => outer.waits = outer.waits.or(waits),
                    None => return waits.map_or(End::Finished, End::Takes),
                }
                continue;
            };
            here.at += 1;
            let what = match procedure.step(id) {
                None => continue,
                Some(Step::Take(taken)) => {
                    let took = self.took(taken);
                    if took.iter().any(|took| took.now.is_open()) {
                        here.waits = here.waits.or(Some(id));
                    }
                    What::Took(took)
                }
                Some(Step::Caution(cautions)) => What::Cautioned(cautions.clone()),
                Some(Step::If { condition, then, otherwise, .. }) => {
                    let (holds, deciding) = self.rounds.condition(*condition);
                    let asked: Vec<Asked> =
                        deciding.iter().filter_map(|leaf| self.rounds.asked(*leaf)).collect();
                    let Some(holds) = holds else { return End::Unknown { step: id, asked } };
                    frames.push(frame(if holds { then } else { otherwise }));
                    What::Turned { holds, asked }
                }
                Some(Step::Advise(_) | Step::Suspect(_) | Step::Stop) if here.waits.is_some() => {
                    return here.waits.map_or(End::Finished, End::Takes);
                }
                Some(Step::Advise(_)) => What::Advised,
                Some(Step::Suspect(faults)) => What::Suspected(faults.clone()),
                Some(Step::Stop) => return End::Stopped(id),
            };
            self.trail.push(Passed { step: id, depth, what });
        }
        End::Finished
    }

    fn took(&self, taken: &[Taken]) -> Vec<Took> {
        taken.iter().map(|of| Took { taken: *of, now: self.rounds.now(*of) }).collect()
    }

    /// What to do next.
    fn next(&self, end: &End) -> Option<WalkStep> {
        if matches!(end, End::Stopped(_) | End::Finished) {
            return None;
        }
        let first = self.trail.iter().enumerate().find_map(|(at, passed)| {
            let What::Took(took) = &passed.what else { return None };
            let open = took.iter().filter(|took| took.now == Now::Open).map(|took| took.taken);
            let open: Vec<Taken> = open.collect();
            (!open.is_empty()).then_some((at, passed.step, open))
        });
        match (first, end) {
            (Some((at, step, takes)), _) => Some(self.take(at, step, takes)),
            (None, End::Unknown { step, asked }) => self.settle(*step, asked),
            (None, _) => None,
        }
    }

    fn take(&self, at: usize, step: StepId, takes: Vec<Taken>) -> WalkStep {
        let mut slots: Vec<SlotId> = Vec::new();
        let mut checks: Vec<CheckId> = Vec::new();
        for taken in &takes {
            let open = self.rounds.open(*taken).into_iter();
            let fresh: Vec<SlotId> = open.filter(|slot| !slots.contains(slot)).collect();
            slots.extend(fresh);
            if let Taken::Check(check) = taken {
                checks.push(*check);
            }
        }
        let told = self.trail.get(..at).unwrap_or_default();
        WalkStep { takes, checks, ..self.step(told, step, &slots) }
    }

    /// What settles a condition: what is missing, else what does not decide.
    fn settle(&self, step: StepId, asked: &[Asked]) -> Option<WalkStep> {
        let collect = |of: fn(&Asked) -> &[SlotId]| {
            let mut all: Vec<SlotId> = Vec::new();
            for slot in asked.iter().flat_map(of) {
                if !all.contains(slot) {
                    all.push(*slot);
                }
            }
            all
        };
        let missing = collect(|asked| &asked.missing);
        let again = missing.is_empty();
        let slots = if again { collect(|asked| &asked.again) } else { missing };
        if slots.is_empty() {
            return None;
        }
        Some(WalkStep { again, ..self.step(&self.trail, step, &slots) })
    }

    fn step(&self, told: &[Passed], step: StepId, slots: &[SlotId]) -> WalkStep {
        let spec = self.rounds.spec;
        let mut cautions: Vec<CautionId> = Vec::new();
        for passed in told {
            if let What::Cautioned(more) = &passed.what {
                add(&mut cautions, more);
            }
        }
        let mut standing = Standing::after(spec, self.rounds.read());
        let stands = standing.stands(spec, slots, |state| self.is_waived(state));
        stands.iter().for_each(|stand| add(&mut cautions, &stand.cautions));
        let minutes = stands.iter().map(|stand| stand.minutes).sum();
        let (takes, checks) = (Vec::new(), Vec::new());
        WalkStep { step, takes, again: false, cautions, stands, checks, minutes }
    }

    fn is_waived(&self, state: StateId) -> bool {
        let waived = self.rounds.spec.state(state).map_or(&[][..], |of| &of.waived);
        waived.iter().any(|by| {
            let outcome: Outcome = self.rounds.check(by.check).outcome;
            truing_model::CheckBand::of(outcome) == Some(by.band)
        })
    }
}
