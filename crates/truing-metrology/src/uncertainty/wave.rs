//! The integral of a smooth function times a sine of any frequency: Legendre polynomials on a stretch,
//! whose integrals against e^(iωt) are spherical Bessel functions (Filon's idea; NIST DLMF, 18.17.19).

use std::sync::LazyLock;

use super::quadrature::POINTS;

/// Polynomials that a stretch is told by.
pub(super) const ORDERS: usize = 16;

/// (2k + 1)/2 wᵢ P_k(uᵢ), for the abscissae above zero.
static PROJECTION: LazyLock<[[f64; ORDERS / 2]; ORDERS]> = LazyLock::new(|| {
    let mut before = [0.0; ORDERS / 2];
    let mut value = [1.0; ORDERS / 2];
    let mut rows = [[0.0; ORDERS / 2]; ORDERS];
    for (k, row) in rows.iter_mut().enumerate() {
        let k = k as f64;
        let columns = row.iter_mut().zip(&mut before).zip(&mut value).zip(POINTS);
        for (((to, before), value), (abscissa, weight)) in columns {
            *to = (k + 0.5) * weight * *value;
            let next = ((2.0 * k + 1.0) * abscissa * *value - k * *before) / (k + 1.0);
            (*before, *value) = (*value, next);
        }
    }
    rows
});

/// A function on a stretch of t, by its Legendre coefficients.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub(super) struct Stretch {
    middle: f64,
    half: f64,
    coefficients: [f64; ORDERS],
}

/// The values of a function at the abscissae below the middle of a stretch and above it, from the
/// middle outwards.
pub(super) type Values = [[f64; ORDERS / 2]; 2];

impl Stretch {
    /// The abscissae at which the function has to be known.
    pub(super) fn abscissae(from: f64, to: f64) -> Values {
        let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
        [POINTS.map(|(u, _)| middle - half * u), POINTS.map(|(u, _)| middle + half * u)]
    }

    pub(super) fn new(from: f64, to: f64, [below, above]: &Values) -> Self {
        let (middle, half) = (0.5 * (from + to), 0.5 * (to - from));
        let mut coefficients = [0.0; ORDERS];
        let [mut even, mut odd] = [[0.0; ORDERS / 2]; 2];
        for ((even, odd), (below, above)) in
            even.iter_mut().zip(&mut odd).zip(below.iter().zip(above))
        {
            (*even, *odd) = (above + below, above - below);
        }
        for (k, (to, row)) in coefficients.iter_mut().zip(&*PROJECTION).enumerate() {
            let values = if k.is_multiple_of(2) { &even } else { &odd };
            *to = row.iter().zip(values).map(|(a, b)| a * b).sum();
        }
        Stretch { middle, half, coefficients }
    }

    /// What the polynomials that are left out may add to an integral.
    pub(super) fn doubt(&self) -> f64 {
        let last = self.coefficients.iter().skip(ORDERS - 3);
        self.half * last.fold(0.0, |largest, c| c.abs().max(largest))
    }

    /// The integrals of the function times cos ωt and sin ωt.
    pub(super) fn integrals(&self, frequency: f64) -> (f64, f64) {
        let moments = spherical(frequency * self.half);
        let [mut real, mut imaginary] = [0.0; 2];
        // i^k runs through 1, i, −1, −i.
        for (c, j) in self.coefficients.chunks_exact(4).zip(moments.chunks_exact(4)) {
            if let ([c0, c1, c2, c3], [j0, j1, j2, j3]) = (c, j) {
                real += c0 * j0 - c2 * j2;
                imaginary += c1 * j1 - c3 * j3;
            }
        }
        let (sine, cosine) = libm::sincos(frequency * self.middle);
        let width = 2.0 * self.half;
        (width * (cosine * real - sine * imaginary), width * (cosine * imaginary + sine * real))
    }
}

