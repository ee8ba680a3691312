//! Every way through a procedure: which conditions may go which way, how probable that is under each
//! hypothesis, and what it takes.

use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

use truing_model::{CheckId, FaultId, Procedure, SlotId, Step, StepId, Taken};

use super::cases::{Case, Model, Open, Question};
use super::effort::Standing;
use super::needs;

/// So many ways through a procedure are followed; what is beyond is told.
pub const MOST_PATHS: usize = 1024;

/// So many cases are parted at most, for the same reason.
const MOST_CASES: usize = 16_384;

/// A procedure of more steps is not followed.
pub(super) const MOST_STEPS: usize = 2_000;

/// What is met on the way.
pub(super) trait Visitor {
    /// A way comes to suspects.
    fn suspects(&mut self, step: StepId, faults: &[FaultId], way: &Way);
    /// A way comes to its end.
    fn ends(&mut self, way: &Way, stuck: bool);
}

/// One way through the procedure, up to somewhere.
#[derive(Clone, Debug)]
pub(super) struct Way {
    pub cases: Vec<Case>,
    /// The last turn that was taken, with those before it.
    pub turns: Option<Rc<Turn>>,
    /// The faults that were named.
    pub named: BTreeSet<FaultId>,
}

/// A condition that went one way.
#[derive(Debug)]
pub(super) struct Turn {
    pub step: StepId,
    pub holds: bool,
    /// The weight of each hypothesis before it and behind it.
    pub before: Vec<f64>,
    pub behind: Vec<f64>,
    pub earlier: Option<Rc<Turn>>,
}

impl Way {
    /// The weight of each hypothesis.
    pub fn mass(&self) -> Vec<f64> {
        sum(&self.cases)
    }

    pub fn total(&self) -> f64 {
        self.cases.iter().map(Case::total).sum()
    }
}

fn sum(cases: &[Case]) -> Vec<f64> {
    let mut all = cases.first().map_or(Vec::new(), |case| case.mass.clone());
    for case in cases.iter().skip(1) {
        all.iter_mut().zip(&case.mass).for_each(|(sum, mass)| *sum += mass);
    }
    all
}

/// What was seen of a condition on all ways that lead to it.
#[derive(Clone, Debug, Default)]
pub(super) struct Seen {
    pub holds: bool,
    pub fails: bool,
    /// The probability that it is not known.
    pub open: f64,
    /// Checks that it asks about and that no step before it took, on some way.
    pub untaken: BTreeSet<CheckId>,
}

/// What following every way came to.
#[derive(Clone, Debug, Default)]
pub(super) struct Followed {
    pub seen: BTreeMap<StepId, Seen>,
    /// How many ways there are.
    pub paths: usize,
    pub minutes: f64,
    pub readings: f64,
    /// The probability of the ways that were not followed to their end.
    pub beyond: f64,
}

struct Frame<'a> {
    block: &'a [StepId],
    at: usize,
}

impl Clone for Frame<'_> {
    fn clone(&self) -> Self {
        Self { block: self.block, at: self.at }
    }
}

/// What is asked at each step, ready.
#[derive(Default)]
struct Prepared {
    question: Option<Question>,
    /// Of what a step takes: its readings, and whether it would be judged.
    takes: Vec<(Vec<SlotId>, Option<Question>)>,
    /// What this step, and what is in it, may need to know.
    opens: BTreeSet<Open>,
    /// And what stands behind it in its block.
    behind: Rc<BTreeSet<Open>>,
}

/// Follows every way.
pub(super) fn follow(
    model: &Model<'_>,
    procedure: &Procedure,
    visitor: &mut impl Visitor,
) -> Followed {
    let prepared = prepare(model, procedure);
    let followed = Followed::default();
    let mut follower = Follower { model, procedure, prepared, followed, parted: 0 };
    follower.all(visitor);
    follower.followed
}

struct Follower<'a, 'm> {
    model: &'a Model<'m>,
    procedure: &'a Procedure,
    prepared: Vec<Prepared>,
    followed: Followed,
    parted: usize,
}

