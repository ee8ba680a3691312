//! What makes a spec sound, and the only way to one.
//!
//! # The order of nodes
//!
//! A number stands behind the numbers that it is made of, and a logic node behind the logic nodes.
//! Between the two lists, and through limits (whose conditions are numbers and whose variants are
//! logic), nothing may be made of itself; in which of the lists a part stands first does not
//! matter there. [`crate::node::walk`] gives parts before wholes over all three.

mod faults;
mod instruments;

use std::collections::HashMap;

use crate::case::{Case, Expectation};
use crate::expression::{LogicId, LogicNode, NumberId, NumberNode};
use crate::fault::Bands;
use crate::limit::{Cite, DecideRule, Edge, Interval, Limit, LimitId, LimitRule};
use crate::measurement::{Check, CheckId, CheckRule, Domain, PropertyId, Slot, SlotId, SlotKind};
use crate::node::{Circle, Node, of_rule, walk};
use crate::reading::{PropertyValue, Reading};
use crate::spec::{BrokenSpec, Spec, SpecParts};

impl Spec {
    /// Makes a spec of its parts.
    ///
    /// # Errors
    /// [`BrokenSpec`] with the first thing that is not sound.
    pub fn seal(mut parts: SpecParts) -> Result<Self, BrokenSpec> {
        Indices { spec: &parts }.all()?;
        arena_order(&parts)?;
        let order = whole_order(&parts)?;
        check_order(&parts, &order)?;
        variants(&parts)?;
        figures(&parts)?;
        instruments::instruments(&parts)?;
        if parts.bands.is_empty() {
            let rules = parts.checks.iter().map(|check| &check.rule);
            parts.bands = rules.map(|rule| Bands::usual(&parts, rule)).collect();
        }
        faults::faults(&parts)?;
        Ok(Self::sealed(parts))
    }
}

impl TryFrom<SpecParts> for Spec {
    type Error = BrokenSpec;

    fn try_from(parts: SpecParts) -> Result<Self, BrokenSpec> {
        Self::seal(parts)
    }
}

/// Verifies that what is named is there.
struct Indices<'a> {
    spec: &'a SpecParts,
}

type Verdict = Result<(), BrokenSpec>;

fn within(list: &'static str, length: usize, index: u32, by: impl FnOnce() -> String) -> Verdict {
    if (index as usize) < length {
        Ok(())
    } else {
        Err(BrokenSpec::OutOfRange { list, index, by: by() })
    }
}

