//! What the readings make of the hypotheses, and what can be read off it.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::cure::{Cure, Cures};
use crate::evidence::NotUsed;
use crate::index::{Check, Fault, Hypothesis};
use crate::network::Network;
use crate::triangle::Triangle;

/// Above this probability of two faults at once, "one fault doesn't explain everything".
pub const PAIR_ALARM: f64 = 0.5;

/// A probability for every hypothesis that is supposed; they add up to 1.
#[derive(Clone, Debug)]
pub struct Posterior {
    pub(crate) none: f64,
    pub(crate) other: f64,
    pub(crate) single: Vec<f64>,
    /// Over the faults in `paired`.
    pub(crate) pair: Vec<f64>,
    pub(crate) paired: Paired,
    pub(crate) log_evidence: f64,
    pub(crate) used: Vec<Check>,
    pub(crate) unused: Vec<(Check, NotUsed)>,
    /// It starts from an earlier belief, not from the network's weights.
    pub(crate) continued: bool,
}

/// Over which faults pairs were formed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Paired {
    /// One fault at a time is supposed.
    No,
    /// All, so many.
    All(usize),
    /// Too many for all pairs: these, rising.
    Kept(Vec<Fault>),
}

impl Paired {
    pub fn triangle(&self) -> Triangle {
        Triangle(match self {
            Self::No => 0,
            Self::All(n) => *n,
            Self::Kept(kept) => kept.len(),
        })
    }

    /// The fault at a place among those that are paired.
    pub fn fault(&self, place: usize) -> Fault {
        match self {
            Self::Kept(kept) => kept.get(place).copied().unwrap_or(Fault(place)),
            _ => Fault(place),
        }
    }

    /// The place of a fault among those that are paired.
    pub fn place(&self, fault: Fault) -> Option<usize> {
        match self {
            Self::No => None,
            Self::All(n) => (fault.0 < *n).then_some(fault.0),
            Self::Kept(kept) => kept.binary_search(&fault).ok(),
        }
    }
}

/// Which pairs of faults a posterior goes over.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum PairScope {
    /// None: one fault at a time is supposed.
    NotSupposed,
    /// All.
    All,
    /// There are more than [`PAIR_FAULTS`](crate::PAIR_FAULTS) faults: pairs of the ones that are
    /// likeliest by themselves in the light of the readings; other pairs count as impossible.
    Strongest {
        /// Of so many faults.
        faults: usize,
        /// Out of so many.
        of: usize,
    },
}

impl Posterior {
    /// The probability of a hypothesis; 0 for one that isn't supposed.
    #[must_use]
    pub fn probability(&self, hypothesis: Hypothesis) -> f64 {
        let at = |list: &[f64], place: usize| list.get(place).copied().unwrap_or(0.0);
        match hypothesis {
            Hypothesis::None => self.none,
            Hypothesis::Other => self.other,
            Hypothesis::Single(f) => at(&self.single, f.0),
            Hypothesis::Pair(f, g) => match (self.paired.place(f), self.paired.place(g)) {
                (Some(a), Some(b)) if a != b => at(&self.pair, self.paired.triangle().of(a, b)),
                _ => 0.0,
            },
        }
    }

    /// Every hypothesis with its probability: none, singles, pairs, other.
    pub fn iter(&self) -> impl Iterator<Item = (Hypothesis, f64)> + Clone {
        let singles = self.single.iter().enumerate();
        let triangle = self.paired.triangle();
        let pairs = triangle
            .pairs()
            .zip(&self.pair)
            .map(|((a, b), p)| (Hypothesis::Pair(self.paired.fault(a), self.paired.fault(b)), *p));
        [(Hypothesis::None, self.none)]
            .into_iter()
            .chain(singles.map(|(f, p)| (Hypothesis::Single(Fault(f)), *p)))
            .chain(pairs)
            .chain([(Hypothesis::Other, self.other)])
    }

