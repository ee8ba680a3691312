//! The sum of rectangular errors and a normal one.
//!
//! With Hₙ(y) = E[(y − R)₊ⁿ]/n! for a sum R of independent centred errors, a further rectangular error
//! of half-width a gives Hₙ(y) = (Hₙ₊₁(y + a) − Hₙ₊₁(y − a))/(2a): for rectangles alone the alternating
//! sum of truncated powers, for a normal R the repeated integrals of Φ. Three things keep it accurate
//! where the plain alternating sum cancels: the widest rectangle is taken first; a positive argument is
//! reflected, Hₙ(y) = E[(y − R)ⁿ]/n! − (−1)ⁿ Hₙ(−y), so that only small values are subtracted; and
//! rectangles much narrower than the normal part are folded into it. Many rectangles beside a normal part
//! go by `fourier` instead.

use super::fourier::Parts;
use super::repeated_integral;

/// The most rectangles whose sum is worked out as it is.
pub(super) const MOST: usize = 12;

/// A rectangle of a half-width below this many standard uncertainties of the normal part becomes part
/// of it, with its fourth cumulant: the error left is below 1e-10.
const NARROW: f64 = 0.07;

/// The normal part counts as zero beyond this many standard uncertainties: absolutely, and in relation
/// to small probabilities.
const REACH: f64 = 7.5;
const FAR_REACH: f64 = 38.5;

/// Probabilities below this are worked out in relation to themselves.
const SMALL: f64 = 1e-5;

/// Half of the largest order, and zero.
const HALF_ORDERS: usize = MOST / 2 + 1;

/// Coefficients of E[(y − R)ⁿ]/n! in powers of y, for what is left of R below each rectangle.
type Polynomials = [[f64; HALF_ORDERS]; MOST];

struct Sum {
    sigma: f64,
    /// κ₄/(24σ⁴) of the normal part with what was folded into it.
    fourth: f64,
    reach: f64,
    precise: bool,
    polynomials: Option<Polynomials>,
}

/// Probability that the sum of a normal error of variance `variance` and of rectangular ones of these
/// half-widths, at most [`MOST`], the widest first and none zero, is above `x`, which is not negative.
pub(super) fn tail(x: f64, half_widths: &[f64], variance: f64) -> f64 {
    let scale = half_widths.first().copied().unwrap_or(0.0).max(variance.sqrt());
    if scale == 0.0 {
        return 0.0;
    }
    // In units of the widest part, so that no power leaves the range of an f64.
    let mut scaled = [0.0; MOST];
    for (to, from) in scaled.iter_mut().zip(half_widths) {
        *to = from / scale;
    }
    let all = scaled.get(..half_widths.len()).unwrap_or(&scaled);
    let (rest, sigma, fourth) = fold(all, variance / scale / scale);
    let x = x / scale;
    let parts = Parts { half_widths: rest, support: rest.iter().sum(), sigma, fourth };
    let support = parts.support;
    let mut sum = Sum { sigma, fourth, reach: 0.0, precise: false, polynomials: None };
    let series = if sigma > 0.0 { parts.tail(x) } else { None };
    if let Some(tail) = series.filter(|tail| *tail >= SMALL) {
        return tail.clamp(0.0, 0.5);
    }
    sum.reach = REACH * sum.sigma;
    if rest.len() > 3 {
        sum.polynomials = Some(sum.polynomials_for(rest));
    }
    let mut tail = series.unwrap_or_else(|| sum.below(rest, support, 0, -x));
    if tail < SMALL && sigma > 0.0 {
        sum.precise = true;
        sum.reach = FAR_REACH * sum.sigma;
        tail = sum.below(rest, support, 0, -x);
    }
    tail.clamp(0.0, 0.5)
}

/// The rectangles that stay, σ of the normal part with the narrow ones in it, and its κ₄/(24σ⁴).
fn fold(half_widths: &[f64], variance: f64) -> (&[f64], f64, f64) {
    let mut kept = half_widths;
    let mut variance = variance;
    let mut fourth = 0.0;
    while let Some((narrowest, wider)) = kept.split_last() {
        let square = narrowest * narrowest;
        if square >= NARROW * NARROW * variance {
            break;
        }
        variance += square / 3.0;
        fourth -= (2.0 / 15.0 / 24.0) * square * square;
        kept = wider;
    }
    let relative = if fourth == 0.0 { 0.0 } else { fourth / (variance * variance) };
    (kept, variance.sqrt(), relative)
}

