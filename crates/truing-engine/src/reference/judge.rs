//! One check after the other.

use std::collections::HashMap;

use truing_model::node::{Node, walk};
use truing_model::{
    Check, CheckId, CheckRule, DecideRule, Limit, LimitId, LimitRule, LogicNode, NumberId,
    NumberNode, Outcome, Reading, Relation, Side, SlotId, SlotKind, Spec,
};

use truing_units::Catalogue;

use super::chance::by_chance;
use super::limits::{Border, Borders, curve_borders, fixed_borders};
use super::number::{both, compare};
use super::range::Range;
use super::readings::{Doubt, doubted, indication, inside};
use super::{Known, Unknown};
use crate::sheet::Sheet;

/// A spec, a sheet, and what came of the checks so far.
pub(super) struct Judge<'a> {
    pub spec: &'a Spec,
    pub sheet: &'a Sheet,
    pub catalogue: Catalogue,
    pub outcomes: HashMap<CheckId, Outcome>,
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
enum Position {
    Below,
    Inside,
    Above,
    Spans,
}

impl<'a> Judge<'a> {
    pub fn new(spec: &'a Spec, sheet: &'a Sheet) -> Self {
        let rule = sheet.rule().unwrap_or(spec.decide);
        Self { spec, sheet, catalogue: spec.catalogue(), outcomes: HashMap::new(), rule }
    }

