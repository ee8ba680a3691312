//! Repeated integrals of the standard normal distribution.
//!
//! J₀ = Φ, J₋₁ = φ and Jₙ′ = Jₙ₋₁; n Jₙ = z Jₙ₋₁ + Jₙ₋₂ (Abramowitz and Stegun, 7.2.5, in other
//! letters; from memory).

use super::coverage::{normal_cdf, normal_density};

/// Jₙ(z) and its fourth derivative, for z ≤ 0 or thereabouts, by the recurrence upwards: absolute
/// error of the order of the rounding, relative error growing far from zero.
pub(super) fn with_fourth_derivative(order: usize, z: f64) -> (f64, f64) {
    let density = normal_density(z);
    // J₋₄ to J₋₁ are derivatives of the density.
    let mut last = [-z * (z * z - 3.0) * density, (z * z - 1.0) * density, -z * density, density];
    let mut value = normal_cdf(z);
    for n in 1..=order {
        let next = (z * value + last[3]) / n as f64;
        last = [last[1], last[2], last[3], value];
        value = next;
    }
    (value, last[0])
}

/// Jₙ(z) for z ≤ 0 or thereabouts, by the recurrence upwards.
pub(super) fn upwards(order: usize, z: f64) -> f64 {
    let mut before = normal_density(z);
    let mut value = normal_cdf(z);
    for n in 1..=order {
        let next = (z * value + before) / n as f64;
        before = value;
        value = next;
    }
    value
}

/// As [`with_fourth_derivative`], with a small relative error for negative z too: there Jₙ is the
/// solution that the recurrence loses, so the ratios Jₙ/Jₙ₋₁ are taken downwards.
pub(super) fn precise(order: usize, z: f64) -> (f64, f64) {
    if z > -1.0 {
        return with_fourth_derivative(order, z);
    }
    let density = normal_density(z);
    let beyond = 12 + (90.0 / (z * z)) as usize;
    let mut ratio = 2.0 / (-z + (z * z + 4.0 * (order + beyond) as f64).sqrt());
    for n in (order + 1..order + beyond).rev() {
        ratio = (-z + (n + 1) as f64 * ratio).recip();
    }
    // ratio is now J(order + 1)/J(order); further down the ratios are multiplied together.
    let mut product = 1.0;
    let mut product_four_down = 1.0;
    for n in (0..=order).rev() {
        ratio = (-z + (n + 1) as f64 * ratio).recip();
        product *= ratio;
        if n + 4 <= order {
            product_four_down *= ratio;
        }
    }
    let fourth = match order {
        0 => -z * (z * z - 3.0) * density,
        1 => (z * z - 1.0) * density,
        2 => -z * density,
        _ => product_four_down * density,
    };
    (product * density, fourth)
}
