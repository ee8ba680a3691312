//! Limits: which arm, and where its ends lie.

use truing_model::{Band, Curve, CurvePoint, Edge, Interpolation, LimitId, LimitRule, LogicId};

use super::judge::Judge;
use super::number::both;
use super::range::{End, Range};
use super::readings::{Doubt, Way, edge};
use super::real::Real;
use super::{Known, Unknown};

/// One end of a limit: where it may lie, and whether it is outside itself.
#[derive(Copy, Clone, Debug)]
pub(super) struct Border {
    pub at: Range,
    pub open: bool,
}

/// Both ends of an interval.
#[derive(Copy, Clone, Debug)]
pub(super) struct Borders {
    pub low: Option<Border>,
    pub high: Option<Border>,
}

/// Which end of a band.
type Pick = fn(&Band) -> Option<&Edge>;

const STANDARD: [Pick; 2] = [|band| band.standard.low.as_ref(), |band| band.standard.high.as_ref()];
const SERVICE: [Pick; 2] =
    [|band| band.service.as_ref()?.low.as_ref(), |band| band.service.as_ref()?.high.as_ref()];

impl Judge<'_> {
    /// The arm of a limit that is about this machine; `None` where none is.
    pub fn arm<'r>(&self, rule: &'r LimitRule) -> Known<Option<&'r LimitRule>> {
        let LimitRule::Variants(arms) = rule else { return Ok(Some(rule)) };
        for arm in arms {
            if self.holds(arm.condition)? {
                return self.arm(&arm.rule);
            }
        }
        Ok(None)
    }

    /// Conditions of variants go by the readings alone. Whatever is unknown about them blocks.
    fn holds(&self, condition: Option<LogicId>) -> Known<bool> {
        let Some(condition) = condition else { return Ok(true) };
        self.logic(condition, Way::Possible(Doubt::Nothing)).map_err(|_| Unknown::Blocked)
    }

    /// A curve of single values at a point.
    pub fn curve_value(&self, curve: LimitId, at: Known<Range>) -> Known<Range> {
        let limit = self.spec.limit(curve).ok_or(Unknown::Blocked);
        let arm = limit.and_then(|limit| match self.arm(&limit.rule)? {
            Some(arm @ (LimitRule::Band(_) | LimitRule::Curve(_))) => Ok(arm),
            _ => Err(Unknown::Blocked),
        });
        let borders = both(arm, at, |arm, at| match arm {
            LimitRule::Band(band) => Ok(fixed(band, STANDARD)),
            LimitRule::Curve(curve) => borders(curve, at, STANDARD),
            LimitRule::NotSpecified | LimitRule::Variants(_) => Err(Unknown::Blocked),
        })?;
        match (borders.low, borders.high) {
            (Some(low), Some(high)) => Ok(low.at.hull(high.at)),
            _ => Err(Unknown::Undecided),
        }
    }
}

/// The standard ends of a band, and the service ends where it has them.
pub(super) fn fixed_borders(band: &Band) -> (Borders, Option<Borders>) {
    let service = band.service.as_ref().map(|_| fixed(band, SERVICE));
    (fixed(band, STANDARD), service)
}

/// The same of a curve, asked somewhere.
pub(super) fn curve_borders(curve: &Curve, at: Range) -> Known<(Borders, Option<Borders>)> {
    let standard = borders(curve, at, STANDARD)?;
    let graded = curve.points.iter().any(|point| point.band.service.is_some());
    let service = if graded { Some(borders(curve, at, SERVICE)?) } else { None };
    Ok((standard, service))
}

fn fixed(band: &Band, [low, high]: [Pick; 2]) -> Borders {
    let border =
        |of: Pick| of(band).map(|of| Border { at: Range::point(edge(of).at), open: of.open });
    Borders { low: border(low), high: border(high) }
}

fn borders(curve: &Curve, at: Range, [low, high]: [Pick; 2]) -> Known<Borders> {
    let (Some(first), Some(last)) = (curve.points.first(), curve.points.last()) else {
        return Err(Unknown::Undecided);
    };
    if !place(first).at_most(at.low.at) || !at.high.at.at_most(place(last)) {
        return Err(Unknown::Undecided);
    }
    Ok(Borders { low: border(curve, at, low)?, high: border(curve, at, high)? })
}

fn place(point: &CurvePoint) -> Real {
    Real::figure(point.x, point.exact)
}

/// Everywhere that one end of a curve lies while the place runs over `at`.
fn border(curve: &Curve, at: Range, pick: Pick) -> Known<Option<Border>> {
    let mut ends = Vec::new();
    for point in &curve.points {
        match pick(&point.band) {
            Some(end) => ends.push((place(point), edge(end))),
            None => return Ok(None),
        }
    }
    let open = ends.iter().any(|(_, end)| end.open);
    // From the point at or below the beginning to the last that the place may have reached.
    let begin = ends.iter().rposition(|(x, _)| x.at_most(at.low.at)).unwrap_or(0);
    let end = ends.iter().rposition(|(x, _)| !at.high.at.below(*x)).unwrap_or(begin).max(begin);
    let mut values = Vec::new();
    match curve.interpolation {
        Interpolation::Step => {
            let reached = ends.iter().take(end + 1).skip(begin);
            values.extend(reached.map(|(_, end)| Range::point(end.at)));
        }
        Interpolation::Linear | Interpolation::Log => {
            let log = curve.interpolation == Interpolation::Log;
            for x in [at.low.at, at.high.at] {
                values.push(between(&ends, x, log)?);
            }
            let inner = ends.iter().take(end + 1).skip(begin + 1);
            values.extend(inner.map(|(_, end)| Range::point(end.at)));
        }
    }
    let hull = values.into_iter().reduce(Range::hull).ok_or(Unknown::Undecided)?;
    Ok(Some(Border { at: hull, open }))
}

/// An end at one place: y0 + (y1 - y0)·(x - x0)/(x1 - x0), or the same of its logarithm.
fn between(ends: &[(Real, End)], x: Real, log: bool) -> Known<Range> {
    let begin = ends.iter().rposition(|(x0, _)| x0.at_most(x)).unwrap_or(0);
    let Some((x0, y0)) = ends.get(begin).copied() else { return Err(Unknown::Undecided) };
    let Some((x1, y1)) = ends.get(begin + 1).copied() else { return Ok(Range::point(y0.at)) };
    if x0.same(x) {
        return Ok(Range::point(y0.at));
    }
    let point = Range::point;
    let part = point(x).subtract(point(x0))?.divide(point(x1).subtract(point(x0))?)?;
    let line = |a: Range, b: Range| a.add(b.subtract(a)?.multiply(part)?);
    if !log {
        return line(point(y0.at), point(y1.at));
    }
    let ln = |y: Real| point(y).apply(truing_model::Function::Ln);
    line(ln(y0.at)?, ln(y1.at)?)?.apply(truing_model::Function::Exp)
}