    /// What comes of a check; see the module's documentation for the order of the steps.
    pub fn check(&self, id: CheckId) -> Outcome {
        let Some(check) = self.spec.check(id) else { return Outcome::Blocked };
        if let Some(applies) = check.applies {
            match self.logic(applies, Doubt::Nothing) {
                _ if self.any_doubted(&[Node::Logic(applies)]) => return Outcome::Blocked,
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
        if self.any_doubted(&roots(check, limit)) {
            return Outcome::Blocked;
        }
        if let Some(when) = check.when
            && self.logic(when, Doubt::Nothing) != Ok(true)
        {
            return Outcome::Blocked;
        }
        if limit.is_some_and(|limit| !self.conditions_hold(limit, Doubt::Nothing)) {
            return Outcome::Blocked;
        }
        match judged {
            Ok(outcome) => outcome,
            Err(Unknown::Undecided) => Outcome::Undecided,
            Err(Unknown::Blocked | Unknown::NotTaken) => Outcome::Blocked,
        }
    }

    fn decide(&self, check: &Check) -> DecideRule {
        check.decide.unwrap_or(self.rule)
    }

    /// What comes of the rule by itself.
    fn rule(&self, check: &Check) -> Known<Outcome> {
        let rule = self.decide(check);
        let doubt = match rule {
            DecideRule::Simple => Doubt::Nothing,
            DecideRule::Guarded { k } => Doubt::Guard(k),
            DecideRule::At { .. } => Doubt::Full,
        };
        let standing = match &check.rule {
            CheckRule::Within { subject, limit, at, .. } => {
                let wanted = match rule {
                    DecideRule::At { probability } => Some(probability),
                    DecideRule::Simple | DecideRule::Guarded { .. } => None,
                };
                self.stands(*subject, *limit, *at, doubt, wanted)?
            }
            CheckRule::Compare { subject, relation, against, .. } => {
                self.compared(*subject, *relation, *against, doubt, rule)?
            }
            CheckRule::Logic { logic, .. } => match self.logic(*logic, doubt)? {
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

    /// `x <= y`: where y is a constant it is a limit with one end.
    fn compared(
        &self,
        subject: NumberId,
        relation: Relation,
        against: NumberId,
        doubt: Doubt,
        rule: DecideRule,
    ) -> Known<Standing> {
        let (left, right) = (self.number(subject, doubt), self.number(against, doubt));
        let constant =
            matches!(self.spec.numbers.get(against.0 as usize), Some(NumberNode::Constant { .. }));
        let side = match relation {
            Relation::Less | Relation::LessOrEqual => Some(Side::High),
            Relation::Greater | Relation::GreaterOrEqual => Some(Side::Low),
            Relation::Equal | Relation::NotEqual => None,
        };
        if let (DecideRule::At { probability }, true, Some(side)) = (rule, constant, side)
            && self.is_single_figure(subject)
        {
            let open = matches!(relation, Relation::Less | Relation::Greater);
            let border = Some(Border { at: right?, open });
            let borders = match side {
                Side::Low => Borders { low: border, high: None },
                Side::High => Borders { low: None, high: border },
            };
            if let Some(standing) = by_chance(left?, borders, None, probability) {
                return Ok(standing);
            }
        }
        match both(left, right, |left, right| compare(relation, left, right)) {
            Ok(true) => Ok(Standing::Within),
            Ok(false) => Ok(Standing::Outside(side)),
            Err(Unknown::Undecided) => Ok(Standing::Undecided),
            Err(unknown) => Err(unknown),
        }
    }

    /// How a number stands to a limit whose conditions hold.
    pub fn stands(
        &self,
        subject: NumberId,
        limit: LimitId,
        at: Option<NumberId>,
        doubt: Doubt,
        wanted: Option<f64>,
    ) -> Known<Standing> {
        let limit = self.spec.limit(limit).ok_or(Unknown::Blocked)?;
        let arm = match self.arm(&limit.rule)? {
            None => return Ok(Standing::NotThisVariant),
            Some(arm) => arm,
        };
        match arm {
            LimitRule::NotSpecified | LimitRule::Variants(_) => Ok(Standing::NotSpecified),
            LimitRule::Band(band) => {
                let value = self.number(subject, doubt)?;
                let (standard, service) = fixed_borders(band);
                Ok(self.hold(subject, value, standard, service, wanted))
            }
            LimitRule::Curve(curve) => {
                if let Some(points) = self.sweep(subject, curve.by) {
                    return Ok(swept(points, |(x, figure)| {
                        let (standard, service) = curve_borders(curve, indication(x, doubt)?)?;
                        Ok(held(indication(figure, doubt)?, standard, service))
                    }));
                }
                let value = self.number(subject, doubt);
                let at = at.map_or(Err(Unknown::Undecided), |at| self.number(at, doubt));
                both(value, at, |value, at| {
                    let (standard, service) = curve_borders(curve, at)?;
                    Ok(self.hold(subject, value, standard, service, wanted))
                })
            }
        }
    }

    /// By all that is possible; where that does not decide and a probability is asked for and known,
    /// by that.
    fn hold(
        &self,
        subject: NumberId,
        value: Range,
        standard: Borders,
        service: Option<Borders>,
        wanted: Option<f64>,
    ) -> Standing {
        let surely = held(value, standard, service);
        match wanted {
            Some(wanted)
                if matches!(surely, Standing::Passes | Standing::Undecided)
                    && self.is_single_figure(subject) =>
            {
                by_chance(value, standard, service, wanted).unwrap_or(surely)
            }
            _ => surely,
        }
    }

    /// Whether a number is a reading that shows a single figure.
    fn is_single_figure(&self, number: NumberId) -> bool {
        match self.spec.numbers.get(number.0 as usize) {
            Some(NumberNode::Slot(slot)) => {
                matches!(self.sheet.get(*slot), Some(Reading::Figure(_) | Reading::Repeats(_)))
            }
            _ => false,
        }
    }

    /// The points of a sweep over the quantity that a curve goes by.
    fn sweep(&self, subject: NumberId, by: truing_units::Kind) -> Option<&'a [SweepPoint]> {
        let Some(NumberNode::Slot(slot)) = self.spec.numbers.get(subject.0 as usize) else {
            return None;
        };
        let SlotKind::Quantity { over: Some(over), .. } = &self.spec.slot(*slot)?.kind else {
            return None;
        };
        match self.sheet.get(*slot) {
            Some(Reading::Sweep(points)) if *over == by => Some(points),
            _ => None,
        }
    }

    /// Whether every condition of a limit is surely met.
    pub fn conditions_hold(&self, limit: &Limit, doubt: Doubt) -> bool {
        limit.conditions.iter().all(|condition| {
            let value = self.number(condition.subject, doubt);
            value.and_then(|value| inside(value, &condition.band)) == Ok(true)
        })
    }

    /// Whether any reading that these may read is doubted.
    fn any_doubted(&self, roots: &[Node]) -> bool {
        let nodes = walk(self.spec, roots.iter().copied()).unwrap_or_default();
        nodes.into_iter().filter_map(|node| self.slot_of(node)).any(|slot| doubted(self, slot))
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

/// Everything that may block a check: its rule, the conditions of its limit, its `when`.
fn roots(check: &Check, limit: Option<&Limit>) -> Vec<Node> {
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
    let conditions = limit.map(|limit| limit.conditions.as_slice()).unwrap_or_default();
    roots.extend(conditions.iter().map(|condition| Node::Number(condition.subject)));
    roots
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
    let standard = position(value, standard);
    let Some(service) = service.map(|service| position(value, service)) else {
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
    match (above_low, below_high) {
        (Ok(false), _) => Position::Below,
        (_, Ok(false)) => Position::Above,
        (Ok(true), Ok(true)) => Position::Inside,
        _ => Position::Spans,
    }
}
