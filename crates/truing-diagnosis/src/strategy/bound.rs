//! What no order of checks can do without, if every check told the truth.

use std::collections::{BTreeMap, VecDeque};

use serde::Serialize;

use super::Puzzle;

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
        self.filled(self.huffman(), 0..self.checks())
    }

    /// What no order can do without, also where groups can't be told apart: those count as one. Every
    /// order then names what is left, so its checks are no fewer than the Huffman length; and they
    /// tell no more bits than their outcomes can. Where checks have to be prepared, at least the
    /// least preparation comes to the cost.
    #[must_use]
    pub fn least(&self) -> Least {
        let merged = self.merged();
        let bits = entropy(self.weights(&merged).values());
        let checks = self.huffman_of(&merged).max(self.filled_by_bits(bits));
        let parting = || (0..self.checks()).filter(|check| self.outcomes(*check) > 1);
        let prepared = parting().map(|check| self.effort.preparation(check));
        let prepared = prepared.min_by(f64::total_cmp).filter(|_| checks > 0.0).unwrap_or(0.0);
        Least { checks, cost: prepared + self.filled(checks, parting()) }
    }

    /// Groups by number, those that nothing tells apart as one.
    fn merged(&self) -> Vec<usize> {
        let mut group = self.group.clone();
        let mut seen: BTreeMap<&[usize], usize> = BTreeMap::new();
        for (state, row) in self.outcome.iter().enumerate() {
            let Some(own) = group.get(state).copied() else { continue };
            let other = *seen.entry(row).or_insert(state);
            let kept = group.get(other).copied().unwrap_or(own);
            if kept != own {
                group.iter_mut().filter(|g| **g == own).for_each(|g| *g = kept);
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

    /// The cost of so many of the cheapest of some checks.
    fn filled(&self, checks: f64, of: impl Iterator<Item = usize>) -> f64 {
        let mut costs: Vec<f64> = of.map(|check| self.effort.least(check)).collect();
        costs.sort_by(f64::total_cmp);
        let mut left = checks;
        let mut sum = 0.0;
        for cost in costs {
            sum += cost * left.clamp(0.0, 1.0);
            left -= 1.0;
        }
        sum
    }
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
