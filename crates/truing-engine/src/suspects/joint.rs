//! What the readings of several members say of the family that counts as one.
//!
//! The family is in the band that dominates among its members. Given that band `k`, every way in which
//! the members can lie with `k` as the latest of their bands is taken for equally likely: there are
//! `(k + 1)^n - k^n` of them. So
//!
//! ```text
//! L(k) = sum of prod_m l_m(b_m) over all b with max b_m = k, over ((k + 1)^n - k^n)
//!      = (prod_m F_m(k) - prod_m F_m(k - 1)) / ((k + 1)^n - k^n)
//! ```
//!
//! with `l_m` the likelihood of member `m` over its bands, scaled to the sum 1, and `F_m` its running
//! sum. A member that was not read has the same likelihood in every band: it keeps the family from
//! being in order for certain, and where no member was read nothing is said.

use truing_diagnosis::{Band, Likelihood};

/// The likelihood of a family over its bands. `members` holds what was read of each member; nothing
/// of those that were not.
pub(super) fn joint(members: &[Option<&Likelihood>], bands: usize) -> Option<Likelihood> {
    let silent = Likelihood::given(&vec![1.0; bands]).ok()?;
    let members: Vec<&Likelihood> = members.iter().map(|of| of.unwrap_or(&silent)).collect();
    if let [only] = members.as_slice() {
        return Some((*only).clone());
    }
    let logs: Vec<f64> = (0..bands)
        .map(|band| log_of_latest(&members, band) - log_ways(members.len(), band))
        .collect();
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = logs.iter().map(|log| libm::exp(log - most)).collect();
    Likelihood::given(&weights).ok()
}

/// The logarithm of `prod F(k) - prod F(k - 1)`, as a sum of products, which does not cancel: of each
/// member the part in which it is in the band, those before it at most, those after it below.
fn log_of_latest(members: &[&Likelihood], band: usize) -> f64 {
    let upto = |of: &Likelihood, band: usize| (0..=band).map(|k| of.share(Band(k))).sum::<f64>();
    let below = |of: &Likelihood| band.checked_sub(1).map_or(0.0, |under| upto(of, under));
    // Behind each member: the logarithm of all that are below, added up from the end.
    let mut after = vec![0.0; members.len()];
    let mut sum = 0.0;
    for (slot, of) in after.iter_mut().zip(members).rev() {
        *slot = sum;
        sum += libm::log(below(of));
    }
    let mut before = 0.0;
    let mut terms = Vec::with_capacity(members.len());
    for (of, after) in members.iter().zip(after) {
        terms.push(before + libm::log(of.share(Band(band))) + after);
        before += libm::log(upto(of, band));
    }
    let most = terms.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + libm::log(terms.iter().map(|term| libm::exp(term - most)).sum::<f64>())
}

/// The logarithm of `(k + 1)^n - k^n`.
fn log_ways(members: usize, band: usize) -> f64 {
    let count = |n: usize| f64::from(u32::try_from(n).unwrap_or(u32::MAX));
    let (n, k) = (count(members), count(band));
    n * libm::log(k + 1.0) + libm::log1p(-libm::pow(k / (k + 1.0), n))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that panics has failed")]
mod tests {
    use proptest::prelude::*;
    use truing_diagnosis::Likelihood;

    use super::joint;

    fn of(weights: &[f64]) -> Likelihood {
        Likelihood::given(weights).unwrap()
    }

    fn shares(of: &Likelihood) -> Vec<f64> {
        (0..of.bands()).map(|k| of.share(truing_diagnosis::Band(k))).collect()
    }

    /// The sum over every way in which the members can lie, by the way.
    fn by_every_way(members: &[Vec<f64>], bands: usize) -> Vec<f64> {
        let mut sums = vec![(0.0, 0.0); bands];
        for way in 0..bands.pow(members.len() as u32) {
            let (mut rest, mut latest, mut product) = (way, 0, 1.0);
            for member in members {
                let band = rest % bands;
                rest /= bands;
                latest = latest.max(band);
                product *= member[band] / member.iter().sum::<f64>();
            }
            sums[latest].0 += product;
            sums[latest].1 += 1.0;
        }
        let weights: Vec<f64> = sums.iter().map(|(sum, ways)| sum / ways).collect();
        let all: f64 = weights.iter().sum();
        weights.iter().map(|weight| weight / all).collect()
    }

    fn members() -> impl Strategy<Value = (usize, Vec<Vec<f64>>)> {
        (2..=4_usize).prop_flat_map(|bands| {
            let weight = prop_oneof![1 => Just(0.0), 4 => 1e-6..1.0_f64];
            let member = proptest::collection::vec(weight, bands)
                .prop_filter("no weight", |w| w.iter().any(|weight| *weight > 0.0));
            (Just(bands), proptest::collection::vec(member, 1..=5))
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2_000, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn as_by_every_way((bands, read) in members()) {
            let likelihoods: Vec<Likelihood> = read.iter().map(|weights| of(weights)).collect();
            let joint = |all: &[Likelihood]| {
                let all: Vec<Option<&Likelihood>> = all.iter().map(Some).collect();
                shares(&super::joint(&all, bands).unwrap())
            };
            let found = joint(&likelihoods);
            for (found, wanted) in found.iter().zip(by_every_way(&read, bands)) {
                prop_assert!((found - wanted).abs() < 1e-12, "{found} {wanted}");
            }
            let mut turned = likelihoods;
            turned.reverse();
            for (one, other) in found.iter().zip(joint(&turned)) {
                prop_assert!((one - other).abs() < 1e-12, "the order of members: {one} {other}");
            }
        }
    }

    #[test]
    fn members_that_say_nothing_say_nothing_together() {
        let silent = of(&[0.5, 0.5, 0.5]);
        for read in [vec![None; 3], vec![Some(&silent); 4], vec![Some(&silent), None]] {
            let shares = shares(&joint(&read, 3).unwrap());
            assert!(shares.iter().all(|share| (share - 1.0 / 3.0).abs() < 1e-12), "{shares:?}");
        }
    }

    #[test]
    fn one_that_fails_is_enough_and_one_that_is_missing_leaves_it_open() {
        let (good, bad) = (of(&[1.0, 0.0]), of(&[0.0, 1.0]));
        assert_eq!(shares(&joint(&[Some(&good), Some(&bad), None], 2).unwrap()), [0.0, 1.0]);
        assert_eq!(
            shares(&joint(&[Some(&good), Some(&good), Some(&good)], 2).unwrap()),
            [1.0, 0.0]
        );
        // In order: (1/2)^2 of the one way. Not in order: 3 of the 7 ways.
        let open = shares(&joint(&[Some(&good), None, None], 2).unwrap());
        assert!((open[0] - 0.25 / (0.25 + 0.75 / 7.0)).abs() < 1e-12, "{open:?}");
    }

    #[test]
    fn a_family_of_thousands_stays_a_figure() {
        let good = of(&[0.999, 0.0005, 0.0005]);
        let joint = joint(&vec![Some(&good); 5_000], 3).unwrap();
        assert!(shares(&joint).iter().all(|share| share.is_finite()), "{joint:?}");
    }
}
