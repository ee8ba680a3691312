//! How a posterior is worked out: logarithms, relative to what no fault would give.
//!
//! A check that no fault of a hypothesis touches says the same of it as of "no fault". So each
//! reading costs what its own faults cost: a ratio for each of them, and for each two of them the
//! amount by which their ratio isn't the product of the two. The rest is adding.

use crate::PAIR_FAULTS;
use crate::evidence::{Evidence, EvidenceError, Standing, standing};
use crate::index::{Check, Fault};
use crate::likelihood::Likelihood;
use crate::network::{CheckRow, MaxFaults, Network};
use crate::plain;
use crate::posterior::{Paired, Posterior};
use crate::spread::{Bands, count, dot};

impl Network {
    /// The posterior after some readings: `w(H)` times the likelihood of every reading that may be
    /// used, normalised. Exact; nothing is dropped, save pairs beyond
    /// [`PAIR_FAULTS`](crate::PAIR_FAULTS) faults.
    ///
    /// # Errors
    ///
    /// A reading of a check that isn't there or over other bands; readings that no hypothesis
    /// allows.
    pub fn posterior(&self, evidence: &Evidence) -> Result<Posterior, EvidenceError> {
        self.update(&Prior::Network, evidence)
    }

    pub(crate) fn update(
        &self,
        prior: &Prior<'_>,
        evidence: &Evidence,
    ) -> Result<Posterior, EvidenceError> {
        let standing = standing(self, evidence)?;
        let mut factors = Vec::new();
        let mut unused = Vec::new();
        for ((check, likelihood), row) in
            evidence.iter().filter_map(|r| self.checks.get(r.0.0).map(|row| (r, row)))
        {
            match standing.get(check.0) {
                Some(Standing::NotUsed(why)) => unused.push((check, *why)),
                _ => factors.push(Factor { check, row, likelihood, scale: likelihood.most() }),
            }
        }
        let posterior = plain::weigh(self, prior, &factors);
        let posterior = posterior.or_else(|| weigh(self, prior, &factors));
        let mut posterior = posterior.ok_or_else(|| contradiction(self, prior, &factors))?;
        posterior.used = factors.iter().map(|factor| factor.check).collect();
        posterior.unused = unused;
        Ok(posterior)
    }
}

/// What was held for probable before the readings.
pub(crate) enum Prior<'a> {
    /// The network's own weights.
    Network,
    /// An earlier posterior.
    Belief(&'a Posterior),
}

/// A reading that counts.
#[derive(Clone)]
pub(crate) struct Factor<'a> {
    pub check: Check,
    row: &'a CheckRow,
    pub likelihood: &'a Likelihood,
    /// What its weights are divided by: the greatest.
    pub scale: f64,
}

impl Factor<'_> {
    /// Weights with the slip mixed in, the greatest 1.
    fn weight(&self) -> Bands {
        self.likelihood.slipped(self.row.slip)
    }
}

