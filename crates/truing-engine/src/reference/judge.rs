//! One check after the other.

use std::collections::HashMap;

use truing_model::node::{Node, walk};
use truing_model::{
    Check, CheckId, CheckRule, DecideRule, Function, Limit, LimitRule, LogicNode, NumberId,
    NumberNode, Outcome, Reading, Relation, Side, SlotId, Spec,
};
use truing_units::Catalogue;

use super::readings::{Doubt, Way, doubted, inside};
use super::standing::Standing;
use super::{Known, Unknown};
use crate::sheet::Sheet;

/// A spec, a sheet, and what came of the checks so far.
pub(super) struct Judge<'a> {
    pub spec: &'a Spec,
    pub sheet: &'a Sheet,
    pub catalogue: Catalogue,
    pub outcomes: HashMap<CheckId, Outcome>,
    /// The frequency that each slot is read at, where the spec says it and readings tell. It is
    /// known before any check.
    pub frequencies: HashMap<SlotId, f64>,
    rule: DecideRule,
}

impl<'a> Judge<'a> {
    pub fn new(spec: &'a Spec, sheet: &'a Sheet) -> Self {
        let rule = sheet.rule().unwrap_or(spec.decide);
        let catalogue = spec.catalogue();
        let (outcomes, frequencies) = (HashMap::new(), HashMap::new());
        let mut judge = Self { spec, sheet, catalogue, outcomes, frequencies, rule };
        for (slot, of) in spec.slot_ids() {
            if let Some(number) = of.frequency
                && let Ok(frequency) = judge.number(number, Way::Possible(Doubt::Nothing))
                && judge.reads_single_values(&[Node::Number(number)])
            {
                judge.frequencies.insert(slot, frequency.nearest());
            }
        }
        judge
    }

    /// What comes of a check; see the module's documentation for the order of the steps.
    pub fn check(&self, id: CheckId) -> Outcome {
        self.spec.check(id).map_or(Outcome::Blocked, |check| self.comes_of(check))
    }

    /// The same of any check, one of the spec or made for the question.
    pub fn comes_of(&self, check: &Check) -> Outcome {
        if let Some(applies) = check.applies {
            match self.logic(applies, Way::Possible(Doubt::Nothing)) {
                _ if self.any_doubted(&[Node::Logic(applies)], false) => return Outcome::Blocked,
                Ok(true) => {}
                Ok(false) => return Outcome::NotApplicable,
                Err(_) => return Outcome::Blocked,
            }
        }
        let limit = match check.rule {
            CheckRule::Within { limit, .. } => self.spec.limit(limit),
            _ => None,
        };
        if let Some(limit) = limit {
            match self.arm(&limit.rule) {
                Ok(None | Some(LimitRule::NotSpecified)) => return Outcome::NotApplicable,
                Ok(Some(_)) => {}
                Err(_) => return Outcome::Blocked,
            }
        }
        let judged = self.rule(check);
        if judged == Err(Unknown::NotTaken) {
            return Outcome::NotTaken;
        }
        // What is not known of its uncertainty keeps a reading from being judged by that alone.
        let uncertain = self.decide(check) != DecideRule::Simple;
        if self.any_doubted(&roots(check, limit), false)
            || uncertain && self.any_doubted(&rule_roots(check), true)
        {
            return Outcome::Blocked;
        }
        if self.test_voltage_is_too_low(check) {
            return Outcome::Blocked;
        }
        if let Some(when) = check.when
            && self.logic(when, Way::Possible(Doubt::Nothing)) != Ok(true)
        {
            return Outcome::Blocked;
        }
        if limit.is_some_and(|limit| !self.conditions_hold(limit, Way::Possible(Doubt::Nothing))) {
            return Outcome::Blocked;
        }
        match judged {
            Ok(outcome) => outcome,
            Err(Unknown::Undecided) => Outcome::Undecided,
            Err(Unknown::Blocked | Unknown::Bent | Unknown::NotTaken) => Outcome::Blocked,
        }
    }

    fn decide(&self, check: &Check) -> DecideRule {
        check.decide.unwrap_or(self.rule)
    }

    /// How choices are decided in what no check asks for.
    pub const fn way_of_the_sheet(&self) -> Way {
        match self.rule {
            DecideRule::Simple => Way::Possible(Doubt::Nothing),
            rule => Way::Straight(rule),
        }
    }

    /// What comes of the rule by itself.
    fn rule(&self, check: &Check) -> Known<Outcome> {
        let way = self.way(check);
        match self.rule_by(check, way) {
            Err(Unknown::Bent) => self.rule_by(check, Way::Possible(way.doubt())),
            known => known,
        }
    }

    pub fn rule_by(&self, check: &Check, way: Way) -> Known<Outcome> {
        let standing = match &check.rule {
            CheckRule::Within { subject, limit, at, .. } => {
                self.stands(*subject, *limit, *at, way)?
            }
            CheckRule::Compare { subject, relation, against, .. } => {
                self.compared(*subject, *relation, *against, way)?
            }
            CheckRule::Logic { logic, .. } => match self.logic(*logic, way)? {
                true => Standing::Within,
                false => Standing::Outside(None),
            },
        };
        Ok(match standing {
            Standing::Within => Outcome::Within,
            Standing::Worn => Outcome::Worn,
            Standing::Outside(side) => Outcome::Outside(side),
            Standing::Passes | Standing::Undecided => Outcome::Undecided,
            Standing::NotSpecified | Standing::NotThisVariant => Outcome::NotApplicable,
        })
    }

