//! What else would decide: another meter on the same reading, another check with the same meter.

use std::collections::BTreeSet;

use truing_model::node::{Node, walk};
use truing_model::{
    Check, CheckId, CheckRule, LogicNode, NumberNode, Outcome, Reading, SlotId, Spec,
};

use crate::capability::{Ability, Capability, as_shown};
use crate::meter::MeterUse;
use crate::plan::Plan;
use crate::sheet::{Sheet, place};

/// Which of the meters at hand, by place, would have decided a check that is undecided, had they
/// shown the same values with the digits of their own ranges. Nothing where the check is not
/// undecided.
#[must_use]
pub fn would_settle(plan: &Plan, sheet: &Sheet, check: CheckId, meters: &[MeterUse]) -> Vec<usize> {
    let mut evaluator = plan.evaluator();
    let program = &plan.program;
    let Some(flat) = program.checks.get(place(check.0)) else { return Vec::new() };
    let slots = flat.root.slots.of(&program.slots);
    let mut outcome = |sheet: &Sheet| evaluator.outcomes(sheet).get(place(check.0)).copied();
    if outcome(sheet) != Some(Outcome::Undecided) {
        return Vec::new();
    }
    let settles = |meter: &MeterUse| {
        let mut other = sheet.clone();
        let mut changed = false;
        for slot in slots {
            changed |= retaken(sheet, &mut other, SlotId(*slot), meter).is_some();
        }
        changed && outcome(&other).is_some_and(|outcome| outcome.passes() || outcome.fails())
    };
    let places = meters.iter().map(settles).enumerate().collect::<Vec<_>>();
    places.into_iter().filter(|(_, settles)| *settles).map(|(place, _)| place).collect()
}

/// Puts the same value on another sheet as this meter shows it; nothing where it measures no such
/// thing or the reading is no figure.
fn retaken(sheet: &Sheet, other: &mut Sheet, slot: SlotId, meter: &MeterUse) -> Option<()> {
    let facts = sheet.facts(slot.0)?;
    let function = meter.instrument.function(facts.kind?)?;
    let as_shown = |figure: &truing_model::Indication| {
        as_shown(&figure.shown, figure.value, facts.circuit, Some((meter, function)))
    };
    let reading = match sheet.judged(slot.0)? {
        Reading::Figure(figure) => Reading::Figure(as_shown(figure)),
        Reading::Repeats(figures) => Reading::Repeats(figures.iter().map(as_shown).collect()),
        _ => return None,
    };
    other.forget_uncertainty(slot);
    other.set(slot, reading).ok()?;
    other.measure_with(slot, meter.clone()).ok()
}

/// Checks of the same spec that the same meter decides and that say something of the same part: they
/// read one of the same readings, ask first about the same check, or ask about each other.
///
/// Faults are to come in here: checks that show the same fault say something of the same part.
#[must_use]
pub fn alternatives(spec: &Spec, capabilities: &[Capability], of: &Capability) -> Vec<CheckId> {
    let Some(check) = spec.check(of.check) else { return Vec::new() };
    let own = Ties::of(spec, of.check, check);
    capabilities
        .iter()
        .filter(|other| other.meter == of.meter && other.check != of.check)
        .filter(|other| {
            matches!(other.ability, Ability::DecidesWell | Ability::DecidesExceptNearEdges)
        })
        .filter(|other| {
            spec.check(other.check)
                .is_some_and(|check| own.meet(&Ties::of(spec, other.check, check)))
        })
        .map(|other| other.check)
        .collect()
}

/// What a check reads, and itself with the checks that it asks about.
struct Ties {
    slots: BTreeSet<SlotId>,
    checks: BTreeSet<CheckId>,
}

impl Ties {
    fn of(spec: &Spec, id: CheckId, check: &Check) -> Self {
        let mut roots: Vec<Node> = check.when.map(Node::Logic).into_iter().collect();
        match &check.rule {
            CheckRule::Within { subject, at, .. } => {
                roots.push(Node::Number(*subject));
                roots.extend(at.map(Node::Number));
            }
            CheckRule::Compare { subject, against, .. } => {
                roots.extend([Node::Number(*subject), Node::Number(*against)]);
            }
            CheckRule::Logic { logic, .. } => roots.push(Node::Logic(*logic)),
        }
        let mut ties = Self { slots: BTreeSet::new(), checks: BTreeSet::from([id]) };
        for node in walk(spec, roots).unwrap_or_default() {
            ties.take(spec, node);
        }
        ties
    }

    fn take(&mut self, spec: &Spec, node: Node) {
        match node {
            Node::Number(id) => {
                if let Some(NumberNode::Slot(slot)) = spec.numbers.get(place(id.0)) {
                    self.slots.insert(*slot);
                }
            }
            Node::Logic(id) => match spec.logic.get(place(id.0)) {
                Some(LogicNode::Is { slot, .. }) => {
                    self.slots.insert(*slot);
                }
                Some(LogicNode::Passes(check) | LogicNode::Fails(check)) => {
                    self.checks.insert(*check);
                }
                _ => {}
            },
            Node::Limit(_) => {}
        }
    }

    fn meet(&self, other: &Self) -> bool {
        !self.slots.is_disjoint(&other.slots) || !self.checks.is_disjoint(&other.checks)
    }
}