    /// The most probable hypotheses, at most `n`, equals in the order of [`Hypothesis`].
    #[must_use]
    pub fn top(&self, n: usize) -> Vec<(Hypothesis, f64)> {
        let mut best: Vec<(Hypothesis, f64)> = Vec::new();
        for (hypothesis, p) in self.iter() {
            if best.len() == n && best.last().is_none_or(|(_, worst)| p <= *worst) {
                continue;
            }
            let at = best.partition_point(|(h, q)| *q > p || (*q == p && *h < hypothesis));
            best.insert(at, (hypothesis, p));
            best.truncate(n);
        }
        best
    }

    /// For each fault the probability that it is there, alone or with another.
    #[must_use]
    pub fn faults(&self) -> Vec<f64> {
        let mut out = self.single.clone();
        for (a, row) in self.paired.triangle().rows(&self.pair) {
            let mut sum = 0.0;
            for (b, p) in row.iter().enumerate() {
                sum += p;
                if let Some(slot) = out.get_mut(self.paired.fault(a + 1 + b).0) {
                    *slot += p;
                }
            }
            if let Some(slot) = out.get_mut(self.paired.fault(a).0) {
                *slot += sum;
            }
        }
        out
    }

    /// The probabilities of no, one and two listed faults; what is missing to 1 is "other".
    #[must_use]
    pub fn number_of_faults(&self) -> [f64; 3] {
        [self.none, self.single.iter().sum(), self.pair_mass()]
    }

    /// The probability of two faults at once.
    #[must_use]
    pub fn pair_mass(&self) -> f64 {
        self.pair.iter().sum()
    }

    /// Whether one fault doesn't explain everything ([`PAIR_ALARM`]).
    #[must_use]
    pub fn pair_alarm(&self) -> bool {
        self.pair_mass() > PAIR_ALARM
    }

    /// The probability of each cure, likeliest first, equals in the order of [`Cure`].
    #[must_use]
    pub fn cures(&self, network: &Network) -> Vec<(Cure, f64)> {
        let mut sums: BTreeMap<Cure, f64> = BTreeMap::new();
        let cures = network.grounds().map(|grounds| &grounds.cures);
        if let Some(cures) = cures.filter(|cures| cures.pair.len() >= self.pair.len()) {
            sums.extend(cures.iter().cloned().zip(self.cure_sums(cures)));
        } else {
            for (hypothesis, p) in self.iter().filter(|(_, p)| *p > 0.0) {
                *sums.entry(network.cure(hypothesis)).or_default() += p;
            }
        }
        let mut out: Vec<(Cure, f64)> = sums.into_iter().filter(|(_, p)| *p > 0.0).collect();
        out.sort_by(|(a, p), (b, q)| q.total_cmp(p).then_with(|| a.cmp(b)));
        out
    }

    fn cure_sums(&self, cures: &Cures) -> Vec<f64> {
        let mut sums = vec![0.0; cures.len()];
        let numbers = [Cures::NOTHING, Cures::UNKNOWN].into_iter();
        let listed = cures.single.iter().chain(&cures.pair).map(|number| *number as usize);
        let p = [self.none, self.other].into_iter();
        let p = p.chain(self.single.iter().chain(&self.pair).copied());
        for (number, p) in numbers.chain(listed).zip(p) {
            if let Some(sum) = sums.get_mut(number) {
                *sum += p;
            }
        }
        sums
    }

    /// Which pairs it goes over.
    #[must_use]
    pub fn pairs(&self) -> PairScope {
        match &self.paired {
            Paired::No => PairScope::NotSupposed,
            Paired::All(_) => PairScope::All,
            Paired::Kept(kept) => {
                PairScope::Strongest { faults: kept.len(), of: self.single.len() }
            }
        }
    }

    /// The natural logarithm of the readings' probability under the network, priors normalised
    /// over the hypotheses that are supposed.
    #[must_use]
    pub fn log_evidence(&self) -> f64 {
        self.log_evidence
    }

    /// The checks whose readings it rests on.
    #[must_use]
    pub fn used(&self) -> &[Check] {
        &self.used
    }

    /// The checks whose readings were kept and changed nothing, and why.
    #[must_use]
    pub fn not_used(&self) -> &[(Check, NotUsed)] {
        &self.unused
    }
}