impl Indices<'_> {
    fn all(&self) -> Verdict {
        let spec = self.spec;
        for (place, node) in spec.numbers.iter().enumerate() {
            self.number_node(node, place)?;
        }
        for (place, node) in spec.logic.iter().enumerate() {
            self.logic_node(node, place)?;
        }
        spec.limits
            .iter()
            .enumerate()
            .try_for_each(|(place, limit)| self.of_limit(limit, place))?;
        spec.slots.iter().try_for_each(|slot| self.of_slot(slot))?;
        for state in &spec.states {
            for from in &state.from {
                within("state", spec.states.len(), from.0, || state.name.clone())?;
            }
            for caution in &state.cautions {
                within("caution", spec.cautions.len(), caution.0, || state.name.clone())?;
            }
        }
        for derived in &spec.derived {
            self.number(derived.number, || derived.label.clone())?;
            self.slots(&derived.slots, &derived.label)?;
            self.cites(&derived.cites, &derived.label)?;
        }
        spec.checks.iter().try_for_each(|check| self.of_check(check))?;
        for check in &spec.order {
            self.check(*check, || "the order of checks".to_owned())?;
        }
        for meter in &spec.meters {
            within("instrument", spec.instruments.len(), meter.0, || spec.name.clone())?;
        }
        spec.cases.iter().try_for_each(|case| self.of_case(case))
    }

    fn number(&self, id: NumberId, by: impl FnOnce() -> String) -> Verdict {
        within("number", self.spec.numbers.len(), id.0, by)
    }

    fn logic(&self, id: LogicId, by: impl FnOnce() -> String) -> Verdict {
        within("logic", self.spec.logic.len(), id.0, by)
    }

    fn limit(&self, id: LimitId, by: impl FnOnce() -> String) -> Verdict {
        within("limit", self.spec.limits.len(), id.0, by)
    }

    fn slot(&self, id: SlotId, by: impl FnOnce() -> String) -> Verdict {
        within("slot", self.spec.slots.len(), id.0, by)
    }

    fn check(&self, id: CheckId, by: impl FnOnce() -> String) -> Verdict {
        within("check", self.spec.checks.len(), id.0, by)
    }

    fn property(&self, id: PropertyId, by: impl FnOnce() -> String) -> Verdict {
        within("property", self.spec.properties.len(), id.0, by)
    }

    fn slots(&self, slots: &[SlotId], by: &str) -> Verdict {
        slots.iter().try_for_each(|slot| self.slot(*slot, || by.to_owned()))?;
        if slots.is_sorted_by(|a, b| a < b) {
            Ok(())
        } else {
            Err(BrokenSpec::NotRising { by: by.to_owned() })
        }
    }

    fn cites(&self, cites: &[Cite], by: &str) -> Verdict {
        let count = self.spec.sources.len();
        cites
            .iter()
            .flat_map(|cite| [Some(cite.source), cite.mend])
            .flatten()
            .try_for_each(|source| within("source", count, source.0, || by.to_owned()))
    }

    fn number_node(&self, node: &NumberNode, place: usize) -> Verdict {
        let by = || format!("number {place}");
        match node {
            NumberNode::Constant { .. } => Ok(()),
            NumberNode::Slot(slot) => self.slot(*slot, by),
            NumberNode::Property(property) => self.property(*property, by),
            NumberNode::Negate(of)
            | NumberNode::Power(of, _)
            | NumberNode::Apply(_, of)
            | NumberNode::Law { of, .. } => self.number(*of, by),
            NumberNode::Add(a, b)
            | NumberNode::Subtract(a, b)
            | NumberNode::Multiply(a, b)
            | NumberNode::Divide(a, b) => {
                self.number(*a, by)?;
                self.number(*b, by)
            }
            NumberNode::Fold(_, members) if members.is_empty() => {
                Err(BrokenSpec::EmptyFold { by: by() })
            }
            NumberNode::Fold(_, members) => {
                members.iter().try_for_each(|member| self.number(*member, by))
            }
            NumberNode::Refer { resistance, from, to, .. } => {
                [resistance, from, to].into_iter().try_for_each(|of| self.number(*of, by))
            }
            NumberNode::CurveAt { curve, at } => {
                self.limit(*curve, by)?;
                self.number(*at, by)
            }
            NumberNode::Choose { condition, then, otherwise } => {
                self.logic(*condition, by)?;
                self.number(*then, by)?;
                self.number(*otherwise, by)
            }
        }
    }

    fn logic_node(&self, node: &LogicNode, place: usize) -> Verdict {
        let by = || format!("logic {place}");
        match node {
            LogicNode::Constant(_) => Ok(()),
            LogicNode::Compare { left, right, .. } => {
                self.number(*left, by)?;
                self.number(*right, by)
            }
            LogicNode::Within { subject, limit, at } => {
                self.number(*subject, by)?;
                self.limit(*limit, by)?;
                at.map_or(Ok(()), |at| self.number(at, by))
            }
            LogicNode::Is { slot, words } => {
                self.slot(*slot, by)?;
                let known = match self.spec.slots.get(slot.0 as usize).map(|slot| &slot.kind) {
                    Some(SlotKind::Words(known)) => known.len(),
                    _ => 0,
                };
                words.iter().try_for_each(|word| within("word", known, u32::from(*word), by))
            }
            LogicNode::PropertyIs { property, words } => {
                self.property(*property, by)?;
                let domain = self.spec.properties.get(property.0 as usize).map(|of| &of.domain);
                let known = match domain {
                    Some(Domain::Words(known)) => known.len(),
                    _ => 0,
                };
                words.iter().try_for_each(|word| within("word", known, u32::from(*word), by))
            }
            LogicNode::Passes(check) | LogicNode::Fails(check) => self.check(*check, by),
            LogicNode::Not(of) => self.logic(*of, by),
            LogicNode::All(of) | LogicNode::Any(of) => {
                of.iter().try_for_each(|of| self.logic(*of, by))
            }
        }
    }

    fn of_limit(&self, limit: &Limit, place: usize) -> Verdict {
        let by = || limit_name(limit, place);
        let mut parts = Vec::new();
        of_rule(&limit.rule, &mut parts);
        for part in parts {
            if let Node::Logic(condition) = part {
                self.logic(condition, by)?;
            }
        }
        limit.conditions.iter().try_for_each(|condition| self.number(condition.subject, by))?;
        self.cites(&limit.cites, &by())
    }

    fn of_slot(&self, slot: &Slot) -> Verdict {
        let by = || slot.label.clone();
        slot.with.iter().try_for_each(|with| self.slot(*with, by))?;
        for caution in &slot.cautions {
            within("caution", self.spec.cautions.len(), caution.0, by)?;
        }
        slot.frequency.map_or(Ok(()), |frequency| self.number(frequency, by))?;
        slot.during.map_or(Ok(()), |state| within("state", self.spec.states.len(), state.0, by))
    }

    fn of_check(&self, check: &Check) -> Verdict {
        let by = || check.label.clone();
        match &check.rule {
            CheckRule::Within { subject, limit, at, .. } => {
                self.number(*subject, by)?;
                self.limit(*limit, by)?;
                at.map_or(Ok(()), |at| self.number(at, by))?;
            }
            CheckRule::Compare { subject, against, .. } => {
                self.number(*subject, by)?;
                self.number(*against, by)?;
            }
            CheckRule::Logic { logic, .. } => self.logic(*logic, by)?,
        }
        [check.when, check.applies].into_iter().flatten().try_for_each(|id| self.logic(id, by))?;
        self.slots(&check.slots, &check.label)?;
        self.cites(&check.cites, &check.label)
    }

    fn of_case(&self, case: &Case) -> Verdict {
        let by = || format!("case {}", case.name);
        for (slot, reading) in &case.readings {
            self.slot(*slot, by)?;
            if let (Reading::Word(word), Some(slot)) =
                (reading, self.spec.slots.get(slot.0 as usize))
                && let SlotKind::Words(known) = &slot.kind
            {
                within("word", known.len(), u32::from(*word), by)?;
            }
        }
        for (property, value) in &case.properties {
            self.property(*property, by)?;
            let domain = self.spec.properties.get(property.0 as usize).map(|of| &of.domain);
            if let (PropertyValue::Word(word), Some(Domain::Words(known))) = (value, domain) {
                within("word", known.len(), u32::from(*word), by)?;
            }
        }
        case.expectations.iter().try_for_each(|expectation| match expectation {
            Expectation::Outcome { check, .. } => self.check(*check, by),
            Expectation::Value { number, .. } => self.number(*number, by),
            Expectation::Suspect { faults, .. } => faults
                .iter()
                .try_for_each(|fault| within("fault", self.spec.faults.len(), fault.0, by)),
        })
    }
}