    /// Which way a check is decided: in a straight line, if every reading that its rule reads and
    /// that was taken is a single value and nothing in it jumps, else by what is possible.
    pub fn way(&self, check: &Check) -> Way {
        let rule = self.decide(check);
        let straight = match rule {
            DecideRule::Simple | DecideRule::Guarded { k: 0.0 } => false,
            DecideRule::Guarded { .. } | DecideRule::At { .. } => self.is_straight(check),
        };
        let way = Way::Straight(rule);
        if straight { way } else { Way::Possible(way.doubt()) }
    }

    fn is_straight(&self, check: &Check) -> bool {
        let nodes = walk(self.spec, rule_roots(check)).unwrap_or_default();
        self.reads_single_values(&rule_roots(check))
            && !nodes.into_iter().any(|node| self.jumps(node))
            && !is_equality(&check.rule)
    }

    fn reads_single_values(&self, roots: &[Node]) -> bool {
        use Reading::{Figure, NotTaken, Repeats, Word};
        self.slots_of(roots).into_iter().all(|slot| match self.sheet.get(slot) {
            None | Some(NotTaken { .. } | Figure(_) | Repeats(_) | Word(_)) => true,
            Some(_) => false,
        })
    }

    /// Whether a node is rounded, or compares for equality: by all that is possible these say more.
    fn jumps(&self, node: Node) -> bool {
        match node {
            Node::Number(id) => matches!(
                self.spec.numbers.get(id.0 as usize),
                Some(NumberNode::Apply(Function::Round, _))
            ),
            Node::Logic(id) => matches!(
                self.spec.logic.get(id.0 as usize),
                Some(LogicNode::Compare { relation: Relation::Equal | Relation::NotEqual, .. })
            ),
            Node::Limit(_) => false,
        }
    }

    /// `x <= y`, as a check.
    fn compared(
        &self,
        subject: NumberId,
        relation: Relation,
        against: NumberId,
        way: Way,
    ) -> Known<Standing> {
        let side = match relation {
            Relation::Less | Relation::LessOrEqual => Some(Side::High),
            Relation::Greater | Relation::GreaterOrEqual => Some(Side::Low),
            Relation::Equal | Relation::NotEqual => None,
        };
        match self.comparison(subject, relation, against, way) {
            Ok(true) => Ok(Standing::Within),
            Ok(false) => Ok(Standing::Outside(side)),
            Err(Unknown::Undecided) => Ok(Standing::Undecided),
            Err(unknown) => Err(unknown),
        }
    }

    /// Whether every condition of a limit is surely met.
    pub fn conditions_hold(&self, limit: &Limit, way: Way) -> bool {
        limit.conditions.iter().all(|condition| {
            let value = self.number(condition.subject, way);
            value.and_then(|value| inside(value, &condition.band)) == Ok(true)
        })
    }

    /// The same as a part of a rule; where a straight line doesn't lead to what they are about, what
    /// is possible has to tell.
    pub fn conditions_met(&self, limit: &Limit, way: Way) -> Known<()> {
        let bent = |subject| self.line(subject, way).err() == Some(Unknown::Bent);
        if way.is_straight() && limit.conditions.iter().any(|condition| bent(condition.subject)) {
            return Err(Unknown::Bent);
        }
        let holds = self.conditions_hold(limit, Way::Possible(way.widening()));
        if holds { Ok(()) } else { Err(Unknown::Blocked) }
    }

    /// Whether any reading that these may read is doubted.
    fn any_doubted(&self, roots: &[Node], uncertain: bool) -> bool {
        self.slots_of(roots).into_iter().any(|slot| doubted(self, slot, uncertain))
    }

    /// The readings that these may read.
    fn slots_of(&self, roots: &[Node]) -> Vec<SlotId> {
        let nodes = walk(self.spec, roots.iter().copied()).unwrap_or_default();
        nodes.into_iter().filter_map(|node| self.slot_of(node)).collect()
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

/// What the rule of a check reads.
fn rule_roots(check: &Check) -> Vec<Node> {
    match &check.rule {
        CheckRule::Within { subject, at, .. } => {
            let at = at.map(Node::Number);
            [Some(Node::Number(*subject)), at].into_iter().flatten().collect()
        }
        CheckRule::Compare { subject, against, .. } => {
            vec![Node::Number(*subject), Node::Number(*against)]
        }
        CheckRule::Logic { logic, .. } => vec![Node::Logic(*logic)],
    }
}

/// Everything that may block a check: its rule, the conditions of its limit, its `when`.
fn roots(check: &Check, limit: Option<&Limit>) -> Vec<Node> {
    let mut roots = rule_roots(check);
    roots.extend(check.when.map(Node::Logic));
    let conditions = limit.map(|limit| limit.conditions.as_slice()).unwrap_or_default();
    roots.extend(conditions.iter().map(|condition| Node::Number(condition.subject)));
    roots
}

fn is_equality(rule: &CheckRule) -> bool {
    matches!(rule, CheckRule::Compare { relation: Relation::Equal | Relation::NotEqual, .. })
}
