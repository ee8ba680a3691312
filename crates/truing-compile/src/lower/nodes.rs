//! Numbers and logic of one member: children before parents, nothing worked out twice.

use truing_model::{
    CheckId, LimitId, LogicId, LogicNode, NumberId, NumberNode, PropertyId, SlotId,
};

use super::{Instance, Lowering, MAX_NODES};
use crate::family::{At, FamilyId, FamilyRef};
use crate::lint;
use crate::typing::{Arithmetic, Every, LimitRef, Logic, Num, NumKind, Value};

impl Lowering<'_, '_> {
    /// The number's node for the members at hand.
    pub(super) fn number(&mut self, num: &Num, at: Instance) -> Option<NumberId> {
        self.room()?;
        let node = match &num.kind {
            NumKind::Constant(value) => constant(*value),
            NumKind::Measured { index, at: which } => {
                let measured = self.cx.measured.get(*index)?;
                let member = self.member(*which, measured.family, at)?;
                return Some(self.slot_node(measured.first_slot + member as u32));
            }
            NumKind::Derived { index, at: which } => {
                let family = self.cx.derived.get(*index)?.family;
                let member = self.member(*which, family, at)?;
                return self.derived_node(*index, member);
            }
            NumKind::Property(index) => return Some(self.property_node(*index)),
            NumKind::Negate(of) => NumberNode::Negate(self.number(of, at)?),
            NumKind::Binary(operation, left, right) => {
                let (left, right) = (self.number(left, at)?, self.number(right, at)?);
                match operation {
                    Arithmetic::Add => NumberNode::Add(left, right),
                    Arithmetic::Subtract => NumberNode::Subtract(left, right),
                    Arithmetic::Multiply => NumberNode::Multiply(left, right),
                    Arithmetic::Divide => NumberNode::Divide(left, right),
                }
            }
            NumKind::Power(of, exponent) => NumberNode::Power(self.number(of, at)?, *exponent),
            NumKind::Apply(function, of) => NumberNode::Apply(*function, self.number(of, at)?),
            NumKind::Law(law, of) => NumberNode::Law { law: *law, of: self.number(of, at)? },
            NumKind::Fold(fold, parts) => {
                let mut members = Vec::new();
                for part in parts {
                    for instance in self.instances(part, at) {
                        members.push(self.number(&part.body, instance)?);
                    }
                }
                NumberNode::Fold(*fold, members)
            }
            NumKind::Refer { resistance, from, to, k } => NumberNode::Refer {
                resistance: self.number(resistance, at)?,
                from: self.number(from, at)?,
                to: self.number(to, at)?,
                k: k.exact?,
            },
            NumKind::CurveAt { limit, at: place } => NumberNode::CurveAt {
                curve: self.named_limits.get(*limit).copied().flatten()?,
                at: self.number(place, at)?,
            },
            NumKind::Choose { condition, then, otherwise } => NumberNode::Choose {
                condition: self.logic(condition, at)?,
                then: self.number(then, at)?,
                otherwise: self.number(otherwise, at)?,
            },
        };
        Some(self.push_number(node))
    }

    /// The condition's node for the members at hand.
    pub(super) fn logic(&mut self, logic: &Logic, at: Instance) -> Option<LogicId> {
        self.room()?;
        let node = match logic {
            Logic::Constant(value) => LogicNode::Constant(*value),
            Logic::Compare(relation, left, right) => LogicNode::Compare {
                relation: *relation,
                left: self.number(left, at)?,
                right: self.number(right, at)?,
            },
            Logic::Within { subject, limit, at: place } => LogicNode::Within {
                subject: self.number(subject, at)?,
                limit: self.limit_id(*limit)?,
                at: match place {
                    Some(place) => Some(self.number(place, at)?),
                    None => None,
                },
            },
            Logic::Is { index, at: which, words } => {
                let measured = self.cx.measured.get(*index)?;
                let member = self.member(*which, measured.family, at)?;
                let slot = SlotId(measured.first_slot + member as u32);
                LogicNode::Is { slot, words: words.clone() }
            }
            Logic::PropertyIs { index, words } => {
                LogicNode::PropertyIs { property: PropertyId(*index as u32), words: words.clone() }
            }
            Logic::Passes { check, at: which } => {
                LogicNode::Passes(self.check_id(*check, *which, at)?)
            }
            Logic::Fails { check, at: which } => {
                LogicNode::Fails(self.check_id(*check, *which, at)?)
            }
            Logic::Not(inner) => LogicNode::Not(self.logic(inner, at)?),
            Logic::All(parts) => LogicNode::All(self.every(parts, at)?),
            Logic::Any(parts) => LogicNode::Any(self.every(parts, at)?),
        };
        Some(self.push_logic(node))
    }

