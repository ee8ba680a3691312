//! What jobs were read to learn from, and what came of each: plain data for people and programs.

use serde::Serialize;
use truing_engine::suspects::{Lesson, Reweighed};
use truing_model::{Learned, Spec};

use crate::problem::Problem;

/// What was learned of a spec.
#[derive(Clone, Debug)]
pub struct LearnReport<'a> {
    /// The spec.
    pub spec: &'a Spec,
    /// The jobs that were read, in the order of their files.
    pub jobs: &'a [JobRead],
    /// What proven ones counted for.
    pub learned: &'a Learned,
    /// The spec's odds and chances with them; nothing where it lists no fault.
    pub reweighed: Option<&'a Reweighed>,
    /// The file that the counts were written to.
    pub written: Option<&'a str>,
}

/// A job that was read.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JobRead {
    /// Its file.
    pub file: String,
    /// Its number.
    pub job: Option<String>,
    /// In words, where it was judged by another edition and read again under this one.
    pub again: Option<String>,
    /// What came of it.
    #[serde(flatten)]
    pub fate: Fate,
}

/// What came of a job.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "fate", rename_all = "kebab-case")]
pub enum Fate {
    /// Its repair is proven: it counts.
    Counted(Lesson),
    /// It is the job of another file, and counts once.
    SameAs {
        /// The other file.
        other: String,
    },
    /// It says nothing of how often a fault is the cause.
    NotCounted {
        /// Why, in words.
        why: String,
    },
    /// It is no job of this spec, or cannot be read.
    Refused {
        /// What is wrong.
        problems: Vec<Problem>,
    },
}

impl LearnReport<'_> {
    /// So many jobs came out so.
    #[must_use]
    pub fn count(&self, wanted: impl Fn(&Fate) -> bool) -> usize {
        self.jobs.iter().filter(|job| wanted(&job.fate)).count()
    }

    /// So many jobs count.
    #[must_use]
    pub fn counted(&self) -> usize {
        self.count(|fate| matches!(fate, Fate::Counted(_)))
    }

    /// So many were refused.
    #[must_use]
    pub fn refused(&self) -> usize {
        self.count(|fate| matches!(fate, Fate::Refused { .. }))
    }
}