impl Sum {
    /// Hₙ(y) of the rectangles in `rest`, whose half-widths sum to `support`, and the normal part.
    fn below(&self, rest: &[f64], support: f64, order: usize, y: f64) -> f64 {
        if y > 0.0 {
            let reflected = self.below_negative(rest, support, order, -y);
            let power = self.polynomial(rest, order, y);
            return if order.is_multiple_of(2) { power - reflected } else { power + reflected };
        }
        self.below_negative(rest, support, order, y)
    }

    fn below_negative(&self, rest: &[f64], support: f64, order: usize, y: f64) -> f64 {
        if y + support + self.reach <= 0.0 {
            return 0.0;
        }
        let Some((half_width, rest)) = rest.split_first() else {
            return self.normal_below(order, y);
        };
        let support = support - half_width;
        let upper = self.below(rest, support, order + 1, y + half_width);
        let lower = self.below_negative(rest, support, order + 1, y - half_width);
        (upper - lower) / (2.0 * half_width)
    }

    fn normal_below(&self, order: usize, y: f64) -> f64 {
        if self.sigma == 0.0 {
            return 0.0;
        }
        let z = y / self.sigma;
        let value = if self.precise {
            let (value, fourth) = repeated_integral::precise(order, z);
            value + self.fourth * fourth
        } else if self.fourth == 0.0 {
            repeated_integral::upwards(order, z)
        } else {
            let (value, fourth) = repeated_integral::with_fourth_derivative(order, z);
            value + self.fourth * fourth
        };
        power(self.sigma, order) * value
    }

    /// E[(y − R)ⁿ]/n!.
    fn polynomial(&self, rest: &[f64], order: usize, y: f64) -> f64 {
        match order {
            0 => 1.0,
            1 => y,
            2 => 0.5 * (y * y + self.variance(rest)),
            3 => y * (y * y + 3.0 * self.variance(rest)) / 6.0,
            _ => {
                let square = y * y;
                let odd = if order.is_multiple_of(2) { 1.0 } else { y };
                let row = self.polynomials.as_ref().and_then(|rows| rows.get(rest.len()));
                odd * row.map_or(0.0, |row| {
                    row.iter().take(order / 2 + 1).rev().fold(0.0, |sum, next| sum * square + next)
                })
            }
        }
    }

    fn variance(&self, rest: &[f64]) -> f64 {
        self.sigma * self.sigma + rest.iter().map(|a| a * a).sum::<f64>() / 3.0
    }

    /// Row k holds the polynomial of order n = (all rectangles) − k for the k narrowest rectangles and
    /// the normal part, the lowest power of y first.
    fn polynomials_for(&self, all: &[f64]) -> Polynomials {
        let mut rows = [[0.0; HALF_ORDERS]; MOST];
        // Moments over factorials: E[R²ʲ]/(2j)!.
        let square = self.sigma * self.sigma;
        let mut moments = [0.0; HALF_ORDERS];
        let mut normal = 1.0;
        for (j, moment) in moments.iter_mut().enumerate() {
            *moment = normal;
            normal *= square / (2.0 * (j + 1) as f64);
        }
        let plain = moments;
        for (moment, before) in moments.iter_mut().skip(2).zip(plain) {
            *moment += self.fourth * square * square * before;
        }
        for (k, row) in rows.iter_mut().enumerate().take(all.len()) {
            if let Some(next) = k.checked_sub(1).and_then(|k| all.iter().rev().nth(k)) {
                widen(&mut moments, *next);
            }
            let order = all.len() - k;
            let lowest = order / 2;
            let mut factorial = 1.0;
            for (power, to) in row.iter_mut().enumerate().take(lowest + 1) {
                // The power of y is 2·power, or one more where the order is odd.
                let exponent = 2 * power + order % 2;
                if power > 0 {
                    factorial *= (exponent * (exponent - 1)) as f64;
                }
                *to = moments.get(lowest - power).copied().unwrap_or(0.0) / factorial;
            }
        }
        rows
    }
}

/// The moments of a sum with one rectangle more: E[U²ʲ]/(2j)! = a²ʲ/(2j + 1)!.
fn widen(moments: &mut [f64; HALF_ORDERS], half_width: f64) {
    let square = half_width * half_width;
    let before = *moments;
    for (j, moment) in moments.iter_mut().enumerate() {
        let mut rectangle = 1.0;
        let mut sum = 0.0;
        for (i, other) in before.iter().take(j + 1).rev().enumerate() {
            if i > 0 {
                rectangle *= square / ((2 * i) as f64 * (2 * i + 1) as f64);
            }
            sum += rectangle * other;
        }
        *moment = sum;
    }
}

fn power(base: f64, exponent: usize) -> f64 {
    (0..exponent).fold(1.0, |product, _| product * base)
}
