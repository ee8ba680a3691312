//! One process at a time. The lock is the system's, on the journal itself, so that it ends with the
//! process that holds it however that ends.

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use fs4::{FileExt, TryLockError};

use super::error::JournalError;

/// The lock on a journal while it is held. Who holds it stands in a small file beside it, which is
/// of no weight: it may be stale or missing.
#[derive(Debug)]
pub(super) struct Lock {
    holder: PathBuf,
}

impl Lock {
    /// Takes the lock, or says which process has it. It is held as long as `file` is open.
    pub(super) fn take(file: &File, path: &Path) -> Result<Self, JournalError> {
        let holder = holder_beside(path);
        match FileExt::try_lock(file) {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let written = fs::read_to_string(&holder).unwrap_or_default();
                let process = written.trim().parse().ok();
                return Err(JournalError::InUse { path: path.to_owned(), process });
            }
            Err(TryLockError::Error(error)) => {
                return Err(JournalError::io("be locked", path, &error));
            }
        }
        // In a folder that may not be written to the lock holds as well.
        let _ = fs::write(&holder, format!("{}\n", std::process::id()));
        Ok(Self { holder })
    }
}

impl Drop for Lock {
    fn drop(&mut self) {
        let _ = fs::remove_file(&self.holder);
    }
}

fn holder_beside(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".open");
    PathBuf::from(name)
}
