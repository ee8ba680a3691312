//! What the things that a step takes are made of: the readings that have to be taken.

use std::collections::BTreeSet;

use truing_model::node::{Node, walk};
use truing_model::{
    CheckId, CheckRule, LogicId, LogicNode, NumberNode, SlotId, SpecParts, StateId, Taken,
};

use crate::suspects::way;

/// The readings of something that a step takes, in the order in which they are best taken: what is
/// taken in a state that others are reached through comes first.
pub(super) fn readings(spec: &SpecParts, taken: Taken) -> Vec<SlotId> {
    let own: Vec<SlotId> = match taken {
        Taken::Slot(slot) => vec![slot],
        Taken::Derived(derived) => {
            spec.derived_at(derived).map_or_else(Vec::new, |of| of.slots.clone())
        }
        Taken::Check(check) => of_check(spec, check),
    };
    let mut all: Vec<SlotId> = Vec::new();
    for slot in own {
        // What is taken together with it, first: it says how it was taken.
        let with = spec.slot(slot).map_or(&[][..], |of| &of.with);
        for slot in with.iter().copied().chain([slot]) {
            if !all.contains(&slot) {
                all.push(slot);
            }
        }
    }
    let during = |slot: &SlotId| spec.slot(*slot).and_then(|of| of.during);
    all.sort_by_key(|slot| during(slot).map_or(0, |state| way(spec, state).len()));
    all
}

/// What a check reads: its rule with the conditions of its limit, and what `when` asks of readings.
fn of_check(spec: &SpecParts, id: CheckId) -> Vec<SlotId> {
    let Some(check) = spec.check(id) else { return Vec::new() };
    let mut slots: BTreeSet<SlotId> = check.slots.iter().copied().collect();
    slots.extend(check.when.into_iter().flat_map(|when| of_rule(spec, when)));
    slots.into_iter().collect()
}

/// What something that a step takes is about: of a check what its rule reads, without the conditions
/// that its limit holds under.
pub(super) fn subjects(spec: &SpecParts, taken: Taken) -> BTreeSet<SlotId> {
    let Taken::Check(id) = taken else { return readings(spec, taken).into_iter().collect() };
    match spec.check(id).map(|check| &check.rule) {
        None => BTreeSet::new(),
        Some(CheckRule::Within { subject, .. }) => reached(spec, [Node::Number(*subject)]),
        Some(CheckRule::Compare { subject, against, .. }) => {
            reached(spec, [Node::Number(*subject), Node::Number(*against)])
        }
        Some(CheckRule::Logic { logic, .. }) => of_rule(spec, *logic),
    }
}

/// The slots that a condition itself reads, rising. (What the checks that it asks about read is not
/// among them.)
pub(super) fn of_rule(spec: &SpecParts, rule: LogicId) -> BTreeSet<SlotId> {
    reached(spec, [Node::Logic(rule)])
}

fn reached(spec: &SpecParts, from: impl IntoIterator<Item = Node>) -> BTreeSet<SlotId> {
    let nodes = walk(spec, from).unwrap_or_default();
    let slot = |node: Node| match node {
        Node::Number(id) => match spec.numbers.get(id.0 as usize)? {
            NumberNode::Slot(slot) => Some(*slot),
            _ => None,
        },
        Node::Logic(id) => match spec.logic.get(id.0 as usize)? {
            LogicNode::Is { slot, .. } => Some(*slot),
            _ => None,
        },
        Node::Limit(_) => None,
    };
    nodes.into_iter().filter_map(slot).collect()
}

/// The checks that a condition asks about, rising.
pub(super) fn checks_of(spec: &SpecParts, rule: LogicId) -> BTreeSet<CheckId> {
    let nodes = walk(spec, [Node::Logic(rule)]).unwrap_or_default();
    let check = |node: Node| match node {
        Node::Logic(id) => match spec.logic.get(id.0 as usize)? {
            LogicNode::Passes(check) | LogicNode::Fails(check) => Some(*check),
            _ => None,
        },
        _ => None,
    };
    nodes.into_iter().filter_map(check).collect()
}

/// A check and those that have to come out before it, however far back.
pub(super) fn with_those_before(spec: &SpecParts, check: CheckId) -> BTreeSet<CheckId> {
    let mut found = BTreeSet::from([check]);
    let mut todo = vec![check];
    while let Some(check) = todo.pop() {
        let when = spec.check(check).and_then(|of| of.when);
        for before in when.into_iter().flat_map(|when| checks_of(spec, when)) {
            if found.insert(before) {
                todo.push(before);
            }
        }
    }
    found
}

/// The parts of a condition that are no logic over others: what is asked of checks, and rules.
pub(super) fn leaves(spec: &SpecParts, condition: LogicId) -> Vec<LogicId> {
    let mut leaves = Vec::new();
    let mut seen = BTreeSet::new();
    let mut todo = vec![condition];
    // INVARIANT: children stand before parents, so this ends.
    while let Some(id) = todo.pop() {
        if !seen.insert(id) {
            continue;
        }
        match spec.logic.get(id.0 as usize) {
            Some(LogicNode::Not(of)) => todo.push(*of),
            Some(LogicNode::All(of) | LogicNode::Any(of)) => todo.extend(of.iter().rev()),
            Some(LogicNode::Constant(_)) | None => {}
            Some(_) => leaves.push(id),
        }
    }
    leaves
}

/// The state that a reading is taken in.
pub(super) fn during(spec: &SpecParts, slot: SlotId) -> Option<StateId> {
    spec.slot(slot)?.during
}
