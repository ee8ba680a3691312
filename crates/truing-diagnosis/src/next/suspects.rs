//! The part of the network that the next measurement is chosen over.

use std::borrow::Cow;

use crate::CHOICE_FAULTS;
use crate::cure::Cures;
use crate::index::{Check, Fault};
use crate::network::{CheckRow, Link, Network};
use crate::posterior::{Paired, Posterior};
use crate::spread::{Bands, entropy, slipped};
use crate::triangle::Triangle;

/// With more faults than this on one check, what two of them do together is worked out each time.
const PAIRS_KEPT: usize = 24;

/// The faults that are chosen over, and what each check says of them.
pub(crate) struct Suspects<'n> {
    pub network: &'n Network,
    /// The fault at each place.
    pub faults: Vec<Fault>,
    /// Pairs of places; of none, where one fault at a time is supposed.
    pub triangle: Triangle,
    pub checks: Vec<Touched<'n>>,
    pub cures: Cow<'n, Cures>,
}

/// A check, and the suspects that touch it. Distributions are of what is **read**, slip included.
pub(crate) struct Touched<'n> {
    pub row: &'n CheckRow,
    /// Of hypotheses none of whose faults touches it.
    pub none: Outcome,
    /// By suspect, rising.
    pub alone: Vec<Suspect<'n>>,
    /// Of each two of them, row by row, where they are few.
    pairs: Vec<Outcome>,
}

pub(crate) struct Suspect<'n> {
    pub place: usize,
    pub outcome: Outcome,
    link: &'n Link,
}

/// A distribution over what is read, and its entropy in bits.
#[derive(Clone, Copy)]
pub(crate) struct Outcome {
    pub chance: Bands,
    pub entropy: f64,
}

impl Outcome {
    fn of(chance: &Bands, row: &CheckRow) -> Self {
        let chance = slipped(chance, row.slip, row.bands);
        Self { chance, entropy: entropy(&chance) }
    }
}

impl<'n> Touched<'n> {
    fn of(row: &'n CheckRow, places: &[Option<usize>], pairs: bool) -> Self {
        let suspect = |link: &'n Link| {
            let place = places.get(link.fault.0).copied().flatten()?;
            Some(Suspect { place, outcome: Outcome::of(&link.alone.chance, row), link })
        };
        let alone: Vec<Suspect<'n>> = row.links.iter().filter_map(suspect).collect();
        let mut out =
            Self { row, none: Outcome::of(&row.leak.chance, row), alone, pairs: Vec::new() };
        if pairs && out.alone.len() <= PAIRS_KEPT {
            let triangle = Triangle(out.alone.len());
            out.pairs = triangle.pairs().map(|(i, j)| out.together(i, j)).collect();
        }
        out
    }

    /// What is read under the `i`th and the `j`th of the suspects, `i < j`.
    pub fn both(&self, i: usize, j: usize) -> Outcome {
        let kept = self.pairs.get(Triangle(self.alone.len()).at(i, j));
        kept.copied().unwrap_or_else(|| self.together(i, j))
    }

    fn together(&self, i: usize, j: usize) -> Outcome {
        match (self.alone.get(i), self.alone.get(j)) {
            (Some(a), Some(b)) => Outcome::of(&a.link.alone.max_chance(&b.link.push), self.row),
            _ => self.none,
        }
    }
}

impl<'n> Suspects<'n> {
    /// All faults, or the [`CHOICE_FAULTS`] likeliest.
    pub fn of(network: &'n Network, posterior: &Posterior) -> Self {
        let faults = likeliest(posterior);
        let mut places = vec![None; network.faults()];
        for (place, fault) in faults.iter().enumerate() {
            if let Some(slot) = places.get_mut(fault.0) {
                *slot = Some(place);
            }
        }
        let pairs = posterior.paired != Paired::No;
        let cures = match &network.cures {
            Some(cures) => Cow::Borrowed(cures),
            None => Cow::Owned(Cures::of(faults.iter().map(|f| network.parts_of(*f)), pairs)),
        };
        Self {
            checks: network.checks.iter().map(|row| Touched::of(row, &places, pairs)).collect(),
            triangle: Triangle(if pairs { faults.len() } else { 0 }),
            network,
            faults,
            cures,
        }
    }

    pub fn check(&self, check: Check) -> Option<&Touched<'n>> {
        self.checks.get(check.0)
    }
}

fn likeliest(posterior: &Posterior) -> Vec<Fault> {
    let marginals = posterior.faults();
    let mut order: Vec<(usize, f64)> = marginals.into_iter().enumerate().collect();
    if order.len() > CHOICE_FAULTS {
        order.sort_by(|(a, p), (b, q)| q.total_cmp(p).then_with(|| a.cmp(b)));
        order.truncate(CHOICE_FAULTS);
    }
    let mut faults: Vec<Fault> = order.into_iter().map(|(at, _)| Fault(at)).collect();
    faults.sort_unstable();
    faults
}
