//! What no order of checks can do without, if every check told the truth.

use std::collections::{BTreeMap, VecDeque};

use serde::Serialize;

use super::Puzzle;
use crate::network::Requirement;

/// By state and check.
type Applies = Vec<Vec<bool>>;

/// What no order of checks can do without.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Least {
    /// So many checks on average.
    pub checks: f64,
    /// So much cost on average.
    pub cost: f64,
}

impl Puzzle<'_> {
    /// The fewest checks, on average, that could name the group: the length of the Huffman code of
    /// the groups, with as many branches as the check with the most outcomes.
    #[must_use]
    pub fn huffman(&self) -> f64 {
        self.huffman_of(&self.group)
    }

    /// No order that names the group costs less: as many of the cheapest checks as the Huffman
    /// length (by convexity, and Jensen's inequality). Holds where all groups can be told apart.
    #[must_use]
    pub fn least_cost(&self) -> f64 {
        let floor = self.effort.least(self.checks());
        filled(self.huffman(), floor.shared)
    }

    /// What no order can do without, also where groups can't be told apart: those count as one. Every
    /// order then names what is left, so its checks are no fewer than the Huffman length; and they
    /// tell no more bits than their outcomes can. Their cost is no less than that of the cheapest so
    /// many; and on the way to each state stands, for every state to be told from it, a check that
    /// tells the two apart, with all that it needs.
    #[must_use]
    pub fn least(&self) -> Least {
        let applies = self.applies();
        let merged = self.merged(&applies);
        let bits = entropy(self.weights(&merged).values());
        let checks = self.huffman_of(&merged).max(self.filled_by_bits(bits));
        let floor = self.effort.least(self.checks());
        let parting = (0..self.checks()).filter(|check| self.outcomes(*check) > 1);
        let shared = parting.filter_map(|check| floor.shared.get(check).copied()).collect();
        let cost = filled(checks, shared).max(self.parted(&merged, &applies, &floor.whole));
        Least { checks, cost }
    }

    /// The mean over states of the dearest check that each can't do without.
    fn parted(&self, group: &[usize], applies: &Applies, whole: &[f64]) -> f64 {
        let mut sum = 0.0;
        for (s, weight) in self.weight.iter().enumerate() {
            let others = (0..self.weight.len()).filter(|t| group.get(*t) != group.get(s));
            let dearest = others.map(|t| {
                let checks = self.telling(s, t, applies);
                let cost = checks.filter_map(|check| whole.get(check).copied());
                cost.min_by(f64::total_cmp).unwrap_or(0.0)
            });
            sum += weight * dearest.fold(0.0, f64::max);
        }
        sum
    }

    /// The checks that tell two states apart and count in both.
    fn telling(&self, s: usize, t: usize, applies: &Applies) -> impl Iterator<Item = usize> {
        let of = |state: usize| {
            let rows = (self.outcome.get(state), applies.get(state));
            rows.0.into_iter().flatten().zip(rows.1.into_iter().flatten())
        };
        let both = of(s).zip(of(t)).enumerate();
        both.filter(|(_, ((a, here), (b, there)))| a != b && **here && **there).map(|(c, _)| c)
    }

    /// Where what each check needs is so, by state and check.
    fn applies(&self) -> Applies {
        let needs: Vec<_> = (0..self.checks()).map(|check| self.effort.needs(check)).collect();
        let holds = |state: usize| {
            let of = |needs: &Vec<Requirement>| {
                needs.iter().all(|need| self.outcome(state, need.check.0) == need.band.0)
            };
            needs.iter().map(of).collect()
        };
        (0..self.weight.len()).map(holds).collect()
    }

    /// Groups by number, those that no check tells apart as one. A way through the checks ends with
    /// one group, or with states that nothing tells apart: so always with one of these.
    fn merged(&self, applies: &Applies) -> Vec<usize> {
        let mut group = self.group.clone();
        for s in 0..group.len() {
            for t in s + 1..group.len() {
                let (Some(kept), Some(own)) = (group.get(s).copied(), group.get(t).copied()) else {
                    continue;
                };
                if kept != own && self.telling(s, t, applies).next().is_none() {
                    group.iter_mut().filter(|g| **g == own).for_each(|g| *g = kept);
                }
            }
        }
        group
    }

    fn weights(&self, group: &[usize]) -> BTreeMap<usize, f64> {
        let mut groups: BTreeMap<usize, f64> = BTreeMap::new();
        for (group, w) in group.iter().zip(&self.weight) {
            *groups.entry(*group).or_default() += w;
        }
        groups
    }

    fn outcomes(&self, check: usize) -> usize {
        self.split(check, &self.all()).len()
    }

    fn huffman_of(&self, group: &[usize]) -> f64 {
        let radix = (0..self.checks()).map(|check| self.outcomes(check)).max().unwrap_or(2).max(2);
        huffman(self.weights(group).into_values().collect(), radix)
    }

    /// How many of the checks with the most outcomes could tell so many bits.
    fn filled_by_bits(&self, bits: f64) -> f64 {
        let outcomes = (0..self.checks()).map(|check| crate::spread::count(self.outcomes(check)));
        let mut most: Vec<f64> = outcomes.map(libm::log2).filter(|bits| *bits > 0.0).collect();
        most.sort_by(|a, b| b.total_cmp(a));
        let (mut left, mut checks) = (bits, 0.0);
        for most in most {
            let part = (left / most).clamp(0.0, 1.0);
            checks += part;
            left -= part * most;
        }
        checks
    }
}

/// The cost of so many of the cheapest.
fn filled(checks: f64, mut costs: Vec<f64>) -> f64 {
    costs.sort_by(f64::total_cmp);
    let mut left = checks;
    let mut sum = 0.0;
    for cost in costs {
        sum += cost * left.clamp(0.0, 1.0);
        left -= 1.0;
    }
    sum
}

fn entropy<'a>(weights: impl Iterator<Item = &'a f64>) -> f64 {
    weights.filter(|w| **w > 0.0).map(|w| -w * libm::log2(*w)).sum()
}

/// The mean length of the code. Leaves and merged nodes both come in rising order.
fn huffman(mut leaves: Vec<f64>, radix: usize) -> f64 {
    if leaves.len() <= 1 {
        return 0.0;
    }
    let over = (leaves.len() - 1) % (radix - 1);
    if over > 0 {
        leaves.extend(std::iter::repeat_n(0.0, radix - 1 - over));
    }
    leaves.sort_by(f64::total_cmp);
    let mut leaves: VecDeque<f64> = leaves.into();
    let mut merged: VecDeque<f64> = VecDeque::new();
    let mut length = 0.0;
    while leaves.len() + merged.len() > 1 {
        let mut sum = 0.0;
        for _ in 0..radix {
            let leaf_first = match (leaves.front(), merged.front()) {
                (Some(leaf), Some(node)) => leaf <= node,
                (leaf, _) => leaf.is_some(),
            };
            let next = if leaf_first { leaves.pop_front() } else { merged.pop_front() };
            sum += next.unwrap_or(0.0);
        }
        length += sum;
        merged.push_back(sum);
    }
    length
}
