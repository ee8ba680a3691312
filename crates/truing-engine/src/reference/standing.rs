//! How a number stands to a limit, and to another number.

use truing_model::{
    Curve, Indication, LimitId, LimitRule, NumberId, NumberNode, Reading, Relation, Side, SlotId,
    SlotKind,
};
use truing_units::Kind;

use super::decide::Margin;
use super::judge::Judge;
use super::limits::{Borders, curve_borders, fixed_borders};
use super::number::{both, compare};
use super::range::Range;
use super::readings::{Way, indication, point};
use super::{Known, Unknown};

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
}

type SweepPoint = (Indication, Indication);

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
