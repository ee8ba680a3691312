//! What may be read on the way through a procedure, and how probable that is.
//!
//! A check passes or fails; a rule that is asked by itself holds or not. A *case* is what is so far
//! supposed to have come out so, with the weight that each hypothesis has then. Where a condition
//! needs what no case says yet, the case is parted in two.

use std::collections::{BTreeMap, BTreeSet};

use truing_diagnosis::{Fault, Hypothesis, Network};
use truing_model::node::{Node, walk};
use truing_model::{
    CheckId, FaultId, LogicId, LogicNode, Procedure, SlotId, SpecParts, StateId, Step, Taken,
};

use super::effort::Standing;
use super::needs;
use super::same::same_rule;
use crate::suspects::SuspectPlan;

/// What may come out one way or the other.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Open {
    /// The check passes or fails.
    Check(CheckId),
    /// The rule holds or not: the faults say nothing of it.
    Rule(LogicId),
}

/// What is supposed to have come out.
#[derive(Clone, Debug)]
pub(super) struct Case {
    /// Passes, or holds.
    pub known: BTreeMap<Open, bool>,
    pub standing: Standing,
    /// The weight of each hypothesis.
    pub mass: Vec<f64>,
}

impl Case {
    pub fn total(&self) -> f64 {
        self.mass.iter().sum()
    }
}

/// A condition, ready to be asked of cases.
#[derive(Clone, Debug)]
pub(super) struct Question {
    condition: LogicId,
    nodes: Vec<LogicId>,
    /// The checks that it rests on, each behind those that come first, with their preconditions.
    checks: Vec<(CheckId, Option<Box<Question>>)>,
}

/// Whether something holds, or what has to be known first.
type Answer = Result<Option<bool>, Open>;

/// The faults of a spec, as far as a procedure asks for what they do.
pub(super) struct Model<'a> {
    pub spec: &'a SpecParts,
    hypotheses: Vec<Hypothesis>,
    prior: Vec<f64>,
    /// Members of a family that counts as one come out alike: the first stands for all.
    first: BTreeMap<CheckId, CheckId>,
    /// That a check passes, under each hypothesis.
    passes: BTreeMap<CheckId, Vec<f64>>,
    /// What stands for a rule that is asked by itself.
    rules: BTreeMap<LogicId, Open>,
}

impl<'a> Model<'a> {
    /// As far as a procedure asks.
    pub fn new(spec: &'a SpecParts, plan: Option<&SuspectPlan>, procedure: &Procedure) -> Self {
        let network = plan.map(SuspectPlan::network_of_complaints);
        let faults = network.map_or(0, Network::faults);
        let singles = (0..faults).map(|at| Hypothesis::Single(Fault(at)));
        let hypotheses: Vec<Hypothesis> =
            [Hypothesis::None].into_iter().chain(singles).chain([Hypothesis::Other]).collect();
        // Without faults there is nothing to weigh: one hypothesis is as good as two.
        let weight = |of: &Hypothesis| network.map_or(1.0, |network| network.weight(*of));
        let weights: Vec<f64> = hypotheses.iter().map(weight).collect();
        let sum: f64 = weights.iter().sum();
        let mut model = Self {
            spec,
            prior: weights.iter().map(|weight| weight / sum).collect(),
            first: BTreeMap::new(),
            passes: BTreeMap::new(),
            rules: BTreeMap::new(),
            hypotheses,
        };
        let rules = rules_of(spec, procedure);
        for rule in &rules {
            let stands = model.stands_for(*rule, &rules);
            model.rules.insert(*rule, stands);
        }
        for id in model.checks_of(procedure) {
            let first = plan.and_then(|plan| plan.check(plan.check_in_network(id)?)).unwrap_or(id);
            model.first.insert(id, first);
            model.passes.insert(first, model.passing(plan, first));
        }
        model
    }

