//! What a node rests on: slots and checks, by way of all its parts.

use std::collections::{BTreeSet, HashMap};

use truing_model::{Check, CheckRule, LogicId, LogicNode, NumberId, NumberNode, SlotId, SpecParts};

/// Walks the nodes below others. The walk keeps its own stack: arenas can be deep.
pub(crate) struct Reach<'p> {
    parts: &'p SpecParts,
    /// Numbers whose slots are known: the walk for slots goes no further there.
    known: Option<&'p KnownSlots>,
    slots: BTreeSet<u32>,
    checks: BTreeSet<usize>,
    stack: Vec<Node>,
    seen_numbers: BTreeSet<u32>,
    seen_logic: BTreeSet<u32>,
}

/// For the numbers of derived quantities their place among these. One of a chain rests on all before
/// it: without this each would walk the whole chain.
pub(crate) type KnownSlots = HashMap<NumberId, usize>;

#[derive(Copy, Clone)]
enum Node {
    Number(NumberId),
    Logic(LogicId),
}

impl<'p> Reach<'p> {
    pub(crate) fn of(parts: &'p SpecParts) -> Self {
        Self {
            parts,
            known: None,
            slots: BTreeSet::new(),
            checks: BTreeSet::new(),
            stack: Vec::new(),
            seen_numbers: BTreeSet::new(),
            seen_logic: BTreeSet::new(),
        }
    }

    /// The same with what is known of the slots of derived quantities.
    pub(crate) fn knowing(parts: &'p SpecParts, known: &'p KnownSlots) -> Self {
        Self { known: Some(known), ..Self::of(parts) }
    }

    /// The slots that a number may read, rising.
    pub(crate) fn slots_of_number(mut self, number: NumberId) -> Vec<SlotId> {
        self.stack.push(Node::Number(number));
        self.walk();
        self.slots.into_iter().map(SlotId).collect()
    }

    /// The slots that a rule may read, rising.
    pub(crate) fn slots_of_rule(mut self, rule: &CheckRule) -> Vec<SlotId> {
        self.push_rule(rule);
        self.walk();
        self.slots.into_iter().map(SlotId).collect()
    }

    /// The checks that a check asks about, in its rule and its conditions, rising.
    pub(crate) fn checks_of(&mut self, check: &Check) -> Vec<usize> {
        self.known = None;
        self.seen_numbers.clear();
        self.seen_logic.clear();
        self.push_rule(&check.rule);
        self.stack.extend(check.when.map(Node::Logic));
        self.stack.extend(check.applies.map(Node::Logic));
        self.walk();
        std::mem::take(&mut self.checks).into_iter().collect()
    }

    fn push_rule(&mut self, rule: &CheckRule) {
        match rule {
            CheckRule::Within { subject, limit, at, .. } => {
                self.stack.push(Node::Number(*subject));
                self.stack.extend(at.map(Node::Number));
                self.push_limit(*limit);
            }
            CheckRule::Compare { subject, against, .. } => {
                self.stack.extend([Node::Number(*subject), Node::Number(*against)]);
            }
            CheckRule::Logic { logic, .. } => self.stack.push(Node::Logic(*logic)),
        }
    }

    /// What a limit's conditions ask for must be read too, for the check to be judged.
    fn push_limit(&mut self, limit: truing_model::LimitId) {
        if let Some(limit) = self.parts.limits.get(limit.0 as usize) {
            self.stack.extend(limit.conditions.iter().map(|c| Node::Number(c.subject)));
        }
    }

    fn walk(&mut self) {
        while let Some(node) = self.stack.pop() {
            match node {
                Node::Number(id) if self.seen_numbers.insert(id.0) => {
                    let known = self.known.and_then(|known| known.get(&id));
                    if let Some(derived) = known.and_then(|at| self.parts.derived.get(*at)) {
                        self.slots.extend(derived.slots.iter().map(|slot| slot.0));
                    } else if let Some(node) = self.parts.numbers.get(id.0 as usize) {
                        self.number(node);
                    }
                }
                Node::Logic(id) if self.seen_logic.insert(id.0) => {
                    if let Some(node) = self.parts.logic.get(id.0 as usize) {
                        self.logic(node);
                    }
                }
                _ => {}
            }
        }
    }

    fn number(&mut self, node: &NumberNode) {
        match node {
            NumberNode::Constant { .. } | NumberNode::Property(_) => {}
            NumberNode::Slot(slot) => {
                self.slots.insert(slot.0);
            }
            NumberNode::Negate(of)
            | NumberNode::Power(of, _)
            | NumberNode::Apply(_, of)
            | NumberNode::Law { of, .. }
            | NumberNode::CurveAt { at: of, .. } => self.stack.push(Node::Number(*of)),
            NumberNode::Add(a, b)
            | NumberNode::Subtract(a, b)
            | NumberNode::Multiply(a, b)
            | NumberNode::Divide(a, b) => self.stack.extend([Node::Number(*a), Node::Number(*b)]),
            NumberNode::Fold(_, members) => {
                self.stack.extend(members.iter().map(|id| Node::Number(*id)));
            }
            NumberNode::Refer { resistance, from, to, .. } => {
                self.stack.extend([resistance, from, to].map(|id| Node::Number(*id)));
            }
            NumberNode::Choose { condition, then, otherwise } => {
                self.stack.push(Node::Logic(*condition));
                self.stack.extend([Node::Number(*then), Node::Number(*otherwise)]);
            }
        }
    }

    fn logic(&mut self, node: &LogicNode) {
        match node {
            LogicNode::Constant(_) | LogicNode::PropertyIs { .. } => {}
            LogicNode::Compare { left, right, .. } => {
                self.stack.extend([Node::Number(*left), Node::Number(*right)]);
            }
            LogicNode::Within { subject, limit, at } => {
                self.stack.push(Node::Number(*subject));
                self.stack.extend(at.map(Node::Number));
                self.push_limit(*limit);
            }
            LogicNode::Is { slot, .. } => {
                self.slots.insert(slot.0);
            }
            LogicNode::Passes(check) | LogicNode::Fails(check) => {
                self.checks.insert(check.0 as usize);
            }
            LogicNode::Not(inner) => self.stack.push(Node::Logic(*inner)),
            LogicNode::All(parts) | LogicNode::Any(parts) => {
                self.stack.extend(parts.iter().map(|id| Node::Logic(*id)));
            }
        }
    }
}
