//! What the best order of checks would cost, if every check told the truth.
//!
//! Each state of the machine (a fault, or none) gives each check one outcome. `effort` says what a
//! check takes as the job stands, `optimum` the exact cost by dynamic programming over sets of states
//! (Pattipati & Alexandridis 1990), for few states; for more, `policy` says what orders cost that
//! look one or two steps ahead, and `bound` what no order can do without.

mod bound;
mod effort;
mod optimum;
mod policy;

use std::collections::{BTreeMap, BTreeSet};

use serde::Serialize;
use thiserror::Error;

use crate::cure::Cure;
use crate::index::{Check, Fault, Hypothesis};
use crate::network::Network;
use crate::testability::likeliest;
use effort::Effort;
pub(crate) use effort::Floor;

pub use bound::Least;

/// Exact costs are worked out for at most so many states.
pub const EXACT_STATES: usize = 20;

/// Orders that look ahead are worked out for at most so many states.
pub const POLICY_STATES: usize = 500;

/// Costs and gains closer than this are equal.
const EQUAL: f64 = 1e-12;

/// States, what each gives every check, and what checks take.
#[derive(Clone, Debug)]
pub struct Puzzle<'n> {
    /// Normalised.
    weight: Vec<f64>,
    outcome: Vec<Vec<usize>>,
    group: Vec<usize>,
    effort: Effort<'n>,
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

/// What an order of checks costs.
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
pub struct StrategyCost {
    /// The best order that was found.
    pub found: Optimum,
    /// No order costs less than that one.
    pub exact: bool,
    /// No order costs less than this.
    pub least: f64,
}

impl Puzzle<'static> {
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
        if let Some(bad) = weight.iter().chain(cost).find(|x| !(**x > 0.0 && **x <= 1e100)) {
            return Err(PuzzleError::Figure(*bad));
        }
        let states = weight.iter().zip(outcome).zip(group);
        let states = states.map(|((weight, row), group)| (*weight, row.clone(), *group));
        Ok(Self::of_states(states, Effort::Plain(cost.to_vec())))
    }

    /// Of a network: no fault (if it has weight) and each fault, every check in its likeliest band,
    /// in minutes of the checks alone, told apart by cure.
    ///
    /// # Errors
    ///
    /// Where there is no state.
    pub fn of(network: &Network) -> Result<Self, PuzzleError> {
        let minutes = network.checks.iter().map(|row| row.minutes).collect();
        Self::of_network(network, Effort::Plain(minutes))
    }
}

impl<'n> Puzzle<'n> {
    /// As [`Puzzle::of`], where each measurement costs one, those that have to come before it too.
    ///
    /// # Errors
    ///
    /// Where there is no state.
    pub fn in_measurements(network: &'n Network) -> Result<Self, PuzzleError> {
        Self::of_network(network, Effort::Measurements(network))
    }

    /// As [`Puzzle::of`], with teardown and changes of state as far as they are still to be done,
    /// and what has to be measured before.
    ///
    /// # Errors
    ///
    /// Where there is no state.
    pub fn in_minutes(network: &'n Network) -> Result<Self, PuzzleError> {
        Self::of_network(network, Effort::Minutes(network))
    }

    fn of_network(network: &Network, effort: Effort<'n>) -> Result<Self, PuzzleError> {
        let none = (network.weight(Hypothesis::None) > 0.0).then_some(Hypothesis::None);
        let singles = (0..network.faults()).map(|f| Hypothesis::Single(Fault(f)));
        let mut numbers: BTreeMap<Cure, usize> = BTreeMap::new();
        let mut number = |state: Hypothesis| {
            let next = numbers.len();
            *numbers.entry(network.cure(state)).or_insert(next)
        };
        let states: Vec<(f64, Vec<usize>, usize)> = none
            .into_iter()
            .chain(singles)
            .map(|state| {
                let bands = network.checks.iter().map(|row| likeliest(&row.bands_under(state)));
                (network.weight(state), bands.collect(), number(state))
            })
            .collect();
        if states.is_empty() {
            return Err(PuzzleError::Length);
        }
        Ok(Self::of_states(states.into_iter(), effort))
    }

    /// States of one group that nothing tells apart are one.
    fn of_states(
        states: impl Iterator<Item = (f64, Vec<usize>, usize)>,
        effort: Effort<'n>,
    ) -> Self {
        let mut known: BTreeMap<(Vec<usize>, usize), usize> = BTreeMap::new();
        let (mut weight, mut outcome, mut groups) = (Vec::new(), Vec::new(), Vec::new());
        for (w, row, group) in states {
            let at = *known.entry((row.clone(), group)).or_insert(weight.len());
            if let Some(sum) = weight.get_mut(at) {
                *sum += w;
                continue;
            }
            weight.push(w);
            outcome.push(row);
            groups.push(group);
        }
        let sum: f64 = weight.iter().sum();
        weight.iter_mut().for_each(|w| *w /= sum);
        Self { weight, outcome, group: groups, effort }
    }

    /// What the best order costs, or one that looks two steps ahead where there are too many states.
    /// `None` above [`POLICY_STATES`].
    #[must_use]
    pub fn cost(&self) -> Option<StrategyCost> {
        if self.weight.len() > POLICY_STATES {
            return None;
        }
        let least = self.least().cost;
        if let Some(found) = self.optimum() {
            return Some(StrategyCost { found, exact: true, least });
        }
        let (one, two) = (self.greedy(), self.two_step());
        let found = if two.cost < one.cost - EQUAL { two } else { one };
        Some(StrategyCost { found, exact: false, least })
    }

    fn checks(&self) -> usize {
        self.outcome.first().map_or(0, Vec::len)
    }

    fn weight_of(&self, states: &[usize]) -> f64 {
        states.iter().filter_map(|s| self.weight.get(*s)).sum()
    }

    fn one_group(&self, states: &[usize]) -> bool {
        let groups: BTreeSet<_> = states.iter().filter_map(|s| self.group.get(*s)).collect();
        groups.len() <= 1
    }

    fn outcome(&self, state: usize, check: usize) -> usize {
        self.outcome.get(state).and_then(|row| row.get(check)).copied().unwrap_or(0)
    }

    /// The states by what they give a check, with that.
    fn split(&self, check: usize, states: &[usize]) -> Vec<(usize, Vec<usize>)> {
        let mut parts: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for state in states {
            parts.entry(self.outcome(*state, check)).or_default().push(*state);
        }
        parts.into_iter().collect()
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
        (0..self.checks()).map(|check| self.bits_of(&self.split(check, &all), &all)).collect()
    }

    /// Of a check that splits these states so.
    fn bits_of(&self, parts: &[(usize, Vec<usize>)], states: &[usize]) -> f64 {
        let after: f64 = parts.iter().map(|(_, part)| self.weighted_entropy(part)).sum();
        (self.weighted_entropy(states) - after) / self.weight_of(states)
    }

    /// Whether all groups can be told apart.
    #[must_use]
    pub fn isolable(&self) -> bool {
        let mut seen: BTreeMap<&[usize], usize> = BTreeMap::new();
        let mut both = self.outcome.iter().zip(&self.group);
        both.all(|(row, group)| *seen.entry(row).or_insert(*group) == *group)
    }
}
