//! Checks, and chains of checks, by what they tell per minute.
//!
//! Bits about hypotheses are quick to work out and never fewer than bits about cures, which count.
//! So candidates are taken by the quick figure, and the exact one is worked out only for as long as
//! one may still come among the best: nothing is lost by that.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use serde::Serialize;

use super::belief::Belief;
use super::bits::Scratch;
use super::progress::{Progress, Way};
use super::suspects::Suspects;
use crate::index::{Band, Check};

/// Scores that differ by less than this, relatively, are equal.
pub(crate) const EQUAL: f64 = 1e-9;

/// A measurement that may come next, with those after it where it opens the way to another.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Candidate {
    /// What to measure now, and what after it if it turns out as needed: mostly one check.
    pub chain: Vec<Check>,
    /// Expected bits about the cure.
    pub bits: f64,
    /// Expected minutes.
    pub minutes: f64,
}

impl Candidate {
    /// What to measure now.
    #[must_use]
    pub fn first(&self) -> Option<Check> {
        self.chain.first().copied()
    }

    /// Bits per minute.
    #[must_use]
    pub fn score(&self) -> f64 {
        self.bits / self.minutes
    }
}

/// The best by score; of equals that of the fewest minutes; of those the first in spec order.
pub(crate) fn best<T>(
    list: &[T],
    score: impl Fn(&T) -> f64,
    minutes: impl Fn(&T) -> f64,
    check: impl Fn(&T) -> Option<Check>,
) -> Option<usize> {
    let most = list.iter().map(&score).fold(f64::NEG_INFINITY, f64::max);
    let equal = |item: &T| score(item) >= most - EQUAL * most.abs();
    let near = list.iter().enumerate().filter(|(_, item)| equal(item));
    let first = near.min_by(|(_, a), (_, b)| {
        minutes(a).total_cmp(&minutes(b)).then_with(|| check(a).cmp(&check(b)))
    });
    first.map(|(at, _)| at)
}

/// Where a chain stands once its requirements are met.
struct Head {
    belief: Belief,
    progress: Progress,
    bits: f64,
    minutes: f64,
    chance: f64,
}

/// A candidate before its bits about the cure are worked out.
struct Sketch {
    check: Check,
    path: Vec<(Check, Band)>,
    minutes: f64,
    /// Never below its score.
    bound: f64,
    /// Never below its bits.
    most_bits: f64,
}

pub(crate) struct Ranker<'a, 'n> {
    pub suspects: &'a Suspects<'n>,
    pub scratch: Scratch,
}

impl Ranker<'_, '_> {
    /// The best `wanted` candidates, best first. If none of them reaches `little` bits, all that do
    /// come after them.
    pub fn rank(
        &mut self,
        belief: &Belief,
        progress: &Progress,
        wanted: usize,
        little: f64,
    ) -> Vec<Candidate> {
        let mut heads = BTreeMap::new();
        let mut sketches = self.sketch(belief, progress, &mut heads);
        sketches.sort_unstable_by(|a, b| {
            b.bound.total_cmp(&a.bound).then_with(|| a.check.cmp(&b.check))
        });
        let mut out: Vec<Candidate> = Vec::new();
        let mut scores: Vec<f64> = Vec::new();
        let mut enough = false;
        for sketch in &sketches {
            let worst = wanted.checked_sub(1).and_then(|last| scores.get(last));
            let late = worst.is_some_and(|worst| sketch.bound < worst * (1.0 - 2.0 * EQUAL));
            if late && (enough || sketch.most_bits < little) {
                continue;
            }
            let head = heads.get(&sketch.path);
            let candidate = self.exact(sketch, head, belief);
            enough |= candidate.bits >= little;
            let at = scores.partition_point(|s| *s >= candidate.score());
            scores.insert(at, candidate.score());
            out.push(candidate);
        }
        in_order(out, wanted)
    }

