//! What would have to be replaced: hypotheses with the same cure needn't be told apart.

use std::collections::HashMap;

use serde::{Deserialize, Serialize};

use crate::index::{Hypothesis, Part};
use crate::network::Network;
use crate::triangle::Triangle;

/// What sets the machine right under a hypothesis.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Cure {
    /// Nothing needs replacing.
    Nothing,
    /// These parts, sorted.
    Replace(Vec<Part>),
    /// Nobody knows: the fault isn't listed.
    Unknown,
}

impl Network {
    /// The cure that a hypothesis asks for: the parts of all its faults.
    #[must_use]
    pub fn cure(&self, hypothesis: Hypothesis) -> Cure {
        match hypothesis {
            Hypothesis::None => Cure::Nothing,
            Hypothesis::Other => Cure::Unknown,
            Hypothesis::Single(f) => Cure::Replace(self.parts_of(f).to_vec()),
            Hypothesis::Pair(f, g) => Cure::Replace(union(self.parts_of(f), self.parts_of(g))),
        }
    }
}

fn union(a: &[Part], b: &[Part]) -> Vec<Part> {
    let mut parts = [a, b].concat();
    parts.sort_unstable();
    parts.dedup();
    parts
}

/// The cures of all hypotheses over some faults, numbered.
#[derive(Clone, Debug)]
pub(crate) struct Cures {
    sets: Vec<Cure>,
    /// By fault.
    pub single: Vec<u32>,
    /// By pair, row by row (see [`Triangle`](crate::triangle::Triangle)); empty without pairs.
    pub pair: Vec<u32>,
    /// No two hypotheses share a cure.
    pub distinct: bool,
    /// By cure: how many hypotheses ask for it.
    pub hypotheses: Vec<u32>,
}

impl Cures {
    /// The number of "nothing".
    pub const NOTHING: usize = 0;
    /// The number of "unknown".
    pub const UNKNOWN: usize = 1;

    pub fn of<'a>(parts: impl Iterator<Item = &'a [Part]>, pairs: bool) -> Self {
        let mut numbers = Numbers::default();
        let faults: Vec<&[Part]> = parts.collect();
        let single: Vec<u32> = faults.iter().map(|set| numbers.of(set.to_vec())).collect();
        let mut pair = Vec::with_capacity(Triangle(if pairs { faults.len() } else { 0 }).len());
        // Faults with the same parts are met again and again: their unions are looked up.
        let classes = numbers.sets.len();
        let mut unions = vec![None; if pairs { classes * classes } else { 0 }];
        for (a, b) in Triangle(if pairs { faults.len() } else { 0 }).pairs() {
            let (Some(one), Some(two)) = (faults.get(a), faults.get(b)) else { continue };
            let class = |at: usize| single.get(at).map_or(0, |number| *number as usize - FIRST);
            let known = unions.get_mut(class(a) * classes + class(b));
            let mut union = || numbers.of(union(one, two));
            pair.push(match known {
                Some(known) => *known.get_or_insert_with(union),
                None => union(),
            });
        }
        let mut sets = vec![Cure::Nothing, Cure::Unknown];
        sets.extend(numbers.sets.into_iter().map(Cure::Replace));
        let mut hypotheses = vec![0; sets.len()];
        let named = [Self::NOTHING, Self::UNKNOWN].into_iter();
        for number in named.chain(single.iter().chain(&pair).map(|number| *number as usize)) {
            if let Some(count) = hypotheses.get_mut(number) {
                *count += 1;
            }
        }
        let distinct = hypotheses.iter().all(|count| *count <= 1);
        Self { sets, single, pair, distinct, hypotheses }
    }

    pub fn len(&self) -> usize {
        self.sets.len()
    }

    pub fn get(&self, number: usize) -> &Cure {
        self.sets.get(number).unwrap_or(&Cure::Unknown)
    }

    pub fn iter(&self) -> impl Iterator<Item = &Cure> + Clone {
        self.sets.iter()
    }
}

/// The number of the first cure that replaces parts, behind "nothing" and "unknown".
const FIRST: usize = 2;

#[derive(Default)]
struct Numbers {
    known: HashMap<Vec<Part>, u32>,
    sets: Vec<Vec<Part>>,
}

impl Numbers {
    /// From [`FIRST`] on, in the order in which they are met.
    fn of(&mut self, set: Vec<Part>) -> u32 {
        if let Some(number) = self.known.get(&set) {
            return *number;
        }
        let number = u32::try_from(self.sets.len() + FIRST).unwrap_or(u32::MAX);
        self.sets.push(set.clone());
        self.known.insert(set, number);
        number
    }
}