    /// Every check whose outcome may part a case.
    fn checks_of(&self, procedure: &Procedure) -> BTreeSet<CheckId> {
        let stand_in = self.rules.values().filter_map(|open| match open {
            Open::Check(check) => Some(*check),
            Open::Rule(_) => None,
        });
        let waive = self.spec.states.iter().flat_map(|state| &state.waived).map(|by| by.check);
        let mut named: BTreeSet<CheckId> = stand_in.chain(waive).collect();
        for step in &procedure.steps {
            match step {
                Step::If { condition, .. } => {
                    named.extend(needs::checks_of(self.spec, *condition));
                }
                Step::Take(taken) => named.extend(taken.iter().filter_map(|taken| match taken {
                    Taken::Check(check) => Some(*check),
                    _ => None,
                })),
                _ => {}
            }
        }
        named.into_iter().flat_map(|check| needs::with_those_before(self.spec, check)).collect()
    }

    /// Nothing supposed.
    pub fn beginning(&self) -> Case {
        Case { known: BTreeMap::new(), standing: Standing::default(), mass: self.prior.clone() }
    }

    /// How probable each hypothesis is before anything is read.
    pub fn prior(&self) -> &[f64] {
        &self.prior
    }

    /// The place of a fault among the hypotheses.
    pub const fn place(fault: FaultId) -> usize {
        fault.0 as usize + 1
    }

    fn passing(&self, plan: Option<&SuspectPlan>, id: CheckId) -> Vec<f64> {
        let Some(bands) = self.spec.bands_of(id) else { return Vec::new() };
        let sum = |chances: &[f64]| -> f64 {
            let passing = bands.order.iter().zip(chances).filter(|(band, _)| band.passes());
            passing.map(|(_, chance)| chance).sum()
        };
        if let Some(plan) = plan
            && let Some(check) = plan.check_in_network(id)
        {
            let network = plan.network_of_complaints();
            let read = |of: &Hypothesis| network.outcome_read(check, *of).unwrap_or_default();
            return self.hypotheses.iter().map(|of| sum(&read(of))).collect();
        }
        // No fault acts on it: it fails by itself, and by a slip of the hand.
        let all = bands.order.len().max(1) as f64;
        let chances = [1.0 - bands.leaks()].into_iter().chain(bands.leak.iter().copied());
        let read = |chance: f64| (1.0 - bands.slip) * chance + bands.slip / all;
        let chances: Vec<f64> = chances.map(read).collect();
        vec![sum(&chances); self.hypotheses.len()]
    }

    /// The check whose whole rule it is, if there is one; else the first rule that asks the same.
    fn stands_for(&self, rule: LogicId, rules: &BTreeSet<LogicId>) -> Open {
        let node = |id: LogicId| self.spec.logic.get(id.0 as usize);
        let same = |check: &truing_model::Check| match (&check.rule, node(rule)) {
            (truing_model::CheckRule::Logic { logic, .. }, _) => same_rule(self.spec, *logic, rule),
            (
                truing_model::CheckRule::Within { subject, limit, at, .. },
                Some(LogicNode::Within { subject: asked, limit: by, at: place }),
            ) => (subject, limit, at) == (asked, by, place),
            _ => false,
        };
        let free = |check: &truing_model::Check| check.when.is_none() && check.applies.is_none();
        let mut checks = (0_u32..).map(CheckId).zip(&self.spec.checks);
        if let Some((id, _)) = checks.find(|(_, check)| free(check) && same(check)) {
            return Open::Check(id);
        }
        let first = rules.iter().find(|other| same_rule(self.spec, **other, rule));
        Open::Rule(first.copied().unwrap_or(rule))
    }

    /// A condition, ready to be asked.
    pub fn question(&self, condition: LogicId) -> Question {
        self.question_of(condition, true)
    }

    fn question_of(&self, condition: LogicId, with_those_before: bool) -> Question {
        let nodes = walk(self.spec, [Node::Logic(condition)]).unwrap_or_default();
        let nodes: Vec<LogicId> = nodes
            .into_iter()
            .filter_map(|node| if let Node::Logic(id) = node { Some(id) } else { None })
            .collect();
        let mut asked: BTreeSet<CheckId> = BTreeSet::new();
        if with_those_before {
            let stand_for = nodes.iter().filter_map(|node| match self.rules.get(node) {
                Some(Open::Check(check)) => Some(*check),
                _ => None,
            });
            let named = needs::checks_of(self.spec, condition).into_iter().chain(stand_for);
            asked.extend(named.flat_map(|check| needs::with_those_before(self.spec, check)));
        }
        let ordered = self.spec.order.iter().filter(|id| asked.contains(id));
        let checks = ordered.map(|id| {
            let when = self.spec.check(*id).and_then(|check| check.when);
            // The checks of a precondition stand before the one that it is of.
            (*id, when.map(|when| Box::new(self.question_of(when, false))))
        });
        Question { condition, nodes, checks: checks.collect() }
    }

