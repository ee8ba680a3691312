//! Gauss-Legendre quadrature with sixteen points, halved until it holds.

/// Abscissae and weights of sixteen points on −1 to 1 (computed with mpmath 1.3).
pub(super) const POINTS: [(f64, f64); 8] = [
    (0.095_012_509_837_637_44, 0.189_450_610_455_068_5),
    (0.281_603_550_779_258_9, 0.182_603_415_044_923_59),
    (0.458_016_777_657_227_39, 0.169_156_519_395_002_54),
    (0.617_876_244_402_643_8, 0.149_595_988_816_576_73),
    (0.755_404_408_355_003, 0.124_628_971_255_533_87),
    (0.865_631_202_387_831_8, 0.095_158_511_682_492_78),
    (0.944_575_023_073_232_6, 0.062_253_523_938_647_89),
    (0.989_400_934_991_649_9, 0.027_152_459_411_754_1),
];

/// An integrand that jumps is cut this often at the jump.
const DEEPEST: u32 = 36;

fn panel(integrand: &mut impl FnMut(f64) -> f64, from: f64, to: f64) -> f64 {
    let middle = 0.5 * (from + to);
    let half = 0.5 * (to - from);
    let mut sum = 0.0;
    for (abscissa, weight) in POINTS {
        sum += weight * (integrand(middle - half * abscissa) + integrand(middle + half * abscissa));
    }
    sum * half
}

fn refine(
    integrand: &mut impl FnMut(f64) -> f64,
    (from, to): (f64, f64),
    whole: f64,
    tolerance: f64,
    depth: u32,
) -> f64 {
    let middle = 0.5 * (from + to);
    let left = panel(integrand, from, middle);
    let right = panel(integrand, middle, to);
    let both = left + right;
    let close = (both - whole).abs() <= tolerance.max(1e-13 * both.abs());
    if close || depth == 0 || !both.is_finite() {
        return both;
    }
    refine(integrand, (from, middle), left, tolerance, depth - 1)
        + refine(integrand, (middle, to), right, tolerance, depth - 1)
}

/// The integral over a finite interval, to about `tolerance` or 1e-13 of itself, whichever is larger.
pub(crate) fn integrate(
    mut integrand: impl FnMut(f64) -> f64,
    from: f64,
    to: f64,
    tolerance: f64,
) -> f64 {
    if from == to {
        return 0.0;
    }
    let whole = panel(&mut integrand, from, to);
    refine(&mut integrand, (from, to), whole, tolerance, DEEPEST)
}
