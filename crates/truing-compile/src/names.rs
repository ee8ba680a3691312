//! One namespace for all items of all files: what a name is, and what was probably meant.

use std::cell::Cell;
use std::collections::BTreeSet;

use indexmap::IndexMap;
use truing_syntax::tree::Name;

use crate::context::Findings;
use crate::lint;

/// The sorts of things that a name can stand for.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Sort {
    Source,
    Family,
    Property,
    Limit,
    Constant,
    Instrument,
    Caution,
    State,
    Reading,
    Observation,
    Derived,
    Check,
    Fault,
    Fix,
    Procedure,
}

impl Sort {
    /// With its article: `a reading`.
    pub(crate) const fn words(self) -> &'static str {
        match self {
            Self::Source => "a source",
            Self::Family => "a family",
            Self::Property => "a property",
            Self::Limit => "a limit",
            Self::Constant => "a constant",
            Self::Instrument => "an instrument",
            Self::Caution => "a caution",
            Self::State => "a state",
            Self::Reading => "a reading",
            Self::Observation => "an observation",
            Self::Derived => "a derived quantity",
            Self::Check => "a check",
            Self::Fault => "a fault",
            Self::Fix => "a fix",
            Self::Procedure => "a procedure",
        }
    }
}

/// The sorts that a place takes, and the one to name when none of them stands there.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Wanted {
    pub sorts: &'static [Sort],
    pub words: &'static str,
}

impl Wanted {
    pub(crate) const fn new(sorts: &'static [Sort], words: &'static str) -> Self {
        Self { sorts, words }
    }

    fn takes(self, sort: Sort) -> bool {
        self.sorts.contains(&sort)
    }
}

/// What a name stands for.
#[derive(Debug)]
pub(crate) struct Entry<'a> {
    pub sort: Sort,
    /// Its place in the list of its sort.
    pub index: usize,
    pub name: &'a Name,
    /// The file that it stands in, by place.
    pub file: usize,
    pub used: Cell<bool>,
}

/// All names.
#[derive(Debug, Default)]
pub(crate) struct Scope<'a> {
    entries: IndexMap<&'a str, Entry<'a>>,
    /// Names of items that could not be read: they exist, and nothing more is known of them.
    unread: BTreeSet<&'a str>,
    /// A library is missing: what is not found may stand there.
    incomplete: bool,
}

impl<'a> Scope<'a> {
    pub(crate) fn get(&self, name: &str) -> Option<&Entry<'a>> {
        self.entries.get(name)
    }

    pub(crate) fn insert(&mut self, entry: Entry<'a>) {
        self.entries.insert(&entry.name.node, entry);
    }

    pub(crate) fn incomplete(&mut self) {
        self.incomplete = true;
    }

    pub(crate) fn is_incomplete(&self) -> bool {
        self.incomplete
    }

    /// Whether an item of this name could not be read.
    pub(crate) fn is_unread(&self, name: &str) -> bool {
        self.unread.contains(name)
    }

    pub(crate) fn unread(&mut self, name: &'a Name) {
        self.unread.insert(&name.node);
    }

    pub(crate) fn entries(&self) -> impl Iterator<Item = &Entry<'a>> {
        self.entries.values()
    }

    /// The entry of `name` where it is of a wanted sort; else a finding, once.
    pub(crate) fn find(
        &self,
        name: &Name,
        wanted: Wanted,
        findings: &Findings,
    ) -> Option<&Entry<'a>> {
        let Some(entry) = self.entries.get(&*name.node) else {
            if self.unread.contains(&*name.node) {
                return None;
            }
            let nearest = self.nearest(&name.node, wanted);
            // What was probably meant is not reported as never used on top.
            if let Some(meant) = nearest.and_then(|nearest| self.entries.get(nearest)) {
                meant.used.set(true);
            } else if self.incomplete {
                return None;
            }
            findings.push(lint::undefined_name::finding(name, wanted.words, nearest));
            return None;
        };
        entry.used.set(true);
        if wanted.takes(entry.sort) {
            return Some(entry);
        }
        findings.push(lint::wrong_sort::finding(name, entry, wanted.words));
        None
    }

    /// The most likely name: of a wanted sort if one is close, else of any.
    fn nearest(&self, name: &str, wanted: Wanted) -> Option<&'a str> {
        let of_sort = self.entries.values().filter(|entry| wanted.takes(entry.sort));
        nearest(name, of_sort.map(|entry| &*entry.name.node))
    }
}

/// The word most like `word`, if it is like enough to have been meant.
pub(crate) fn nearest<'n>(word: &str, words: impl Iterator<Item = &'n str>) -> Option<&'n str> {
    let mut best: Option<(f64, &str)> = None;
    for candidate in words {
        let score = likeness(word, candidate);
        if score > 0.78 && best.is_none_or(|(found, _)| score > found) {
            best = Some((score, candidate));
        }
    }
    best.map(|(_, candidate)| candidate)
}

fn likeness(left: &str, right: &str) -> f64 {
    if left.eq_ignore_ascii_case(right) {
        return 1.0;
    }
    strsim::jaro_winkler(left, right).max(strsim::normalized_damerau_levenshtein(left, right))
}