    /// Whether a check would be judged, and what has to be known for that.
    pub fn may_be_judged(&self, case: &Case, when: &Question) -> Answer {
        self.ask(case, when, false)
    }

    /// Whether a condition holds in a case.
    pub fn holds(&self, case: &Case, question: &Question) -> Answer {
        self.ask(case, question, true)
    }

    fn ask(&self, case: &Case, question: &Question, by_rules: bool) -> Answer {
        let mut came: BTreeMap<CheckId, Answer> = BTreeMap::new();
        for (check, when) in &question.checks {
            let answer = self.came_out(case, *check, when.as_deref(), &came);
            came.insert(*check, answer);
        }
        self.logic(case, question, by_rules, &came)
    }

    /// The checks that a condition rests on and that nobody took, though they would be judged.
    pub fn untaken(&self, case: &Case, question: &Question) -> Vec<CheckId> {
        let mut came: BTreeMap<CheckId, Answer> = BTreeMap::new();
        let mut untaken = Vec::new();
        for (check, when) in &question.checks {
            let when = when.as_deref();
            let barred =
                when.is_some_and(|when| self.logic(case, when, false, &came) == Ok(Some(false)));
            if !barred && !self.is_taken(case, *check) {
                untaken.push(*check);
            }
            let answer = self.came_out(case, *check, when, &came);
            came.insert(*check, answer);
        }
        untaken
    }

    /// Whether a check passes.
    fn came_out(
        &self,
        case: &Case,
        id: CheckId,
        when: Option<&Question>,
        came: &BTreeMap<CheckId, Answer>,
    ) -> Answer {
        let bands = self.spec.bands_of(id).map_or(0, |bands| bands.order.len());
        if bands < 2 || !self.is_taken(case, id) {
            return Ok(None);
        }
        if let Some(when) = when
            && self.logic(case, when, false, came)? != Some(true)
        {
            return Ok(None);
        }
        let open = self.open(id);
        case.known.get(&open).map_or(Err(open), |passes| Ok(Some(*passes)))
    }

    /// What has to be known of a check.
    fn open(&self, id: CheckId) -> Open {
        Open::Check(self.first.get(&id).copied().unwrap_or(id))
    }

    /// Whether all that a check's rule reads was taken.
    pub fn is_taken(&self, case: &Case, id: CheckId) -> bool {
        let slots = self.spec.check(id).map_or(&[][..], |check| &check.slots);
        slots.iter().all(|slot| case.standing.taken.contains(slot))
    }

    fn logic(
        &self,
        case: &Case,
        question: &Question,
        by_rules: bool,
        came: &BTreeMap<CheckId, Answer>,
    ) -> Answer {
        let mut known: BTreeMap<LogicId, Answer> = BTreeMap::new();
        for id in &question.nodes {
            let of = |id: &LogicId| known.get(id).copied().unwrap_or(Ok(None));
            let passes = |check: &CheckId| came.get(check).copied().unwrap_or(Ok(None));
            let not = |answer: Answer| answer.map(|known| known.map(|value| !value));
            let answer = match self.spec.logic.get(id.0 as usize) {
                None => Ok(None),
                Some(LogicNode::Constant(value)) => Ok(Some(*value)),
                Some(LogicNode::Passes(check)) => passes(check),
                Some(LogicNode::Fails(check)) => not(passes(check)),
                Some(LogicNode::Not(inner)) => not(of(inner)),
                Some(LogicNode::All(parts)) => joined(parts.iter().map(of), false),
                Some(LogicNode::Any(parts)) => joined(parts.iter().map(of), true),
                Some(_) => self.rule(case, *id, by_rules, came),
            };
            known.insert(*id, answer);
        }
        known.get(&question.condition).copied().unwrap_or(Ok(None))
    }

