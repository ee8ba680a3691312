//! What is kept of a session: every entry is on record before it counts. The record itself is behind a
//! trait, so that a test keeps it in memory and the command in a journal.

use truing::job::{
    Bypass, Closed, Entry, Fitted, Instrument, JobSheet, Part, Photo, Remark, Round, Skipped,
};

/// One entry of a job's record.
#[derive(Clone, Debug, PartialEq)]
pub enum Event {
    /// The job is opened, with its head: order, spec, date, technician and what a sheet said already.
    Opened(Box<JobSheet>),
    /// What the customer said.
    Complaint(String),
    /// Who measures.
    Technician(String),
    /// The state that the complaint shows in.
    Shows(String),
    /// What the machine is.
    Property(Entry),
    /// An instrument at hand.
    Meter(Instrument),
    /// What was read.
    Reading(Entry),
    /// What was left out, and why.
    Skipped(Skipped),
    /// A remark.
    Remark(Remark),
    /// A photo.
    Photo(Photo),
    /// A caution that was read.
    Caution(String),
    /// What was done to the machine.
    Fitted {
        /// The spec's fix.
        fix: String,
        /// The parts.
        parts: Vec<Part>,
    },
    /// A new round.
    NextRound {
        /// Its name.
        name: String,
        /// When it begins.
        time: Option<String>,
    },
    /// Something bridged, or a bridge that is off again.
    Bypass(Bypass),
    /// An earlier entry does not count.
    Undo(u64),
    /// The job is closed.
    Closed(Closed),
    /// It is open again.
    Reopened,
}

/// Why an entry could not be kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotKept(pub String);

/// Where the entries of a job are kept.
pub trait Record {
    /// Keeps an entry. When this returns, the entry outlives a crash.
    ///
    /// # Errors
    /// Where it cannot be kept: then it is not there.
    fn keep(&mut self, event: &Event) -> Result<(), NotKept>;

    /// Writes the sheet that the entries come to, where one is kept beside them.
    ///
    /// # Errors
    /// Where it cannot be written; the entries are there all the same.
    fn settle(&mut self, sheet: &JobSheet) -> Result<(), NotKept>;
}

/// A record that is forgotten with the program: for tests and for trying things.
#[derive(Clone, Debug, Default)]
pub struct InMemory(pub Vec<Event>);

impl Record for InMemory {
    fn keep(&mut self, event: &Event) -> Result<(), NotKept> {
        self.0.push(event.clone());
        Ok(())
    }

    fn settle(&mut self, _: &JobSheet) -> Result<(), NotKept> {
        Ok(())
    }
}

/// The entries of a job and the sheet that they come to.
pub struct Ledger {
    record: Box<dyn Record>,
    events: Vec<Event>,
    sheet: JobSheet,
}

impl Ledger {
    /// What was kept before, to be gone on with.
    #[must_use]
    pub fn new(record: Box<dyn Record>, events: Vec<Event>) -> Self {
        let sheet = fold(&events);
        Self { record, events, sheet }
    }

    /// The sheet as it stands.
    #[must_use]
    pub const fn sheet(&self) -> &JobSheet {
        &self.sheet
    }

    /// The round that is being worked on.
    #[must_use]
    pub fn round(&self) -> Option<&Round> {
        self.sheet.rounds.last()
    }

    /// Whether anything was kept yet.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.events.is_empty()
    }

    /// Keeps an entry; after that it counts.
    ///
    /// # Errors
    /// [`NotKept`]: nothing has changed then.
    pub fn keep(&mut self, event: Event) -> Result<(), NotKept> {
        self.record.keep(&event)?;
        self.events.push(event);
        self.sheet = fold(&self.events);
        Ok(())
    }

    /// Writes the sheet.
    ///
    /// # Errors
    /// [`NotKept`].
    pub fn settle(&mut self) -> Result<(), NotKept> {
        self.record.settle(&self.sheet)
    }

    /// Takes back the last entry that counts, if there is one besides the opening, and gives it.
    ///
    /// # Errors
    /// [`NotKept`].
    pub fn take_back(&mut self) -> Result<Option<Event>, NotKept> {
        let undone = undone(&self.events);
        let last = self.events.iter().enumerate().rev().find(|(at, event)| {
            !undone.contains(&(*at as u64)) && !matches!(event, Event::Undo(_) | Event::Opened(_))
        });
        let Some((at, event)) = last else { return Ok(None) };
        let event = event.clone();
        self.keep(Event::Undo(at as u64))?;
        Ok(Some(event))
    }
}

fn undone(events: &[Event]) -> Vec<u64> {
    let of = |event: &Event| if let Event::Undo(of) = event { Some(*of) } else { None };
    events.iter().filter_map(of).collect()
}

/// The sheet that entries come to.
#[must_use]
pub fn fold(events: &[Event]) -> JobSheet {
    let undone = undone(events);
    let mut sheet = JobSheet::default();
    for (at, event) in events.iter().enumerate() {
        if !undone.contains(&(at as u64)) {
            apply(&mut sheet, event);
        }
    }
    sheet
}

/// What one entry changes.
pub fn apply(sheet: &mut JobSheet, event: &Event) {
    match event {
        Event::Opened(head) => sheet.clone_from(head),
        Event::Complaint(text) => sheet.complaint = Some(text.clone()),
        Event::Technician(name) => sheet.technician = Some(name.clone()),
        Event::Shows(state) => sheet.shows = Some(state.clone()),
        Event::Property(entry) => put(&mut sheet.machine, entry),
        Event::Meter(meter) => {
            sheet.instruments.retain(|it| it.name != meter.name);
            sheet.instruments.push(meter.clone());
        }
        Event::NextRound { name, time } => {
            let (name, time) = (name.clone(), time.clone());
            sheet.rounds.push(Round { name, time, ..Round::default() });
        }
        Event::Closed(closed) => sheet.closed = Some(closed.clone()),
        Event::Reopened => sheet.closed = None,
        Event::Undo(_) => {}
        of_round => {
            if let Some(round) = sheet.rounds.last_mut() {
                apply_to_round(round, of_round);
            }
        }
    }
}

fn apply_to_round(round: &mut Round, event: &Event) {
    match event {
        Event::Reading(entry) => {
            round.skipped.retain(|it| it.check != entry.path);
            put(&mut round.readings, entry);
        }
        Event::Skipped(skipped) => {
            round.skipped.retain(|it| it.check != skipped.check);
            round.skipped.push(skipped.clone());
        }
        Event::Remark(remark) => round.remarks.push(remark.clone()),
        Event::Photo(photo) => round.photos.push(photo.clone()),
        Event::Caution(name) if !round.cautions.contains(name) => round.cautions.push(name.clone()),
        Event::Fitted { fix, parts } => {
            let Fitted { fixes, .. } = &mut round.fitted;
            if !fixes.contains(fix) {
                fixes.push(fix.clone());
            }
            round.parts.extend(parts.iter().cloned());
        }
        Event::Bypass(bypass) => {
            round.bypasses.retain(|it| it.what != bypass.what);
            round.bypasses.push(bypass.clone());
        }
        _ => {}
    }
}

/// In place of what stood there under the same name.
fn put(entries: &mut Vec<Entry>, entry: &Entry) {
    match entries.iter_mut().find(|it| it.path == entry.path) {
        Some(it) => it.clone_from(entry),
        None => entries.push(entry.clone()),
    }
}