    /// Whether there is room for another node; said once, at the header.
    fn room(&mut self) -> Option<()> {
        if self.parts.numbers.len() + self.parts.logic.len() < MAX_NODES {
            return Some(());
        }
        self.no_room()
    }

    /// Whether faults, fixes and procedures may name so many members more.
    pub(super) fn room_for(&mut self, members: usize) -> Option<()> {
        self.named = self.named.saturating_add(members);
        if self.named < MAX_NODES {
            return Some(());
        }
        self.no_room()
    }

    fn no_room(&mut self) -> Option<()> {
        if !self.full {
            self.full = true;
            let main = self.cx.files.main()?;
            let first = main.parsed.tree.items.first()?;
            self.cx.findings.push(lint::family_too_large::spec(first.span, MAX_NODES));
        }
        None
    }

    fn every(&mut self, parts: &[Every<Logic>], at: Instance) -> Option<Vec<LogicId>> {
        let mut members = Vec::new();
        for part in parts {
            for instance in self.instances(part, at) {
                members.push(self.logic(&part.body, instance)?);
            }
        }
        Some(members)
    }

    /// The members at hand, once for each that a part runs over.
    fn instances<T>(&self, part: &Every<T>, at: Instance) -> Vec<Instance> {
        match part.over {
            None => vec![at],
            Some(family) => {
                let size = self.cx.family(family).map_or(0, |family| family.members.len());
                (0..size).map(|each| Instance { each: Some(each), ..at }).collect()
            }
        }
    }

    /// Which member of an item of this family is meant.
    pub(super) fn member(&self, which: At, of: FamilyRef, at: Instance) -> Option<usize> {
        of.ok()?;
        match which {
            At::Whole => Some(0),
            At::Fixed(member) => Some(member),
            At::Current => at.current,
            At::First => self.pair(at.family?, at.current?).map(|(first, _)| first),
            At::Second => self.pair(at.family?, at.current?).map(|(_, second)| second),
            At::Each => at.each,
        }
    }

    fn pair(&self, family: FamilyId, member: usize) -> Option<(usize, usize)> {
        self.cx.family(family)?.members.get(member)?.parts
    }

    pub(super) fn slot_node(&mut self, slot: u32) -> NumberId {
        if let Some(known) = self.slot_nodes.get(&slot) {
            return *known;
        }
        let id = self.push_number(NumberNode::Slot(SlotId(slot)));
        self.slot_nodes.insert(slot, id);
        id
    }

    fn property_node(&mut self, property: usize) -> NumberId {
        if let Some(known) = self.property_nodes.get(&property) {
            return *known;
        }
        let id = self.push_number(NumberNode::Property(PropertyId(property as u32)));
        self.property_nodes.insert(property, id);
        id
    }

    /// A derived quantity of one member: one node, however often it is used.
    pub(super) fn derived_node(&mut self, index: usize, member: usize) -> Option<NumberId> {
        if let Some(known) = self.derived_nodes.get(&(index, member)) {
            return *known;
        }
        let cx = self.cx;
        let item = cx.derived.get(index)?;
        let num = item.checked.get().and_then(Option::as_ref)?;
        let id = self.number(num, instance(item.family, member));
        self.derived_nodes.insert((index, member), id);
        id
    }

    pub(super) fn limit_id(&self, limit: LimitRef) -> Option<LimitId> {
        match limit {
            LimitRef::Named(index) => self.named_limits.get(index).copied().flatten(),
            LimitRef::Inline(index) => self.inline_limits.get(index).copied().flatten(),
        }
    }

    fn check_id(&self, check: usize, which: At, at: Instance) -> Option<CheckId> {
        let item = self.cx.checks.get(check)?;
        let member = self.member(which, item.family, at)?;
        Some(CheckId(item.first_check + member as u32))
    }
}

/// The members at hand inside one member of an item.
pub(super) fn instance(family: FamilyRef, member: usize) -> Instance {
    match family {
        Ok(Some(id)) => Instance { current: Some(member), family: Some(id), each: None },
        _ => Instance::default(),
    }
}

fn constant(value: Value) -> NumberNode {
    NumberNode::Constant { value: value.value, exact: value.exact }
}
