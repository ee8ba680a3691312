//! Slopes and cubics of the monotone interpolation of Fritsch and Butland.

use crate::correction::{OutOfRange, WithSlope};

/// What lies between two rows: its width, and its rise per unit of width.
#[derive(Clone, Copy)]
pub(super) struct Piece {
    pub(super) width: f64,
    pub(super) rise: f64,
}

/// The slope at a row between two pieces: zero where they do not go the same way, otherwise their
/// harmonic mean, weighted by the widths.
pub(super) fn inner_slope(left: Piece, right: Piece) -> f64 {
    if left.rise == 0.0 || right.rise == 0.0 || (left.rise > 0.0) != (right.rise > 0.0) {
        return 0.0;
    }
    let (first, second) = (2.0 * right.width + left.width, right.width + 2.0 * left.width);
    (first + second) / (first / left.rise + second / right.rise)
}

/// The slope at an end: that of the parabola through three rows, held so that the curve does not
/// turn. A table of two rows is a straight line.
pub(super) fn end_slope(near: Piece, next: Option<Piece>) -> f64 {
    let Some(next) = next else { return near.rise };
    let (h, k) = (near.width, next.width);
    let slope = ((2.0 * h + k) * near.rise - h * next.rise) / (h + k);
    if near.rise == 0.0 || slope * near.rise.signum() <= 0.0 {
        0.0
    } else if (next.rise > 0.0) != (near.rise > 0.0) && slope.abs() > 3.0 * near.rise.abs() {
        3.0 * near.rise
    } else {
        slope
    }
}

/// The cubic of Hermite between two rows with the slopes that it has there.
pub(super) fn cubic(
    x: (f64, f64),
    y: (f64, f64),
    slopes: (f64, f64),
    at: f64,
) -> Result<WithSlope, OutOfRange> {
    let width = x.1 - x.0;
    let rise = (y.1 - y.0) / width;
    let (from, to) = (at - x.0, x.1 - at);
    let bend = (slopes.0 + slopes.1 - 2.0 * rise) / width;
    let start = (rise - slopes.0) / width - bend;
    // Counted from the nearer row, so that both are met exactly.
    let value = if from <= to {
        y.0 + from * (slopes.0 + from * (start + from * bend / width))
    } else {
        let end = (slopes.1 - rise) / width + bend;
        y.1 - to * (slopes.1 - to * (end - to * bend / width))
    };
    let slope = slopes.0 + from * (2.0 * start + 3.0 * from * bend / width);
    WithSlope::checked(value, slope)
}
