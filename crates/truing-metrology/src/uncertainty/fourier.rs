//! The sum of many rectangular errors and a normal one, by the Fourier series of its density.
//!
//! The alternating sum of n rectangles has 2ⁿ terms. Where the normal part is not small, few terms of
//! the series P(0 < error < x) = x/(2L) + Σ φ(πm/L) sin(πmx/L)/(πm) do as well, with the characteristic
//! function φ(t) = exp(−σ²t²/2) Π sin(aᵢt)/(aᵢt), as long as the sum repeated every 2L does not reach x.

use std::f64::consts::PI;

use super::smoothed_rectangles::MOST;

/// The normal factor of the characteristic function beyond this many 1/σ is below 1e-13.
const REACH: f64 = 7.8;

/// A unit vector turned step by step.
#[derive(Clone, Copy, Default)]
struct Turning {
    sine: f64,
    cosine: f64,
    step: (f64, f64),
}

impl Turning {
    fn by(angle: f64) -> Self {
        let step = libm::sincos(angle);
        Turning { sine: 0.0, cosine: 1.0, step }
    }

    fn turn(&mut self) -> f64 {
        let (sine, cosine) = self.step;
        (self.sine, self.cosine) =
            (self.sine * cosine + self.cosine * sine, self.cosine * cosine - self.sine * sine);
        self.sine
    }
}

/// The rectangles, their half-widths summed, σ of the normal part and its κ₄/(24σ⁴).
pub(super) struct Parts<'a> {
    pub(super) half_widths: &'a [f64],
    pub(super) support: f64,
    pub(super) sigma: f64,
    pub(super) fourth: f64,
}

impl Parts<'_> {
    /// P(error > x) for x not negative, to 1e-13 or so; `None` where the alternating sum is shorter.
    pub(super) fn tail(&self, x: f64) -> Option<f64> {
        let half_period = 0.5 * (self.support + 8.5 * self.sigma + x);
        let step = PI / half_period;
        let terms = (REACH / (self.sigma * step)).ceil();
        let count = self.half_widths.len();
        if count < 3 || terms.is_nan() || terms > 2.5 * (1_u32 << count.min(MOST)) as f64 {
            return None;
        }
        let mut rectangles = [(Turning::default(), 0.0); MOST];
        for (place, half_width) in rectangles.iter_mut().zip(self.half_widths) {
            let angle = step * half_width;
            *place = (Turning::by(angle), angle.recip());
        }
        let rectangles = rectangles.get_mut(..count)?;
        let mut at_x = Turning::by(step * x);
        let mut sum = 0.0;
        // exp(−m²s²/2) from one term to the next: the exponents differ by the odd multiples of s²/2.
        let relative = self.sigma * step;
        let ratio = libm::exp(-0.5 * relative * relative);
        let (mut normal, mut next) = (1.0, ratio);
        for term in 1..=terms as u32 {
            let m = f64::from(term);
            let inverse = m.recip();
            normal *= next;
            next *= ratio * ratio;
            let square = (relative * m) * (relative * m);
            let mut factor = normal * (1.0 + self.fourth * square * square);
            let mut bound = factor.abs();
            for (turning, inverse_angle) in &mut *rectangles {
                let size = inverse * *inverse_angle;
                factor *= turning.turn() * size;
                bound *= size.min(1.0);
            }
            sum += factor * at_x.turn() * inverse;
            if bound < 1e-15 {
                break;
            }
        }
        Some(0.5 - 0.5 * x / half_period - sum / PI)
    }
}
