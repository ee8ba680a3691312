//! From the entries of a journal to the sheet that they make.

use std::collections::BTreeSet;

use thiserror::Error;

use super::event::{Event, Header, Logged};
use crate::error::SheetError;
use crate::record::{check_photo_path, check_price};
use crate::sheet::{Conditions, Entry, JobSheet, Round};

/// Why an entry makes no sense where it stands.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum FoldError {
    /// A job is opened once, by its first entry.
    #[error("entry {sequence} opens a job that is open already")]
    OpenedTwice {
        /// Which entry.
        sequence: u64,
    },
    /// There is no such round.
    #[error("entry {sequence} is about round {}, and the job has {rounds}", round + 1)]
    NoRound {
        /// Which entry.
        sequence: u64,
        /// The round, from 0.
        round: usize,
        /// So many there are.
        rounds: usize,
    },
    /// There is no such entry before this one.
    #[error("entry {sequence} takes back entry {of}, which does not stand before it")]
    NoEntry {
        /// Which entry.
        sequence: u64,
        /// What it takes back.
        of: u64,
    },
    /// That the job was opened can't be taken back.
    #[error("entry {sequence} takes back that the job was opened")]
    OpenedUndone {
        /// Which entry.
        sequence: u64,
    },
    /// There is no such bypass that is not off again.
    #[error("entry {sequence} takes off a bypass that is not there: {name}")]
    NoBypass {
        /// Which entry.
        sequence: u64,
        /// What it was.
        name: String,
    },
    /// What no sheet may say.
    #[error("entry {sequence}: {error}")]
    Unsound {
        /// Which entry.
        sequence: u64,
        /// What is wrong with it.
        error: SheetError,
    },
}

/// The sheet that entries make, in order. What was taken back is left out.
///
/// # Errors
/// The first entry that makes no sense where it stands.
pub fn fold(entries: &[Logged]) -> Result<JobSheet, FoldError> {
    let gone = taken_back(entries)?;
    let mut sheet = JobSheet::default();
    for entry in entries.iter().filter(|entry| !gone.contains(&entry.sequence)) {
        apply(&mut sheet, entry)?;
    }
    Ok(sheet)
}

/// The numbers of the entries that do not count. From the last to the first: whether what takes an
/// entry back counts is known before that entry is looked at.
fn taken_back(entries: &[Logged]) -> Result<BTreeSet<u64>, FoldError> {
    let mut gone = BTreeSet::new();
    for entry in entries.iter().rev() {
        let Event::Undo { of } = entry.event else { continue };
        let sequence = entry.sequence;
        let before = entries.iter().find(|other| other.sequence == of && of < sequence);
        match before.map(|other| &other.event) {
            None => return Err(FoldError::NoEntry { sequence, of }),
            Some(Event::Opened(_)) => return Err(FoldError::OpenedUndone { sequence }),
            Some(_) if gone.contains(&sequence) => {}
            Some(_) => {
                gone.insert(of);
            }
        }
    }
    Ok(gone)
}

/// Puts one entry on a sheet.
pub(crate) fn apply(sheet: &mut JobSheet, entry: &Logged) -> Result<(), FoldError> {
    let sequence = entry.sequence;
    let missing = |error: NoSuchRound| error.at(sequence);
    let sound = |tried: Result<(), SheetError>| {
        tried.map_err(|error| FoldError::Unsound { sequence, error })
    };
    match entry.event.clone() {
        Event::Opened(_) if sequence != 1 => return Err(FoldError::OpenedTwice { sequence }),
        Event::Opened(header) => open(sheet, header),
        Event::Complaint { text } => sheet.complaint = Some(text),
        Event::Shows { state } => sheet.shows = Some(state),
        Event::Note { text } => sheet.note = Some(text),
        Event::Property { entry } => put(&mut sheet.machine, entry),
        Event::Meter(instrument) => {
            match sheet.instruments.iter_mut().find(|it| it.name == instrument.name) {
                Some(known) => *known = instrument,
                None => sheet.instruments.push(instrument),
            }
        }
        Event::Conditions { round, meters, ambient } => {
            let conditions = Conditions { meters, ambient, ..Conditions::default() };
            match round {
                Some(round) => sheet.round(round).map_err(missing)?.conditions = conditions,
                None => sheet.conditions = conditions,
            }
        }
        Event::NextRound { name, time } => {
            sheet.rounds.push(Round { name, time, ..Round::default() });
        }
        Event::Reading { round, entry } => {
            put(&mut sheet.round(round).map_err(missing)?.readings, entry)
        }
        Event::Correlated { round, correlation } => {
            sheet.round(round).map_err(missing)?.correlations.push(correlation)
        }
        Event::Skipped { round, skipped } => {
            sheet.round(round).map_err(missing)?.skipped.push(skipped)
        }
        Event::Remark { round, remark } => {
            sheet.round(round).map_err(missing)?.remarks.push(remark)
        }
        Event::Photo { round, photo } => {
            sound(check_photo_path(&photo.path))?;
            sheet.round(round).map_err(missing)?.photos.push(photo);
        }
        Event::Caution { round, name } => {
            let known = &mut sheet.round(round).map_err(missing)?.cautions;
            if !known.contains(&name) {
                known.push(name);
            }
        }
        Event::Fitted { round, fix, parts } => {
            for price in parts.iter().filter_map(|part| part.price.as_deref()) {
                sound(check_price(price))?;
            }
            let round = sheet.round(round).map_err(missing)?;
            round.fitted.fixes.extend(fix);
            round.parts.extend(parts);
        }
        Event::Bypass { round, bypass } => {
            sheet.round(round).map_err(missing)?.bypasses.push(bypass)
        }
        Event::BypassRemoved { name } => {
            let mut all = sheet.rounds.iter_mut().flat_map(|round| &mut round.bypasses);
            match all.find(|it| it.what == name && !it.removed) {
                Some(bypass) => bypass.removed = true,
                None => return Err(FoldError::NoBypass { sequence, name }),
            }
        }
        Event::Judged { limits } => sheet.judged = limits,
        // What it takes back was left out before.
        Event::Undo { .. } => {}
        Event::Closed(closed) => sheet.closed = Some(closed),
        Event::Reopened => sheet.closed = None,
    }
    Ok(())
}

fn open(sheet: &mut JobSheet, header: Header) {
    let Header {
        job,
        spec,
        edition,
        spec_hash,
        date,
        technician,
        complaint,
        shows,
        note,
        decide,
        model,
        year,
    } = header;
    *sheet = JobSheet {
        job,
        spec,
        edition,
        spec_hash,
        date,
        technician,
        complaint,
        shows,
        note,
        decide,
        model,
        year,
        ..JobSheet::default()
    };
}

/// A round that is not there: its place, and how many there are.
struct NoSuchRound(usize, usize);

impl NoSuchRound {
    fn at(self, sequence: u64) -> FoldError {
        FoldError::NoRound { sequence, round: self.0, rounds: self.1 }
    }
}

impl JobSheet {
    fn round(&mut self, round: usize) -> Result<&mut Round, NoSuchRound> {
        let rounds = self.rounds.len();
        self.rounds.get_mut(round).ok_or(NoSuchRound(round, rounds))
    }
}

/// An entry in the place of the one with the same path, or behind all.
fn put(entries: &mut Vec<Entry>, entry: Entry) {
    match entries.iter_mut().find(|known| known.path == entry.path) {
        Some(known) => *known = entry,
        None => entries.push(entry),
    }
}
