//! Where a `use` finds its library.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Component, Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use truing_compile::{Library, LoadError, Loaded};

use crate::error::Error;
use crate::std_table::{self, FOLDERS, STD};
use crate::text::read_text;
use crate::walk::{EXTENSION, normal};

/// What stands before the name of a library that is compiled in: no file's path looks so.
const BUILT_IN: &str = "built in: ";
/// So many names of a folder are looked at for one that was meant.
const MOST_NAMES: usize = 1000;

/// Resolves `use "path"`: beside the file that uses it, then for `std/…` and `meters/…` in the nearest
/// folder above that file that holds it, then in the given roots, then in the library that is compiled in.
///
/// A path is relative and written with `/` and without `.truing`.
#[derive(Clone, Debug, Default)]
pub struct Libraries {
    roots: Vec<PathBuf>,
    disk: bool,
}

impl Libraries {
    /// From the disk, and the library that is compiled in.
    #[must_use]
    pub fn new() -> Self {
        Self { roots: Vec::new(), disk: true }
    }

    /// The library that is compiled in and nothing else: for texts that nobody vouches for.
    #[must_use]
    pub fn built_in() -> Self {
        Self::default()
    }

    /// Looks below `root` as well, behind the roots given before.
    #[must_use]
    pub fn root(mut self, root: impl Into<PathBuf>) -> Self {
        self.roots.push(root.into());
        self
    }

    /// The names of the libraries that are compiled in.
    pub fn built_in_names() -> impl Iterator<Item = &'static str> {
        STD.iter().map(|(name, _)| *name)
    }

    /// The text of a library that is compiled in, `std/pm-charging`.
    #[must_use]
    pub fn built_in_text(name: &str) -> Option<&'static str> {
        STD.iter().find(|(known, _)| *known == name).map(|(_, text)| *text)
    }

    /// The first file that `path` can mean, if the disk has one.
    fn find(&self, from: &str, path: &str) -> Option<PathBuf> {
        let beside = self.folder_of(from);
        let above = beside.filter(|_| is_built_in(path)).map(folders_above).unwrap_or_default();
        let near = beside.map(Path::to_owned).into_iter().chain(above);
        near.chain(self.roots.iter().cloned())
            .map(|folder| file_of(&folder, path))
            .find(|file| file.is_file())
    }

    /// The folder of the file that uses, where that is one of the disk.
    fn folder_of<'f>(&self, from: &'f str) -> Option<&'f Path> {
        Path::new(from).parent().filter(|_| self.disk && !from.starts_with(BUILT_IN))
    }

    fn nearest(&self, from: &str, path: &str) -> Option<String> {
        let mut names: Vec<String> = Self::built_in_names().map(str::to_owned).collect();
        let beside = self.folder_of(from);
        let prefix = path.rsplit_once('/').map_or("", |(folder, _)| folder);
        for folder in beside.into_iter().chain(self.roots.iter().map(PathBuf::as_path)) {
            names.extend(names_in(&folder.join(prefix), prefix));
        }
        names.sort();
        truing_job::nearest(path, names.iter().map(String::as_str)).map(str::to_owned)
    }
}

impl Library for Libraries {
    fn load(&self, from: &str, path: &str) -> Result<Loaded, LoadError> {
        check_path(path)?;
        if let Some(file) = self.find(from, path) {
            let text = read_text(&file).map_err(unreadable)?;
            return Ok(Loaded { name: file.display().to_string().into(), text: text.into() });
        }
        // A library that is compiled in may name its neighbours without their folder.
        let folder = from.strip_prefix(BUILT_IN).and_then(|from| from.split_once('/'));
        let neighbour = folder.map(|(folder, _)| format!("{folder}/{path}"));
        for name in [Some(path.to_owned()), neighbour].into_iter().flatten() {
            if let Some(text) = Self::built_in_text(&name) {
                let name = format!("{BUILT_IN}{name}.{EXTENSION}");
                return Ok(Loaded { name: name.into(), text: text.into() });
            }
        }
        Err(LoadError::NotFound { nearest: self.nearest(from, path) })
    }

