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

/// Writes a file: replaces its text as [`rewrite`] does, or makes it, and then so that it is never
/// there half-written.
///
/// # Errors
/// [`RewriteError`]; what stood there before still does.
pub fn write(path: &Path, text: &str) -> Result<(), RewriteError> {
    if path.try_exists()? {
        return rewrite(path, text);
    }
    let directory = path.parent().filter(|parent| *parent != Path::new(""));
    let mut builder = tempfile::Builder::new();
    builder.prefix(".truing-");
    // A temporary file is its owner's alone; what is written here is a file like others.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    let mut fresh = builder.tempfile_in(directory.unwrap_or_else(|| Path::new(".")))?;
    fresh.write_all(text.as_bytes())?;
    fresh.as_file().sync_all()?;
    fresh.persist_noclobber(path).map_err(|error| error.error)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use std::fs;

    use super::{RewriteError, rewrite, write};

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
    fn a_new_file_is_made_and_an_old_one_replaced() {
        let directory = tempfile::tempdir().unwrap();
        let path = directory.path().join("a.html");
        for text in ["first", "second"] {
            write(&path, text).unwrap();
            assert_eq!(fs::read_to_string(&path).unwrap(), text);
        }
        assert_eq!(fs::read_dir(directory.path()).unwrap().count(), 1);
        assert!(write(&directory.path().join("gone/a.html"), "x").is_err());
        assert!(write(directory.path(), "x").is_err());
    }

    #[test]
    fn a_file_that_is_gone_is_an_error() {
        let directory = tempfile::tempdir().unwrap();
        let gone = directory.path().join("gone.truing");
        assert!(matches!(rewrite(&gone, "new"), Err(RewriteError::Refused(_))));
        assert!(!gone.exists());
    }
}
