//! Numbers in a straight line about the readings, node by node.

use truing_model::{
    Band, Curve, Edge, Function, Interpolation, Interval, LimitId, LimitRule, NumberId, NumberNode,
    Reading,
};

use super::decide::{End, Ends};
use super::dual::Dual;
use super::judge::Judge;
use super::limits::{Borders, curve_borders, fixed_borders};
use super::number::all;
use super::range::Range;
use super::readings::Way;
use super::{Known, Unknown};
use crate::law::law_at;

/// A number by the readings alone: as exactly as it is known, and with its derivatives.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub exactly: Range,
    pub dual: Dual,
}

impl Judge<'_> {
    /// A number by the readings alone, with its derivatives by them.
    pub fn line(&self, id: NumberId, way: Way) -> Known<Line> {
        let exactly = self.number(id, way)?;
        let dual = self.changes(id, way)?.at(exactly.nearest());
        Ok(Line { exactly, dual })
    }

    fn changes(&self, id: NumberId, way: Way) -> Known<Dual> {
        let Some(node) = self.spec.numbers.get(id.0 as usize) else {
            return Err(Unknown::Blocked);
        };
        let part = |id: &NumberId| Ok(self.line(*id, way)?.dual);
        match node {
            // Their value is put in by what is known of it exactly.
            NumberNode::Constant { .. } | NumberNode::Property(_) => Ok(Dual::constant(0.0)),
            NumberNode::Slot(slot) => match self.sheet.get(*slot) {
                Some(Reading::Figure(_) | Reading::Repeats(_)) => Ok(Dual::reading(*slot, 0.0)),
                Some(Reading::NotTaken { .. } | Reading::Word(_)) | None => Err(Unknown::NotTaken),
                // No single value that a line could go through.
                Some(_) => Err(Unknown::Bent),
            },
            NumberNode::Negate(of) => part(of)?.negate(),
            NumberNode::Add(a, b) => part(a)?.add(&part(b)?),
            NumberNode::Subtract(a, b) => part(a)?.subtract(&part(b)?),
            NumberNode::Multiply(a, b) => part(a)?.multiply(&part(b)?),
            NumberNode::Divide(a, b) => part(a)?.divide(&part(b)?),
            NumberNode::Power(of, exponent) => part(of)?.power(*exponent),
            NumberNode::Apply(function, of) if way.is_straight() => {
                let of = self.line(*of, way)?;
                // At nought a root rises straight up.
                if *function == Function::Sqrt && !of.exactly.is_above_zero() {
                    return Err(Unknown::Bent);
                }
                self.applied(*function, &of.dual)
            }
            NumberNode::Apply(function, of) => part(of)?.apply(*function),
            NumberNode::Law { law, of } => {
                let of = part(of)?;
                let at = law_at(*law, of.value).map_err(|_| Unknown::Undecided)?;
                of.along(at.value, at.slope)
            }
            NumberNode::Fold(fold, members) => {
                let members = all(members.iter().map(part))?;
                if way.is_straight() {
                    self.folded(*fold, &members)
                } else {
                    Dual::fold(*fold, &members)
                }
            }
            NumberNode::Refer { resistance, from, to, k } => {
                part(resistance)?.refer(&part(from)?, &part(to)?, k.to_f64() - 273.15)
            }
            NumberNode::CurveAt { curve, at } => {
                self.slope_of_curve(*curve, &part(at)?, self.number(id, way)?)
            }
            NumberNode::Choose { condition, then, otherwise } => {
                match self.logic(*condition, way) {
                    Ok(true) => part(then),
                    Ok(false) => part(otherwise),
                    // Either may be meant, and the value jumps from one to the other.
                    Err(Unknown::Undecided) => Err(Unknown::Bent),
                    Err(unknown) => Err(unknown),
                }
            }
        }
    }

    /// A curve of single values at a point.
    fn slope_of_curve(&self, curve: LimitId, at: &Dual, value: Range) -> Known<Dual> {
        let limit = self.spec.limit(curve).ok_or(Unknown::Blocked)?;
        match self.arm(&limit.rule)?.ok_or(Unknown::Blocked)? {
            LimitRule::Band(_) => Ok(Dual::constant(0.0)),
            LimitRule::Curve(curve) => {
                is_on_one_step(curve, value)?;
                slope_of_edge(curve, at, |band| Some(&band.standard), LOW)
            }
            LimitRule::NotSpecified | LimitRule::Variants(_) => Err(Unknown::Blocked),
        }
    }

    /// The ends of a limit, and its service ends where it has them.
    pub fn ends(
        &self,
        arm: &LimitRule,
        at: Option<NumberId>,
        way: Way,
    ) -> Known<(Ends, Option<Ends>)> {
        match arm {
            LimitRule::Band(band) => {
                let (standard, service) = fixed_borders(band);
                Ok((Ends::fixed(standard), service.map(Ends::fixed)))
            }
            LimitRule::Curve(curve) => {
                let at = self.line(at.ok_or(Unknown::Undecided)?, way)?;
                let (standard, service) = curve_borders(curve, at.exactly)?;
                let standard = ends_at(curve, &at.dual, standard, |band| Some(&band.standard))?;
                let service = service
                    .map(|service| ends_at(curve, &at.dual, service, |band| band.service.as_ref()));
                Ok((standard, service.transpose()?))
            }
            LimitRule::NotSpecified | LimitRule::Variants(_) => Err(Unknown::Blocked),
        }
    }
}

