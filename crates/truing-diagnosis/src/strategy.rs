//! What the best order of checks would cost, if every check told the truth.
//!
//! Each state of the machine (a fault, or none) gives each check one outcome. Exact costs come from
//! dynamic programming over sets of states (Pattipati & Alexandridis 1990), for few states; bounds
//! and the greedy order serve for more.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use serde::Serialize;
use thiserror::Error;

use crate::cure::Cure;
use crate::index::{Check, Fault, Hypothesis};
use crate::network::Network;
use crate::testability::likeliest;

/// Exact costs are worked out for at most so many states.
pub const EXACT_STATES: usize = 16;

/// Costs and gains closer than this are equal.
const EQUAL: f64 = 1e-12;

/// States, what each gives every check, and what checks cost.
#[derive(Clone, Debug, PartialEq)]
pub struct Puzzle {
    /// Normalised.
    weight: Vec<f64>,
    outcome: Vec<Vec<usize>>,
    cost: Vec<f64>,
    group: Vec<usize>,
}

/// Lists that don't fit together, or a figure that can't be used.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum PuzzleError {
    /// The lists aren't equally long, or there is no state.
    #[error("the lists of states and checks aren't equally long, or empty")]
    Length,
    /// A weight or cost that isn't finite and over 0.
    #[error("{0} isn't a usable weight or cost")]
    Figure(f64),
}

/// What the best order of checks costs.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Optimum {
    /// Expected cost.
    pub cost: f64,
    /// Expected number of checks.
    pub checks: f64,
    /// The first check; `None` where none is needed or none helps. Of equals the first.
    pub first: Option<Check>,
}

/// What the best order of checks costs, or between what.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum StrategyCost {
    /// For few states.
    Exact(Optimum),
    /// For more than [`EXACT_STATES`].
    Between {
        /// No order costs less; holds only where all groups can be told apart.
        least: f64,
        /// What the greedy order costs.
        greedy: f64,
    },
}

impl Puzzle {
    /// `outcome[state][check]`; states with the same `group` needn't be told apart.
    ///
    /// # Errors
    ///
    /// Where the lists don't fit together, or a weight or cost isn't finite and over 0.
    pub fn new(
        weight: &[f64],
        outcome: &[Vec<usize>],
        cost: &[f64],
        group: &[usize],
    ) -> Result<Self, PuzzleError> {
        let fit = weight.len() == outcome.len() && weight.len() == group.len();
        if !fit || weight.is_empty() || outcome.iter().any(|row| row.len() != cost.len()) {
            return Err(PuzzleError::Length);
        }
        let usable = |x: &f64| *x > 0.0 && *x <= 1e100;
        if let Some(bad) = weight.iter().chain(cost).find(|x| !usable(x)) {
            return Err(PuzzleError::Figure(*bad));
        }
        let sum: f64 = weight.iter().sum();
        Ok(Self {
            weight: weight.iter().map(|w| w / sum).collect(),
            outcome: outcome.to_vec(),
            cost: cost.to_vec(),
            group: group.to_vec(),
        })
    }

    /// Of a network: no fault (if it has weight) and each fault, every check in its likeliest band,
    /// in minutes without teardown, told apart by cure.
    ///
    /// # Errors
    ///
    /// Where there is no state.
    pub fn of(network: &Network) -> Result<Self, PuzzleError> {
        let none = (network.weight(Hypothesis::None) > 0.0).then_some(Hypothesis::None);
        let singles = (0..network.faults()).map(|f| Hypothesis::Single(Fault(f)));
        let states: Vec<Hypothesis> = none.into_iter().chain(singles).collect();
        let mut numbers: BTreeMap<Cure, usize> = BTreeMap::new();
        let mut number = |state: &Hypothesis| {
            let next = numbers.len();
            *numbers.entry(network.cure(*state)).or_insert(next)
        };
        let outcomes = |state: &Hypothesis| -> Vec<usize> {
            network.checks.iter().map(|row| likeliest(&row.bands_under(*state))).collect()
        };
        let weight: Vec<f64> = states.iter().map(|state| network.weight(*state)).collect();
        let outcome: Vec<Vec<usize>> = states.iter().map(outcomes).collect();
        let cost: Vec<f64> = network.checks.iter().map(|row| row.minutes).collect();
        let group: Vec<usize> = states.iter().map(&mut number).collect();
        Self::new(&weight, &outcome, &cost, &group)
    }

    /// The exact cost, or between what it lies.
    #[must_use]
    pub fn cost(&self) -> StrategyCost {
        self.optimum().map_or_else(
            || StrategyCost::Between { least: self.least_cost(), greedy: self.greedy_cost() },
            StrategyCost::Exact,
        )
    }

    /// The best order of checks; `None` above [`EXACT_STATES`] states. Checks go on until one group
    /// is left, or nothing tells the rest apart.
    #[must_use]
    pub fn optimum(&self) -> Option<Optimum> {
        if self.weight.len() > EXACT_STATES {
            return None;
        }
        let all = (1_u32 << self.weight.len()) - 1;
        Some(self.best_of(all, &mut BTreeMap::new()))
    }

