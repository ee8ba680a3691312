//! From a spec to the flat program, once.

use truing_model::node::{Node, walk};
use truing_model::{
    Band, Check, CheckRule, Curve, Edge, Function, Interval, Limit, LimitRule, LogicId, LogicNode,
    NumberId, NumberNode, Relation, Side, Spec,
};
use truing_units::{Exact, Rational};

use crate::enclosure::Fixed;
use crate::formula::Formula;
use crate::program::{
    Direct, FlatArm, FlatBand, FlatCheck, FlatCheckRule, FlatCondition, FlatCurve, FlatEdge,
    FlatInterval, FlatLimit, FlatPoint, FlatRule, LogicOp, NumberOp, Program, Root, Step, Stretch,
    Thresholds,
};

/// A spec made ready for judging sheets: immutable, to be shared between threads.
#[derive(Clone, Debug)]
pub struct Plan {
    pub(crate) program: Program,
    /// Of each derived quantity, where doubles do.
    pub(crate) formulas: Vec<Option<Formula>>,
}

impl Plan {
    /// Makes a spec ready.
    #[must_use]
    pub fn new(spec: &Spec) -> Self {
        let mut builder = Builder { spec, program: Program::default() };
        builder.program.rule = spec.decide;
        builder.program.order = spec.order.iter().map(|check| check.0).collect();
        for node in &spec.numbers {
            let op = builder.number(node);
            builder.program.numbers.push(op);
        }
        for node in &spec.logic {
            let op = builder.logic(node);
            builder.program.logic.push(op);
        }
        for limit in &spec.limits {
            let flat = builder.limit(limit);
            builder.program.limits.push(flat);
        }
        for check in &spec.checks {
            let flat = builder.check(check);
            builder.program.checks.push(flat);
        }
        for derived in &spec.derived {
            let root = builder.root(&[Node::Number(derived.number)]);
            builder.program.derived.push((derived.number.0, root));
        }
        for (slot, id) in spec.slots.iter().zip(0_u32..) {
            if let Some(number) = slot.frequency {
                let root = builder.root(&[Node::Number(number)]);
                builder.program.frequencies.push((id, number.0, root));
            }
        }
        builder.program.slot_count = spec.slots.len();
        let program = builder.program;
        let formulas = program
            .derived
            .iter()
            .map(|(number, root)| Formula::new(&program, *number, *root))
            .collect();
        Self { program, formulas }
    }

    /// How many checks it judges.
    #[must_use]
    pub fn checks(&self) -> usize {
        self.program.checks.len()
    }
}

struct Builder<'a> {
    spec: &'a Spec,
    program: Program,
}

/// Puts entries into a pool and gives their stretch.
fn pooled<T>(pool: &mut Vec<T>, entries: impl IntoIterator<Item = T>) -> Stretch {
    let start = length(pool);
    pool.extend(entries);
    Stretch { start, end: length(pool) }
}

fn length<T>(pool: &[T]) -> u32 {
    // More than four thousand million entries do not fit in memory.
    u32::try_from(pool.len()).unwrap_or(u32::MAX)
}

fn edge(of: &Edge) -> FlatEdge {
    FlatEdge { at: Fixed::edge(of), open: of.open }
}

fn interval(of: &Interval) -> FlatInterval {
    FlatInterval { low: of.low.as_ref().map(edge), high: of.high.as_ref().map(edge) }
}

fn band(of: &Band) -> FlatBand {
    FlatBand { standard: interval(&of.standard), service: of.service.as_ref().map(interval) }
}

