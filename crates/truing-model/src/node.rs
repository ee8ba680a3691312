//! What is made of what: the walk that soundness and the engine's plan share.

use std::collections::HashMap;

use crate::expression::{LogicId, LogicNode, NumberId, NumberNode};
use crate::limit::{LimitId, LimitRule};
use crate::spec::SpecParts;

/// Anything that is made of other things.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Node {
    /// A number.
    Number(NumberId),
    /// A truth value.
    Logic(LogicId),
    /// A limit: it is made of its conditions and of those of its variants.
    Limit(LimitId),
}

/// A node that is made of itself.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub struct Circle(pub Node);

/// What a node is made of, in order. A node that is not there is made of nothing.
#[must_use]
pub fn parts_of(spec: &SpecParts, node: Node) -> Vec<Node> {
    match node {
        Node::Number(id) => spec.numbers.get(id.0 as usize).map(of_number),
        Node::Logic(id) => spec.logic.get(id.0 as usize).map(of_logic),
        Node::Limit(id) => spec.limits.get(id.0 as usize).map(|limit| {
            let mut parts = Vec::new();
            of_rule(&limit.rule, &mut parts);
            parts.extend(limit.conditions.iter().map(|condition| Node::Number(condition.subject)));
            parts
        }),
    }
    .unwrap_or_default()
}

fn of_number(node: &NumberNode) -> Vec<Node> {
    match node {
        NumberNode::Constant { .. } | NumberNode::Slot(_) | NumberNode::Property(_) => Vec::new(),
        NumberNode::Negate(of)
        | NumberNode::Power(of, _)
        | NumberNode::Apply(_, of)
        | NumberNode::Law { of, .. } => {
            vec![Node::Number(*of)]
        }
        NumberNode::Add(a, b)
        | NumberNode::Subtract(a, b)
        | NumberNode::Multiply(a, b)
        | NumberNode::Divide(a, b) => vec![Node::Number(*a), Node::Number(*b)],
        NumberNode::Fold(_, members) => members.iter().copied().map(Node::Number).collect(),
        NumberNode::Refer { resistance, from, to, .. } => {
            vec![Node::Number(*resistance), Node::Number(*from), Node::Number(*to)]
        }
        NumberNode::CurveAt { curve, at } => vec![Node::Limit(*curve), Node::Number(*at)],
        NumberNode::Choose { condition, then, otherwise } => {
            vec![Node::Logic(*condition), Node::Number(*then), Node::Number(*otherwise)]
        }
    }
}

fn of_logic(node: &LogicNode) -> Vec<Node> {
    match node {
        LogicNode::Constant(_)
        | LogicNode::Is { .. }
        | LogicNode::PropertyIs { .. }
        | LogicNode::Passes(_)
        | LogicNode::Fails(_) => Vec::new(),
        LogicNode::Compare { left, right, .. } => vec![Node::Number(*left), Node::Number(*right)],
        LogicNode::Within { subject, limit, at } => {
            let mut parts = vec![Node::Number(*subject), Node::Limit(*limit)];
            parts.extend(at.map(Node::Number));
            parts
        }
        LogicNode::Not(of) => vec![Node::Logic(*of)],
        LogicNode::All(of) | LogicNode::Any(of) => of.iter().copied().map(Node::Logic).collect(),
    }
}

/// The conditions of the arms of a rule.
pub(crate) fn of_rule(rule: &LimitRule, parts: &mut Vec<Node>) {
    if let LimitRule::Variants(arms) = rule {
        for arm in arms {
            parts.extend(arm.condition.map(Node::Logic));
            of_rule(&arm.rule, parts);
        }
    }
}

/// Everything that `roots` are made of and they themselves, parts before wholes, each once.
///
/// # Errors
/// [`Circle`] where a node is made of itself; a sealed [`crate::Spec`] has none.
pub fn walk(spec: &SpecParts, roots: impl IntoIterator<Item = Node>) -> Result<Vec<Node>, Circle> {
    let mut done = HashMap::new();
    let mut order = Vec::new();
    let mut pending: Vec<(Node, Vec<Node>)> = Vec::new();
    for root in roots {
        enter(spec, root, &mut done, &mut pending)?;
        // Depth first with a list of one's own: a spec may be deeper than a thread's stack.
        while let Some((node, parts)) = pending.last_mut() {
            if let Some(part) = parts.pop() {
                enter(spec, part, &mut done, &mut pending)?;
            } else {
                let node = *node;
                done.insert(node, true);
                order.push(node);
                pending.pop();
            }
        }
    }
    Ok(order)
}

fn enter(
    spec: &SpecParts,
    node: Node,
    done: &mut HashMap<Node, bool>,
    pending: &mut Vec<(Node, Vec<Node>)>,
) -> Result<(), Circle> {
    match done.get(&node) {
        Some(true) => Ok(()),
        Some(false) => Err(Circle(node)),
        None => {
            done.insert(node, false);
            let mut parts = parts_of(spec, node);
            parts.reverse();
            pending.push((node, parts));
            Ok(())
        }
    }
}
