//! What would have to be replaced: hypotheses with the same cure needn't be told apart.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::index::{Hypothesis, Part};
use crate::network::Network;

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
    /// By part: the cures that it belongs to.
    pub with_part: Vec<Vec<Membership>>,
    /// By cure.
    brief: Vec<Brief>,
}

/// The first parts of a cure, side by side with those of the next: most cures have one or two.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Brief {
    pub first: Option<u32>,
    pub second: Option<u32>,
    /// There are more than these.
    pub more: bool,
}

impl Brief {
    fn of(parts: &[Part]) -> Self {
        let at = |at: usize| parts.get(at).map(|part| u32::try_from(part.0).unwrap_or(u32::MAX));
        Self { first: at(0), second: at(1), more: parts.len() > 2 }
    }
}

/// A cure that a part belongs to, laid out so that most are passed over at a glance.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Membership {
    pub cure: u32,
    /// Another part of the cure, or the part itself, where it is the only one.
    pub beside: u32,
}

impl Cures {
    /// The number of "nothing".
    pub const NOTHING: usize = 0;
    /// The number of "unknown".
    pub const UNKNOWN: usize = 1;

    pub fn of<'a>(parts: impl Iterator<Item = &'a [Part]>, pairs: bool) -> Self {
        let mut numbers = Numbers::default();
        let faults: Vec<&[Part]> = parts.collect();
        let classes: Vec<u32> = faults.iter().map(|set| numbers.of(set.to_vec())).collect();
        let mut pair = Vec::new();
        // Faults with the same parts are met again and again: their unions are looked up.
        let mut unions: BTreeMap<(u32, u32), u32> = BTreeMap::new();
        if pairs {
            for (at, (a, ka)) in faults.iter().zip(&classes).enumerate() {
                for (b, kb) in faults.iter().zip(&classes).skip(at + 1) {
                    let key = (*ka.min(kb), *ka.max(kb));
                    pair.push(*unions.entry(key).or_insert_with(|| numbers.of(union(a, b))));
                }
            }
        }
        let distinct = numbers.sets.len() == faults.len() + pair.len();
        let with_part = with_part(&numbers.sets);
        let mut brief = vec![Brief::default(); 2];
        brief.extend(numbers.sets.iter().map(|set| Brief::of(set)));
        let mut sets = vec![Cure::Nothing, Cure::Unknown];
        sets.extend(numbers.sets.into_iter().map(Cure::Replace));
        Self { sets, single: classes, pair, distinct, with_part, brief }
    }

    pub fn len(&self) -> usize {
        self.sets.len()
    }

    pub fn get(&self, number: usize) -> &Cure {
        self.sets.get(number).unwrap_or(&Cure::Unknown)
    }

    pub fn brief(&self, number: u32) -> Brief {
        self.brief.get(number as usize).copied().unwrap_or_default()
    }

    /// Its parts; none of "nothing" and "unknown".
    pub fn parts(&self, number: u32) -> &[Part] {
        match self.sets.get(number as usize) {
            Some(Cure::Replace(parts)) => parts,
            _ => &[],
        }
    }

    pub fn iter(&self) -> impl Iterator<Item = &Cure> + Clone {
        self.sets.iter()
    }
}

fn with_part(sets: &[Vec<Part>]) -> Vec<Vec<Membership>> {
    let mut out: Vec<Vec<Membership>> = Vec::new();
    for (cure, set) in (2..).zip(sets) {
        for part in set {
            let beside = set.iter().find(|other| *other != part).unwrap_or(part).0;
            let beside = u32::try_from(beside).unwrap_or(u32::MAX);
            if out.len() <= part.0 {
                out.resize(part.0 + 1, Vec::new());
            }
            if let Some(list) = out.get_mut(part.0) {
                list.push(Membership { cure, beside });
            }
        }
    }
    out
}

#[derive(Default)]
struct Numbers {
    known: BTreeMap<Vec<Part>, u32>,
    sets: Vec<Vec<Part>>,
}

impl Numbers {
    /// 0 and 1 are taken by "nothing" and "unknown".
    fn of(&mut self, set: Vec<Part>) -> u32 {
        if let Some(number) = self.known.get(&set) {
            return *number;
        }
        let number = u32::try_from(self.sets.len() + 2).unwrap_or(u32::MAX);
        self.sets.push(set.clone());
        self.known.insert(set, number);
        number
    }
}
