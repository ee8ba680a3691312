//! What a set of checks can find and tell apart, by its likeliest outcomes: figures of the kind of
//! IEEE Std 1522 (whose text was not read; the formulas here are our own).
//!
//! They come from rounded signatures and describe what an author wrote, not the machine: read
//! [`Network::alike`] beside them.

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;
use thiserror::Error;

use crate::cure::Cure;
use crate::index::{Check, Fault, Hypothesis};
use crate::network::Network;
use crate::spread::{Bands, count};

/// Two faults whose readings overlap more than this are hard to tell apart.
pub const ALIKE: f64 = 0.5;

/// The likeliest band of every check under every fault.
#[derive(Clone, Debug, PartialEq)]
pub struct Signatures {
    checks: usize,
    weight: Vec<f64>,
    /// Which faults have the same cure.
    cure: Vec<usize>,
    nofault: Vec<usize>,
    /// By fault: where it differs from "no fault", and in which band the check is then.
    differs: Vec<Row>,
}

/// Checks and the bands they are in, by check.
type Row = Vec<(usize, usize)>;

/// Lists that don't fit together, or a weight that isn't one.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum SignatureError {
    /// The lists aren't equally long.
    #[error("the lists of faults and checks aren't equally long")]
    Length,
    /// A weight that isn't finite and over 0.
    #[error("{0} isn't a weight")]
    Weight(f64),
}

/// What a set of checks can find and tell apart.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Testability {
    /// The share of faults, by weight, that some check shows (FFD).
    pub detected: f64,
    /// The share of faults by number.
    pub detected_by_number: f64,
    /// Faults with the same signature, in the order of their first; those that nothing shows too.
    pub groups: Vec<Vec<Fault>>,
    /// The share of what is detected, by weight, that lies in groups with a single cure (FFI by
    /// part).
    pub isolated_to_cure: f64,
    /// The mean size of the group of a detected fault, by weight.
    pub mean_group: f64,
    /// Faults that no check shows.
    pub undetected: Vec<Fault>,
    /// Checks any **one** of which could be left out without telling less apart.
    pub redundant: Vec<Check>,
    /// Checks that come out alike under every fault and none.
    pub useless: Vec<Check>,
    /// `(f, g)`: where both are there, `f` covers all that `g` shows.
    pub hides: Vec<(Fault, Fault)>,
    /// Parts replaced in vain per detected fault, if within a group they are replaced by weight.
    pub false_removals: f64,
}

impl Signatures {
    /// From the band of each check by fault, and without a fault; weights by fault; and a number by
    /// fault that is the same for faults with the same cure.
    ///
    /// # Errors
    ///
    /// Where the lists don't fit together, or a weight isn't finite and over 0.
    pub fn new(
        by_fault: &[Vec<usize>],
        nofault: &[usize],
        weight: &[f64],
        cure: &[usize],
    ) -> Result<Self, SignatureError> {
        let fit = by_fault.len() == weight.len() && weight.len() == cure.len();
        if !fit || by_fault.iter().any(|row| row.len() != nofault.len()) {
            return Err(SignatureError::Length);
        }
        if let Some(bad) = weight.iter().find(|w| !(**w > 0.0 && **w <= 1e100)) {
            return Err(SignatureError::Weight(*bad));
        }
        let differs = |row: &Vec<usize>| {
            let both = row.iter().zip(nofault).enumerate();
            both.filter(|(_, (band, none))| band != none).map(|(c, (band, _))| (c, *band)).collect()
        };
        Ok(Self {
            checks: nofault.len(),
            weight: weight.to_vec(),
            cure: cure.to_vec(),
            nofault: nofault.to_vec(),
            differs: by_fault.iter().map(differs).collect(),
        })
    }

    /// Of a network, each fault alone, weighted by its probability.
    #[must_use]
    pub fn of(network: &Network) -> Self {
        let mut numbers: BTreeMap<Cure, usize> = BTreeMap::new();
        let mut differs = vec![Vec::new(); network.faults()];
        let mut nofault = Vec::with_capacity(network.checks());
        for (check, row) in network.checks.iter().enumerate() {
            let none = likeliest(&row.leak.chance);
            nofault.push(none);
            for link in &row.links {
                let band = likeliest(&link.alone.chance);
                if let Some(list) = differs.get_mut(link.fault.0).filter(|_| band != none) {
                    list.push((check, band));
                }
            }
        }
        let cure = (0..network.faults()).map(|f| {
            let next = numbers.len();
            *numbers.entry(network.cure(Hypothesis::Single(Fault(f)))).or_insert(next)
        });
        Self {
            checks: network.checks(),
            cure: cure.collect(),
            weight: network.faults.iter().map(|row| row.odds / (1.0 + row.odds)).collect(),
            nofault,
            differs,
        }
    }

