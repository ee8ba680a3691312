//! Which file holds the spec that a job names.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use truing_job::JobSheet;

use super::HistoryOptions;
use crate::compiled::Compiled;
use crate::error::Error;
use crate::library::Libraries;
use crate::text::read_text;
use crate::walk::{EXTENSION, find_specs};

/// The specs that were found, compiled when first asked for.
pub(super) struct Specs<'o> {
    libraries: &'o Libraries,
    /// By name, the files in the order in which they are to be tried.
    files: BTreeMap<String, Vec<PathBuf>>,
    compiled: BTreeMap<PathBuf, Result<Compiled, String>>,
}

impl<'o> Specs<'o> {
    /// Looks through the paths of the options, then the folder of the jobs to any depth, then those
    /// above it.
    pub(super) fn new(folder: &Path, options: &'o HistoryOptions) -> Result<Self, Error> {
        let (mut paths, errors) = find_specs(&options.specs);
        if let Some(error) = errors.into_iter().next() {
            return Err(error);
        }
        // A folder of jobs without a spec in it is the usual one.
        let (inside, _) = find_specs(&[folder.to_owned()]);
        paths.extend(inside);
        let whole = fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
        for above in whole.ancestors().skip(1) {
            paths.extend(specs_in(above));
        }
        let mut files: BTreeMap<String, Vec<PathBuf>> = BTreeMap::new();
        for path in paths {
            for name in names_in(&path) {
                let known = files.entry(name).or_default();
                if !known.contains(&path) {
                    known.push(path.clone());
                }
            }
        }
        Ok(Self { libraries: &options.libraries, files, compiled: BTreeMap::new() })
    }

    /// The spec of this name that a job was judged by: of several the one with its text, then one of
    /// its edition, then the first.
    pub(super) fn find(&mut self, name: &str, sheet: &JobSheet) -> Result<Compiled, String> {
        let files = self.files.get(name).cloned().unwrap_or_default();
        if files.is_empty() {
            let near = truing_job::nearest(name, self.files.keys().map(String::as_str));
            let near = near.map_or(String::new(), |near| format!("; is it {near}?"));
            return Err(format!("no spec of the name {name} was found{near}"));
        }
        let mut first_error = None;
        let mut sound: Vec<Compiled> = Vec::new();
        for file in files {
            match self.compile(&file) {
                Ok(compiled) if compiled.spec().name == name => sound.push(compiled),
                Ok(_) => {}
                Err(error) => first_error = first_error.or(Some(error)),
            }
        }
        let has_text = |it: &&Compiled| sheet.spec_hash.as_deref() == Some(it.spec_hash());
        let has_edition = |it: &&Compiled| sheet.edition == it.spec().edition;
        let found = sound.iter().find(has_text).or_else(|| sound.iter().find(has_edition));
        let found = found.or_else(|| sound.first()).cloned();
        found.ok_or_else(|| first_error.unwrap_or_else(|| format!("the spec {name} is no spec")))
    }

    fn compile(&mut self, file: &Path) -> Result<Compiled, String> {
        if let Some(known) = self.compiled.get(file) {
            return known.clone();
        }
        let fresh = Compiled::from_path_with(file, self.libraries).map_err(|it| it.to_string());
        self.compiled.insert(file.to_owned(), fresh.clone());
        fresh
    }
}

/// The specs that lie in a folder itself, in order of name.
fn specs_in(folder: &Path) -> Vec<PathBuf> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|end| end == EXTENSION) && path.is_file())
        .collect();
    paths.sort();
    paths
}

/// The names that a file gives to specs: what stands behind `spec` at the beginning of a line.
/// Whether it is one is seen when it is compiled.
fn names_in(path: &Path) -> Vec<String> {
    let Ok(text) = read_text(path) else { return Vec::new() };
    let name = |line: &str| {
        let rest = line.trim_start_matches('\u{FEFF}').strip_prefix("spec")?;
        let rest = rest.strip_prefix([' ', '\t'])?.trim_start();
        let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len());
        rest.get(..end).filter(|name| !name.is_empty()).map(str::to_owned)
    };
    text.lines().filter_map(name).collect()
}
