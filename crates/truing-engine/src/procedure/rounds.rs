//! What the rounds of a job say together of checks, readings and conditions.

use std::collections::{BTreeMap, BTreeSet};

use truing_model::node::{Node, walk};
use truing_model::{
    CheckId, LogicId, LogicNode, Outcome, Procedure, PropertyId, Reading, SlotId, Spec, Step, Taken,
};

use super::needs;
use super::walked::{Asked, AskedOf, Now};
use crate::finding::Because;
use crate::plan::Plan;
use crate::suspects::{Visit, as_it_came};

/// How something came out, and the round that says so.
#[derive(Copy, Clone, Debug)]
pub(super) struct Came {
    pub outcome: Outcome,
    pub round: Option<usize>,
}

/// The rounds of a job, and what each check and each rule that a procedure asks for came to.
pub(super) struct Rounds<'a> {
    pub spec: &'a Spec,
    visits: &'a [Visit<'a>],
    checks: Vec<Came>,
    rules: BTreeMap<LogicId, Came>,
    /// The machine has left the state in which it came in.
    moved: bool,
}

impl<'a> Rounds<'a> {
    pub fn new(
        spec: &'a Spec,
        plan: &Plan,
        procedure: &Procedure,
        visits: &'a [Visit<'a>],
    ) -> Self {
        let rules = rules_of(spec, procedure);
        let mut evaluator = plan.evaluator();
        let judged: Vec<Vec<Outcome>> = visits
            .iter()
            .map(|visit| match rules.as_slice() {
                [] => Vec::new(),
                some => evaluator.rules(spec, visit.sheet, some),
            })
            .collect();
        let rule = |at: usize| latest(judged.iter().map(|round| round.get(at).copied()));
        let check = |id: CheckId| {
            latest(visits.iter().map(|visit| visit.findings.of(id).map(|of| of.outcome)))
        };
        Self {
            spec,
            visits,
            checks: spec.check_ids().map(|(id, _)| check(id)).collect(),
            rules: rules.iter().enumerate().map(|(at, id)| (*id, rule(at))).collect(),
            moved: visits.iter().any(|visit| has_moved(spec, visit)),
        }
    }

    /// How a check came out.
    pub fn check(&self, id: CheckId) -> Came {
        let kept = self.checks.get(id.0 as usize).copied();
        kept.unwrap_or(Came { outcome: Outcome::NotTaken, round: None })
    }

    /// Whether a reading is there in any round.
    pub fn is_read(&self, slot: SlotId) -> bool {
        self.visits.iter().any(|visit| visit.sheet.taken(slot))
    }

    /// The readings that are there, with the state that each was taken in.
    pub fn read(&self) -> impl Iterator<Item = (SlotId, Option<truing_model::StateId>)> {
        self.visits.iter().flat_map(|visit| {
            let there = visit.sheet.readings();
            let there = there.filter(|(_, reading)| !matches!(reading, Reading::NotTaken { .. }));
            there.map(|(slot, _)| {
                let state = visit.sheet.state(slot);
                (slot, state.or_else(|| needs::during(self.spec, slot)))
            })
        })
    }

    /// Whether a round says anything of a slot, be it that it was not taken.
    pub fn is_said(&self, slot: SlotId) -> bool {
        self.visits.iter().any(|visit| visit.sheet.get(slot).is_some())
    }

    /// Whether a reading can be had only of the machine as it came in, and that is over.
    pub fn is_gone(&self, slot: SlotId) -> bool {
        let state = needs::during(self.spec, slot);
        self.moved && state.is_some_and(|state| as_it_came(self.spec, state))
    }

    /// The readings of something that are still to be taken, in order.
    pub fn open(&self, taken: Taken) -> Vec<SlotId> {
        let all = needs::readings(self.spec, taken);
        all.into_iter().filter(|slot| !self.is_said(*slot) && !self.is_gone(*slot)).collect()
    }

    /// How something stands that a step takes.
    pub fn now(&self, taken: Taken) -> Now {
        let open = !self.open(taken).is_empty();
        let all = || needs::readings(self.spec, taken);
        let check = match taken {
            Taken::Check(check) => check,
            _ if open => return Now::Open,
            _ if all().iter().all(|slot| self.is_read(*slot)) => return Now::Read,
            _ => return self.without(&all()),
        };
        let came = self.check(check);
        let tried = !matches!(came.outcome, Outcome::NotTaken | Outcome::Blocked);
        if let (true, Some(round)) = (tried, came.round) {
            return Now::Came { outcome: came.outcome, round };
        }
        let when = self.spec.check(check).and_then(|of| of.when);
        if when.is_some_and(|when| self.condition(when).0 == Some(false)) {
            return Now::Barred;
        }
        match (open, came.round) {
            (true, _) => Now::Open,
            (false, Some(round)) if came.outcome == Outcome::Blocked => {
                Now::Came { outcome: came.outcome, round }
            }
            (false, _) => self.without(&all()),
        }
    }

    /// Why readings that are not there are not asked for.
    fn without(&self, slots: &[SlotId]) -> Now {
        let gone = |slot: &SlotId| self.is_gone(*slot) && !self.is_said(*slot);
        if slots.iter().any(gone) { Now::Gone } else { Now::SetDown }
    }

    /// Whether a condition holds; and what decides that, or leaves it open.
    pub fn condition(&self, condition: LogicId) -> (Option<bool>, Vec<LogicId>) {
        let nodes = walk(self.spec, [Node::Logic(condition)]).unwrap_or_default();
        let mut known: BTreeMap<LogicId, Option<bool>> = BTreeMap::new();
        for node in nodes {
            if let Node::Logic(id) = node {
                let holds = self.node(id, &known);
                known.insert(id, holds);
            }
        }
        let of = |id: &LogicId| known.get(id).copied().flatten();
        let holds = of(&condition);
        let mut deciding = Vec::new();
        let mut seen = BTreeSet::new();
        let mut todo = vec![condition];
        // INVARIANT: children stand before parents, so this ends.
        while let Some(id) = todo.pop() {
            if !seen.insert(id) {
                continue;
            }
            let value = of(&id);
            match self.spec.logic.get(id.0 as usize) {
                Some(LogicNode::Not(inner)) => todo.push(*inner),
                // Those that came out as the whole decide it; of what is open, those that are.
                Some(LogicNode::All(parts) | LogicNode::Any(parts)) => {
                    todo.extend(parts.iter().rev().filter(|part| of(part) == value));
                }
                Some(LogicNode::Constant(_)) | None => {}
                Some(_) => deciding.push(id),
            }
        }
        (holds, deciding)
    }

    fn node(&self, id: LogicId, known: &BTreeMap<LogicId, Option<bool>>) -> Option<bool> {
        let of = |id: &LogicId| known.get(id).copied().flatten();
        match self.spec.logic.get(id.0 as usize)? {
            LogicNode::Constant(value) => Some(*value),
            LogicNode::Passes(check) => judged(self.check(*check).outcome).map(|o| o.passes()),
            LogicNode::Fails(check) => judged(self.check(*check).outcome).map(|o| o.fails()),
            LogicNode::Not(inner) => of(inner).map(|value| !value),
            LogicNode::All(parts) => kleene(parts.iter().map(of), false),
            LogicNode::Any(parts) => kleene(parts.iter().map(of), true),
            _ => judged(self.rules.get(&id)?.outcome).map(Outcome::passes),
        }
    }

    /// What is asked by a part of a condition, what came of it, and what would settle it.
    pub fn asked(&self, leaf: LogicId) -> Option<Asked> {
        let node = self.spec.logic.get(leaf.0 as usize)?;
        let (of, came) = match node {
            LogicNode::Passes(check) => (AskedOf::Passes(*check), self.check(*check)),
            LogicNode::Fails(check) => (AskedOf::Fails(*check), self.check(*check)),
            _ => (AskedOf::Rule(leaf), self.rules.get(&leaf).copied()?),
        };
        let holds = match of {
            AskedOf::Fails(_) => judged(came.outcome).map(|outcome| outcome.fails()),
            _ => judged(came.outcome).map(Outcome::passes),
        };
        let mut asked = Asked {
            of,
            outcome: came.outcome,
            round: came.round,
            holds,
            missing: Vec::new(),
            again: Vec::new(),
            properties: Vec::new(),
        };
        if holds.is_none() {
            match of {
                AskedOf::Passes(check) | AskedOf::Fails(check) => {
                    self.settle_check(check, &mut asked);
                }
                AskedOf::Rule(rule) => self.settle_rule(rule, &mut asked),
            }
        }
        Some(asked)
    }

    fn settle_rule(&self, rule: LogicId, asked: &mut Asked) {
        let slots = needs::of_rule(self.spec, rule);
        asked.missing = slots.iter().copied().filter(|slot| !self.is_said(*slot)).collect();
        if asked.missing.is_empty() {
            asked.again = slots.into_iter().collect();
        }
        if let Some(LogicNode::PropertyIs { property, .. }) = self.spec.logic.get(rule.0 as usize) {
            asked.properties.push(*property);
        }
    }

    /// What keeps a check from being judged: readings of it, or of one that has to come first.
    fn settle_check(&self, check: CheckId, asked: &mut Asked) {
        let mut again: BTreeSet<SlotId> = BTreeSet::new();
        let mut properties: BTreeSet<PropertyId> = BTreeSet::new();
        // Those that come first stand first.
        for id in needs::with_those_before(self.spec, check) {
            let came = self.check(id);
            if judged(came.outcome).is_some() || came.outcome == Outcome::NotApplicable {
                continue;
            }
            let open = self.open(Taken::Check(id));
            let fresh = open.iter().filter(|slot| !asked.missing.contains(slot));
            let fresh: Vec<SlotId> = fresh.copied().collect();
            asked.missing.extend(fresh);
            let finding = came.round.and_then(|round| self.visits.get(round)?.findings.of(id));
            let because = finding.map(|finding| &finding.reason.because);
            again.extend(self.again(id, came.outcome, because));
            match because {
                Some(Because::PropertyUnknown { property }) => {
                    properties.insert(*property);
                }
                Some(Because::Precondition { properties: unknown, .. }) => {
                    properties.extend(unknown);
                }
                _ => {}
            }
        }
        asked.again = again.into_iter().filter(|slot| !asked.missing.contains(slot)).collect();
        asked.properties = properties.into_iter().collect();
    }

    /// The readings of a check that are there and do not do, or were set down as not taken.
    fn again(&self, check: CheckId, outcome: Outcome, because: Option<&Because>) -> Vec<SlotId> {
        let own = || self.spec.check(check).map_or(Vec::new(), |of| of.slots.clone());
        match (outcome, because) {
            (Outcome::Undecided, Some(Because::Overload { slot, .. }))
            | (
                Outcome::Blocked,
                Some(
                    Because::StateOther { slot, .. }
                    | Because::Implausible { slot, .. }
                    | Because::Unfit { slot, .. },
                ),
            ) => vec![*slot],
            (Outcome::Undecided, _) | (Outcome::Blocked, Some(Because::Condition { .. })) => own(),
            (Outcome::NotTaken, _) => {
                let set_down = |slot: &SlotId| self.is_said(*slot) && !self.is_read(*slot);
                own().into_iter().filter(set_down).collect()
            }
            _ => Vec::new(),
        }
    }
}