    fn packed(&self, text: &str) -> Option<&[u8]> {
        std_table::packed(text)
    }
}

/// Many checks ask for the same libraries: each is read once.
#[derive(Debug)]
pub(crate) struct Remembered<'l> {
    libraries: &'l Libraries,
    known: Mutex<BTreeMap<(PathBuf, String), Result<Loaded, LoadError>>>,
}

impl<'l> Remembered<'l> {
    pub(crate) fn new(libraries: &'l Libraries) -> Self {
        Self { libraries, known: Mutex::default() }
    }
}

impl Library for Remembered<'_> {
    fn load(&self, from: &str, path: &str) -> Result<Loaded, LoadError> {
        let folder = Path::new(from).parent().unwrap_or(Path::new("")).to_owned();
        let key = (folder, path.to_owned());
        {
            let known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
            if let Some(answer) = known.get(&key) {
                return answer.clone();
            }
        }
        // Two threads may read the same file at once; the lock is not held over the reading.
        let answer = self.libraries.load(from, path);
        self.known.lock().unwrap_or_else(PoisonError::into_inner).insert(key, answer.clone());
        answer
    }

    fn packed(&self, text: &str) -> Option<&[u8]> {
        self.libraries.packed(text)
    }
}

fn check_path(path: &str) -> Result<(), LoadError> {
    let refuse = |why: &str| Err(LoadError::Unreadable { why: why.to_owned() });
    if path.is_empty() || path.contains(['\0', '\n', '\r']) {
        return refuse("the path names no file");
    }
    if path.contains('\\') {
        return refuse("the path is written with `/`");
    }
    if path.starts_with('/') || path.contains(':') {
        return refuse(
            "the path starts from the file that uses it, or is one of `std/…` and `meters/…`",
        );
    }
    if path.ends_with(".truing") {
        return refuse("the path is written without `.truing`");
    }
    Ok(())
}

fn is_built_in(path: &str) -> bool {
    path.split_once('/').is_some_and(|(folder, _)| FOLDERS.contains(&folder))
}

/// The folders above one, the nearest first. A relative one is followed upward beyond the folder that
/// the program runs in, so that its files keep relative names.
fn folders_above(folder: &Path) -> Vec<PathBuf> {
    let mut above: Vec<PathBuf> = folder.ancestors().skip(1).map(Path::to_owned).collect();
    if folder.is_relative() {
        let here = std::env::current_dir().map_or(0, |here| here.ancestors().count() - 1);
        let leading = folder.components().filter(|part| *part == Component::ParentDir).count();
        let up = |count: usize| std::iter::repeat_n("..", count).collect::<PathBuf>();
        above.extend((leading + 1..=here).map(up));
    }
    above
}

fn file_of(folder: &Path, path: &str) -> PathBuf {
    normal(&folder.join(format!("{path}.{EXTENSION}")))
}

fn unreadable(error: Error) -> LoadError {
    LoadError::Unreadable { why: error.to_string() }
}