/// The logarithm of what the weights of all readings were divided by.
pub(crate) fn log_scale(factors: &[Factor<'_>]) -> f64 {
    let scales = factors.iter().map(|factor| factor.scale).filter(|scale| *scale != 1.0);
    scales.map(libm::log).sum()
}

/// A product, as its logarithm and the number of its factors that are 0.
#[derive(Clone, Copy, Default)]
struct Product {
    log: f64,
    zeros: i32,
}

impl Product {
    fn of(factor: f64) -> Self {
        if factor > 0.0 {
            Self { log: libm::log(factor), zeros: 0 }
        } else {
            Self { log: 0.0, zeros: 1 }
        }
    }

    fn times(self, by: Self) -> Self {
        Self { log: self.log + by.log, zeros: self.zeros + by.zeros }
    }

    fn over(self, by: Self) -> Self {
        Self { log: self.log - by.log, zeros: self.zeros - by.zeros }
    }

    /// The logarithm of the whole.
    fn log(self) -> f64 {
        if self.zeros > 0 { f64::NEG_INFINITY } else { self.log }
    }
}

/// The readings' likelihoods; those of faults relative to "no fault".
struct Readings {
    untouched: Product,
    other: Product,
    single: Vec<Product>,
}

impl Readings {
    fn of(network: &Network, factors: &[Factor<'_>]) -> Self {
        let mut out = Self {
            untouched: Product::default(),
            other: Product::default(),
            single: vec![Product::default(); network.faults()],
        };
        for factor in factors {
            let (row, weight) = (factor.row, &factor.weight());
            let untouched = Product::of(dot(weight, &row.leak.chance));
            let even = weight.iter().sum::<f64>() / count(row.bands);
            out.untouched = out.untouched.times(untouched);
            out.other = out.other.times(Product::of(even));
            for link in &row.links {
                if let Some(single) = out.single.get_mut(link.fault.0) {
                    let alone = Product::of(dot(weight, &link.alone.chance));
                    *single = single.times(alone).over(untouched);
                }
            }
        }
        out
    }
}

/// `None` where no hypothesis is possible.
fn weigh(network: &Network, prior: &Prior<'_>, factors: &[Factor<'_>]) -> Option<Posterior> {
    let readings = Readings::of(network, factors);
    let single: Vec<Product> = readings
        .single
        .iter()
        .zip(singles(network, prior))
        .map(|(readings, prior)| readings.times(prior))
        .collect();
    let paired = paired(network, prior, &single);
    let mut pair = pairs(prior, &paired, &single, &readings);
    let shared = correct(&mut pair, &paired, factors);
    rule_out(&mut pair, &paired, &readings, &shared);
    let (none, other) = ends(network, prior);
    // Everything is relative to the logarithm of "untouched"; its zeros are counted as they are.
    let base = Product { log: 0.0, zeros: readings.untouched.zeros };
    let none = none.times(base);
    let other = other.times(readings.other).over(readings.untouched).times(base);
    let single: Vec<f64> = single.iter().map(|s| s.times(base).log()).collect();
    let mut posterior = Posterior {
        none: none.log(),
        other: other.log(),
        single,
        pair,
        log_evidence: readings.untouched.log - log_total(network, prior, &paired)
            + log_scale(factors),
        paired,
        used: Vec::new(),
        unused: Vec::new(),
        continued: matches!(prior, Prior::Belief(_)),
    };
    normalise(&mut posterior).then_some(posterior)
}

fn singles<'a>(
    network: &'a Network,
    prior: &'a Prior<'a>,
) -> Box<dyn Iterator<Item = Product> + 'a> {
    match prior {
        Prior::Network => {
            Box::new(network.faults.iter().map(|row| Product { log: row.log_odds, zeros: 0 }))
        }
        Prior::Belief(belief) => Box::new(belief.single.iter().map(|p| Product::of(*p))),
    }
}

fn ends(network: &Network, prior: &Prior<'_>) -> (Product, Product) {
    let (none, other) = match prior {
        Prior::Network => (network.none_weight, network.other_weight),
        Prior::Belief(belief) => (belief.none, belief.other),
    };
    (Product::of(none), Product::of(other))
}

/// The logarithm of the sum of all prior weights.
pub(crate) fn log_total(network: &Network, prior: &Prior<'_>, paired: &Paired) -> f64 {
    if matches!(prior, Prior::Belief(_)) {
        return 0.0;
    }
    let mut total = network.none_weight + network.other_weight;
    let (mut one, mut two) = (0.0, 0.0);
    for place in 0..paired.triangle().0 {
        let odds = network.odds(paired.fault(place)).unwrap_or(0.0);
        two += one * odds;
        one += odds;
    }
    total += two + network.faults.iter().map(|row| row.odds).sum::<f64>();
    libm::log(total)
}

/// Over which faults pairs are formed; `None` where the readings say, since there are too many.
pub(crate) fn usual_pairs(network: &Network) -> Option<Paired> {
    match (network.max_faults, network.faults()) {
        (MaxFaults::One, _) => Some(Paired::No),
        (MaxFaults::Two, faults) => (faults <= PAIR_FAULTS).then_some(Paired::All(faults)),
    }
}

/// All faults, or the [`PAIR_FAULTS`] likeliest: those that single readings exclude least, then by
/// weight. (Two faults may explain what one can't, so an excluded single isn't out of a pair.)
fn paired(network: &Network, prior: &Prior<'_>, single: &[Product]) -> Paired {
    if let Prior::Belief(belief) = prior {
        return belief.paired.clone();
    }
    if let Some(usual) = usual_pairs(network) {
        return usual;
    }
    let mut order: Vec<(usize, Product)> = single.iter().copied().enumerate().collect();
    order.sort_by(|(a, x), (b, y)| {
        x.zeros.cmp(&y.zeros).then_with(|| y.log.total_cmp(&x.log)).then_with(|| a.cmp(b))
    });
    let mut kept: Vec<Fault> = order.iter().take(PAIR_FAULTS).map(|(at, _)| Fault(*at)).collect();
    kept.sort_unstable();
    Paired::Kept(kept)
}

/// Logarithms of the pairs' weights as if their faults acted on different checks.
fn pairs(prior: &Prior<'_>, paired: &Paired, single: &[Product], readings: &Readings) -> Vec<f64> {
    let triangle = paired.triangle();
    let logs = |products: &[Product]| -> Vec<f64> {
        let at = |place| products.get(paired.fault(place).0).map_or(0.0, |p| p.log);
        (0..triangle.0).map(at).collect()
    };
    let mut out = Vec::with_capacity(triangle.len());
    match prior {
        Prior::Network => {
            let logs = logs(single);
            for (a, x) in logs.iter().enumerate() {
                out.extend(logs.iter().skip(a + 1).map(|y| x + y));
            }
        }
        Prior::Belief(belief) => {
            let logs = logs(&readings.single);
            let readings = triangle.pairs().map(|(a, b)| {
                logs.get(a).copied().unwrap_or(0.0) + logs.get(b).copied().unwrap_or(0.0)
            });
            out.extend(readings.zip(&belief.pair).map(|(r, p)| r + libm::log(*p)));
        }
    }
    out
}

