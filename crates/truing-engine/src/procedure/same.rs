//! Whether two rules that are written twice ask the same.

use std::collections::BTreeSet;

use truing_model::node::{Node, parts_of};
use truing_model::{LogicId, LogicNode, NumberId, NumberNode, SpecParts};

/// Whether two rules are made alike, node by node.
pub(super) fn same_rule(spec: &SpecParts, one: LogicId, other: LogicId) -> bool {
    let mut todo = vec![(Node::Logic(one), Node::Logic(other))];
    // A part that is used often is looked at once.
    let mut seen: BTreeSet<(Node, Node)> = BTreeSet::new();
    while let Some((one, other)) = todo.pop() {
        if one == other || !seen.insert((one, other)) {
            continue;
        }
        let (parts, others) = (parts_of(spec, one), parts_of(spec, other));
        if parts.len() != others.len() || !alike(spec, one, other) {
            return false;
        }
        todo.extend(parts.into_iter().zip(others));
    }
    true
}

/// Whether two nodes do the same with their parts.
fn alike(spec: &SpecParts, one: Node, other: Node) -> bool {
    match (one, other) {
        (Node::Number(a), Node::Number(b)) => {
            let of = |id: NumberId| spec.numbers.get(id.0 as usize).cloned().map(number);
            of(a) == of(b)
        }
        (Node::Logic(a), Node::Logic(b)) => {
            let of = |id: LogicId| spec.logic.get(id.0 as usize).cloned().map(logic);
            of(a) == of(b)
        }
        // A limit that has a name is one; one that is written twice may be two.
        _ => false,
    }
}

const NUMBER: NumberId = NumberId(0);
const LOGIC: LogicId = LogicId(0);

/// The node without its parts.
fn number(mut node: NumberNode) -> NumberNode {
    match &mut node {
        NumberNode::Constant { .. } | NumberNode::Slot(_) | NumberNode::Property(_) => {}
        NumberNode::Negate(of)
        | NumberNode::Power(of, _)
        | NumberNode::Apply(_, of)
        | NumberNode::Law { of, .. }
        | NumberNode::CurveAt { at: of, .. } => *of = NUMBER,
        NumberNode::Add(a, b)
        | NumberNode::Subtract(a, b)
        | NumberNode::Multiply(a, b)
        | NumberNode::Divide(a, b) => (*a, *b) = (NUMBER, NUMBER),
        NumberNode::Fold(_, members) => members.fill(NUMBER),
        NumberNode::Refer { resistance, from, to, .. } => {
            (*resistance, *from, *to) = (NUMBER, NUMBER, NUMBER);
        }
        NumberNode::Choose { condition, then, otherwise } => {
            (*condition, *then, *otherwise) = (LOGIC, NUMBER, NUMBER);
        }
    }
    node
}

/// The node without its parts; checks, words and limits are no parts of it.
fn logic(mut node: LogicNode) -> LogicNode {
    match &mut node {
        LogicNode::Constant(_)
        | LogicNode::Is { .. }
        | LogicNode::PropertyIs { .. }
        | LogicNode::Passes(_)
        | LogicNode::Fails(_) => {}
        LogicNode::Compare { left, right, .. } => (*left, *right) = (NUMBER, NUMBER),
        LogicNode::Within { subject, at, .. } => {
            *subject = NUMBER;
            *at = at.map(|_| NUMBER);
        }
        LogicNode::Not(of) => *of = LOGIC,
        LogicNode::All(of) | LogicNode::Any(of) => of.fill(LOGIC),
    }
    node
}