impl Builder<'_> {
    fn fixed(&mut self, fixed: Fixed) -> u32 {
        pooled(&mut self.program.fixed, [fixed]).start
    }

    fn number(&mut self, node: &NumberNode) -> NumberOp {
        match node {
            NumberNode::Constant { value, exact } => {
                NumberOp::Constant(self.fixed(Fixed::new(*value, *exact)))
            }
            NumberNode::Slot(slot) => NumberOp::Slot(slot.0),
            NumberNode::Property(property) => NumberOp::Property(property.0),
            NumberNode::Negate(of) => NumberOp::Negate(of.0),
            NumberNode::Add(a, b) => NumberOp::Add(a.0, b.0),
            NumberNode::Subtract(a, b) => NumberOp::Subtract(a.0, b.0),
            NumberNode::Multiply(a, b) => NumberOp::Multiply(a.0, b.0),
            NumberNode::Divide(a, b) => NumberOp::Divide(a.0, b.0),
            NumberNode::Power(of, exponent) => NumberOp::Power(of.0, *exponent),
            NumberNode::Apply(function, of) => NumberOp::Apply(*function, of.0),
            NumberNode::Law { law, of } => {
                NumberOp::Law { law: pooled(&mut self.program.laws, [*law]).start, of: of.0 }
            }
            NumberNode::Fold(fold, members) => NumberOp::Fold(
                *fold,
                pooled(&mut self.program.members, members.iter().map(|member| member.0)),
            ),
            NumberNode::Refer { resistance, from, to, k } => {
                // What is added to a temperature in kelvins: k - 273.15.
                let zero = Rational::new(27315, 100).map(Exact::from);
                let exact = zero.and_then(|zero| k.checked_sub(zero));
                let value = exact.map_or_else(|| k.to_f64() - 273.15, Exact::to_f64);
                NumberOp::Refer {
                    resistance: resistance.0,
                    from: from.0,
                    to: to.0,
                    offset: self.fixed(Fixed::new(value, exact)),
                }
            }
            NumberNode::CurveAt { curve, at } => NumberOp::CurveAt { limit: curve.0, at: at.0 },
            NumberNode::Choose { condition, then, otherwise } => {
                NumberOp::Choose { condition: condition.0, then: then.0, otherwise: otherwise.0 }
            }
        }
    }

    fn logic(&mut self, node: &LogicNode) -> LogicOp {
        let program = &mut self.program;
        let list = |program: &mut Program, of: &[LogicId]| {
            pooled(&mut program.members, of.iter().map(|of| of.0))
        };
        match node {
            LogicNode::Constant(known) => LogicOp::Constant(*known),
            LogicNode::Compare { relation, left, right } => {
                LogicOp::Compare(*relation, left.0, right.0)
            }
            LogicNode::Within { subject, limit, at } => {
                LogicOp::Within { subject: subject.0, limit: limit.0, at: at.map(|at| at.0) }
            }
            LogicNode::Is { slot, words } => LogicOp::Is {
                slot: slot.0,
                words: pooled(&mut program.words, words.iter().copied()),
            },
            LogicNode::PropertyIs { property, words } => LogicOp::PropertyIs {
                property: property.0,
                words: pooled(&mut program.words, words.iter().copied()),
            },
            LogicNode::Passes(check) => LogicOp::Passes(check.0),
            LogicNode::Fails(check) => LogicOp::Fails(check.0),
            LogicNode::Not(of) => LogicOp::Not(of.0),
            LogicNode::All(of) => LogicOp::All(list(program, of)),
            LogicNode::Any(of) => LogicOp::Any(list(program, of)),
        }
    }

    fn limit(&mut self, limit: &Limit) -> FlatLimit {
        let rule = self.rule(&limit.rule);
        let conditions = limit.conditions.iter().map(|condition| FlatCondition {
            subject: condition.subject.0,
            band: interval(&condition.band),
        });
        FlatLimit { rule, conditions: pooled(&mut self.program.conditions, conditions) }
    }

    fn rule(&mut self, rule: &LimitRule) -> FlatRule {
        match rule {
            LimitRule::NotSpecified => FlatRule::NotSpecified,
            LimitRule::Band(one) => {
                FlatRule::Band(pooled(&mut self.program.bands, [band(one)]).start)
            }
            LimitRule::Curve(curve) => self.curve(curve),
            LimitRule::Variants(arms) => {
                let arms: Vec<FlatArm> = arms
                    .iter()
                    .map(|arm| FlatArm {
                        condition: arm.condition.map(|condition| condition.0),
                        rule: self.rule(&arm.rule),
                    })
                    .collect();
                FlatRule::Variants(pooled(&mut self.program.arms, arms))
            }
        }
    }

    fn curve(&mut self, curve: &Curve) -> FlatRule {
        let points: Vec<FlatPoint> = curve
            .points
            .iter()
            .map(|point| FlatPoint { x: Fixed::new(point.x, point.exact), band: band(&point.band) })
            .collect();
        let mut ends = points.first().map(|point| point.band).unwrap_or_default();
        for point in &points {
            widen(&mut ends.standard, &point.band.standard);
            if let (Some(service), Some(other)) = (&mut ends.service, &point.band.service) {
                widen(service, other);
            }
        }
        let flat = FlatCurve {
            by: curve.by,
            interpolation: curve.interpolation,
            points: pooled(&mut self.program.points, points),
            ends,
        };
        FlatRule::Curve(pooled(&mut self.program.curves, [flat]).start)
    }

    fn check(&mut self, check: &Check) -> FlatCheck {
        let logic = |builder: &mut Self, id: Option<LogicId>| {
            id.map(|id| (id.0, builder.root(&[Node::Logic(id)])))
        };
        let applies = logic(self, check.applies);
        let when = logic(self, check.when);
        let (rule, parts) = self.check_rule(&check.rule);
        let root = self.root(&parts);
        let (arms, conditions) = match &check.rule {
            CheckRule::Within { limit, .. } => self.limit_roots(limit.0),
            CheckRule::Compare { .. } | CheckRule::Logic { .. } => Default::default(),
        };
        let when_slots = when.map(|(_, root)| root.slots).unwrap_or_default();
        let mut doubtable: Vec<u32> = [root.slots, conditions.slots, when_slots]
            .into_iter()
            .flat_map(|slots| slots.of(&self.program.slots).to_vec())
            .collect();
        doubtable.sort_unstable();
        doubtable.dedup();
        let doubtable = pooled(&mut self.program.slots, doubtable);
        let mut flat = FlatCheck {
            rule,
            decide: check.decide,
            applies,
            when,
            root,
            arms,
            conditions,
            doubtable,
            direct: None,
        };
        flat.direct = self.direct(&flat);
        flat
    }

    fn check_rule(&self, rule: &CheckRule) -> (FlatCheckRule, Vec<Node>) {
        match rule {
            CheckRule::Within { subject, limit, at, .. } => {
                let mut parts = vec![Node::Number(*subject)];
                parts.extend(at.map(Node::Number));
                let (subject, at) = (subject.0, at.map(|at| at.0));
                (FlatCheckRule::Within { subject, limit: limit.0, at }, parts)
            }
            CheckRule::Compare { subject, relation, against, .. } => {
                let parts = vec![Node::Number(*subject), Node::Number(*against)];
                let flat =
                    self.against(*subject, *relation, *against).unwrap_or(FlatCheckRule::Compare {
                        subject: subject.0,
                        relation: *relation,
                        against: against.0,
                    });
                (flat, parts)
            }
            CheckRule::Logic { logic, .. } => {
                (FlatCheckRule::Logic(logic.0), vec![Node::Logic(*logic)])
            }
        }
    }

    /// A comparison with a constant that has a side.
    fn against(
        &self,
        subject: NumberId,
        relation: Relation,
        against: NumberId,
    ) -> Option<FlatCheckRule> {
        let (side, open) = match relation {
            Relation::Less => (Side::High, true),
            Relation::LessOrEqual => (Side::High, false),
            Relation::Greater => (Side::Low, true),
            Relation::GreaterOrEqual => (Side::Low, false),
            Relation::Equal | Relation::NotEqual => return None,
        };
        match self.spec.numbers.get(against.0 as usize)? {
            NumberNode::Constant { value, exact } => {
                let edge = FlatEdge { at: Fixed::new(*value, *exact), open };
                Some(FlatCheckRule::Against { subject: subject.0, side, edge })
            }
            _ => None,
        }
    }

    /// The roots of a limit's arms and of its conditions.
    fn limit_roots(&mut self, limit: u32) -> (Root, Root) {
        let Some(limit) = self.spec.limits.get(limit as usize) else { return Default::default() };
        let mut arms = Vec::new();
        collect_arms(&limit.rule, &mut arms);
        let conditions: Vec<Node> =
            limit.conditions.iter().map(|condition| Node::Number(condition.subject)).collect();
        (self.root(&arms), self.root(&conditions))
    }

    /// The steps to some nodes, parts before wholes.
    fn root(&mut self, nodes: &[Node]) -> Root {
        let all = walk(self.spec, nodes.iter().copied()).unwrap_or_default();
        let mut slots: Vec<u32> = all.iter().filter_map(|node| self.slot(*node)).collect();
        slots.sort_unstable();
        slots.dedup();
        let rough = all.iter().any(|node| self.is_rough(*node));
        let steps = all.into_iter().filter_map(|node| match node {
            Node::Number(id) => Some(Step::Number(id.0)),
            Node::Logic(id) => Some(Step::Logic(id.0)),
            Node::Limit(_) => None,
        });
        let steps = pooled(&mut self.program.steps, steps);
        Root { steps, slots: pooled(&mut self.program.slots, slots), rough }
    }

    /// Whether errors cannot be carried along through a node.
    fn is_rough(&self, node: Node) -> bool {
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

    /// The slot that a node itself reads.
    fn slot(&self, node: Node) -> Option<u32> {
        match node {
            Node::Number(id) => match self.spec.numbers.get(id.0 as usize)? {
                NumberNode::Slot(slot) => Some(slot.0),
                _ => None,
            },
            Node::Logic(id) => match self.spec.logic.get(id.0 as usize)? {
                LogicNode::Is { slot, .. } => Some(slot.0),
                _ => None,
            },
            Node::Limit(_) => None,
        }
    }

    /// The short way, where there is nothing else to ask.
    fn direct(&self, check: &FlatCheck) -> Option<Direct> {
        if check.applies.is_some() || check.when.is_some() {
            return None;
        }
        let (subject, band) = match check.rule {
            FlatCheckRule::Within { subject, limit, .. } => {
                let limit = self.program.limits.get(limit as usize)?;
                match limit.rule {
                    FlatRule::Band(band) if limit.conditions == empty(limit.conditions) => {
                        (subject, *self.program.bands.get(band as usize)?)
                    }
                    _ => return None,
                }
            }
            FlatCheckRule::Against { subject, side, edge } => {
                (subject, FlatBand { standard: one_sided(side, edge), service: None })
            }
            FlatCheckRule::Compare { .. } | FlatCheckRule::Logic(_) => return None,
        };
        match self.program.numbers.get(subject as usize)? {
            // A place on a curve that the limit turns out not to have can still be doubted.
            NumberOp::Slot(slot) if check.doubtable.of(&self.program.slots) == [*slot] => {
                Some(Direct {
                    slot: *slot,
                    standard: Thresholds::new(&band.standard),
                    service: band.service.as_ref().map(Thresholds::new),
                })
            }
            _ => None,
        }
    }
}

/// The interval of a limit with one end.
pub(crate) fn one_sided(side: Side, edge: FlatEdge) -> FlatInterval {
    match side {
        Side::Low => FlatInterval { low: Some(edge), high: None },
        Side::High => FlatInterval { low: None, high: Some(edge) },
    }
}

fn empty(stretch: Stretch) -> Stretch {
    Stretch { start: stretch.start, end: stretch.start }
}

/// Marks the ends of `all` as open that are open in `other`.
fn widen(all: &mut FlatInterval, other: &FlatInterval) {
    for (all, other) in [(&mut all.low, &other.low), (&mut all.high, &other.high)] {
        if let (Some(all), Some(other)) = (all, other) {
            all.open |= other.open;
        }
    }
}

fn collect_arms(rule: &LimitRule, arms: &mut Vec<Node>) {
    if let LimitRule::Variants(all) = rule {
        for arm in all {
            arms.extend(arm.condition.map(Node::Logic));
            collect_arms(&arm.rule, arms);
        }
    }
}
