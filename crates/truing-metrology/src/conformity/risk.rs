use serde::{Deserialize, Serialize};

use super::Limits;
use crate::uncertainty::coverage::normal_density;
use crate::uncertainty::{ErrorSum, falling_root, integrate};

/// What is known of the items before one is measured: the distribution that the process makes
/// (JCGM 106:2012, 9.2).
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Prior {
    /// Normal.
    Normal {
        /// Mean y₀.
        mean: f64,
        /// Standard deviation u₀.
        deviation: f64,
    },
    /// Gamma, of a quantity that is never negative (JCGM 106:2012, 9.5.4).
    Gamma {
        /// Shape α.
        shape: f64,
        /// Rate λ, in the reciprocal of the unit of the quantity.
        rate: f64,
    },
    /// Every value between two limits alike.
    Rectangular {
        /// The least value.
        low: f64,
        /// The greatest value.
        high: f64,
    },
}

/// Why a risk could not be worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum PriorError {
    /// A prior whose parameters are not finite, or not above zero where they have to be.
    #[error("the distribution of the items has parameters that make no distribution")]
    Parameters,
    /// No guard band brings the risk down, or up, to what was asked.
    #[error("no acceptance limits give this risk")]
    Unreachable,
}

/// What a decision rule does to many items.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GlobalRisk {
    /// Global consumer's risk R_C: an item does not conform and is accepted (JCGM 106:2012, eq. 17).
    pub consumer: f64,
    /// Global producer's risk R_P: an item conforms and is rejected (JCGM 106:2012, eq. 19).
    pub producer: f64,
    /// The fraction of items that conform.
    pub conforming: f64,
    /// The fraction of items that are accepted.
    pub accepted: f64,
}

impl GlobalRisk {
    /// The fraction of accepted items that do not conform: conditional false accept.
    #[must_use]
    pub fn consumer_among_accepted(&self) -> f64 {
        self.consumer / self.accepted
    }
}

impl Prior {
    fn is_sound(&self) -> bool {
        match *self {
            Prior::Normal { mean, deviation } => {
                mean.is_finite() && deviation.is_finite() && deviation > 0.0
            }
            Prior::Gamma { shape, rate } => {
                shape.is_finite() && shape > 0.0 && rate.is_finite() && rate > 0.0
            }
            Prior::Rectangular { low, high } => low.is_finite() && high.is_finite() && low < high,
        }
    }

    /// Where there is anything to integrate.
    fn range(&self) -> (f64, f64) {
        match *self {
            Prior::Normal { mean, deviation } => (mean - 9.0 * deviation, mean + 9.0 * deviation),
            Prior::Gamma { shape, rate } => (0.0, (shape + 12.0 * shape.sqrt() + 40.0) / rate),
            Prior::Rectangular { low, high } => (low, high),
        }
    }

    /// The density, times `of`, integrated from `low` to `high`.
    fn integral(&self, low: f64, high: f64, of: &impl Fn(f64) -> f64) -> f64 {
        match *self {
            Prior::Normal { mean, deviation } => {
                integrate(
                    |x| normal_density((x - mean) / deviation) * of(x),
                    low,
                    high,
                    1e-12 * deviation,
                ) / deviation
            }
            Prior::Rectangular { low: least, high: greatest } => {
                integrate(of, low, high, 1e-12 * (greatest - least)) / (greatest - least)
            }
            Prior::Gamma { shape, rate } => {
                // In s = (λη)^α the density has no pole at zero, however small α is.
                let small = shape < 1.0;
                let power = if small { shape } else { 1.0 };
                let scale = libm::exp(-libm::lgamma(shape));
                integrate(
                    |s| {
                        let x = if small { libm::pow(s, power.recip()) } else { s };
                        let rest = if small { power.recip() } else { libm::pow(x, shape - 1.0) };
                        rest * scale * libm::exp(-x) * of(x / rate)
                    },
                    libm::pow(rate * low, power),
                    libm::pow(rate * high, power),
                    1e-12,
                )
            }
        }
    }
}

/// Global consumer's and producer's risk of accepting what is measured within `acceptance`, where items
/// that hold `limits` conform (JCGM 106:2012, 9.5), by quadrature.
///
/// # Errors
/// A prior that is no distribution.
pub fn global_risk(
    prior: &Prior,
    limits: Limits,
    acceptance: Limits,
    error: &ErrorSum,
) -> Result<GlobalRisk, PriorError> {
    if !prior.is_sound() {
        return Err(PriorError::Parameters);
    }
    let accept =
        |x: f64| error.probability_between(acceptance.lowest() - x, acceptance.highest() - x);
    let mut risk = GlobalRisk { consumer: 0.0, producer: 0.0, conforming: 0.0, accepted: 0.0 };
    for (low, high) in pieces(prior.range(), limits, acceptance, error.standard_uncertainty()) {
        let accepted = prior.integral(low, high, &accept);
        risk.accepted += accepted;
        if limits.contains(0.5 * (low + high)) {
            risk.conforming += prior.integral(low, high, &|_| 1.0);
            // Not the difference of the two: the risk may be far smaller than either.
            risk.producer += prior.integral(low, high, &|x| 1.0 - accept(x));
        } else {
            risk.consumer += accepted;
        }
    }
    Ok(risk)
}

/// The range cut where the integrand jumps or turns.
fn pieces(
    (least, greatest): (f64, f64),
    limits: Limits,
    acceptance: Limits,
    u: f64,
) -> impl Iterator<Item = (f64, f64)> {
    let mut cuts = [least; 16];
    let edges = [limits.low, limits.high, acceptance.low, acceptance.high];
    let turns = edges.into_iter().flatten().flat_map(|at| [at - 6.0 * u, at, at + 6.0 * u]);
    let all = turns.chain([greatest, 0.5 * (least + greatest)]);
    for (place, cut) in cuts.iter_mut().skip(1).zip(all) {
        *place = cut.clamp(least, greatest);
    }
    cuts.sort_unstable_by(f64::total_cmp);
    let next = cuts.into_iter().skip(1);
    cuts.into_iter().zip(next).filter(|(low, high)| low < high)
}

/// The limits moved by the guard band that gives this global consumer's risk; the band is negative
/// where accepting within the limits themselves risks less (JCGM 106:2012, 9.5.4, example).
///
/// # Errors
/// A prior that is no distribution; a risk that no guard band gives.
pub fn acceptance_limits(
    prior: &Prior,
    limits: Limits,
    error: &ErrorSum,
    consumer_risk: f64,
) -> Result<Limits, PriorError> {
    let excess = |band: f64| {
        global_risk(prior, limits, limits.guarded(band), error)
            .map(|risk| risk.consumer - consumer_risk)
    };
    let (least, greatest) = prior.range();
    let reach = (greatest - least) + 9.0 * error.standard_uncertainty();
    let widest = limits.tolerance().map_or(reach, |tolerance| 0.5 * tolerance);
    let (at_low, at_high) = (excess(-reach)?, excess(widest)?);
    // Also where the risk asked for is not a number.
    let reached = at_low >= 0.0 && at_high <= 0.0;
    if !reached {
        return Err(PriorError::Unreachable);
    }
    let band =
        falling_root(|band| excess(band).unwrap_or(f64::NAN), (-reach, at_low), (widest, at_high));
    Ok(limits.guarded(band))
}
