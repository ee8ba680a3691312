//! What orders cost that look one step or two steps ahead.

use super::effort::{Done, Taken};
use super::{EQUAL, Optimum, Puzzle};
use crate::index::{Band, Check};

/// So many checks are looked at two steps deep.
const SHORTLIST: usize = 8;

/// States by what they give a check.
type Parts = Vec<(usize, Vec<usize>)>;

/// A check that tells some states apart.
struct Choice {
    check: usize,
    bits: f64,
    taken: Taken,
    parts: Parts,
}

impl Choice {
    fn score(&self) -> f64 {
        self.bits / self.taken.cost
    }
}

impl Puzzle<'_> {
    /// What it costs if each check is the one with the most bits per cost (of equals the first).
    #[must_use]
    pub fn greedy(&self) -> Optimum {
        self.follow(|options, _| most(options))
    }

    /// What it costs if each check is the one with the most bits per cost, the best check after it
    /// counted in, of the best few.
    #[must_use]
    pub fn two_step(&self) -> Optimum {
        self.follow(|mut options, states| {
            options.sort_by(|a, b| b.score().total_cmp(&a.score()).then(a.check.cmp(&b.check)));
            options.truncate(SHORTLIST);
            let mut best: Option<(f64, Choice)> = None;
            for option in options {
                let score = self.ahead(&option, states);
                if best.as_ref().is_none_or(|(most, _)| score > most + EQUAL) {
                    best = Some((score, option));
                }
            }
            best.map(|(_, option)| option)
        })
    }

    /// Goes every way until one group is left, or nothing tells the rest apart.
    fn follow(&self, choose: impl Fn(Vec<Choice>, &[usize]) -> Option<Choice>) -> Optimum {
        let mut sum = Optimum { cost: 0.0, checks: 0.0, first: None };
        let mut open = vec![(self.all(), self.effort.start())];
        while let Some((states, done)) = open.pop() {
            if self.one_group(&states) {
                continue;
            }
            let Some(chosen) = choose(self.options(&states, &done), &states) else { continue };
            let weight = self.weight_of(&states);
            sum.cost += weight * chosen.taken.cost;
            sum.checks += weight * chosen.taken.checks;
            sum.first = sum.first.or(Some(Check(chosen.check)));
            for (band, part) in chosen.parts {
                let after = self.effort.after(&chosen.taken, chosen.check, band);
                open.push((part, after));
            }
        }
        sum
    }

    /// The checks that tell these states apart.
    fn options(&self, states: &[usize], done: &Done) -> Vec<Choice> {
        let known = |check: Check| {
            let first = self.outcome(*states.first()?, check.0);
            let same = states.iter().all(|state| self.outcome(*state, check.0) == first);
            same.then_some(Band(first))
        };
        let each = (0..self.checks()).filter_map(|check| {
            let parts = self.split(check, states);
            if parts.len() < 2 {
                return None;
            }
            let taken = self.effort.of(check, &known, done)?;
            Some(Choice { check, bits: self.bits_of(&parts, states), taken, parts })
        });
        each.collect()
    }

    /// Bits per cost over a check and the best one after each of its outcomes.
    fn ahead(&self, option: &Choice, states: &[usize]) -> f64 {
        let whole = self.weight_of(states);
        let (mut bits, mut cost) = (option.bits, option.taken.cost);
        for (band, part) in option.parts.iter().filter(|(_, part)| !self.one_group(part)) {
            let after = self.effort.after(&option.taken, option.check, *band);
            if let Some(then) = most(self.options(part, &after)) {
                let chance = self.weight_of(part) / whole;
                bits += chance * then.bits;
                cost += chance * then.taken.cost;
            }
        }
        bits / cost
    }
}

/// The one with the most bits per cost, of equals the first.
fn most(options: Vec<Choice>) -> Option<Choice> {
    let mut best: Option<Choice> = None;
    for option in options {
        if best.as_ref().is_none_or(|best| option.score() > best.score() + EQUAL) {
            best = Some(option);
        }
    }
    best
}