    /// Recursion is no deeper than there are states.
    fn best_of(&self, set: u32, known: &mut BTreeMap<u32, Optimum>) -> Optimum {
        if let Some(optimum) = known.get(&set) {
            return *optimum;
        }
        let states: Vec<usize> = (0..self.weight.len()).filter(|s| set >> s & 1 == 1).collect();
        let weight = self.weight_of(&states);
        let mut best = Optimum { cost: 0.0, checks: 0.0, first: None };
        if !self.one_group(&states) {
            for (check, cost) in self.cost.iter().enumerate() {
                let parts = self.split(check, &states);
                if parts.len() < 2 {
                    continue;
                }
                let (mut total, mut checks) = (cost * weight, weight);
                for part in &parts {
                    let bits = part.iter().map(|s| 1_u32 << s).sum();
                    let rest = self.best_of(bits, known);
                    total += rest.cost;
                    checks += rest.checks;
                }
                if best.first.is_none() || total < best.cost - EQUAL {
                    best = Optimum { cost: total, checks, first: Some(Check(check)) };
                }
            }
        }
        known.insert(set, best);
        best
    }

    fn weight_of(&self, states: &[usize]) -> f64 {
        states.iter().filter_map(|s| self.weight.get(*s)).sum()
    }

    fn one_group(&self, states: &[usize]) -> bool {
        let groups: BTreeSet<_> = states.iter().filter_map(|s| self.group.get(*s)).collect();
        groups.len() <= 1
    }

    /// The states by what they give a check.
    fn split(&self, check: usize, states: &[usize]) -> Vec<Vec<usize>> {
        let mut parts: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for state in states {
            let outcome = self.outcome.get(*state).and_then(|row| row.get(check)).unwrap_or(&0);
            parts.entry(*outcome).or_default().push(*state);
        }
        parts.into_values().collect()
    }

    /// Entropy of the groups among some states times the states' weight.
    fn weighted_entropy(&self, states: &[usize]) -> f64 {
        let mut groups: BTreeMap<usize, f64> = BTreeMap::new();
        for state in states {
            if let (Some(group), Some(w)) = (self.group.get(*state), self.weight.get(*state)) {
                *groups.entry(*group).or_default() += w;
            }
        }
        let sum: f64 = groups.values().sum();
        groups.values().map(|w| -w * libm::log2(w / sum)).sum()
    }

    fn all(&self) -> Vec<usize> {
        (0..self.weight.len()).collect()
    }

    /// Entropy of the groups, in bits.
    #[must_use]
    pub fn entropy(&self) -> f64 {
        self.weighted_entropy(&self.all())
    }

    /// Bits that each check tells about the group, made first.
    #[must_use]
    pub fn bits(&self) -> Vec<f64> {
        let all = self.all();
        (0..self.cost.len()).map(|check| self.bits_of(check, &all)).collect()
    }

    fn bits_of(&self, check: usize, states: &[usize]) -> f64 {
        let parts = self.split(check, states);
        let after: f64 = parts.iter().map(|part| self.weighted_entropy(part)).sum();
        (self.weighted_entropy(states) - after) / self.weight_of(states)
    }

    /// Whether all groups can be told apart.
    #[must_use]
    pub fn isolable(&self) -> bool {
        let mut seen: BTreeMap<&[usize], usize> = BTreeMap::new();
        let both = self.outcome.iter().zip(&self.group);
        both.into_iter().all(|(row, group)| *seen.entry(row).or_insert(*group) == *group)
    }

    /// Expected cost if each check is the one with the most bits per cost (of equals the first).
    #[must_use]
    pub fn greedy_cost(&self) -> f64 {
        let mut open = vec![self.all()];
        let mut sum = 0.0;
        while let Some(states) = open.pop() {
            if self.one_group(&states) {
                continue;
            }
            let mut best: Option<(usize, f64, Vec<Vec<usize>>)> = None;
            for (check, cost) in self.cost.iter().enumerate() {
                let parts = self.split(check, &states);
                let score = self.bits_of(check, &states) / cost;
                if parts.len() > 1 && best.as_ref().is_none_or(|(_, most, _)| score > most + EQUAL)
                {
                    best = Some((check, score, parts));
                }
            }
            if let Some((check, _, parts)) = best {
                sum += self.weight_of(&states) * self.cost.get(check).unwrap_or(&0.0);
                open.extend(parts);
            }
        }
        sum
    }

    /// The fewest checks, on average, that could name the group: the length of the Huffman code of
    /// the groups, with as many branches as the check with the most outcomes.
    #[must_use]
    pub fn huffman(&self) -> f64 {
        let all = self.all();
        let outcomes = (0..self.cost.len()).map(|check| self.split(check, &all).len());
        let radix = outcomes.max().unwrap_or(2).max(2);
        let mut groups: BTreeMap<usize, f64> = BTreeMap::new();
        for (group, w) in self.group.iter().zip(&self.weight) {
            *groups.entry(*group).or_default() += w;
        }
        huffman(groups.into_values().collect(), radix)
    }

    /// No order that names the group costs less: as many of the cheapest checks as the Huffman
    /// length (by convexity, and Jensen's inequality). Holds where all groups can be told apart.
    #[must_use]
    pub fn least_cost(&self) -> f64 {
        let mut costs = self.cost.clone();
        costs.sort_by(f64::total_cmp);
        let mut left = self.huffman();
        let mut sum = 0.0;
        for cost in costs {
            sum += cost * left.clamp(0.0, 1.0);
            left -= 1.0;
        }
        sum
    }
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
