//! A posterior by plain products: the way that is taken wherever no figure leaves the range in which
//! doubles keep all their digits. Logarithms ([`crate::weigh`]) are for the rest.
//!
//! Everything is relative to what no fault would give. A fault has the product of its ratios; two
//! have the product of theirs, times that of what the two together change on the checks of both.

use std::ops::Range;

use crate::MAX_BANDS;
use crate::network::{MaxFaults, Network};
use crate::posterior::{Paired, Posterior};
use crate::sight::Sight;
use crate::spread::{count, sum};
use crate::weigh::{Factor, Prior, log_scale, log_total, usual_pairs};

/// Two ratios, two odds and a correction in here, multiplied, stay clear of both ends of doubles.
const RATIOS: Range<f64> = 1e-60..1e60;
const ODDS: Range<f64> = 1e-9..1e9;
const CORRECTIONS: Range<f64> = 1e-140..1e140;

/// Products of likelihoods, relative to no fault.
struct Products {
    other: f64,
    /// By fault.
    single: Vec<f64>,
    /// By pair: what the two together change beyond the product of both; empty without pairs.
    pair: Vec<f64>,
    log_untouched: f64,
    /// All of them in their ranges.
    sound: bool,
    /// Likelihoods of one reading, row by row.
    rows: Vec<f64>,
}

/// `None` where a figure leaves its range, or something is impossible.
pub(crate) fn weigh(
    network: &Network,
    prior: &Prior<'_>,
    factors: &[Factor<'_>],
) -> Option<Posterior> {
    let paired = match prior {
        Prior::Belief(belief) => belief.paired.clone(),
        Prior::Network => usual_pairs(network)?,
    };
    let triangle = paired.triangle();
    if matches!(paired, Paired::Kept(_))
        || (triangle.0 > 0) != (network.max_faults == MaxFaults::Two)
    {
        return None;
    }
    let mut products = Products {
        other: 1.0,
        single: vec![1.0; network.faults()],
        pair: vec![1.0; triangle.len()],
        log_untouched: 0.0,
        sound: true,
        rows: Vec::new(),
    };
    let mut untouched = 1.0;
    for factor in factors {
        let first = products.take(factor, network.sight(factor.check)?)?;
        untouched *= first;
        if !RATIOS.contains(&untouched) {
            products.log_untouched += libm::log(std::mem::replace(&mut untouched, 1.0));
        }
    }
    products.log_untouched += libm::log(untouched) + log_scale(factors);
    products.sound.then(|| products.posterior(network, prior, paired)).flatten()
}

impl Products {
    /// Takes in a reading, and gives how likely it is where no fault touches its check; `None` where
    /// that or what a fault alone gives is impossible.
    fn take(&mut self, factor: &Factor<'_>, sight: &Sight) -> Option<f64> {
        let given = factor.likelihood.weights();
        let mut weights = [0.0; MAX_BANDS];
        weights.iter_mut().zip(given).for_each(|(weight, of)| *weight = of / factor.scale);
        let weights = weights.get(..given.len())?;
        self.rows.clear();
        let likelihood =
            |row: &[f64]| -> f64 { row.iter().zip(weights).map(|(q, weight)| q * weight).sum() };
        self.rows.extend(sight.rows().map(likelihood));
        let (untouched, rest) = self.rows.split_first_mut()?;
        if *untouched <= 0.0 {
            return None;
        }
        let by = 1.0 / *untouched;
        let (alone, mut pairs) = rest.split_at_mut_checked(sight.on.len())?;
        for (ratio, of) in alone.iter_mut().zip(&sight.on) {
            *ratio *= by;
            if let Some(single) = self.single.get_mut(of.place) {
                *single *= *ratio;
                self.sound &= RATIOS.contains(single);
            }
            // What a pair's likelihood is divided by.
            *ratio = 1.0 / *ratio;
        }
        let even = weights.iter().sum::<f64>() / count(weights.len());
        self.other *= even * by;
        self.sound &= RATIOS.contains(&self.other);
        if self.pair.is_empty() {
            return Some(*untouched);
        }
        if !sight.two && sight.on.len() > 1 {
            return None;
        }
        let mut places = sight.pairs.as_slice();
        let mut behind: &[f64] = alone;
        while let Some((own, others)) = behind.split_first() {
            let (row, rest) = pairs.split_at_mut_checked(others.len())?;
            let (at, places_left) = places.split_at_checked(others.len())?;
            let own = own * by;
            for ((both, other), at) in row.iter().zip(others).zip(at) {
                if let Some(pair) = self.pair.get_mut(*at as usize) {
                    *pair *= both * own * other;
                    self.sound &= CORRECTIONS.contains(pair);
                }
            }
            (behind, pairs, places) = (others, rest, places_left);
        }
        Some(*untouched)
    }

    fn posterior(
        mut self,
        network: &Network,
        prior: &Prior<'_>,
        paired: Paired,
    ) -> Option<Posterior> {
        let triangle = paired.triangle();
        let (mut none, mut other) = match prior {
            Prior::Network => (network.none_weight, network.other_weight),
            Prior::Belief(belief) => (belief.none, belief.other),
        };
        other *= self.other;
        match prior {
            Prior::Network => {
                for (single, row) in self.single.iter_mut().zip(&network.faults) {
                    *single *= row.odds;
                    self.sound &= triangle.0 == 0 || ODDS.contains(&row.odds);
                }
                triangle.multiply(&mut self.pair, &self.single);
            }
            Prior::Belief(belief) => {
                triangle.multiply(&mut self.pair, &self.single);
                self.pair.iter_mut().zip(&belief.pair).for_each(|(pair, p)| *pair *= p);
                self.single.iter_mut().zip(&belief.single).for_each(|(single, p)| *single *= p);
            }
        }
        let all = none + other + sum(&self.single) + sum(&self.pair);
        if !(self.sound && all > 0.0 && all.is_finite()) {
            return None;
        }
        let by = 1.0 / all;
        (none, other) = (none * by, other * by);
        for list in [&mut self.single, &mut self.pair] {
            list.iter_mut().for_each(|p| *p *= by);
        }
        let log_evidence = self.log_untouched + libm::log(all) - log_total(network, prior, &paired);
        Some(Posterior {
            none,
            other,
            single: self.single,
            pair: self.pair,
            paired,
            log_evidence,
            used: Vec::new(),
            unused: Vec::new(),
            continued: matches!(prior, Prior::Belief(_)),
        })
    }
}