    fn sketch(
        &mut self,
        belief: &Belief,
        progress: &Progress,
        heads: &mut BTreeMap<Vec<(Check, Band)>, Head>,
    ) -> Vec<Sketch> {
        let network = self.suspects.network;
        let mut out = Vec::new();
        for check in (0..network.checks()).map(Check).filter(|c| progress.is_unmeasured(*c)) {
            let Way::Open(chain) = progress.way(network, check) else { continue };
            let path: Vec<_> = chain.iter().map(|need| (need.check, need.band)).collect();
            let Some(view) = self.suspects.check(check) else { continue };
            if path.is_empty() {
                let most_bits =
                    belief.forecast(self.suspects, view, &mut self.scratch.weights).bits;
                let minutes = progress.minutes(network, check);
                out.push(Sketch { check, path, minutes, bound: most_bits / minutes, most_bits });
            } else if let Some(head) = self.head(&path, belief, progress, heads) {
                let weights = &mut self.scratch.weights;
                let own = head.belief.forecast(self.suspects, view, weights).bits;
                let most_bits = head.bits + head.chance * own;
                let minutes = head.progress.minutes(network, check);
                let minutes = head.minutes + head.chance * minutes;
                out.push(Sketch { check, path, minutes, bound: most_bits / minutes, most_bits });
            }
        }
        out
    }

    /// Walks a chain's requirements, each observed in its band; `None` where one can't be.
    fn head<'h>(
        &mut self,
        path: &[(Check, Band)],
        belief: &Belief,
        progress: &Progress,
        heads: &'h mut BTreeMap<Vec<(Check, Band)>, Head>,
    ) -> Option<&'h Head> {
        for length in 1..=path.len() {
            let (Some(upto), Some(before)) = (path.get(..length), path.get(..length - 1)) else {
                continue;
            };
            let Some((check, band)) = upto.last().copied() else { continue };
            if heads.contains_key(upto) {
                continue;
            }
            let (b, p, bits, minutes, chance) = match heads.get(before) {
                Some(head) => (&head.belief, &head.progress, head.bits, head.minutes, head.chance),
                None => (belief, progress, 0.0, 0.0, 1.0),
            };
            let view = self.suspects.check(check)?;
            let forecast = b.forecast(self.suspects, view, &mut self.scratch.weights);
            let own = b.bits(self.suspects, view, &forecast, &mut self.scratch);
            let (met, next) = b.after(self.suspects, check, band.0)?;
            let network = self.suspects.network;
            let head = Head {
                belief: next,
                progress: p.after(network, check, band),
                bits: bits + chance * own,
                minutes: minutes + chance * p.minutes(network, check),
                chance: chance * met,
            };
            if let Entry::Vacant(slot) = heads.entry(upto.to_vec()) {
                slot.insert(head);
            }
        }
        heads.get(path)
    }

    fn exact(&mut self, sketch: &Sketch, head: Option<&Head>, belief: &Belief) -> Candidate {
        let belief = head.map_or(belief, |head| &head.belief);
        let (before, chance) = head.map_or((0.0, 1.0), |head| (head.bits, head.chance));
        let own = self.suspects.check(sketch.check).map_or(0.0, |view| {
            let forecast = belief.forecast(self.suspects, view, &mut self.scratch.weights);
            belief.bits(self.suspects, view, &forecast, &mut self.scratch)
        });
        let checks = sketch.path.iter().map(|(check, _)| *check);
        Candidate {
            chain: checks.chain([sketch.check]).collect(),
            bits: before + chance * own,
            minutes: sketch.minutes,
        }
    }
}

/// The `wanted` best in their order, with equals by minutes; the rest as it comes.
fn in_order(mut list: Vec<Candidate>, wanted: usize) -> Vec<Candidate> {
    let mut out = Vec::new();
    let last = |candidate: &Candidate| candidate.chain.last().copied();
    while out.len() < wanted {
        let Some(at) = best(&list, Candidate::score, |c| c.minutes, last) else { break };
        out.push(list.remove(at));
    }
    list.sort_by(|a, b| b.score().total_cmp(&a.score()).then_with(|| last(a).cmp(&last(b))));
    out.extend(list);
    out
}
