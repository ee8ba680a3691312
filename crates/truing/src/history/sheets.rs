//! Which files of a folder are jobs, and reading them.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use truing_job::{JobSheet, journal, read_sheet_file};
use truing_report::history::Unreadable;

use super::first_of;
use crate::error::Error;
use crate::text::of_io;

/// How the names of jobs end; of several of one name the first is read.
const ENDS: [&str; 4] = ["journal", "toml", "json", "csv"];
/// Folders are followed so deep.
const DEEPEST: usize = 16;

/// The jobs of a folder, to any depth, each once, in order of name; and the folders in it that cannot
/// be read. Folders whose name begins with a point, and links to folders, are passed over.
pub(crate) fn find(folder: &Path) -> Result<(Vec<PathBuf>, Vec<Unreadable>), Error> {
    let about = fs::metadata(folder).map_err(|error| of_io(folder, &error))?;
    if !about.is_dir() {
        let why = "a folder of jobs is due here, and this is a file".to_owned();
        return Err(Error::Unreadable { path: folder.to_owned(), why });
    }
    let mut found = BTreeMap::new();
    let mut unreadable = Vec::new();
    walk(folder, 0, &mut found, &mut unreadable).map_err(|error| of_io(folder, &error))?;
    Ok((found.into_values().map(|(_, path)| path).collect(), unreadable))
}

/// By the path without its end, the best place among [`ENDS`] and the file.
type Found = BTreeMap<PathBuf, (usize, PathBuf)>;

fn walk(
    folder: &Path,
    depth: usize,
    found: &mut Found,
    unreadable: &mut Vec<Unreadable>,
) -> std::io::Result<()> {
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let path = entry.path();
        if entry.file_type()?.is_dir() {
            let hidden = entry.file_name().as_encoded_bytes().starts_with(b".");
            if hidden || depth == DEEPEST {
                continue;
            }
            if let Err(error) = walk(&path, depth + 1, found, unreadable) {
                let (file, why) = (path.display().to_string(), error.to_string());
                unreadable.push(Unreadable { file, why });
            }
            continue;
        }
        let end = path.extension().and_then(|end| end.to_str());
        let Some(place) = ENDS.iter().position(|known| Some(*known) == end) else { continue };
        let kept = found.entry(path.with_extension("")).or_insert((place, path.clone()));
        if place < kept.0 {
            *kept = (place, path);
        }
    }
    Ok(())
}

/// A job, or in one line why the file is none.
pub(super) fn read(path: &Path) -> Result<JobSheet, String> {
    if path.extension().is_some_and(|end| end == "journal") {
        let read = journal::read(path).map_err(|error| error.to_string())?;
        return Ok(JobSheet { file: path.display().to_string(), ..read.sheet });
    }
    read_sheet_file(path).map_err(|errors| first_of(&errors))
}
