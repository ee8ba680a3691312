//! A written procedure, followed by plain recursion: to be read beside the language reference, and
//! held against the walk that ships.

use std::collections::BTreeSet;

use truing_model::node::{Node, walk};
use truing_model::{
    Check, CheckId, CheckRule, LogicId, LogicNode, NumberNode, Outcome, Procedure, Reading, SlotId,
    Spec, Step, StepId, Taken,
};

use super::judge::Judge;
use super::judged;
use crate::sheet::Sheet;

/// Where following a procedure ends.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum Followed {
    /// At this `stop`.
    Stop(StepId),
    /// Behind the last step.
    End,
    /// Something that this step takes is not there, and what comes then waits for it.
    Takes(StepId),
    /// The condition of this step is not known.
    Unknown(StepId),
}

/// Follows a procedure over the rounds of a job: the steps that were come through, conditions with
/// the way that was taken, and where it ends.
#[must_use]
pub fn follow(
    spec: &Spec,
    procedure: &Procedure,
    rounds: &[&Sheet],
) -> (Vec<(StepId, Option<bool>)>, Followed) {
    let judges = rounds.iter().map(|sheet| judged(spec, sheet)).collect();
    let mut follower = Follower { spec, procedure, judges, steps: Vec::new() };
    let end = match follower.block(&procedure.body) {
        Err(end) => end,
        Ok(None) => Followed::End,
        Ok(Some(open)) => Followed::Takes(open),
    };
    (follower.steps, end)
}

struct Follower<'a> {
    spec: &'a Spec,
    procedure: &'a Procedure,
    judges: Vec<Judge<'a>>,
    steps: Vec<(StepId, Option<bool>)>,
}