/// Puts right the pairs whose faults act on one check. Gives for each pair how many readings
/// exclude it beyond those that exclude its faults; empty where that's none for all.
fn correct(pair: &mut [f64], paired: &Paired, factors: &[Factor<'_>]) -> Vec<i32> {
    let triangle = paired.triangle();
    let mut zeros = Vec::new();
    if triangle.0 == 0 {
        return zeros;
    }
    for factor in factors {
        let (row, weight) = (factor.row, &factor.weight());
        let untouched = Product::of(dot(weight, &row.leak.chance));
        let links: Vec<_> = row
            .links
            .iter()
            .filter_map(|link| {
                let alone = Product::of(dot(weight, &link.alone.chance));
                Some((paired.place(link.fault)?, link, alone))
            })
            .collect();
        for (at, (a, one, alone)) in links.iter().enumerate() {
            for (b, two, alone_too) in links.iter().skip(at + 1) {
                let both = Product::of(dot(weight, &one.alone.max_chance(&two.push)));
                let by = both.times(untouched).over(*alone).over(*alone_too);
                let place = triangle.at(*a, *b);
                if let Some(slot) = pair.get_mut(place) {
                    *slot += by.log;
                }
                if by.zeros != 0 {
                    zeros.resize(triangle.len(), 0);
                    if let Some(slot) = zeros.get_mut(place) {
                        *slot += by.zeros;
                    }
                }
            }
        }
    }
    zeros
}

/// Pairs that some reading excludes.
fn rule_out(pair: &mut [f64], paired: &Paired, readings: &Readings, shared: &[i32]) {
    let base = readings.untouched.zeros;
    if base == 0 && shared.is_empty() && readings.single.iter().all(|s| s.zeros == 0) {
        return;
    }
    let triangle = paired.triangle();
    let of = |place| readings.single.get(paired.fault(place).0).map_or(0, |s| s.zeros);
    let own: Vec<i32> = (0..triangle.0).map(of).collect();
    let at = |place: usize| own.get(place).copied().unwrap_or(0);
    for (index, ((a, b), log)) in triangle.pairs().zip(pair).enumerate() {
        let shared = shared.get(index).copied().unwrap_or(0);
        if base + at(a) + at(b) + shared > 0 {
            *log = f64::NEG_INFINITY;
        }
    }
}

/// From logarithms to probabilities; `false` where all are impossible.
fn normalise(posterior: &mut Posterior) -> bool {
    let Posterior { none, other, single, pair, log_evidence, .. } = posterior;
    let most = single.iter().chain(pair.iter()).copied().fold(none.max(*other), f64::max);
    if most == f64::NEG_INFINITY {
        return false;
    }
    let mut sum = 0.0;
    for log in [none, other].into_iter().chain(single.iter_mut()).chain(pair.iter_mut()) {
        let below = *log - most;
        // exp would give the same 0, later.
        *log = if below < -750.0 { 0.0 } else { libm::exp(below) };
        sum += *log;
    }
    *log_evidence += most + libm::log(sum);
    let Posterior { none, other, single, pair, .. } = posterior;
    for p in [none, other].into_iter().chain(single.iter_mut()).chain(pair.iter_mut()) {
        *p /= sum;
    }
    true
}

/// The fewest readings in a row of narrowing: what no hypothesis allows together, and would
/// without any one of them.
fn contradiction(network: &Network, prior: &Prior<'_>, factors: &[Factor<'_>]) -> EvidenceError {
    let impossible = |factors: &[Factor<'_>]| weigh(network, prior, factors).is_none();
    let mut guilty: Vec<Factor<'_>> = Vec::new();
    let mut rest = factors.to_vec();
    while !impossible(&guilty) && !rest.is_empty() {
        let with = |n: usize| {
            let mut tried = guilty.clone();
            tried.extend(rest.iter().take(n).cloned());
            tried
        };
        let (mut enough, mut few) = (rest.len(), 0);
        while enough - few > 1 {
            let half = few.midpoint(enough);
            if impossible(&with(half)) { enough = half } else { few = half }
        }
        rest.truncate(enough);
        guilty.extend(rest.pop());
    }
    let mut checks: Vec<Check> = guilty.iter().map(|factor| factor.check).collect();
    checks.sort_unstable();
    EvidenceError::Contradiction(checks)
}