/// What people call a limit.
fn limit_name(limit: &Limit, place: usize) -> String {
    limit.name.clone().unwrap_or_else(|| format!("number {place}"))
}

/// Each list by itself: parts before wholes.
fn arena_order(spec: &SpecParts) -> Verdict {
    let ordered = |whole: Node, place: usize| {
        crate::node::parts_of(spec, whole).into_iter().all(|part| match (whole, part) {
            (Node::Number(_), Node::Number(part)) => (part.0 as usize) < place,
            (Node::Logic(_), Node::Logic(part)) => (part.0 as usize) < place,
            _ => true,
        })
    };
    for (place, id) in (0..spec.numbers.len()).zip(0_u32..) {
        if !ordered(Node::Number(NumberId(id)), place) {
            return Err(BrokenSpec::OutOfOrder { by: format!("number {place}") });
        }
    }
    for (place, id) in (0..spec.logic.len()).zip(0_u32..) {
        if !ordered(Node::Logic(LogicId(id)), place) {
            return Err(BrokenSpec::OutOfOrder { by: format!("logic {place}") });
        }
    }
    Ok(())
}

/// All three lists together: parts before wholes, nothing made of itself.
fn whole_order(spec: &SpecParts) -> Result<Vec<Node>, BrokenSpec> {
    let roots = (0_u32..)
        .take(spec.numbers.len())
        .map(|id| Node::Number(NumberId(id)))
        .chain((0_u32..).take(spec.logic.len()).map(|id| Node::Logic(LogicId(id))))
        .chain((0_u32..).take(spec.limits.len()).map(|id| Node::Limit(LimitId(id))));
    walk(spec, roots).map_err(|Circle(node)| BrokenSpec::OutOfOrder { by: node_name(spec, node) })
}

