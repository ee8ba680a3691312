//! From a file to text: size and encoding.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use crate::error::Error;

/// The largest spec that is read, in bytes.
pub const MAX_SPEC_BYTES: u64 = 16 * 1024 * 1024;

/// Reads a spec's text; a byte order mark at its beginning is passed over.
///
/// # Errors
/// Where the file is missing, unreadable, too large (before it is read whole) or not UTF-8.
pub fn read_text(path: &Path) -> Result<String, Error> {
    let fail = |error: io::Error| of_io(path, &error);
    let file = File::open(path).map_err(fail)?;
    let about = file.metadata().map_err(fail)?;
    if about.is_dir() {
        let why = "this is a directory".to_owned();
        return Err(Error::Unreadable { path: path.into(), why });
    }
    let too_large = |bytes| Error::TooLarge { path: path.into(), bytes, limit: MAX_SPEC_BYTES };
    if about.len() > MAX_SPEC_BYTES {
        return Err(too_large(about.len()));
    }
    // A pipe says no size beforehand: the reader is capped as well.
    let mut bytes = Vec::new();
    let read = file.take(MAX_SPEC_BYTES + 1).read_to_end(&mut bytes).map_err(fail)?;
    if read as u64 > MAX_SPEC_BYTES {
        return Err(too_large(read as u64));
    }
    let text = String::from_utf8(bytes).map_err(|error| {
        let byte = error.utf8_error().valid_up_to();
        let sound = error.as_bytes().get(..byte).unwrap_or(&[]);
        let line = sound.iter().filter(|byte| **byte == b'\n').count() + 1;
        Error::Encoding { path: path.into(), line, byte }
    })?;
    Ok(match text.strip_prefix('\u{FEFF}') {
        Some(rest) => rest.to_owned(),
        None => text,
    })
}

/// What the system says of a path.
pub(crate) fn of_io(path: &Path, error: &io::Error) -> Error {
    match error.kind() {
        io::ErrorKind::NotFound => Error::Missing { path: path.into() },
        io::ErrorKind::PermissionDenied => {
            Error::Unreadable { path: path.into(), why: "it may not be read".to_owned() }
        }
        _ => Error::Unreadable { path: path.into(), why: error.to_string() },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn written(bytes: &[u8]) -> (tempfile::TempDir, std::path::PathBuf) {
        let dir = tempfile::tempdir().unwrap();
        let path = dir.path().join("a.truing");
        std::fs::write(&path, bytes).unwrap();
        (dir, path)
    }

    #[test]
    fn a_byte_order_mark_is_passed_over() {
        let (_dir, path) = written("\u{FEFF}spec a \"A\" {}\n".as_bytes());
        assert_eq!(read_text(&path).unwrap(), "spec a \"A\" {}\n");
    }

    #[test]
    fn a_text_that_is_not_utf_8_is_named_with_its_line() {
        let (_dir, path) = written(b"spec\n\n\xE9");
        assert!(matches!(read_text(&path), Err(Error::Encoding { line: 3, byte: 6, .. })));
    }

    #[test]
    fn what_is_missing_or_a_directory_says_so() {
        let (dir, path) = written(b"");
        assert!(matches!(read_text(dir.path()), Err(Error::Unreadable { .. })));
        let gone = path.with_file_name("gone.truing");
        assert!(matches!(read_text(&gone), Err(Error::Missing { .. })));
    }

    #[test]
    fn a_file_that_is_too_large_is_refused_before_it_is_read() {
        let (_dir, path) = written(b"");
        // A sparse file: no byte of it is written.
        File::options().write(true).open(&path).unwrap().set_len(MAX_SPEC_BYTES + 1).unwrap();
        let error = read_text(&path).unwrap_err();
        assert!(matches!(error, Error::TooLarge { bytes, .. } if bytes == MAX_SPEC_BYTES + 1));
    }
}
