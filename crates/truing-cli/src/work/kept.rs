//! What is kept of a job: its journal, and beside it the sheet that it comes to.

use std::fs::{self, OpenOptions};
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;
use truing::job::journal::{Event, Journal, JournalError, Logged, Opened, Torn, fold, unfold};
use truing::job::{JobSheet, read_sheet_file, write_toml};
use truing::report::Problem;
use truing_work::{NotKept, Record};

use super::files::JobFiles;

/// The journal of a job, and its sheet.
pub struct Kept {
    files: JobFiles,
    /// None until the first entry of a new job.
    journal: Option<Journal>,
    /// Of a job that is not begun.
    empty: JobSheet,
    /// The sheet was changed by hand since it was written: it is set aside before the next is.
    by_hand: bool,
}

impl Kept {
    /// Opens what is kept of a job, with what there is to say of it.
    ///
    /// # Errors
    /// Where another process has it open, or its journal or sheet cannot be read.
    pub fn open(files: JobFiles) -> Result<(Self, Vec<String>), Vec<Problem>> {
        let mut notes = Vec::new();
        if !files.journal.exists() && files.sheet.exists() {
            let sheet = read_sheet_file(&files.sheet).map_err(problems)?;
            begin_from(&files, &sheet).map_err(broken)?;
            notes.push(format!("Begun from the sheet {}.", files.sheet.display()));
        }
        let mut kept = Self { files, journal: None, empty: JobSheet::default(), by_hand: false };
        if kept.files.journal.exists() {
            let Opened { journal, torn, .. } =
                Journal::open(&kept.files.journal).map_err(broken)?;
            notes.extend(torn.map(|torn| torn_words(&torn)));
            if !journal.went_backwards().is_empty() {
                notes.push(
                    "The clock of this computer went backwards while the job was open: times on the sheet may \
                     be wrong. Entries go by their order."
                        .to_owned(),
                );
            }
            kept.by_hand = changed_by_hand(&kept.files.sheet, journal.entries());
            if kept.by_hand {
                notes.push(format!(
                    "{} was changed by hand. The journal counts; the changed sheet is set aside beside it when \
                     the sheet is written anew.",
                    kept.files.sheet.display()
                ));
            }
            kept.journal = Some(journal);
        }
        Ok((kept, notes))
    }
}

impl Record for Kept {
    fn append(&mut self, event: Event) -> Result<u64, NotKept> {
        match (&mut self.journal, event) {
            (Some(journal), event) => journal.append(event).map_err(not_kept),
            (None, Event::Opened(header)) => {
                let journal = Journal::create(&self.files.journal, header).map_err(not_kept)?;
                self.journal = Some(journal);
                Ok(1)
            }
            (None, _) => Err(NotKept("the job is not begun".to_owned())),
        }
    }

    fn entries(&self) -> &[Logged] {
        self.journal.as_ref().map_or(&[], Journal::entries)
    }

    fn sheet(&self) -> &JobSheet {
        self.journal.as_ref().map_or(&self.empty, Journal::sheet)
    }

    fn settle(&mut self) -> Result<(), NotKept> {
        let path = &self.files.sheet;
        let told = |error: io::Error| NotKept(format!("{}: {error}", path.display()));
        if self.by_hand {
            set_aside(path).map_err(told)?;
        }
        write_whole(path, &write_toml(self.sheet())).map_err(told)?;
        self.by_hand = false;
        Ok(())
    }
}

/// A journal that folds to a sheet: whole under its name, or not there.
fn begin_from(files: &JobFiles, sheet: &JobSheet) -> Result<(), JournalError> {
    let begun = files.journal.with_extension("journal-begun");
    // What a crash left of an earlier try.
    let _ = fs::remove_file(&begun);
    let mut events = unfold(sheet).into_iter();
    let Some(Event::Opened(header)) = events.next() else { return Ok(()) };
    let mut journal = Journal::create(&begun, header)?;
    for event in events {
        journal.append(event)?;
    }
    drop(journal);
    fs::rename(&begun, &files.journal).map_err(|error| JournalError::Io {
        path: files.journal.clone(),
        what: "be created",
        kind: error.kind(),
        why: error.to_string(),
    })
}

/// Whether a sheet says what the journal said at no time: else it is the one that was written when the
/// job was left, or an older one.
fn changed_by_hand(path: &Path, entries: &[Logged]) -> bool {
    if !path.exists() {
        return false;
    }
    let Ok(sheet) = read_sheet_file(path) else { return true };
    let content = sheet.content();
    let at = |length: usize| entries.get(..length).and_then(|entries| fold(entries).ok());
    (1..=entries.len()).rev().all(|length| at(length).is_none_or(|it| it.content() != content))
}

/// Puts a file out of the way under a name that is free.
fn set_aside(path: &Path) -> io::Result<()> {
    for number in 1..1000 {
        let mut aside = path.as_os_str().to_owned();
        aside.push(format!(".by-hand-{number}"));
        let aside = PathBuf::from(aside);
        match OpenOptions::new().write(true).create_new(true).open(&aside) {
            Ok(_) => return fs::rename(path, &aside),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::other("too many changed sheets lie beside it"))
}

/// Writes a file by way of another, so that there is no half of it at any time.
fn write_whole(path: &Path, text: &str) -> io::Result<()> {
    let folder = path.parent().filter(|it| !it.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut file = NamedTempFile::new_in(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    file.persist(path).map_err(|error| error.error)?;
    Ok(())
}

fn torn_words(torn: &Torn) -> String {
    format!(
        "The last entry was not written whole when the program or the computer stopped, and had not been \
         acknowledged: {} bytes, set aside in {}. Everything before it is here.",
        torn.bytes,
        torn.path.display()
    )
}

fn not_kept(error: JournalError) -> NotKept {
    NotKept(error.to_string())
}

fn broken(error: JournalError) -> Vec<Problem> {
    vec![Problem::new("journal", error.to_string())]
}

fn problems(errors: Vec<truing::SheetError>) -> Vec<Problem> {
    errors.iter().map(Problem::from).collect()
}
