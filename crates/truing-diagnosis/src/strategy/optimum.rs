//! The best order by dynamic programming over sets of states, and over what is done already.

use std::collections::HashMap;

use super::effort::Done;
use super::{EQUAL, EXACT_STATES, Optimum, Puzzle};
use crate::index::{Band, Check};

/// So many pairs of a set and a standing of the job are worked out where checks need preparation;
/// without preparation there are never more than sets.
const MOST_NODES: usize = 20_000;

type Known = HashMap<(u32, Vec<u32>), Optimum>;

/// Which states give a check which outcome.
type Split = Vec<(usize, u32)>;

impl Puzzle<'_> {
    /// The best order of checks; `None` above [`EXACT_STATES`] states, or where too much depends on
    /// what is prepared already. Checks go on until one group is left, or nothing tells the rest
    /// apart.
    #[must_use]
    pub fn optimum(&self) -> Option<Optimum> {
        if self.weight.len() > EXACT_STATES {
            return None;
        }
        let start = self.effort.start();
        let limit = if start.is_some() { MOST_NODES } else { usize::MAX };
        let mut search =
            Search { puzzle: self, splits: self.splits(), groups: self.groups(), limit };
        search.best((1_u32 << self.weight.len()) - 1, &start, &mut Known::new())
    }

    fn splits(&self) -> Vec<Split> {
        let all = self.all();
        let mask = |states: &[usize]| states.iter().map(|state| 1_u32 << state).sum();
        let of = |check| self.split(check, &all).iter().map(|(k, part)| (*k, mask(part))).collect();
        (0..self.checks()).map(of).collect()
    }

    fn groups(&self) -> Vec<u32> {
        let mut groups = std::collections::BTreeMap::new();
        for (state, group) in self.group.iter().enumerate() {
            *groups.entry(*group).or_insert(0) |= 1_u32 << state;
        }
        groups.into_values().collect()
    }
}

struct Search<'a, 'n> {
    puzzle: &'a Puzzle<'n>,
    splits: Vec<Split>,
    groups: Vec<u32>,
    limit: usize,
}

impl Search<'_, '_> {
    /// Recursion is no deeper than there are states.
    fn best(&mut self, set: u32, done: &Done, known: &mut Known) -> Option<Optimum> {
        if self.groups.iter().any(|group| set & !group == 0) {
            return Some(Optimum { cost: 0.0, checks: 0.0, first: None });
        }
        let parting = || (0..self.splits.len()).filter(|check| self.parts(*check, set));
        let key = (set, self.puzzle.effort.bearing(parting(), done));
        if let Some(optimum) = known.get(&key) {
            return Some(*optimum);
        }
        if known.len() >= self.limit {
            return None;
        }
        let weight = self.weight(set);
        let mut best = Optimum { cost: 0.0, checks: 0.0, first: None };
        let checks: Vec<usize> = parting().collect();
        for check in checks {
            let band = |check: Check| self.band(check, set);
            let Some(taken) = self.puzzle.effort.of(check, &band, done) else { continue };
            let (mut cost, mut count) = (taken.cost * weight, taken.checks * weight);
            let split = self.splits.get(check).cloned().unwrap_or_default();
            for (outcome, mask) in split.into_iter().filter(|(_, mask)| mask & set != 0) {
                let after = self.puzzle.effort.after(&taken, check, outcome);
                let rest = self.best(mask & set, &after, known)?;
                cost += rest.cost;
                count += rest.checks;
            }
            if best.first.is_none() || cost < best.cost - EQUAL {
                best = Optimum { cost, checks: count, first: Some(Check(check)) };
            }
        }
        known.insert(key, best);
        Some(best)
    }

    fn parts(&self, check: usize, set: u32) -> bool {
        let mut split = self.splits.get(check).into_iter().flatten();
        !split.any(|(_, mask)| set & !mask == 0)
    }

    fn band(&self, check: Check, set: u32) -> Option<Band> {
        let mut split = self.splits.get(check.0).into_iter().flatten();
        split.find(|(_, mask)| set & !mask == 0).map(|(outcome, _)| Band(*outcome))
    }

    fn weight(&self, set: u32) -> f64 {
        let all = self.puzzle.weight.iter().enumerate();
        all.filter(|(state, _)| set >> state & 1 == 1).map(|(_, w)| w).sum()
    }
}