fn node_name(spec: &SpecParts, node: Node) -> String {
    match node {
        Node::Number(id) => format!("number {}", id.0),
        Node::Logic(id) => format!("logic {}", id.0),
        Node::Limit(id) => match spec.limits.get(id.0 as usize) {
            Some(limit) => format!("limit {}", limit_name(limit, id.0 as usize)),
            None => format!("limit {}", id.0),
        },
    }
}

/// The order of checks: each once, and behind all that it asks about.
fn check_order(spec: &SpecParts, nodes: &[Node]) -> Verdict {
    let mut places: HashMap<CheckId, usize> = HashMap::new();
    for (place, check) in spec.order.iter().enumerate() {
        places.insert(*check, place);
    }
    if places.len() != spec.checks.len() || spec.order.len() != spec.checks.len() {
        return Err(BrokenSpec::NoPermutation { named: places.len(), checks: spec.checks.len() });
    }
    // For each node the latest place in the order that it, or anything it is made of, asks about.
    let mut latest: HashMap<Node, Option<usize>> = HashMap::new();
    for node in nodes {
        let own = match node {
            Node::Logic(id) => match spec.logic.get(id.0 as usize) {
                Some(LogicNode::Passes(check) | LogicNode::Fails(check)) => {
                    places.get(check).copied()
                }
                _ => None,
            },
            _ => None,
        };
        let parts = crate::node::parts_of(spec, *node);
        let most = parts.iter().filter_map(|part| latest.get(part).copied().flatten()).max();
        latest.insert(*node, own.max(most));
    }
    for (check, id) in spec.checks.iter().zip(0_u32..) {
        let asks = roots_of(check).into_iter().filter_map(|node| latest.get(&node).copied()?).max();
        if asks.is_some_and(|asks| places.get(&CheckId(id)).is_none_or(|own| asks >= *own)) {
            return Err(BrokenSpec::OutOfOrder { by: format!("check {}", check.label) });
        }
    }
    Ok(())
}

/// Variants go by what the machine is: by no reading, and by no check.
fn variants(spec: &SpecParts) -> Verdict {
    for (place, limit) in spec.limits.iter().enumerate() {
        let mut conditions = Vec::new();
        of_rule(&limit.rule, &mut conditions);
        let nodes = walk(spec, conditions)
            .map_err(|Circle(node)| BrokenSpec::OutOfOrder { by: node_name(spec, node) })?;
        let read = nodes.into_iter().any(|node| match node {
            Node::Number(id) => {
                matches!(spec.numbers.get(id.0 as usize), Some(NumberNode::Slot(_)))
            }
            Node::Logic(id) => matches!(
                spec.logic.get(id.0 as usize),
                Some(LogicNode::Is { .. } | LogicNode::Passes(_) | LogicNode::Fails(_))
            ),
            Node::Limit(_) => false,
        });
        if read {
            return Err(BrokenSpec::VariantReads { limit: limit_name(limit, place) });
        }
    }
    Ok(())
}

/// Everything that a check asks about.
fn roots_of(check: &Check) -> Vec<Node> {
    let mut roots: Vec<Node> =
        [check.when, check.applies].into_iter().flatten().map(Node::Logic).collect();
    match &check.rule {
        CheckRule::Within { subject, limit, at, .. } => {
            roots.extend([Node::Number(*subject), Node::Limit(*limit)]);
            roots.extend(at.map(Node::Number));
        }
        CheckRule::Compare { subject, against, .. } => {
            roots.extend([Node::Number(*subject), Node::Number(*against)]);
        }
        CheckRule::Logic { logic, .. } => roots.push(Node::Logic(*logic)),
    }
    roots
}