impl<'a> Follower<'a, '_> {
    fn all(&mut self, visitor: &mut impl Visitor) {
        let way = Way { cases: vec![self.model.beginning()], turns: None, named: BTreeSet::new() };
        let procedure = self.procedure;
        let mut open = vec![(vec![Frame { block: &procedure.body, at: 0 }], way)];
        while let Some((frames, way)) = open.pop() {
            if self.followed.paths >= MOST_PATHS || self.parted >= MOST_CASES {
                self.followed.beyond += way.total();
                continue;
            }
            open.extend(self.one(frames, way, visitor));
        }
    }

    /// Follows one way up to where it parts, and gives its parts.
    fn one(
        &mut self,
        mut frames: Vec<Frame<'a>>,
        mut way: Way,
        visitor: &mut impl Visitor,
    ) -> Vec<(Vec<Frame<'a>>, Way)> {
        let procedure = self.procedure;
        while let Some(here) = frames.last_mut() {
            let Some(id) = here.block.get(here.at).copied() else {
                frames.pop();
                continue;
            };
            here.at += 1;
            match procedure.step(id) {
                Some(Step::Take(_)) => self.take(id, &mut way),
                Some(Step::Suspect(faults)) => {
                    way.named.extend(faults);
                    visitor.suspects(id, faults, &way);
                }
                Some(Step::Stop) => frames.clear(),
                Some(Step::If { then, otherwise, .. }) => {
                    let ways = self.turn(id, way, visitor);
                    let block = |holds| if holds { then } else { otherwise };
                    let on = ways.into_iter().map(|(holds, way)| {
                        let mut frames = frames.clone();
                        frames.push(Frame { block: block(holds), at: 0 });
                        (frames, way)
                    });
                    let mut on: Vec<(Vec<Frame<'a>>, Way)> = on.collect();
                    for (frames, way) in &mut on {
                        way.cases = self.merged(frames, std::mem::take(&mut way.cases));
                    }
                    return on;
                }
                Some(Step::Advise(_) | Step::Caution(_)) | None => {}
            }
        }
        self.followed.paths += 1;
        visitor.ends(&way, false);
        Vec::new()
    }

    fn take(&mut self, id: StepId, way: &mut Way) {
        let Some(prepared) = self.prepared.get(id.0 as usize) else { return };
        let mut done = Vec::new();
        let mut todo: Vec<(Case, usize)> =
            std::mem::take(&mut way.cases).into_iter().map(|case| (case, 0)).collect();
        todo.reverse();
        while let Some((mut case, at)) = todo.pop() {
            let Some((slots, when)) = prepared.takes.get(at) else {
                done.push(case);
                continue;
            };
            let judged =
                when.as_ref().map_or(Ok(Some(true)), |when| self.model.may_be_judged(&case, when));
            let open = match judged {
                // It is known not to be judged: nobody takes it.
                Ok(Some(false)) => {
                    todo.push((case, at + 1));
                    continue;
                }
                Ok(_) => self.waiver_open(&case, slots),
                Err(open) => Some(open),
            };
            if let Some(open) = open {
                self.parted += 1;
                let parts = self.model.parted(&case, open).into_iter().rev();
                todo.extend(parts.map(|(_, case)| (case, at)));
                continue;
            }
            let waived: BTreeSet<_> = Standing::states(self.model.spec, slots)
                .into_iter()
                .filter(|state| self.model.waives(&case, *state) == Ok(Some(true)))
                .collect();
            let (minutes, readings) =
                case.standing.spend(self.model.spec, slots, |state| waived.contains(&state));
            let total = case.total();
            self.followed.minutes += total * minutes;
            self.followed.readings += total * readings as f64;
            todo.push((case, at + 1));
        }
        way.cases = done;
    }

    /// What has to be known to say whether a state that is gone through is waived.
    fn waiver_open(&self, case: &Case, slots: &[SlotId]) -> Option<Open> {
        let fresh: Vec<SlotId> =
            slots.iter().copied().filter(|slot| !case.standing.taken.contains(slot)).collect();
        let states = Standing::states(self.model.spec, &fresh).into_iter();
        let mut shut = states.filter(|state| !case.standing.is_open(*state));
        shut.find_map(|state| self.model.waives(case, state).err())
    }

    /// The ways on from a condition; where it is not known the way ends.
    fn turn(&mut self, id: StepId, way: Way, visitor: &mut impl Visitor) -> Vec<(bool, Way)> {
        let Some(question) = self.prepared.get(id.0 as usize).and_then(|p| p.question.as_ref())
        else {
            return Vec::new();
        };
        let before = way.mass();
        let (mut yes, mut no, mut stuck) = (Vec::new(), Vec::new(), Vec::new());
        let mut todo = way.cases;
        todo.reverse();
        let mut untaken = BTreeSet::new();
        while let Some(case) = todo.pop() {
            match self.model.holds(&case, question) {
                Ok(Some(true)) => yes.push(case),
                Ok(Some(false)) => no.push(case),
                Ok(None) => {
                    untaken.extend(self.model.untaken(&case, question));
                    stuck.push(case);
                }
                Err(open) => {
                    self.parted += 1;
                    let parts = self.model.parted(&case, open).into_iter().rev();
                    todo.extend(parts.map(|(_, case)| case));
                }
            }
        }
        let seen = self.followed.seen.entry(id).or_default();
        seen.holds |= !yes.is_empty();
        seen.fails |= !no.is_empty();
        seen.open += stuck.iter().map(Case::total).sum::<f64>();
        seen.untaken.extend(untaken);
        if !stuck.is_empty() {
            self.followed.paths += 1;
            let way = Way { cases: stuck, turns: way.turns.clone(), named: way.named.clone() };
            visitor.ends(&way, true);
        }
        // The way on where the condition does not hold is followed first.
        let ways = [(true, yes), (false, no)].into_iter().filter(|(_, cases)| !cases.is_empty());
        let on = ways.map(|(holds, cases)| {
            let behind = sum(&cases);
            let earlier = way.turns.clone();
            let turn = Turn { step: id, holds, before: before.clone(), behind, earlier };
            (holds, Way { cases, turns: Some(Rc::new(turn)), named: way.named.clone() })
        });
        on.collect()
    }

    /// Cases that nothing behind here tells apart, as one.
    fn merged(&self, frames: &[Frame<'a>], cases: Vec<Case>) -> Vec<Case> {
        if cases.len() < 2 {
            return cases;
        }
        let mut live: BTreeSet<Open> = BTreeSet::new();
        for frame in frames {
            let step = frame.block.get(frame.at).and_then(|id| self.prepared.get(id.0 as usize));
            if let Some(prepared) = step {
                live.extend(prepared.opens.iter().chain(prepared.behind.iter()).copied());
            }
        }
        let mut merged: BTreeMap<(BTreeMap<Open, bool>, Standing), Case> = BTreeMap::new();
        for mut case in cases {
            case.known.retain(|open, _| live.contains(open));
            let key = (case.known.clone(), case.standing.clone());
            match merged.get_mut(&key) {
                Some(kept) => {
                    kept.mass.iter_mut().zip(&case.mass).for_each(|(sum, mass)| *sum += mass);
                }
                None => {
                    merged.insert(key, case);
                }
            }
        }
        merged.into_values().collect()
    }
}

fn prepare(model: &Model<'_>, procedure: &Procedure) -> Vec<Prepared> {
    let mut all: Vec<Prepared> = procedure.steps.iter().map(|step| prepared(model, step)).collect();
    // What is in a branch stands behind its step: from the end, parts are ready before wholes.
    for at in (0..procedure.steps.len()).rev() {
        let Some(Step::If { then, otherwise, .. }) = procedure.steps.get(at) else { continue };
        let inner = block(&mut all, then).union(&block(&mut all, otherwise)).copied().collect();
        if let Some(here) = all.get_mut(at) {
            here.opens = here.opens.union(&inner).copied().collect();
        }
    }
    block(&mut all, &procedure.body);
    all
}

/// Says of each step of a block what stands behind it; gives what all of them may need to know.
fn block(all: &mut [Prepared], steps: &[StepId]) -> BTreeSet<Open> {
    let mut behind: BTreeSet<Open> = BTreeSet::new();
    for id in steps.iter().rev() {
        let Some(here) = all.get_mut(id.0 as usize) else { continue };
        here.behind = Rc::new(behind.clone());
        behind.extend(&here.opens);
    }
    behind
}

fn prepared(model: &Model<'_>, step: &Step) -> Prepared {
    let mut prepared = Prepared::default();
    match step {
        Step::If { condition, .. } => {
            let question = model.question(*condition);
            prepared.opens = question.opens(model);
            prepared.question = Some(question);
        }
        Step::Take(taken) => {
            for taken in taken {
                let when = match taken {
                    Taken::Check(check) => model.spec.check(*check).and_then(|check| check.when),
                    _ => None,
                };
                let when = when.map(|when| model.question(when));
                let slots = needs::readings(model.spec, *taken);
                prepared.opens.extend(when.iter().flat_map(|when| when.opens(model)));
                let states = Standing::states(model.spec, &slots).into_iter();
                let waived = states.filter_map(|state| model.spec.state(state));
                let waived = waived.flat_map(|state| &state.waived);
                prepared.opens.extend(waived.map(|by| Open::Check(by.check)));
                prepared.takes.push((slots, when));
            }
        }
        _ => {}
    }
    prepared
}
