//! From a file to text: size, encoding, the marks that editors leave.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use crate::error::SheetError;
use crate::format::SheetFormat;
use crate::read;
use crate::sheet::{JobSheet, Place};
use crate::slugs;

/// The largest sheet that is read, in bytes.
pub const MAX_SHEET_BYTES: u64 = 16 * 1024 * 1024;

const BYTE_ORDER_MARK: char = '\u{FEFF}';

/// Reads a sheet from a file. Its format is told by the end of its name, and where that is none of
/// the three, by its look.
///
/// # Errors
/// Every mistake of the sheet that shows without a spec, or why the file cannot be read.
pub fn read_sheet_file(path: &Path) -> Result<JobSheet, Vec<SheetError>> {
    let name = path.display().to_string();
    let bytes = read_bytes(path).map_err(|error| vec![error.file(&name)])?;
    read_sheet_bytes(&name, &bytes, SheetFormat::of_path(path))
}

/// Reads a sheet from bytes, as they come from a file or a pipe; without a format, by its look.
///
/// # Errors
/// Every mistake of the sheet that shows without a spec.
pub fn read_sheet_bytes(
    name: &str,
    bytes: &[u8],
    format: Option<SheetFormat>,
) -> Result<JobSheet, Vec<SheetError>> {
    if bytes.len() as u64 > MAX_SHEET_BYTES {
        return Err(vec![too_large(bytes.len() as u64).file(name)]);
    }
    let text = decode(bytes).map_err(|error| vec![error.file(name)])?;
    read_sheet(name, text, format.unwrap_or_else(|| SheetFormat::guess(text)))
}

/// Reads a sheet from text. `name` stands in its messages.
///
/// # Errors
/// Every mistake of the sheet that shows without a spec.
pub fn read_sheet(
    name: &str,
    text: &str,
    format: SheetFormat,
) -> Result<JobSheet, Vec<SheetError>> {
    if text.len() as u64 > MAX_SHEET_BYTES {
        return Err(vec![too_large(text.len() as u64).file(name)]);
    }
    let text = text.strip_prefix(BYTE_ORDER_MARK).unwrap_or(text);
    if text.trim().is_empty() {
        let error = SheetError::new(slugs::EMPTY_SHEET, "there is nothing in this sheet")
            .mend("write `[readings]` and below it a line for each: battery_rest = \"12.71 V\"");
        return Err(vec![error.file(name)]);
    }
    read::read(name, text, format)
}

fn read_bytes(path: &Path) -> Result<Vec<u8>, SheetError> {
    let fail = |error: io::Error| unreadable(&error);
    let file = File::open(path).map_err(fail)?;
    let about = file.metadata().map_err(fail)?;
    if about.is_dir() {
        return Err(SheetError::new(slugs::SHEET_UNREADABLE, "this is a directory, not a sheet"));
    }
    if about.len() > MAX_SHEET_BYTES {
        return Err(too_large(about.len()));
    }
    // A pipe or a growing file says no size beforehand: the reader is capped as well.
    let mut bytes = Vec::new();
    file.take(MAX_SHEET_BYTES + 1).read_to_end(&mut bytes).map_err(fail)?;
    Ok(bytes)
}

fn unreadable(error: &io::Error) -> SheetError {
    let why = match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        io::ErrorKind::PermissionDenied => "this file may not be read".to_owned(),
        _ => format!("this file cannot be read: {error}"),
    };
    SheetError::new(slugs::SHEET_UNREADABLE, why)
}

fn too_large(bytes: u64) -> SheetError {
    let message =
        format!("the sheet has {bytes} bytes, and the largest that is read has {MAX_SHEET_BYTES}");
    SheetError::new(slugs::SHEET_TOO_LARGE, message)
}

fn decode(bytes: &[u8]) -> Result<&str, SheetError> {
    if bytes.starts_with(&[0xFF, 0xFE]) || bytes.starts_with(&[0xFE, 0xFF]) {
        return Err(SheetError::new(slugs::SHEET_ENCODING, "the sheet is written in UTF-16")
            .at(Place::line(1))
            .mend("save it as UTF-8"));
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let sound = bytes.get(..error.valid_up_to()).unwrap_or(bytes);
        let line = sound.iter().filter(|byte| **byte == b'\n').count() + 1;
        let byte = bytes.get(error.valid_up_to()).copied().unwrap_or(0);
        SheetError::new(
            slugs::SHEET_ENCODING,
            format!("the sheet is not UTF-8: byte 0x{byte:02X} does not belong there"),
        )
        .at(Place::line(line))
        .mend("save it as UTF-8")
    })
}
