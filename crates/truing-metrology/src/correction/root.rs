//! The inverse of a law that rises all the way.

use super::WithSlope;

/// Where `law`, which rises from `low` to `high`, reaches `target`.
///
/// Newton's steps, each kept strictly inside the bracket that the steps before have narrowed; a
/// step that would leave it becomes a bisection. It ends when a step no longer changes the point
/// by more than its last digit. A target beyond an end gives that end.
pub(super) fn of_rising(
    law: impl Fn(f64) -> WithSlope,
    target: f64,
    mut low: f64,
    mut high: f64,
    start: f64,
) -> f64 {
    let mut at = start.max(low).min(high);
    // Each round either steps inside the bracket or halves it; halving alone needs fewer than 100.
    for _ in 0..200 {
        let WithSlope { value, slope } = law(at);
        let off = value - target;
        if off > 0.0 {
            high = at;
        } else {
            low = at;
        }
        let step = at - off / slope;
        let inside = step > low && step < high;
        let next = if inside { step } else { low + (high - low) / 2.0 };
        let arrived = (step - at).abs() <= f64::EPSILON * at.abs();
        if arrived || next <= low || next >= high {
            return at;
        }
        at = next;
    }
    at
}
