use super::{Limits, conformance_probability};
use crate::uncertainty::{Component, ErrorSum, falling_root};

/// The largest standard uncertainty at which `value` would be decided with this probability, if the
/// error kept its shape and only shrank or grew: within the limits if the value is, else beyond the
/// limit that the value is beyond.
///
/// `None` where none can decide it: the value stands on a limit, the probability is not between 0 and
/// 1, or the error has no shape (it is zero). Infinite where any would: there is no limit, or the
/// probability is one half or less with one limit.
#[must_use]
pub fn settling_uncertainty(
    value: f64,
    limits: Limits,
    probability: f64,
    shape: &ErrorSum,
) -> Option<f64> {
    let u = shape.standard_uncertainty();
    if !(probability > 0.0 && probability < 1.0 && u > 0.0) {
        return None;
    }
    let over_low = value - limits.lowest();
    let under_high = limits.highest() - value;
    let near = over_low.abs().min(under_high.abs());
    if near.is_nan() || near == 0.0 {
        return None;
    }
    let one_sided = shape.quantile(probability)?;
    let one_sided = if one_sided > 0.0 { near / one_sided } else { f64::INFINITY };
    let inside_two = over_low > 0.0
        && under_high > 0.0
        && over_low < f64::INFINITY
        && under_high < f64::INFINITY;
    if !inside_two {
        return Some(one_sided * u);
    }
    // With a second limit the error has to shrink further; with two at the nearer distance it would
    // have to shrink most.
    let both = near / shape.quantile(0.5 + 0.5 * probability)?;
    let excess = |factor: f64| {
        shape.probability_between(-under_high / factor, over_low / factor) - probability
    };
    let mut high = one_sided;
    if high == f64::INFINITY {
        high = both;
        while excess(high) > 0.0 && high < 1e300 {
            high *= 2.0;
        }
    }
    Some(falling_root(excess, (both, excess(both).max(0.0)), (high, excess(high))) * u)
}

/// How many repeats decide `value` with this probability, if their mean is judged as `value` is:
/// `fixed` stays, and `repeatable`, the error of one reading, shrinks with √n. At most `most`; `None`
/// where that many do not decide it, for instance because the fixed part alone does not.
#[must_use]
pub fn settling_repeats(
    value: f64,
    limits: Limits,
    probability: f64,
    (fixed, repeatable): (&ErrorSum, Component),
    most: u32,
) -> Option<u32> {
    let decides = |repeats: u32| {
        let mut error = fixed.clone();
        error.push_scaled(repeatable, f64::from(repeats).sqrt().recip()).is_ok_and(|()| {
            let conformance = conformance_probability(&error, value, limits);
            let right = if limits.contains(value) {
                conformance.within
            } else {
                conformance.below.max(conformance.above)
            };
            right >= probability
        })
    };
    if most == 0 || !decides(most) {
        return None;
    }
    let (mut too_few, mut enough) = (0, most);
    while enough - too_few > 1 {
        let middle = too_few + (enough - too_few) / 2;
        if decides(middle) {
            enough = middle;
        } else {
            too_few = middle;
        }
    }
    Some(enough)
}
