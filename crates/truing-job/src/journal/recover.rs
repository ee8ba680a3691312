//! What stands in a journal's file: whole entries, and behind the last of them perhaps what a crash
//! left half-written.

use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::error::JournalError;
use super::event::Logged;
use super::fold::fold;
use super::line::{self, Unread};
use super::sync_folder;
use crate::intake::MAX_SHEET_BYTES;
use crate::sheet::JobSheet;

/// So much of a journal is read: every entry may be taken again a few times.
const MOST_BYTES: u64 = 4 * MAX_SHEET_BYTES;
/// So many torn ends are kept of one journal.
const MOST_TORN: u32 = 10_000;

/// What was read from a journal without opening it.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovered {
    /// The whole entries.
    pub entries: Vec<Logged>,
    /// The sheet that they fold to.
    pub sheet: JobSheet,
    /// How many bytes of the file they are.
    pub length: u64,
    /// What stands behind them: an entry that was not written whole.
    pub torn: Option<Vec<u8>>,
}

/// What a crash left half-written, set aside.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Torn {
    /// The file that it is in now.
    pub path: PathBuf,
    /// The line that it stood on, from 1.
    pub line: usize,
    /// How many bytes it has.
    pub bytes: usize,
}

/// Reads a journal and changes nothing: for whoever only looks at a job, while another may be at it.
///
/// # Errors
/// Where it cannot be read, or is broken before its end.
pub fn read(path: &Path) -> Result<Recovered, JournalError> {
    let file = File::open(path).map_err(|error| JournalError::io("be opened", path, &error))?;
    recover(path, &file)
}

pub(super) fn recover(path: &Path, file: &File) -> Result<Recovered, JournalError> {
    let failed = |error| JournalError::io("be read", path, &error);
    let mut bytes = Vec::new();
    let mut from = file;
    from.seek(SeekFrom::Start(0)).map_err(failed)?;
    from.take(MOST_BYTES + 1).read_to_end(&mut bytes).map_err(failed)?;
    if bytes.len() as u64 > MOST_BYTES {
        return Err(JournalError::TooLarge { path: path.to_owned(), limit: MOST_BYTES });
    }
    let (entries, length) = whole_entries(path, &bytes)?;
    let sheet = fold(&entries).map_err(|error| JournalError::unfoldable(path, &error))?;
    let rest = bytes.get(length..).unwrap_or_default();
    let torn = (!rest.is_empty()).then(|| rest.to_vec());
    Ok(Recovered { entries, sheet, length: length as u64, torn })
}

/// The whole entries, and where they end. Since an entry is on the disk before the next is begun,
/// only the last line can be torn: a broken one before it was damaged, and is told with its number.
fn whole_entries(path: &Path, bytes: &[u8]) -> Result<(Vec<Logged>, usize), JournalError> {
    let mut entries: Vec<Logged> = Vec::new();
    let mut from = 0;
    while let Some(rest) = bytes.get(from..).filter(|rest| !rest.is_empty()) {
        let number = entries.len() + 1;
        let end = rest.iter().position(|byte| *byte == b'\n');
        let body = rest.get(..end.unwrap_or(rest.len())).unwrap_or_default();
        let last = end.is_none_or(|end| end + 1 == rest.len());
        let read = match (end, line::read(body)) {
            (Some(end), Ok(entry)) => (end, entry),
            (None, Ok(_)) => return Ok((entries, from)),
            (_, Err(Unread::Newer(form))) => {
                return Err(JournalError::Newer { path: path.to_owned(), line: number, form });
            }
            (_, Err(Unread::Broken(_))) if last && !line::begins_with_entry(body) => {
                return Ok((entries, from));
            }
            (_, Err(Unread::Broken(why))) => {
                return Err(JournalError::Broken { path: path.to_owned(), line: number, why });
            }
        };
        let (end, entry) = read;
        if entry.sequence != number as u64 {
            let why = format!("it is numbered {}, and {number} is due", entry.sequence);
            return Err(JournalError::Broken { path: path.to_owned(), line: number, why });
        }
        entries.push(entry);
        from += end + 1;
    }
    Ok((entries, from))
}

/// Puts a torn end into a file of its own, and only then takes it out of the journal.
pub(super) fn set_aside(
    path: &Path,
    file: &File,
    length: u64,
    bytes: &[u8],
) -> Result<PathBuf, JournalError> {
    let failed = |error| JournalError::io("have its torn end set aside", path, &error);
    let (aside, mut to) = free_name(path).map_err(failed)?;
    let kept = to.write_all(bytes).and_then(|()| to.sync_all()).and_then(|()| sync_folder(path));
    if let Err(error) = kept {
        // Half a copy says less than the journal itself, which is as it was.
        let _ = std::fs::remove_file(&aside);
        return Err(failed(error));
    }
    file.set_len(length).and_then(|()| file.sync_all()).map_err(failed)?;
    Ok(aside)
}

fn free_name(path: &Path) -> io::Result<(PathBuf, File)> {
    for number in 1..=MOST_TORN {
        let mut name = path.as_os_str().to_owned();
        name.push(format!(".torn-{number}"));
        let aside = PathBuf::from(name);
        match OpenOptions::new().write(true).create_new(true).open(&aside) {
            Ok(file) => return Ok((aside, file)),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => {}
            Err(error) => return Err(error),
        }
    }
    Err(io::Error::other("there are too many torn ends beside it"))
}