fn names_in(folder: &Path, prefix: &str) -> Vec<String> {
    let Ok(entries) = fs::read_dir(folder) else { return Vec::new() };
    entries
        .take(MOST_NAMES)
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|end| end == EXTENSION))
        .filter_map(|path| path.file_stem()?.to_str().map(str::to_owned))
        .map(|name| if prefix.is_empty() { name } else { format!("{prefix}/{name}") })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tree(files: &[(&str, &str)]) -> tempfile::TempDir {
        let dir = tempfile::tempdir().unwrap();
        for (file, text) in files {
            let path = dir.path().join(file);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, text).unwrap();
        }
        dir
    }

    fn load(
        libraries: &Libraries,
        dir: &tempfile::TempDir,
        from: &str,
        path: &str,
    ) -> Result<String, LoadError> {
        let from = dir.path().join(from).display().to_string();
        libraries.load(&from, path).map(|loaded| loaded.text.to_string())
    }

    #[test]
    fn the_nearest_file_wins() {
        let dir = tree(&[
            ("demo/a.truing", ""),
            ("demo/common.truing", "beside"),
            ("roots/common.truing", "root"),
            ("roots/other.truing", "root"),
        ]);
        let libraries = Libraries::new().root(dir.path().join("roots"));
        assert_eq!(load(&libraries, &dir, "demo/a.truing", "common"), Ok("beside".to_owned()));
        assert_eq!(load(&libraries, &dir, "demo/a.truing", "other"), Ok("root".to_owned()));
        assert_eq!(
            load(&libraries, &dir, "demo/a.truing", "../roots/common"),
            Ok("root".to_owned())
        );
    }

    #[test]
    fn authors_of_the_std_library_see_their_edits() {
        let dir = tree(&[("demo/deep/a.truing", ""), ("std/pm-charging.truing", "edited")]);
        let libraries = Libraries::new();
        assert_eq!(
            load(&libraries, &dir, "demo/deep/a.truing", "std/pm-charging"),
            Ok("edited".to_owned())
        );
    }

    #[test]
    fn a_relative_file_looks_above_the_folder_that_the_program_runs_in() {
        // The tests of this crate run in crates/truing, and specs/std lies two folders above.
        let folders = folders_above(Path::new("a/b"));
        let first: Vec<_> = folders.iter().take(4).map(|folder| folder.to_str().unwrap()).collect();
        assert_eq!(first, ["a", "", "..", "../.."]);
        let from_above = folders_above(Path::new("../specs/demo"));
        assert_eq!(from_above[..4], ["../specs", "..", "", "../.."].map(PathBuf::from));
    }

    #[test]
    fn without_a_disk_only_the_compiled_in_library_is_there() {
        let dir =
            tree(&[("a.truing", ""), ("b.truing", "b"), ("std/pm-charging.truing", "edited")]);
        let libraries = Libraries::built_in();
        assert!(load(&libraries, &dir, "a.truing", "b").is_err());
        let text = load(&libraries, &dir, "a.truing", "std/pm-charging").unwrap();
        assert_eq!(Some(text.as_str()), Libraries::built_in_text("std/pm-charging"));
    }

    #[test]
    fn one_file_has_one_name_however_it_was_reached() {
        let dir = tree(&[("demo/a.truing", ""), ("lib/b.truing", ""), ("lib/c.truing", "")]);
        let libraries = Libraries::new();
        let name = |from: &str, path: &str| {
            let from = dir.path().join(from).display().to_string();
            libraries.load(&from, path).unwrap().name
        };
        assert_eq!(name("demo/a.truing", "../lib/c"), name("lib/b.truing", "c"));
    }

    #[test]
    fn what_is_not_there_names_what_was_probably_meant() {
        let dir = tree(&[("a.truing", ""), ("brakes.truing", "")]);
        let libraries = Libraries::new();
        let nearest = |path| match load(&libraries, &dir, "a.truing", path) {
            Err(LoadError::NotFound { nearest }) => nearest,
            other => panic!("{other:?}"),
        };
        assert_eq!(nearest("braks").as_deref(), Some("brakes"));
        assert_eq!(nearest("std/pm-chargin").as_deref(), Some("std/pm-charging"));
        assert_eq!(nearest("something/else"), None);
    }

    #[test]
    fn a_path_that_leaves_the_folders_is_refused() {
        let libraries = Libraries::new();
        for path in ["", "/etc/passwd", "a\\b", "c:/a", "a.truing", "a\0b"] {
            let answer = libraries.load("a.truing", path);
            assert!(matches!(answer, Err(LoadError::Unreadable { .. })), "{path}");
        }
    }

    #[test]
    fn a_library_that_is_not_utf_8_says_so() {
        let dir = tree(&[("a.truing", "")]);
        fs::write(dir.path().join("b.truing"), b"\xFF").unwrap();
        let answer = load(&Libraries::new(), &dir, "a.truing", "b");
        assert!(matches!(answer, Err(LoadError::Unreadable { why }) if why.contains("UTF-8")));
    }
}
