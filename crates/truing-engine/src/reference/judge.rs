//! One check after the other.

use std::collections::HashMap;

use truing_model::node::{Node, walk};
use truing_model::{
    Check, CheckId, CheckRule, Curve, DecideRule, Function, Limit, LimitId, LimitRule, LogicNode,
    NumberId, NumberNode, Outcome, Reading, Relation, Side, SlotId, SlotKind, Spec,
};

use truing_units::{Catalogue, Kind};

use super::decide::Margin;
use super::limits::{Border, Borders, curve_borders, fixed_borders};
use super::number::{both, compare};
use super::range::Range;
use super::readings::{Doubt, Way, doubted, indication, inside, point};
use super::real::Real;
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

/// How something stands to a limit.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Standing {
    Within,
    Worn,
    /// Within or worn, which of them is not known.
    Passes,
    Outside(Option<Side>),
    Undecided,
    NotSpecified,
    NotThisVariant,
}

/// How something stands to one interval.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub(super) enum Position {
    Below,
    Inside,
    Above,
    Spans,
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
        let Some(check) = self.spec.check(id) else { return Outcome::Blocked };
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

    /// Whether a diode was held against an upper end that the voltage applied does not reach beyond.
    fn test_voltage_is_too_low(&self, check: &Check) -> bool {
        let (CheckRule::Within { subject, .. } | CheckRule::Compare { subject, .. }) = &check.rule
        else {
            return false;
        };
        let Some(NumberNode::Slot(slot)) = self.spec.numbers.get(subject.0 as usize) else {
            return false;
        };
        let Ok(Some((_, function))) = self.function(*slot) else { return false };
        match function.test_voltage {
            Some(test) if function.kind == Kind::DIODE_DROP => {
                self.upper_ends(check).into_iter().any(|end| end.at.nearest() >= test)
            }
            _ => false,
        }
    }

    /// The upper ends that a check holds its subject against.
    fn upper_ends(&self, check: &Check) -> Vec<Border> {
        let way = self.way(check);
        let ends = |limit: LimitId, at: Option<NumberId>| {
            Some(match self.arm(&self.spec.limit(limit)?.rule).ok()?? {
                LimitRule::Band(band) => fixed_borders(band),
                LimitRule::Curve(curve) => {
                    let possibly = || self.number(at?, Way::Possible(way.doubt())).ok();
                    let at = self.number(at?, way).ok().or_else(possibly)?;
                    curve_borders(curve, at).ok()?
                }
                LimitRule::NotSpecified | LimitRule::Variants(_) => return None,
            })
        };
        match &check.rule {
            CheckRule::Within { limit, at, .. } => {
                let (standard, service) = ends(*limit, *at).unzip();
                [standard, service.flatten()]
                    .into_iter()
                    .flatten()
                    .filter_map(|of| of.high)
                    .collect()
            }
            CheckRule::Compare { relation, against, .. } => {
                let upper = matches!(relation, Relation::Less | Relation::LessOrEqual);
                match self.spec.numbers.get(against.0 as usize) {
                    Some(NumberNode::Constant { value, exact }) if upper => {
                        let at = Range::point(Real::figure(*value, *exact));
                        vec![Border { at, open: false }]
                    }
                    _ => Vec::new(),
                }
            }
            CheckRule::Logic { .. } => Vec::new(),
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

    /// Whether `x <= y` holds.
    pub fn comparison(
        &self,
        left: NumberId,
        relation: Relation,
        right: NumberId,
        way: Way,
    ) -> Known<bool> {
        let Way::Straight(rule) = way else {
            return both(self.number(left, way), self.number(right, way), |left, right| {
                compare(relation, left, right)
            });
        };
        self.margin_of(left, relation, right, way)?.is_above(rule)
    }

    /// The distance that has to be above nought where `x <= y` holds, for `<` surely so.
    pub fn margin_of(
        &self,
        left: NumberId,
        relation: Relation,
        right: NumberId,
        way: Way,
    ) -> Known<Margin> {
        let (upper, lower, open) = match relation {
            Relation::Less => (right, left, true),
            Relation::LessOrEqual => (right, left, false),
            Relation::Greater => (left, right, true),
            Relation::GreaterOrEqual => (left, right, false),
            Relation::Equal | Relation::NotEqual => return Err(Unknown::Bent),
        };
        both(self.line(upper, way), self.line(lower, way), |upper, lower| {
            self.margin(&upper, &lower, open)
        })
    }

    /// How a number stands to a limit whose conditions hold.
    pub fn stands(
        &self,
        subject: NumberId,
        limit: LimitId,
        at: Option<NumberId>,
        way: Way,
    ) -> Known<Standing> {
        let arm = match self.arm(&self.spec.limit(limit).ok_or(Unknown::Blocked)?.rule)? {
            None => return Ok(Standing::NotThisVariant),
            Some(LimitRule::NotSpecified | LimitRule::Variants(_)) => {
                return Ok(Standing::NotSpecified);
            }
            Some(arm) => arm,
        };
        match (way, arm) {
            (Way::Straight(rule), _) => {
                both(self.line(subject, way), self.ends(arm, at, way), |subject, ends| {
                    self.hold_straight(&subject, &ends.0, ends.1.as_ref(), rule)
                })
            }
            (_, LimitRule::Band(band)) => {
                let (standard, service) = fixed_borders(band);
                Ok(held(self.number(subject, way)?, standard, service))
            }
            (_, LimitRule::Curve(curve)) => self.stands_to_curve(subject, curve, at, way),
            (_, LimitRule::NotSpecified | LimitRule::Variants(_)) => Ok(Standing::NotSpecified),
        }
    }

    fn stands_to_curve(
        &self,
        subject: NumberId,
        curve: &Curve,
        at: Option<NumberId>,
        way: Way,
    ) -> Known<Standing> {
        let doubt = way.widening();
        if let Some((slot, points)) = self.sweep(subject, curve.by) {
            return Ok(swept(points, |(x, figure)| {
                let (standard, service) = curve_borders(curve, indication(x, doubt)?)?;
                Ok(held(point(self, slot, figure, doubt)?, standard, service))
            }));
        }
        let value = self.number(subject, way);
        let at = at.map_or(Err(Unknown::Undecided), |at| self.number(at, way));
        both(value, at, |value, at| {
            let (standard, service) = curve_borders(curve, at)?;
            Ok(held(value, standard, service))
        })
    }

    /// The points of a sweep over the quantity that a curve goes by.
    fn sweep(&self, subject: NumberId, by: Kind) -> Option<(SlotId, &'a [SweepPoint])> {
        let Some(NumberNode::Slot(slot)) = self.spec.numbers.get(subject.0 as usize) else {
            return None;
        };
        let SlotKind::Quantity { over: Some(over), .. } = &self.spec.slot(*slot)?.kind else {
            return None;
        };
        match self.sheet.get(*slot) {
            Some(Reading::Sweep(points)) if *over == by => Some((*slot, points)),
            _ => None,
        }
    }

    /// Whether every condition of a limit is surely met.
    pub fn conditions_hold(&self, limit: &Limit, way: Way) -> bool {
        limit.conditions.iter().all(|condition| {
            let value = self.number(condition.subject, way);
            value.and_then(|value| inside(value, &condition.band)) == Ok(true)
        })
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

type SweepPoint = (truing_model::Indication, truing_model::Indication);

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

/// The worst of the points of a sweep; sides that disagree name none.
fn swept(points: &[SweepPoint], of: impl Fn(&SweepPoint) -> Known<Standing>) -> Standing {
    let standings: Vec<Standing> =
        points.iter().map(|point| of(point).unwrap_or(Standing::Undecided)).collect();
    let mut sides = standings.iter().filter_map(|standing| match standing {
        Standing::Outside(side) => Some(*side),
        _ => None,
    });
    if let Some(first) = sides.next() {
        return Standing::Outside(if sides.all(|side| side == first) { first } else { None });
    }
    let any = |wanted: Standing| standings.contains(&wanted);
    if any(Standing::Undecided) {
        Standing::Undecided
    } else if any(Standing::Worn) {
        Standing::Worn
    } else if any(Standing::Passes) {
        Standing::Passes
    } else {
        Standing::Within
    }
}

/// By all that is possible.
fn held(value: Range, standard: Borders, service: Option<Borders>) -> Standing {
    graded(position(value, standard), service.map(|service| position(value, service)))
}

/// From how something stands to a limit and to its service limit.
pub(super) fn graded(standard: Position, service: Option<Position>) -> Standing {
    let Some(service) = service else {
        return match standard {
            Position::Inside => Standing::Within,
            Position::Below => Standing::Outside(Some(Side::Low)),
            Position::Above => Standing::Outside(Some(Side::High)),
            Position::Spans => Standing::Undecided,
        };
    };
    match (standard, service) {
        (Position::Inside, _) => Standing::Within,
        (Position::Spans, Position::Inside) => Standing::Passes,
        (Position::Below | Position::Above, Position::Inside) => Standing::Worn,
        (Position::Below | Position::Above, Position::Below) => Standing::Outside(Some(Side::Low)),
        (Position::Below | Position::Above, Position::Above) => Standing::Outside(Some(Side::High)),
        _ => Standing::Undecided,
    }
}

fn position(value: Range, borders: Borders) -> Position {
    let above_low = borders
        .low
        .map_or(Ok(true), |low| if low.open { low.at.below(value) } else { low.at.at_most(value) });
    let below_high = borders.high.map_or(Ok(true), |high| {
        if high.open { value.below(high.at) } else { value.at_most(high.at) }
    });
    position_of(above_low, below_high)
}

/// From whether something lies above the lower end, and below the upper.
pub(super) fn position_of(above_low: Known<bool>, below_high: Known<bool>) -> Position {
    match (above_low, below_high) {
        (Ok(false), _) => Position::Below,
        (_, Ok(false)) => Position::Above,
        (Ok(true), Ok(true)) => Position::Inside,
        _ => Position::Spans,
    }
}
