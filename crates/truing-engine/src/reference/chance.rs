//! The probability that a single reading conforms, its true value being equally likely anywhere
//! within its last digit (JCGM 106:2012, 7.2; rectangular as JCGM 100:2008, 4.3.7).

use truing_model::Side;

use super::Known;
use super::judge::Standing;
use super::limits::{Border, Borders};
use super::range::Range;
use super::real::Real;

/// How a value that is equally likely anywhere in `value` stands to fixed ends; `None` where it has
/// no width or the ends are not fixed.
pub(super) fn by_chance(
    value: Range,
    standard: Borders,
    service: Option<Borders>,
    wanted: f64,
) -> Option<Standing> {
    let (a, b) = (value.low.at, value.high.at);
    if !(a.is_finite() && b.is_finite() && a.below(b)) {
        return None;
    }
    let service = service.unwrap_or(standard);
    let chance = |border: Option<Border>, missing: Real| match border {
        None => Some(missing),
        Some(border) => below(border.at.single()?, a, b).ok(),
    };
    let (sl, sh) = (chance(standard.low, Real::ZERO)?, chance(standard.high, Real::ONE)?);
    let (vl, vh) = (chance(service.low, Real::ZERO)?, chance(service.high, Real::ONE)?);
    decide([sl, sh], [vl, vh], wanted).ok()
}

/// The probability of less than `x`.
fn below(x: Real, a: Real, b: Real) -> Known<Real> {
    if x.at_most(a) {
        return Ok(Real::ZERO);
    }
    if b.at_most(x) {
        return Ok(Real::ONE);
    }
    x.add(a.negate())?.divide(b.add(a.negate())?)
}

fn lesser(a: Real, b: Real) -> Real {
    if a.below(b) { a } else { b }
}

fn greater(a: Real, b: Real) -> Real {
    if a.below(b) { b } else { a }
}

fn minus(a: Real, b: Real) -> Known<Real> {
    a.add(b.negate())
}

fn decide([sl, sh]: [Real; 2], [vl, vh]: [Real; 2], wanted: f64) -> Known<Standing> {
    let between = |low: Real, high: Real| Ok(greater(minus(high, low)?, Real::ZERO));
    let standard = between(sl, sh)?;
    let both = between(greater(sl, vl), lesser(sh, vh))?;
    let either = minus(standard.add(between(vl, vh)?)?, both)?;
    let worn = minus(either, standard)?;
    let neither = minus(Real::ONE, either)?;
    let low = lesser(sl, vl);
    let high = minus(Real::ONE, greater(sh, vh))?;
    let enough = |probability: Real| {
        let nearest = match probability {
            Real::Exact(exact) => exact.to_f64(),
            other => {
                let (lo, hi) = other.enclosed();
                lo / 2.0 + hi / 2.0
            }
        };
        nearest >= wanted
    };
    Ok(if enough(standard) {
        Standing::Within
    } else if enough(worn) {
        Standing::Worn
    } else if enough(neither) {
        Standing::Outside(if enough(low) {
            Some(Side::Low)
        } else if enough(high) {
            Some(Side::High)
        } else {
            None
        })
    } else if enough(either) {
        Standing::Passes
    } else {
        Standing::Undecided
    })
}
