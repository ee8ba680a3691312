//! A distribution over the bands of one check, and how causes combine.

use crate::MAX_BANDS;

/// One figure for each band; bands that a check lacks hold 0.
pub(crate) type Bands = [f64; MAX_BANDS];

/// A distribution over bands with its running sums. Bands that a check lacks have chance 0.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Spread {
    pub chance: Bands,
    /// `below[k]` is the chance of a band under `k`, `upto[k]` of `k` or under.
    below: Bands,
    upto: Bands,
}

impl Spread {
    pub fn new(chance: Bands) -> Self {
        let (mut below, mut upto) = ([0.0; MAX_BANDS], [0.0; MAX_BANDS]);
        let mut sum = 0.0;
        for ((b, u), p) in below.iter_mut().zip(&mut upto).zip(&chance) {
            *b = sum;
            sum += p;
            *u = sum;
        }
        Self { chance, below, upto }
    }

    /// Noisy-MAX: the later of two bands, drawn independently. As differences of products of
    /// cumulative sums it would cancel; as a sum of products every term is positive.
    pub fn max(&self, other: &Self) -> Self {
        Self::new(self.max_chance(other))
    }

    /// The chances of [`max`](Self::max) alone.
    pub fn max_chance(&self, other: &Self) -> Bands {
        let mut out = [0.0; MAX_BANDS];
        let left = self.chance.iter().zip(&self.below);
        let right = other.chance.iter().zip(&other.upto);
        for (o, ((a, below), (b, upto))) in out.iter_mut().zip(left.zip(right)) {
            *o = a * upto + below * b;
        }
        out
    }
}

/// `(1 - slip) chance + slip / bands`: what is read, where a slip of the hand gives any band.
pub(crate) fn slipped(chance: &Bands, slip: f64, bands: usize) -> Bands {
    let floor = slip / count(bands);
    let mut out = [0.0; MAX_BANDS];
    for (o, p) in out.iter_mut().zip(chance).take(bands) {
        *o = (1.0 - slip) * p + floor;
    }
    out
}

/// The same chance for each band.
pub(crate) fn even(bands: usize) -> Bands {
    let mut out = [0.0; MAX_BANDS];
    out.iter_mut().take(bands).for_each(|o| *o = 1.0 / count(bands));
    out
}

pub(crate) fn dot(a: &Bands, b: &Bands) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// A sum in four strands, none of which waits for the others.
pub(crate) fn sum(list: &[f64]) -> f64 {
    let mut strands = [0.0; 4];
    let chunks = list.chunks_exact(4);
    let rest: f64 = chunks.remainder().iter().sum();
    for chunk in chunks {
        strands.iter_mut().zip(chunk).for_each(|(strand, p)| *strand += p);
    }
    strands.iter().sum::<f64>() + rest
}

/// Entropy of a distribution, in bits.
pub(crate) fn entropy(chance: &Bands) -> f64 {
    chance.iter().filter(|p| **p > 0.0).map(|p| -p * libm::log2(*p)).sum()
}

/// A number of things as a figure (exact up to 2^53).
#[expect(clippy::cast_precision_loss, reason = "counts here are far below 2^53")]
pub(crate) fn count(n: usize) -> f64 {
    n as f64
}

/// Noisy-MAX over any number of causes: the chance of each band of a check, given that of its leak
/// and of each cause that is present. With two bands it is noisy-OR.
///
/// `None` where the lists aren't equally long, or longer than [`MAX_BANDS`].
#[must_use]
pub fn noisy_max(leak: &[f64], causes: &[&[f64]]) -> Option<Vec<f64>> {
    let bands = leak.len();
    let spread = |chance: &[f64]| {
        let mut out = [0.0; MAX_BANDS];
        out.get_mut(..bands)?.copy_from_slice(chance.get(..bands)?);
        (chance.len() == bands).then(|| Spread::new(out))
    };
    let mut all = spread(leak)?;
    for cause in causes {
        all = all.max(&spread(cause)?);
    }
    Some(all.chance.into_iter().take(bands).collect())
}