    fn detected(&self) -> impl Iterator<Item = (usize, f64)> {
        let each = self.differs.iter().zip(&self.weight).enumerate();
        each.filter(|(_, (row, _))| !row.is_empty()).map(|(f, (_, w))| (f, *w))
    }

    /// Faults with the same signature, in the order of their first.
    fn groups(&self) -> Vec<Vec<usize>> {
        let mut groups: BTreeMap<&[(usize, usize)], Vec<usize>> = BTreeMap::new();
        for (fault, row) in self.differs.iter().enumerate() {
            groups.entry(row).or_default().push(fault);
        }
        let mut out: Vec<Vec<usize>> = groups.into_values().collect();
        out.sort();
        out
    }

    /// Groups of detected faults, each with its weight.
    fn detected_groups(&self) -> Vec<(Vec<usize>, f64)> {
        let weigh = |group: Vec<usize>| {
            let sum = group.iter().filter_map(|f| self.weight.get(*f)).sum();
            (group, sum)
        };
        let seen = |f: &usize| self.differs.get(*f).is_some_and(|row| !row.is_empty());
        self.groups().into_iter().filter(|g| g.iter().all(seen)).map(weigh).collect()
    }

    /// The share of what is detected, by weight, in groups of at most `size` (FFI); 0 where nothing
    /// is detected.
    #[must_use]
    pub fn isolated(&self, size: usize) -> f64 {
        let groups = self.detected_groups();
        let small = groups.iter().filter(|(g, _)| g.len() <= size).map(|(_, w)| w).sum();
        share(small, groups.iter().map(|(_, w)| w).sum())
    }

    /// The same by number.
    #[must_use]
    pub fn isolated_by_number(&self, size: usize) -> f64 {
        let groups = self.detected_groups();
        let small =
            groups.iter().filter(|(g, _)| g.len() <= size).map(|(g, _)| count(g.len())).sum();
        share(small, groups.iter().map(|(g, _)| count(g.len())).sum())
    }

    /// All figures.
    #[must_use]
    pub fn testability(&self) -> Testability {
        let groups = self.detected_groups();
        let detected: f64 = self.detected().map(|(_, w)| w).sum();
        let cures = |group: &[usize]| -> BTreeSet<usize> {
            group.iter().filter_map(|f| self.cure.get(*f).copied()).collect()
        };
        let one_cure = groups.iter().filter(|(g, _)| cures(g).len() == 1).map(|(_, w)| w).sum();
        let sizes = groups.iter().map(|(g, w)| w * count(g.len())).sum();
        let removals = groups.iter().map(|(g, _)| self.removals(g)).sum();
        let faults = |list: Vec<usize>| list.into_iter().map(Fault).collect::<Vec<_>>();
        let hidden = self.differs.iter().enumerate().filter(|(_, row)| row.is_empty());
        Testability {
            detected: share(detected, self.weight.iter().sum()),
            detected_by_number: share(count(self.detected().count()), count(self.weight.len())),
            groups: self.groups().into_iter().map(faults).collect(),
            isolated_to_cure: share(one_cure, detected),
            mean_group: share(sizes, detected),
            undetected: hidden.map(|(f, _)| Fault(f)).collect(),
            redundant: self.redundant(),
            useless: self.useless(),
            hides: self.hides(),
            false_removals: share(removals, detected),
        }
    }

    /// Weight times cures replaced in vain, where the heaviest is tried first.
    fn removals(&self, group: &[usize]) -> f64 {
        let mut by_cure: BTreeMap<usize, f64> = BTreeMap::new();
        for fault in group {
            if let (Some(cure), Some(weight)) = (self.cure.get(*fault), self.weight.get(*fault)) {
                *by_cure.entry(*cure).or_default() += weight;
            }
        }
        let mut weights: Vec<f64> = by_cure.into_values().collect();
        weights.sort_by(|a, b| b.total_cmp(a));
        weights.iter().enumerate().map(|(before, w)| w * count(before)).sum()
    }

    fn touching(&self) -> Vec<Vec<usize>> {
        let mut out = vec![Vec::new(); self.checks];
        for (fault, row) in self.differs.iter().enumerate() {
            for (check, _) in row {
                if let Some(list) = out.get_mut(*check) {
                    list.push(fault);
                }
            }
        }
        out
    }

