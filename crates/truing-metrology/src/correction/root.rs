//! The inverse of a law that rises all the way.

use super::WithSlope;

/// Where `law`, which rises from `low` to `high`, reaches `target`.
///
/// Newton's steps, each kept inside the bracket that the steps before have narrowed; a step that
/// would leave it becomes a bisection. It ends when the bracket or the step no longer changes the
/// point. A target beyond an end gives that end.
pub(super) fn of_rising(
    law: impl Fn(f64) -> WithSlope,
    target: f64,
    mut low: f64,
    mut high: f64,
    start: f64,
) -> f64 {
    let mut at = start.clamp(low, high);
    let mut before = at;
    for _ in 0..200 {
        let WithSlope { value, slope } = law(at);
        let off = value - target;
        if off > 0.0 {
            high = at;
        } else {
            low = at;
        }
        let step = at - off / slope;
        let next = if step >= low && step <= high { step } else { low + (high - low) / 2.0 };
        // Two neighbouring numbers can take turns; either will do.
        if off == 0.0 || next == at || next == before {
            return at;
        }
        before = at;
        at = next;
    }
    at
}