/// The ends of a curve where they lie, with the slopes that they have there.
fn ends_at(curve: &Curve, at: &Dual, borders: Borders, interval: Pick) -> Known<Ends> {
    let end = |border: Option<super::limits::Border>, side: Side| {
        let Some(border) = border else { return Ok(None) };
        is_on_one_step(curve, border.at)?;
        let dual = slope_of_edge(curve, at, interval, side)?;
        let dual = dual.at(border.at.nearest());
        Ok::<_, Unknown>(Some(End { at: Line { exactly: border.at, dual }, open: border.open }))
    };
    Ok(Ends { low: end(borders.low, LOW)?, high: end(borders.high, HIGH)? })
}

/// A place that lies on both sides of a step, as well as it is known, has no straight line about it.
fn is_on_one_step(curve: &Curve, end: Range) -> Known<()> {
    let steps = curve.interpolation == Interpolation::Step;
    if steps && !end.is_single() { Err(Unknown::Bent) } else { Ok(()) }
}

type Pick = fn(&Band) -> Option<&Interval>;

/// Which end of an interval.
type Side = fn(&Interval) -> Option<&Edge>;

const LOW: Side = |of| of.low.as_ref();
const HIGH: Side = |of| of.high.as_ref();

/// One end of a curve with its slope: that of the stretch from the point at or below the place, at
/// the last point of the one before it. A curve of steps has none.
fn slope_of_edge(curve: &Curve, at: &Dual, interval: Pick, side: Side) -> Known<Dual> {
    let x = at.value;
    let end = |place: usize| {
        let point = curve.points.get(place)?;
        Some((point.x, side(interval(&point.band)?)?.value))
    };
    let below = curve.points.iter().rposition(|point| point.x <= x).unwrap_or(0);
    let begin = below.min(curve.points.len().saturating_sub(2));
    let ((x0, y0), (x1, y1)) = end(begin).zip(end(begin + 1)).ok_or(Unknown::Undecided)?;
    let part = (x - x0) / (x1 - x0);
    match curve.interpolation {
        Interpolation::Step => Ok(Dual::constant(y0)),
        Interpolation::Linear => at.along(y0 + (y1 - y0) * part, (y1 - y0) / (x1 - x0)),
        Interpolation::Log => {
            let rise = libm::log(y1) - libm::log(y0);
            let y = libm::exp(libm::log(y0) + rise * part);
            at.along(y, y * rise / (x1 - x0))
        }
    }
}