    fn useless(&self) -> Vec<Check> {
        let touching = self.touching();
        let idle = touching.iter().enumerate().filter(|(_, faults)| faults.is_empty());
        idle.map(|(check, _)| Check(check)).collect()
    }

    /// A check is needed where, without it, two signatures (that of "no fault" too) become one.
    fn redundant(&self) -> Vec<Check> {
        let all: BTreeSet<&[(usize, usize)]> =
            self.differs.iter().map(Vec::as_slice).chain([[].as_slice()]).collect();
        let needed = |check: usize, faults: &[usize]| {
            let mut shorter: BTreeMap<Row, &[(usize, usize)]> = BTreeMap::new();
            faults.iter().filter_map(|f| self.differs.get(*f)).any(|row| {
                let rest: Vec<_> = row.iter().copied().filter(|(c, _)| *c != check).collect();
                let merges = all.contains(rest.as_slice());
                merges || shorter.insert(rest, row).is_some_and(|other| other != row.as_slice())
            })
        };
        let touching = self.touching();
        let idle = touching.iter().enumerate().filter(|(check, faults)| !needed(*check, faults));
        idle.map(|(check, _)| Check(check)).collect()
    }

    /// `f` hides `g` where no check is in a later band under `g`.
    fn hides(&self) -> Vec<(Fault, Fault)> {
        let band = |row: &[(usize, usize)], check: usize| {
            let at = row.binary_search_by_key(&check, |(c, _)| *c).ok();
            let own = at.and_then(|at| row.get(at)).map(|(_, band)| *band);
            own.or_else(|| self.nofault.get(check).copied()).unwrap_or(0)
        };
        let mut out = Vec::new();
        for (f, own) in self.differs.iter().enumerate() {
            for (g, other) in self.differs.iter().enumerate().filter(|(g, _)| *g != f) {
                let covered = other.iter().all(|(check, b)| *b <= band(own, *check))
                    && own.iter().all(|(check, b)| band(other, *check) <= *b);
                if covered {
                    out.push((Fault(f), Fault(g)));
                }
            }
        }
        out
    }
}

fn share(part: f64, whole: f64) -> f64 {
    if whole > 0.0 { part / whole } else { 0.0 }
}

/// The likeliest band, the earliest of equals.
pub(crate) fn likeliest(chance: &Bands) -> usize {
    let mut best = (0, f64::NEG_INFINITY);
    for (k, p) in chance.iter().enumerate() {
        if *p > best.1 {
            best = (k, *p);
        }
    }
    best.0
}

impl Network {
    /// How much the readings of two faults overlap over all checks, from 0 to 1: the Bhattacharyya
    /// coefficient, the product over checks of `sum over bands of sqrt(Q(k|f) Q(k|g))`.
    #[must_use]
    pub fn overlap(&self, f: Fault, g: Fault) -> f64 {
        let touched = self.checks.iter().filter(|row| row.link(f).or(row.link(g)).is_some());
        touched.map(|row| coefficient(row, f, g)).product()
    }

    /// Pairs of faults that overlap by more than `least` (see [`ALIKE`]), most first.
    #[must_use]
    pub fn alike(&self, least: f64) -> Vec<(Fault, Fault, f64)> {
        let mut touches: Vec<Vec<usize>> = vec![Vec::new(); self.faults()];
        for (check, row) in self.checks.iter().enumerate() {
            for link in &row.links {
                if let Some(list) = touches.get_mut(link.fault.0) {
                    list.push(check);
                }
            }
        }
        let mut out = Vec::new();
        for (f, own) in touches.iter().enumerate() {
            for (g, other) in touches.iter().enumerate().skip(f + 1) {
                let (f, g) = (Fault(f), Fault(g));
                let mut overlap = 1.0;
                let only = other.iter().filter(|c| own.binary_search(c).is_err());
                for row in own.iter().chain(only).filter_map(|c| self.checks.get(*c)) {
                    overlap *= coefficient(row, f, g);
                    if overlap <= least {
                        break;
                    }
                }
                if overlap > least {
                    out.push((f, g, overlap));
                }
            }
        }
        out.sort_by(|a, b| b.2.total_cmp(&a.2).then_with(|| (a.0, a.1).cmp(&(b.0, b.1))));
        out
    }
}

fn coefficient(row: &crate::network::CheckRow, f: Fault, g: Fault) -> f64 {
    let read = |fault| {
        crate::spread::slipped(&row.bands_under(Hypothesis::Single(fault)), row.slip, row.bands)
    };
    read(f).iter().zip(&read(g)).map(|(a, b)| libm::sqrt(a * b)).sum()
}
