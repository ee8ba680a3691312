//! The correlation coefficients that a sheet states, with their matrix.

use truing_metrology::uncertainty::{Correlation, CorrelationError};
use truing_model::SlotId;

/// Two readings with their coefficient, the lower slot first.
pub(crate) type Pair = (SlotId, SlotId, f64);

/// Which readings are correlated, and how.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Correlations {
    // INVARIANT: sorted, each pair once.
    pairs: Vec<Pair>,
    /// Every slot of a pair, once and in order: the rows of the matrix.
    named: Vec<SlotId>,
    matrix: Correlation,
}

impl Correlations {
    /// Of these pairs.
    ///
    /// # Errors
    /// Coefficients that cannot hold together.
    pub fn new(mut pairs: Vec<Pair>) -> Result<Self, CorrelationError> {
        pairs.sort_by_key(|(one, other, _)| (*one, *other));
        let mut named: Vec<SlotId> =
            pairs.iter().flat_map(|(one, other, _)| [*one, *other]).collect();
        named.sort_unstable();
        named.dedup();
        let at = |slot: &SlotId| named.partition_point(|other| other < slot);
        let entries: Vec<(usize, usize, f64)> =
            pairs.iter().map(|(one, other, r)| (at(one), at(other), *r)).collect();
        let matrix = Correlation::new(named.len(), &entries)?;
        Ok(Self { pairs, named, matrix })
    }

    /// Every pair.
    pub fn pairs(&self) -> &[Pair] {
        &self.pairs
    }

    /// Every reading that is correlated with another.
    pub fn named(&self) -> &[SlotId] {
        &self.named
    }

    /// Whether a reading is correlated with another.
    pub fn has(&self, slot: SlotId) -> bool {
        self.named.binary_search(&slot).is_ok()
    }

    /// The combined standard uncertainty of contributions, one for each of [`Self::named`], with
    /// their signs (JCGM 100:2008, eq. 16). By a factor of the matrix: what cancels, cancels before
    /// it is squared.
    pub fn combine(&self, contributions: &[f64]) -> f64 {
        self.matrix.combine(contributions)
    }

    /// Forgets what is said of a reading.
    pub fn forget(&mut self, slot: SlotId) {
        if self.has(slot) {
            let apart = |(one, other, _): &Pair| *one != slot && *other != slot;
            let rest = self.pairs.iter().copied().filter(apart).collect();
            // A part of what can hold together can too.
            *self = Self::new(rest).unwrap_or_default();
        }
    }
}

impl Default for Correlations {
    fn default() -> Self {
        Self { pairs: Vec::new(), named: Vec::new(), matrix: Correlation::independent(0) }
    }
}