impl Follower<'_> {
    /// The first step of the block that is open, where nothing ends it.
    fn block(&mut self, block: &[StepId]) -> Result<Option<StepId>, Followed> {
        let procedure = self.procedure;
        let mut open: Option<StepId> = None;
        for id in block {
            let waits = open.map_or(Ok(()), |open| Err(Followed::Takes(open)));
            match procedure.step(*id) {
                Some(Step::Take(taken)) => {
                    if taken.iter().any(|taken| self.is_open(*taken)) {
                        open = open.or(Some(*id));
                    }
                    self.steps.push((*id, None));
                }
                Some(Step::If { condition, then, otherwise, .. }) => {
                    let holds = self.holds(*condition).ok_or(Followed::Unknown(*id))?;
                    self.steps.push((*id, Some(holds)));
                    let inner = self.block(if holds { then } else { otherwise })?;
                    open = open.or(inner);
                }
                Some(Step::Stop) => {
                    waits?;
                    return Err(Followed::Stop(*id));
                }
                Some(Step::Advise(_) | Step::Suspect(_)) => {
                    waits?;
                    self.steps.push((*id, None));
                }
                Some(Step::Caution(_)) => self.steps.push((*id, None)),
                None => {}
            }
        }
        Ok(open)
    }

    /// Kleene's logic over what the rounds say.
    fn holds(&self, condition: LogicId) -> Option<bool> {
        let decided = |outcome: Outcome| (outcome.passes() || outcome.fails()).then_some(outcome);
        match self.spec.logic.get(condition.0 as usize)? {
            LogicNode::Constant(value) => Some(*value),
            LogicNode::Passes(check) => decided(self.came(*check)).map(Outcome::passes),
            LogicNode::Fails(check) => decided(self.came(*check)).map(Outcome::fails),
            LogicNode::Not(of) => Some(!self.holds(*of)?),
            LogicNode::All(of) => {
                let parts: Vec<Option<bool>> = of.iter().map(|of| self.holds(*of)).collect();
                match () {
                    () if parts.contains(&Some(false)) => Some(false),
                    () if parts.contains(&None) => None,
                    () => Some(true),
                }
            }
            LogicNode::Any(of) => {
                let parts: Vec<Option<bool>> = of.iter().map(|of| self.holds(*of)).collect();
                match () {
                    () if parts.contains(&Some(true)) => Some(true),
                    () if parts.contains(&None) => None,
                    () => Some(false),
                }
            }
            _ => {
                let check = check_of(condition);
                let came: Vec<Outcome> =
                    self.judges.iter().map(|judge| judge.comes_of(&check)).collect();
                decided(together(&came)).map(Outcome::passes)
            }
        }
    }

    fn came(&self, check: CheckId) -> Outcome {
        let came: Vec<Outcome> = self
            .judges
            .iter()
            .map(|judge| judge.outcomes.get(&check).copied().unwrap_or(Outcome::Blocked))
            .collect();
        together(&came)
    }

    /// Whether something is to be taken that is not there.
    fn is_open(&self, taken: Taken) -> bool {
        let missing = self.slots(taken).into_iter().any(|slot| !self.is_settled(slot));
        let Taken::Check(check) = taken else { return missing };
        let untried = matches!(self.came(check), Outcome::NotTaken | Outcome::Blocked);
        let when = self.spec.check(check).and_then(|check| check.when);
        missing && untried && when.is_none_or(|when| self.holds(when) != Some(false))
    }

    /// Whether any round says something of a slot, or it can no longer be read.
    fn is_settled(&self, slot: SlotId) -> bool {
        let said = self.judges.iter().any(|judge| judge.sheet.get(slot).is_some());
        said || self.came_in(self.spec.slot(slot).and_then(|slot| slot.during)) && self.moved()
    }

    /// Whether a state is that in which the machine came in: nothing leads to it and it takes no
    /// time, and others are reached from it.
    fn came_in(&self, state: Option<truing_model::StateId>) -> bool {
        state.is_some_and(|id| {
            let first =
                self.spec.state(id).is_some_and(|of| of.from.is_empty() && of.takes.is_none());
            first && self.spec.states.iter().any(|other| other.from.contains(&id))
        })
    }

    /// Whether anything was read in another state than that.
    fn moved(&self) -> bool {
        self.judges.iter().any(|judge| {
            judge.sheet.readings().any(|(slot, reading)| {
                let during = self.spec.slot(slot).and_then(|slot| slot.during);
                let state = judge.sheet.state(slot).or(during);
                let taken = !matches!(reading, Reading::NotTaken { .. });
                taken && state.is_some() && !self.came_in(state)
            })
        })
    }

    fn slots(&self, taken: Taken) -> BTreeSet<SlotId> {
        let own: BTreeSet<SlotId> = match taken {
            Taken::Slot(slot) => BTreeSet::from([slot]),
            Taken::Derived(derived) => {
                let derived = self.spec.derived.get(derived.0 as usize);
                derived.into_iter().flat_map(|of| of.slots.iter().copied()).collect()
            }
            Taken::Check(id) => {
                let check = self.spec.check(id);
                let rule = check.into_iter().flat_map(|check| check.slots.iter().copied());
                let when = check.and_then(|check| check.when).map(Node::Logic);
                let nodes = walk(self.spec, when).unwrap_or_default();
                rule.chain(nodes.into_iter().filter_map(|node| self.slot_of(node))).collect()
            }
        };
        let with = own.iter().filter_map(|slot| self.spec.slot(*slot)).flat_map(|slot| &slot.with);
        with.copied().chain(own.iter().copied()).collect()
    }

    fn slot_of(&self, node: Node) -> Option<SlotId> {
        match node {
            Node::Number(id) => match self.spec.numbers.get(id.0 as usize)? {
                NumberNode::Slot(slot) => Some(*slot),
                _ => None,
            },
            Node::Logic(id) => match self.spec.logic.get(id.0 as usize)? {
                LogicNode::Is { slot, .. } => Some(*slot),
                _ => None,
            },
            Node::Limit(_) => None,
        }
    }
}

/// The last round in which it was judged or undecided; else the last in which it was blocked.
fn together(came: &[Outcome]) -> Outcome {
    let tried = |outcome: &&Outcome| !matches!(outcome, Outcome::NotTaken | Outcome::Blocked);
    let last = came.iter().rev().find(tried);
    let last = last.or_else(|| came.iter().rev().find(|came| **came == Outcome::Blocked));
    last.copied().unwrap_or(Outcome::NotTaken)
}

/// A check that has this logic for its rule.
fn check_of(logic: LogicId) -> Check {
    Check {
        label: String::new(),
        name: String::new(),
        member: None,
        title: String::new(),
        rule: CheckRule::Logic { logic, label: String::new() },
        when: None,
        applies: None,
        decide: None,
        advise: Vec::new(),
        notes: Vec::new(),
        cites: Vec::new(),
        slots: Vec::new(),
    }
}