/// Curves rise, figures are finite, decision rules make sense.
fn figures(spec: &SpecParts) -> Verdict {
    for node in &spec.numbers {
        match node {
            NumberNode::Constant { value, .. } => finite(*value, || "a constant".to_owned())?,
            NumberNode::Law { law, .. } => law
                .constants()
                .try_for_each(|constant| finite(constant, || "a constant of a law".to_owned()))?,
            _ => {}
        }
    }
    for (place, limit) in spec.limits.iter().enumerate() {
        let by = || limit_name(limit, place);
        rule_figures(&limit.rule, &by)?;
        limit.conditions.iter().try_for_each(|condition| interval_figures(&condition.band, &by))?;
    }
    for slot in &spec.slots {
        if let SlotKind::Quantity { plausible: Some(plausible), .. } = &slot.kind {
            interval_figures(plausible, &|| slot.label.clone())?;
        }
    }
    let rules = spec.checks.iter().filter_map(|check| Some((check.decide?, check.label.clone())));
    let rules = rules
        .chain([(spec.decide, spec.name.clone())])
        .chain(spec.cases.iter().filter_map(|case| Some((case.decide?, case.name.clone()))));
    for (rule, by) in rules {
        let sound = match rule {
            DecideRule::Simple => true,
            DecideRule::Guarded { k } => k.is_finite() && k >= 0.0,
            DecideRule::At { probability } => probability > 0.5 && probability < 1.0,
        };
        if !sound {
            return Err(BrokenSpec::DecideRule { by });
        }
    }
    Ok(())
}

fn finite(value: f64, by: impl FnOnce() -> String) -> Verdict {
    if value.is_finite() { Ok(()) } else { Err(BrokenSpec::NotFinite { by: by() }) }
}

fn interval_figures(interval: &Interval, by: &impl Fn() -> String) -> Verdict {
    let ends = [&interval.low, &interval.high];
    ends.into_iter().flatten().try_for_each(|edge| finite(edge.value, by))?;
    match (&interval.low, &interval.high) {
        (Some(low), Some(high)) if empty(low, high) => Err(BrokenSpec::EmptyInterval { by: by() }),
        _ => Ok(()),
    }
}

fn empty(low: &Edge, high: &Edge) -> bool {
    let order = match (low.exact, high.exact) {
        (Some(low), Some(high)) => low.compare(high),
        _ => low.value.total_cmp(&high.value),
    };
    order.is_gt() || order.is_eq() && (low.open || high.open)
}

fn rule_figures(rule: &LimitRule, by: &impl Fn() -> String) -> Verdict {
    let band = |band: &crate::limit::Band| {
        interval_figures(&band.standard, by)?;
        band.service.as_ref().map_or(Ok(()), |service| interval_figures(service, by))
    };
    match rule {
        LimitRule::NotSpecified => Ok(()),
        LimitRule::Band(one) => band(one),
        LimitRule::Variants(arms) => arms.iter().try_for_each(|arm| rule_figures(&arm.rule, by)),
        LimitRule::Curve(curve) => {
            let rising = curve.points.is_sorted_by(|a, b| a.x < b.x);
            let same_ends = curve.points.windows(2).all(|pair| match pair {
                [a, b] => ends(&a.band) == ends(&b.band),
                _ => true,
            });
            let finite_x = curve.points.iter().all(|point| point.x.is_finite());
            if curve.points.len() < 2 || !rising || !same_ends || !finite_x {
                return Err(BrokenSpec::Curve { limit: by() });
            }
            curve.points.iter().try_for_each(|point| band(&point.band))
        }
    }
}

/// Which ends a band has.
fn ends(band: &crate::limit::Band) -> [Option<bool>; 4] {
    let service = band.service.as_ref();
    [
        Some(band.standard.low.is_some()),
        Some(band.standard.high.is_some()),
        service.map(|service| service.low.is_some()),
        service.map(|service| service.high.is_some()),
    ]
}
