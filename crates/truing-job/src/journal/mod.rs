//! The journal of a job: every entry is appended and synced before it is acknowledged, so that
//! neither a dead battery nor a killed process loses one. A sheet is its journal folded.
//!
//! Read in this order: [`event`] (what can be entered), [`fold`](mod@fold) (from entries to a sheet) and
//! `unfold` (back), `line` (how an entry stands in the file), `recover` (what a crash leaves), `lock` (one process at a
//! time), [`error`].
//!
//! `JOB.journal` lies beside `JOB.toml`, one entry a line in JSON: its number, its time, a checksum
//! and the entry. An entry that is taken back stays in it; what takes it back is an entry too.

pub mod error;
pub mod event;
pub mod fold;
mod line;
mod lock;
mod recover;
mod unfold;

use std::fs::{File, OpenOptions};
use std::io::{Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use jiff::Timestamp;

pub use error::JournalError;
pub use event::{Event, Header, Logged};
pub use fold::{FoldError, fold};
pub use recover::{Recovered, Torn, read};
pub use unfold::unfold;

use crate::format::SheetFormat;
use crate::intake::read_sheet;
use crate::sheet::{JobSheet, Place};
use crate::write::write_toml;
use lock::Lock;

/// The journal of the job whose sheet lies at `sheet`: the same name with `.journal`.
#[must_use]
pub fn path_beside(sheet: &Path) -> PathBuf {
    sheet.with_extension("journal")
}

/// An open journal. While it is open no other process opens it.
#[derive(Debug)]
pub struct Journal {
    path: PathBuf,
    /// Before the file: who holds it is wiped out while it is still held.
    _lock: Lock,
    file: File,
    entries: Vec<Logged>,
    sheet: JobSheet,
    /// How much of the file is whole entries.
    length: u64,
    /// Whether the disk failed in a way after which nobody knows what is on it.
    doubtful: bool,
}

/// A journal that was opened, with what was found in it.
#[derive(Debug)]
pub struct Opened {
    /// The journal.
    pub journal: Journal,
    /// The sheet that it folds to.
    pub sheet: JobSheet,
    /// An entry that was not written whole when the process or the machine died; it had not been
    /// acknowledged. It was set aside.
    pub torn: Option<Torn>,
}

impl Journal {
    /// Starts the journal of a new job.
    ///
    /// # Errors
    /// Where there is a file of that name, or it cannot be written.
    pub fn create(path: &Path, header: Header) -> Result<Self, JournalError> {
        let failed = |error| JournalError::io("be created", path, &error);
        let mut options = OpenOptions::new();
        let file = options.read(true).write(true).create_new(true).open(path).map_err(failed)?;
        let lock = Lock::take(&file, path)?;
        file.sync_all().and_then(|()| sync_folder(path)).map_err(failed)?;
        let mut journal = Self::of(path, file, lock, Vec::new(), 0)?;
        match journal.append(Event::Opened(header)) {
            Ok(_) => Ok(journal),
            // A journal without its first entry would be in the way of the next try.
            Err(error) => {
                let _ = std::fs::remove_file(path);
                Err(error)
            }
        }
    }

    /// Opens a journal and folds it. What a crash left half-written at its end is set aside into a
    /// file of its own beside it, and told. A journal may be without any entry, where the crash came
    /// as it was created: then [`Event::Opened`] is due.
    ///
    /// # Errors
    /// Where another process has it open, where it cannot be read or written, or where it is broken
    /// before its end.
    pub fn open(path: &Path) -> Result<Opened, JournalError> {
        let failed = |error| JournalError::io("be opened", path, &error);
        let file = OpenOptions::new().read(true).write(true).open(path).map_err(failed)?;
        let lock = Lock::take(&file, path)?;
        let Recovered { entries, length, torn, .. } = recover::recover(path, &file)?;
        let torn = torn.map(|bytes| {
            let line = entries.len() + 1;
            let path = recover::set_aside(path, &file, length, &bytes)?;
            Ok(Torn { path, line, bytes: bytes.len() })
        });
        let torn = torn.transpose()?;
        let journal = Self::of(path, file, lock, entries, length)?;
        let sheet = journal.sheet.clone();
        Ok(Opened { journal, sheet, torn })
    }

    fn of(
        path: &Path,
        file: File,
        lock: Lock,
        entries: Vec<Logged>,
        length: u64,
    ) -> Result<Self, JournalError> {
        let folded = fold(&entries);
        let sheet = folded.map_err(|error| JournalError::unfoldable(path, &error))?;
        let path = path.to_owned();
        Ok(Self { path, file, _lock: lock, entries, sheet, length, doubtful: false })
    }

    /// Appends an entry, now. When this returns its number, it is on the disk.
    ///
    /// # Errors
    /// Where it makes no sense on this job (nothing is written then), or where it cannot be written:
    /// then the journal holds what it held before.
    pub fn append(&mut self, event: Event) -> Result<u64, JournalError> {
        self.append_at(event, Timestamp::now())
    }

    /// As [`Journal::append`], at a time that the caller says. A clock that went backwards is no
    /// matter: entries go by their numbers. It shows in [`Journal::went_backwards`].
    ///
    /// # Errors
    /// As [`Journal::append`].
    pub fn append_at(&mut self, event: Event, time: Timestamp) -> Result<u64, JournalError> {
        if self.doubtful {
            return Err(JournalError::Doubtful { path: self.path.clone() });
        }
        let sequence = self.entries.len() as u64 + 1;
        let entry = Logged { sequence, time, event };
        let sheet = self.with(&entry).and_then(|sheet| readable(sheet, sequence));
        let sheet = sheet.map_err(JournalError::Refused)?;
        let line = line::write(&entry).map_err(|why| JournalError::unwritable(&self.path, why))?;
        if let Err(error) = self.write(line.as_bytes()) {
            self.take_back();
            return Err(JournalError::io("be written", &self.path, &error));
        }
        self.length += line.len() as u64;
        self.entries.push(entry);
        self.sheet = sheet;
        Ok(sequence)
    }

    /// The sheet with one more entry.
    fn with(&self, entry: &Logged) -> Result<JobSheet, FoldError> {
        if let Event::Undo { .. } = entry.event {
            let mut entries = self.entries.clone();
            entries.push(entry.clone());
            return fold(&entries);
        }
        let mut sheet = self.sheet.clone();
        fold::apply(&mut sheet, entry)?;
        Ok(sheet)
    }

    fn write(&mut self, line: &[u8]) -> std::io::Result<()> {
        self.file.seek(SeekFrom::Start(self.length))?;
        self.file.write_all(line)?;
        let synced = self.file.sync_data();
        // What a failed sync left on the disk nobody knows, and a second one may say that all is well.
        self.doubtful |= synced.is_err();
        synced
    }

    /// Half an entry is taken out again, so that the next one stands on a line of its own.
    fn take_back(&mut self) {
        let cut = self.file.set_len(self.length).and_then(|()| self.file.sync_data());
        self.doubtful |= cut.is_err();
    }

    /// The sheet that the journal folds to.
    #[must_use]
    pub fn sheet(&self) -> &JobSheet {
        &self.sheet
    }

    /// Every entry, in order, those that were taken back among them.
    #[must_use]
    pub fn entries(&self) -> &[Logged] {
        &self.entries
    }

    /// Where it lies.
    #[must_use]
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The entries whose time lies before that of the one before: the clock went backwards.
    #[must_use]
    pub fn went_backwards(&self) -> Vec<u64> {
        went_backwards(&self.entries)
    }
}

/// The entries whose time lies before that of the one before: the clock went backwards between them.
#[must_use]
pub fn went_backwards(entries: &[Logged]) -> Vec<u64> {
    let pairs = entries.iter().zip(entries.iter().skip(1));
    pairs
        .filter(|(before, after)| after.time < before.time)
        .map(|(_, after)| after.sequence)
        .collect()
}

/// The sheet, where it can be written and read again: what no sheet may say is refused before it is
/// in the journal for good.
fn readable(sheet: JobSheet, sequence: u64) -> Result<JobSheet, FoldError> {
    match read_sheet("", &write_toml(&sheet), SheetFormat::Toml) {
        Ok(_) => Ok(sheet),
        Err(errors) => match errors.into_iter().next() {
            None => Ok(sheet),
            Some(error) => Err(FoldError::Unsound { sequence, error: error.at(Place::default()) }),
        },
    }
}

/// A new name in a folder is on the disk only when the folder is.
fn sync_folder(path: &Path) -> std::io::Result<()> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    #[cfg(unix)]
    File::open(folder.unwrap_or(Path::new(".")))?.sync_all()?;
    // Elsewhere a folder cannot be opened as a file, and names are synced with their files.
    #[cfg(not(unix))]
    let _ = folder;
    Ok(())
}