/// The spherical Bessel functions j₀ to j₁₅: by their recurrence upwards where it is stable, else by
/// the ratios of neighbours taken downwards.
fn spherical(z: f64) -> [f64; ORDERS] {
    let size = z.abs();
    let mut values = [0.0; ORDERS];
    if size < 1e-8 {
        let [first, second, ..] = &mut values;
        (*first, *second) = (1.0, z / 3.0);
        return values;
    }
    let inverse = size.recip();
    let (sine, cosine) = libm::sincos(size);
    let zero = sine * inverse;
    if size >= ORDERS as f64 {
        let (mut value, mut next) = (zero, (zero - cosine) * inverse);
        for (k, to) in values.iter_mut().enumerate() {
            *to = value;
            (value, next) = (next, (2 * k + 3) as f64 * inverse * next - value);
        }
    } else {
        let mut ratios = [0.0; ORDERS];
        let start = ORDERS + 8 + size as usize;
        let mut ratio = 0.0;
        for k in (ORDERS..start).rev() {
            ratio = size / ((2 * k + 1) as f64 - size * ratio);
        }
        for (k, to) in ratios.iter_mut().enumerate().skip(1).rev() {
            ratio = size / ((2 * k + 1) as f64 - size * ratio);
            *to = ratio;
        }
        // From the larger of the first two: one of them may be next to zero.
        let one = (zero - cosine) * inverse;
        let mut value = if size < 1.0 || zero.abs() > one.abs() { zero } else { one };
        let from_one = size >= 1.0 && zero.abs() <= one.abs();
        let skipped = if from_one { 2 } else { 1 };
        let [first, second, ..] = &mut values;
        (*first, *second) = (zero, one);
        for (to, ratio) in values.iter_mut().zip(ratios).skip(skipped) {
            value *= ratio;
            *to = value;
        }
    }
    if z < 0.0 {
        values.iter_mut().skip(1).step_by(2).for_each(|value| *value = -*value);
    }
    values
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ∫ e^(−ct) e^(iωt) dt from `a` to `b`.
    fn exactly(c: f64, frequency: f64, a: f64, b: f64) -> (f64, f64) {
        // −e^((−c + iω)t)/(c − iω), of which the denominator is made real.
        let at = |t: f64| {
            let (sine, cosine) = libm::sincos(frequency * t);
            let size = -libm::exp(-c * t) / (c * c + frequency * frequency);
            (size * (c * cosine - frequency * sine), size * (c * sine + frequency * cosine))
        };
        let (upper, lower) = (at(b), at(a));
        (upper.0 - lower.0, upper.1 - lower.1)
    }

    #[test]
    fn integrals_hold_at_every_frequency() {
        let (a, b) = (0.4, 2.9);
        let values = Stretch::abscissae(a, b).map(|half| half.map(|t| libm::exp(-0.8 * t)));
        let stretch = Stretch::new(a, b, &values);
        assert!(stretch.doubt() < 1e-13);
        for step in -80..=60 {
            for sign in [1.0, -1.0] {
                let frequency = sign * 1.3_f64.powi(step);
                let (cosine, sine) = stretch.integrals(frequency);
                let expected = exactly(0.8, frequency, a, b);
                let off = (cosine - expected.0).abs().max((sine - expected.1).abs());
                assert!(off <= 2e-14, "{frequency}: {off}");
            }
        }
    }

    #[test]
    fn what_polynomials_cannot_follow_is_doubtful() {
        let values = Stretch::abscissae(0.0, 1.0).map(|half| half.map(|t| libm::sin(90.0 * t)));
        assert!(Stretch::new(0.0, 1.0, &values).doubt() > 1e-3);
        let corner = Stretch::abscissae(-1.0, 1.0).map(|half| half.map(f64::abs));
        assert!(Stretch::new(-1.0, 1.0, &corner).doubt() > 1e-4);
    }

    #[test]
    fn spherical_bessel_functions_follow_their_recurrence() {
        for z in [0.9, std::f64::consts::PI, 4.493_409_457_909_064, 9.0, 15.99, 16.0, 40.0, 1e6] {
            let values = spherical(z);
            let j0 = libm::sin(z) / z;
            assert!((values[0] - j0).abs() <= 1e-15);
            for (k, window) in values.windows(3).enumerate() {
                let [a, b, c] = [window[0], window[1], window[2]];
                let off = a + c - (2 * k + 3) as f64 / z * b;
                assert!(off.abs() <= 1e-14, "{z} {k}: {off}");
            }
        }
        // j₁₅(1) (computed with mpmath 1.4.1).
        assert!((spherical(1.0)[15] / 5.132_686_115_443_5e-18 - 1.0).abs() < 1e-12);
    }
}
