//! Bytes from standard input and files, with a cap on how many.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use truing::report::Problem;
use truing::slugs;

/// The name of standard input in findings.
pub const NAME: &str = "standard input";

/// Everything on standard input, up to `limit` bytes.
///
/// # Errors
/// Where it cannot be read, or there is more.
pub fn bytes(limit: u64) -> Result<Vec<u8>, Problem> {
    read(std::io::stdin().lock(), limit).map_err(|problem| problem.file(NAME))
}

/// Everything in a file, up to `limit` bytes.
///
/// # Errors
/// Where it cannot be read, or there is more.
pub fn file(path: &Path, limit: u64) -> Result<Vec<u8>, Problem> {
    let name = path.display().to_string();
    let file = File::open(path).map_err(|error| unreadable(&error).file(name.as_str()))?;
    read(file, limit).map_err(|problem| problem.file(name))
}

fn read(from: impl Read, limit: u64) -> Result<Vec<u8>, Problem> {
    let mut bytes = Vec::new();
    let capped = &mut from.take(limit.saturating_add(1));
    capped.read_to_end(&mut bytes).map_err(|error| unreadable(&error))?;
    if bytes.len() as u64 > limit {
        let message = format!("there are more than {limit} bytes, the most that is read");
        return Err(Problem::new(slugs::FILE_TOO_LARGE.0, message));
    }
    Ok(bytes)
}

fn unreadable(error: &std::io::Error) -> Problem {
    Problem::new(slugs::UNREADABLE.0, format!("this cannot be read: {error}"))
}

/// A spec's text from standard input; a byte order mark at its beginning is passed over.
///
/// # Errors
/// Where it cannot be read, is too long or is not UTF-8.
pub fn spec_text() -> Result<String, Problem> {
    let text = String::from_utf8(bytes(truing::MAX_SPEC_BYTES)?).map_err(|error| {
        let byte = error.utf8_error().valid_up_to();
        let sound = error.as_bytes().get(..byte).unwrap_or(&[]);
        let line = sound.iter().filter(|byte| **byte == b'\n').count() + 1;
        Problem {
            line: Some(line),
            ..Problem::new(slugs::NOT_UTF8.0, format!("this is not UTF-8 at byte {byte}"))
                .file(NAME)
                .mend("save it as UTF-8")
        }
    })?;
    Ok(text.strip_prefix('\u{FEFF}').map(str::to_owned).unwrap_or(text))
}
