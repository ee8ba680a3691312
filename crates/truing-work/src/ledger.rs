//! What is kept of a session: every entry is on record before it counts. The record itself is behind a
//! trait, so that a test keeps it in memory and the command in a journal.

use std::collections::BTreeSet;

use jiff::Timestamp;
use truing::job::JobSheet;
use truing::job::journal::{Event, FoldError, Logged, fold};

/// Why an entry could not be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotKept(pub String);

/// Where the entries of a job are kept.
pub trait Record {
    /// Keeps an entry and gives its number. When this returns, the entry outlives a crash.
    ///
    /// # Errors
    /// Where it cannot be kept: then it is not there.
    fn append(&mut self, event: Event) -> Result<u64, NotKept>;

    /// Every entry, in order.
    fn entries(&self) -> &[Logged];

    /// The sheet that they come to.
    fn sheet(&self) -> &JobSheet;

    /// Writes that sheet, where one is kept beside the entries.
    ///
    /// # Errors
    /// Where it cannot be written; the entries are there all the same.
    fn settle(&mut self) -> Result<(), NotKept>;
}

/// A record that is forgotten with the program: for tests, and for trying things.
#[derive(Clone, Debug, Default)]
pub struct InMemory {
    entries: Vec<Logged>,
    sheet: JobSheet,
}

impl Record for InMemory {
    fn append(&mut self, event: Event) -> Result<u64, NotKept> {
        let sequence = self.entries.len() as u64 + 1;
        let mut entries = self.entries.clone();
        entries.push(Logged { sequence, time: Timestamp::UNIX_EPOCH, event });
        self.sheet = fold(&entries).map_err(|error| NotKept(error.to_string()))?;
        self.entries = entries;
        Ok(sequence)
    }

    fn entries(&self) -> &[Logged] {
        &self.entries
    }

    fn sheet(&self) -> &JobSheet {
        &self.sheet
    }

    fn settle(&mut self) -> Result<(), NotKept> {
        Ok(())
    }
}

/// The sheet with one more entry; the record stays as it is.
///
/// # Errors
/// Where the entry makes no sense on this job.
pub fn with_entry(entries: &[Logged], event: Event) -> Result<JobSheet, FoldError> {
    let sequence = entries.len() as u64 + 1;
    let mut entries = entries.to_vec();
    entries.push(Logged { sequence, time: Timestamp::UNIX_EPOCH, event });
    fold(&entries)
}

/// The entries that count, in order: those that were not taken back.
pub fn counting(entries: &[Logged]) -> impl DoubleEndedIterator<Item = &Logged> {
    let mut gone: BTreeSet<u64> = BTreeSet::new();
    for entry in entries.iter().rev() {
        match entry.event {
            Event::Undo { of } if !gone.contains(&entry.sequence) => {
                gone.insert(of);
            }
            _ => {}
        }
    }
    let counts = move |entry: &&Logged| {
        !gone.contains(&entry.sequence) && !matches!(entry.event, Event::Undo { .. })
    };
    entries.iter().filter(counts)
}

/// The entries that `back` takes back, the last first: the last one that the technician made, and what
/// was made with it. A caution that was read stays read.
#[must_use]
pub fn last_step(entries: &[Logged]) -> Vec<Logged> {
    let own = |entry: &&Logged| {
        let first_round = matches!(entry.event, Event::NextRound { .. })
            && !counting(entries).any(|other| {
                other.sequence < entry.sequence && matches!(other.event, Event::NextRound { .. })
            });
        let bookkeeping = matches!(
            entry.event,
            Event::Opened(_)
                | Event::Caution { .. }
                | Event::Judged { .. }
                | Event::Closed(_)
                | Event::Reopened
        );
        !first_round && !bookkeeping
    };
    let mut made = counting(entries).filter(own).rev();
    let Some(last) = made.next() else { return Vec::new() };
    let mut found = vec![last.clone()];
    // A repair begins a round: both are taken back together.
    if let (Event::Fitted { .. }, Some(before)) = (&last.event, made.next())
        && matches!(before.event, Event::NextRound { .. })
    {
        found.push(before.clone());
    }
    found
}
