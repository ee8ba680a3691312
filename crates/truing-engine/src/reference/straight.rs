//! Numbers in a straight line about the readings, node by node.

use truing_model::{
    Band, Curve, CurvePoint, Edge, Interpolation, Interval, LimitId, LimitRule, NumberId, NumberNode,
    PropertyValue,
};

use super::Unknown;
use super::decide::{End, Ends};
use super::dual::{Bar, Dual};
use super::judge::Judge;
use super::number::{all, both};
use super::readings::{Way, best};

impl Judge<'_> {
    /// A number with its derivatives by the readings.
    pub fn straight(&self, id: NumberId, way: Way) -> Result<Dual, Bar> {
        let Some(node) = self.spec.numbers.get(id.0 as usize) else {
            return Err(Unknown::Blocked.into());
        };
        let straight = |id: &NumberId| self.straight(*id, way);
        match node {
            NumberNode::Constant { value, .. } => Ok(Dual::constant(*value)),
            NumberNode::Slot(slot) => best(self, *slot).map(|best| Dual::reading(*slot, best)),
            NumberNode::Property(property) => match self.sheet.property(*property) {
                Some(PropertyValue::Figure(of)) => Ok(Dual::constant(of.value)),
                _ => Err(Unknown::Blocked.into()),
            },
            NumberNode::Negate(of) => straight(of)?.negate(),
            NumberNode::Add(a, b) => both(straight(a), straight(b), |a, b| a.add(&b)),
            NumberNode::Subtract(a, b) => both(straight(a), straight(b), |a, b| a.subtract(&b)),
            NumberNode::Multiply(a, b) => both(straight(a), straight(b), |a, b| a.multiply(&b)),
            NumberNode::Divide(a, b) => both(straight(a), straight(b), |a, b| a.divide(&b)),
            NumberNode::Power(of, exponent) => straight(of)?.power(*exponent),
            NumberNode::Apply(function, of) => straight(of)?.apply(*function),
            NumberNode::Fold(fold, members) => {
                Dual::fold(*fold, &all(members.iter().map(straight))?)
            }
            NumberNode::Refer { resistance, from, to, k } => {
                let parts = all([resistance, from, to].into_iter().map(straight))?;
                let [resistance, from, to] = parts.as_slice() else {
                    return Err(Unknown::Undecided.into());
                };
                resistance.refer(from, to, k.to_f64() - 273.15)
            }
            NumberNode::CurveAt { curve, at } => self.straight_curve(*curve, straight(at)),
            NumberNode::Choose { condition, then, otherwise } => {
                match self.logic(*condition, way) {
                    Ok(true) => straight(then),
                    Ok(false) => straight(otherwise),
                    // Either may be meant, and the value jumps from one to the other.
                    Err(Unknown::Undecided) => {
                        both(straight(then), straight(otherwise), |_, _| Err(Bar::Bent))
                    }
                    Err(unknown) => Err(unknown.into()),
                }
            }
        }
    }

    /// A curve of single values at a point.
    fn straight_curve(&self, curve: LimitId, at: Result<Dual, Bar>) -> Result<Dual, Bar> {
        let arm = self.spec.limit(curve).ok_or(Unknown::Blocked);
        let arm = arm.and_then(|limit| self.arm(&limit.rule)?.ok_or(Unknown::Blocked));
        both(arm.map_err(Bar::from), at, |arm, at| match arm {
            LimitRule::Band(band) => {
                let low = band.standard.low.as_ref().ok_or(Unknown::Undecided)?;
                Ok(Dual::constant(low.value))
            }
            LimitRule::Curve(curve) => {
                straight_edge(curve, &at, |band| Some(&band.standard), LOW)?
                    .ok_or(Unknown::Undecided.into())
            }
            LimitRule::NotSpecified | LimitRule::Variants(_) => Err(Unknown::Blocked.into()),
        })
    }
}

impl Judge<'_> {
    /// The ends of a limit, and its service ends where it has them.
    pub fn ends(
        &self,
        arm: &LimitRule,
        at: Option<NumberId>,
        way: Way,
    ) -> Result<(Ends, Option<Ends>), Bar> {
        match arm {
            LimitRule::Band(band) => {
                Ok((Ends::fixed(&band.standard), band.service.as_ref().map(Ends::fixed)))
            }
            LimitRule::Curve(curve) => {
                let at = self.straight(at.ok_or(Unknown::Undecided)?, way)?;
                let graded = curve.points.iter().any(|point| point.band.service.is_some());
                let standard = straight_ends(curve, &at, |band| Some(&band.standard))?;
                let service = graded.then(|| straight_ends(curve, &at, |band| band.service.as_ref()));
                Ok((standard, service.transpose()?))
            }
            LimitRule::NotSpecified | LimitRule::Variants(_) => Err(Unknown::Blocked.into()),
        }
    }
}

fn straight_ends(
    curve: &Curve,
    at: &Dual,
    interval: fn(&Band) -> Option<&Interval>,
) -> Result<Ends, Bar> {
    let end = |side: Side| {
        let mut edges = curve.points.iter().filter_map(|point| side(interval(&point.band)?));
        let open = edges.any(|edge| edge.open);
        let edge = straight_edge(curve, at, interval, side)?;
        Ok::<_, Bar>(edge.map(|at| End { at, open }))
    };
    Ok(Ends { low: end(LOW)?, high: end(HIGH)? })
}

/// Which end of an interval.
type Side = fn(&Interval) -> Option<&Edge>;

const LOW: Side = |of| of.low.as_ref();
const HIGH: Side = |of| of.high.as_ref();

/// One end of a curve at a place; `None` where the curve has no such end.
fn straight_edge(
    curve: &Curve,
    at: &Dual,
    interval: fn(&Band) -> Option<&Interval>,
    side: Side,
) -> Result<Option<Dual>, Bar> {
    let x = at.value;
    let begin = curve.points.iter().rposition(|point| point.x <= x).ok_or(Unknown::Undecided)?;
    let end = |point: &CurvePoint| Some((point.x, side(interval(&point.band)?)?.value));
    let Some(here) = curve.points.get(begin) else { return Err(Unknown::Undecided.into()) };
    let Some((x0, y0)) = end(here) else { return Ok(None) };
    // Past the last point there is nothing; at it the line that leads there goes on.
    let next = curve.points.get(begin + 1);
    if next.is_none() && x0 < x {
        return Err(Unknown::Undecided.into());
    }
    let neighbour = next.or_else(|| curve.points.get(begin.checked_sub(1)?));
    let Some((x1, y1)) = neighbour.and_then(end) else { return Ok(None) };
    let part = (x - x0) / (x1 - x0);
    let edge = match curve.interpolation {
        Interpolation::Step => Dual::constant(y0),
        Interpolation::Linear => at.along(y0 + (y1 - y0) * part, (y1 - y0) / (x1 - x0))?,
        Interpolation::Log => {
            let rise = libm::log(y1) - libm::log(y0);
            let y = if part == 0.0 { y0 } else { libm::exp(libm::log(y0) + rise * part) };
            at.along(y, y * rise / (x1 - x0))?
        }
    };
    Ok(Some(edge))
}