    /// Whether a rule holds that is asked by itself. What a precondition asks of readings is taken to
    /// hold, as the network of the faults takes it.
    fn rule(
        &self,
        case: &Case,
        id: LogicId,
        by_rules: bool,
        came: &BTreeMap<CheckId, Answer>,
    ) -> Answer {
        let slots: BTreeSet<SlotId> = needs::of_rule(self.spec, id);
        if !slots.iter().all(|slot| case.standing.taken.contains(slot)) {
            return Ok(None);
        }
        match self.rules.get(&id).filter(|_| by_rules) {
            None => Ok(Some(true)),
            Some(Open::Check(check)) => came.get(check).copied().unwrap_or(Ok(None)),
            Some(open) => case.known.get(open).map_or(Err(*open), |value| Ok(Some(*value))),
        }
    }

    /// Whether a state is waived in a case, by what was taken.
    pub fn waives(&self, case: &Case, state: StateId) -> Answer {
        let waived = self.spec.state(state).map_or(&[][..], |of| &of.waived);
        let mut first = None;
        for by in waived {
            let when = self.spec.check(by.check).and_then(|check| check.when);
            // What waits for another check to come out waives nothing here.
            if when.is_some() || !self.is_taken(case, by.check) {
                continue;
            }
            match case.known.get(&Open::Check(by.check)) {
                Some(passes) if *passes == by.band.passes() => return Ok(Some(true)),
                Some(_) => {}
                None => first = first.or(Some(Open::Check(by.check))),
            }
        }
        first.map_or(Ok(Some(false)), Err)
    }

    /// The two cases that differ in what came of this; one that cannot be is left out.
    pub fn parted(&self, case: &Case, open: Open) -> Vec<(bool, Case)> {
        let chance = |at: usize| match open {
            Open::Check(check) => {
                self.passes.get(&check).and_then(|all| all.get(at)).copied().unwrap_or(0.5)
            }
            Open::Rule(_) => 0.5,
        };
        let way = |passes: bool| {
            let share = |(at, mass): (usize, &f64)| {
                mass * if passes { chance(at) } else { 1.0 - chance(at) }
            };
            let mass: Vec<f64> = case.mass.iter().enumerate().map(share).collect();
            let mut part = Case { mass, ..case.clone() };
            part.known.insert(open, passes);
            (part.total() > 0.0).then_some((passes, part))
        };
        [true, false].into_iter().filter_map(way).collect()
    }
}

impl Question {
    /// What it may need to know.
    pub fn opens(&self, model: &Model<'_>) -> BTreeSet<Open> {
        let checks = self.checks.iter().map(|(check, _)| model.open(*check));
        let rules = self.nodes.iter().filter_map(|node| model.rules.get(node)).copied();
        checks.chain(rules).collect()
    }
}

/// The rules that the conditions of a procedure ask for by themselves.
fn rules_of(spec: &SpecParts, procedure: &Procedure) -> BTreeSet<LogicId> {
    let condition = |step: &Step| match step {
        Step::If { condition, .. } => Some(*condition),
        _ => None,
    };
    let leaves = procedure.steps.iter().filter_map(condition);
    let leaves = leaves.flat_map(|condition| needs::leaves(spec, condition));
    let is_rule = |leaf: &LogicId| {
        let node = spec.logic.get(leaf.0 as usize);
        !matches!(node, Some(LogicNode::Passes(_) | LogicNode::Fails(_)))
    };
    leaves.filter(is_rule).collect()
}

/// One part settles it; else what has to be known first; else one that is open leaves it open.
fn joined(parts: impl Iterator<Item = Answer>, settles: bool) -> Answer {
    let (mut first, mut open) = (None, false);
    for part in parts {
        match part {
            Ok(Some(value)) if value == settles => return Ok(Some(settles)),
            Ok(known) => open |= known.is_none(),
            Err(needed) => first = first.or(Some(needed)),
        }
    }
    match first {
        Some(needed) => Err(needed),
        None if open => Ok(None),
        None => Ok(Some(!settles)),
    }
}