/// An outcome that decides.
fn judged(outcome: Outcome) -> Option<Outcome> {
    (outcome.passes() || outcome.fails()).then_some(outcome)
}

/// One part settles it; else one that is open leaves it open.
fn kleene(mut parts: impl Iterator<Item = Option<bool>>, settles: bool) -> Option<bool> {
    let mut open = false;
    if parts.any(|part| {
        open |= part.is_none();
        part == Some(settles)
    }) {
        return Some(settles);
    }
    (!open).then_some(!settles)
}

/// The last round in which it was judged or undecided counts; else the last in which it was blocked.
fn latest(rounds: impl Iterator<Item = Option<Outcome>>) -> Came {
    let mut came = Came { outcome: Outcome::NotTaken, round: None };
    for (round, outcome) in rounds.enumerate() {
        let Some(outcome) = outcome else { continue };
        let counts = match outcome {
            Outcome::NotTaken => false,
            Outcome::Blocked => {
                matches!(came.outcome, Outcome::NotTaken | Outcome::Blocked)
            }
            _ => true,
        };
        if counts {
            came = Came { outcome, round: Some(round) };
        }
    }
    came
}

/// The rules that the conditions of a procedure ask for, and the preconditions of what it takes.
fn rules_of(spec: &Spec, procedure: &Procedure) -> Vec<LogicId> {
    let mut rules = BTreeSet::new();
    let mut add = |condition: LogicId| {
        let leaves = needs::leaves(spec, condition).into_iter();
        rules.extend(leaves.filter(|leaf| {
            let node = spec.logic.get(leaf.0 as usize);
            !matches!(node, Some(LogicNode::Passes(_) | LogicNode::Fails(_)))
        }));
    };
    for step in &procedure.steps {
        match step {
            Step::If { condition, .. } => add(*condition),
            Step::Take(taken) => {
                let check = |taken: &Taken| match taken {
                    Taken::Check(check) => spec.check(*check)?.when,
                    _ => None,
                };
                taken.iter().filter_map(check).for_each(&mut add);
            }
            _ => {}
        }
    }
    rules.into_iter().collect()
}

fn has_moved(spec: &Spec, visit: &Visit<'_>) -> bool {
    visit.sheet.readings().any(|(slot, reading)| {
        let taken = !matches!(reading, Reading::NotTaken { .. });
        let state = visit.sheet.state(slot).or_else(|| needs::during(spec, slot));
        taken && state.is_some_and(|state| !as_it_came(spec, state))
    })
}
