//! The root of a falling function between two points.

/// The argument at which `function`, which is at or above zero at the first point and at or below zero
/// at the second, is zero (Chandrupatla's method: inverse quadratic steps where they are safe,
/// halving where not). Allocates nothing.
pub(crate) fn falling(
    function: impl Fn(f64) -> f64,
    (low, at_low): (f64, f64),
    (high, at_high): (f64, f64),
) -> f64 {
    if at_low <= 0.0 {
        return low;
    }
    if at_high >= 0.0 {
        return high;
    }
    let (mut a, mut at_a) = (high, at_high);
    let (mut b, mut at_b) = (low, at_low);
    let mut step = 0.5;
    for _ in 0..200 {
        let x = a + step * (b - a);
        let at_x = function(x);
        if at_x.is_nan() {
            return f64::NAN;
        }
        let (c, at_c);
        if (at_x < 0.0) == (at_a < 0.0) {
            (c, at_c) = (a, at_a);
        } else {
            (c, at_c) = (b, at_b);
            (b, at_b) = (a, at_a);
        }
        (a, at_a) = (x, at_x);
        let best = if at_a.abs() < at_b.abs() { a } else { b };
        let width = (b - a).abs();
        let near = 2.0 * f64::EPSILON * best.abs() / width;
        if at_a == 0.0 || near.is_nan() || near >= 0.5 {
            return best;
        }
        let place = (a - b) / (c - b);
        let level = (at_a - at_b) / (at_c - at_b);
        let curved = level * level < place && (1.0 - level) * (1.0 - level) < 1.0 - place;
        step = if curved {
            at_a / (at_b - at_a) * at_c / (at_b - at_c)
                + (c - a) / (b - a) * at_a / (at_c - at_a) * at_b / (at_c - at_b)
        } else {
            0.5
        };
        step = step.clamp(near, 1.0 - near);
    }
    a
}
