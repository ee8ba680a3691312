//! Replacing a file's text so that at no moment a half-written file stands in its place.

use std::fs;
use std::io::{self, Write};
use std::path::Path;

use tempfile::NamedTempFile;
use thiserror::Error;

/// Why a file was not replaced. Its old text then still stands there.
#[derive(Debug, Error)]
pub enum RewriteError {
    /// Nobody may write it: somebody meant it to stay.
    #[error("the file is read-only, and it was left as it is")]
    ReadOnly,
    /// The system refused.
    #[error("the file cannot be written: {0}")]
    Refused(#[from] io::Error),
}

/// Replaces the text of the file at `path`: writes a new file beside it and renames that over it.
/// Permissions stay. A symbolic link stays one: the file that it leads to is replaced.
///
/// # Errors
/// [`RewriteError`]; the file is as it was.
pub fn rewrite(path: &Path, text: &str) -> Result<(), RewriteError> {
    let real = fs::canonicalize(path)?;
    let permissions = fs::metadata(&real)?.permissions();
    // A rename asks only for the right to write the directory; a read-only file would be replaced
    // all the same.
    if permissions.readonly() {
        return Err(RewriteError::ReadOnly);
    }
    // The same directory, so that the rename stays within one file system.
    let directory = real.parent().unwrap_or_else(|| Path::new("."));
    let mut fresh = NamedTempFile::with_prefix_in(".truing-", directory)?;
    fresh.write_all(text.as_bytes())?;
    fs::set_permissions(fresh.path(), permissions)?;
    fresh.as_file().sync_all()?;
    fresh.persist(&real).map_err(|error| error.error)?;
    Ok(())
}

/// Writes a file of one's own making: as [`rewrite`] where there is one, else a new one, whole or not
/// at all.
///
/// # Errors
/// [`RewriteError`]; what stood there is as it was.
pub fn write_new(path: &Path, text: &str) -> Result<(), RewriteError> {
    match fs::metadata(path) {
        Ok(about) if about.is_file() => rewrite(path, text),
        // A pipe or a device is written to, not replaced.
        Ok(_) => Ok(fs::write(path, text)?),
        Err(_) => {
            let directory = path.parent().filter(|parent| !parent.as_os_str().is_empty());
            let directory = directory.unwrap_or_else(|| Path::new("."));
            let mut fresh = tempfile::Builder::new();
            fresh.prefix(".truing-");
            // As any new file, less the user's own mask; else it would be readable by nobody else.
            #[cfg(unix)]
            fresh.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
            let mut fresh = fresh.tempfile_in(directory)?;
            fresh.write_all(text.as_bytes())?;
            fresh.as_file().sync_all()?;
            fresh.persist(path).map_err(|error| error.error)?;
            Ok(())
        }
    }
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::{RewriteError, rewrite, write_new};

    #[test]
    fn a_new_file_is_there_whole_or_not_at_all() {
        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("report.html");
        write_new(&path, "one").unwrap();
        write_new(&path, "two").unwrap();
        assert_eq!(fs::read_to_string(&path).unwrap(), "two");
        let nowhere = directory.path().join("no folder/report.html");
        assert!(matches!(write_new(&nowhere, "x"), Err(RewriteError::Refused(_))));
        assert_eq!(fs::read_dir(directory.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_read_only_file_is_left_as_it_is() {
        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("a.truing");
        fs::write(&path, "old").unwrap();
        let mut permissions = fs::metadata(&path).unwrap().permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&path, permissions).unwrap();
        assert!(matches!(rewrite(&path, "new"), Err(RewriteError::ReadOnly)));
        assert_eq!(fs::read_to_string(&path).unwrap(), "old");
        assert_eq!(fs::read_dir(directory.path()).unwrap().count(), 1);
    }

    #[cfg(unix)]
    #[test]
    fn permissions_and_links_stay() {
        use std::os::unix::fs::{PermissionsExt, symlink};

        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("a.truing");
        let link = directory.path().join("link.truing");
        fs::write(&path, "old").unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(0o640)).unwrap();
        symlink(&path, &link).unwrap();
        rewrite(&link, "new").unwrap();
        assert!(fs::symlink_metadata(&link).unwrap().file_type().is_symlink());
        assert_eq!(fs::read_to_string(&path).unwrap(), "new");
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o640);
    }

    #[test]
    fn a_file_that_is_gone_is_an_error() {
        let directory = tempfile::tempdir().unwrap();
        let gone = directory.path().join("gone.truing");
        assert!(matches!(rewrite(&gone, "new"), Err(RewriteError::Refused(_))));
        assert!(!gone.exists());
    }
}
