//! Why a journal cannot be opened, read or written.

use std::io;
use std::path::{Path, PathBuf};

use thiserror::Error;

use super::fold::FoldError;

/// Why a journal cannot be opened, read or written.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum JournalError {
    /// Another process has it open.
    #[error("{}: {} has this job open; close it there first", path.display(), process_words(*process))]
    InUse {
        /// The journal.
        path: PathBuf,
        /// The number of the process, where that is known.
        process: Option<u32>,
    },
    /// The system refuses something, or the disk is full.
    #[error("{}: the journal cannot {what}: {why}", path.display())]
    Io {
        /// The journal.
        path: PathBuf,
        /// What could not be done.
        what: &'static str,
        /// Which sort of failure it is.
        kind: io::ErrorKind,
        /// What the system says.
        why: String,
    },
    /// A line before the last is no whole entry: it was damaged or edited by hand.
    #[error(
        "{}:{line}: this entry of the journal is broken: {why}; entries behind it are whole, so \
         nothing is left out by guessing: put the line right from a copy, or move the journal away \
         and go on from the job's sheet",
        path.display()
    )]
    Broken {
        /// The journal.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
        /// What is wrong with it.
        why: String,
    },
    /// A line was written by a newer program.
    #[error("{}:{line}: this entry was written by a newer version of Truing (form {form})", path.display())]
    Newer {
        /// The journal.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
        /// The form of the line.
        form: u32,
    },
    /// Larger than any job.
    #[error("{}: the journal is larger than any job's: {limit} bytes are read", path.display())]
    TooLarge {
        /// The journal.
        path: PathBuf,
        /// So much is read.
        limit: u64,
    },
    /// The entry makes no sense on this job. Nothing was written.
    #[error(transparent)]
    Refused(FoldError),
    /// The entries of the file make no job.
    #[error("{}: {error}", path.display())]
    Unfoldable {
        /// The journal.
        path: PathBuf,
        /// The first entry that makes no sense.
        error: FoldError,
    },
    /// The disk failed before in a way after which nobody knows what is on it.
    #[error("{}: the disk failed while this journal was written; open the job again", path.display())]
    Doubtful {
        /// The journal.
        path: PathBuf,
    },
}

impl JournalError {
    pub(super) fn io(what: &'static str, path: &Path, error: &io::Error) -> Self {
        let why = match error.kind() {
            io::ErrorKind::StorageFull => "the disk is full".to_owned(),
            io::ErrorKind::ReadOnlyFilesystem => "the disk can only be read".to_owned(),
            io::ErrorKind::PermissionDenied => "this user may not write there".to_owned(),
            io::ErrorKind::NotFound => "there is no such file or folder".to_owned(),
            io::ErrorKind::AlreadyExists => "there is one already".to_owned(),
            _ => error.to_string(),
        };
        Self::Io { path: path.to_owned(), what, kind: error.kind(), why }
    }

    pub(super) fn unwritable(path: &Path, why: String) -> Self {
        let kind = io::ErrorKind::InvalidData;
        Self::Io { path: path.to_owned(), what: "be written", kind, why }
    }

    pub(super) fn unfoldable(path: &Path, error: &FoldError) -> Self {
        Self::Unfoldable { path: path.to_owned(), error: error.clone() }
    }
}

fn process_words(process: Option<u32>) -> String {
    process.map_or("another process".to_owned(), |id| format!("process {id}"))
}
