//! From paths to the files that they stand for.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Component, Path, PathBuf};

use crate::error::Error;
use crate::text::of_io;

/// What a spec's or library's file name ends in.
pub const EXTENSION: &str = "truing";

/// Directories are followed so deep.
const DEEPEST: usize = 64;

/// The files that `paths` stand for, and what is wrong with the others.
///
/// A file stands for itself, whatever its name ends in; a directory for every file below it that
/// ends in `.truing`, in order of name. Directories whose name begins with a point and links to
/// directories are passed over. A file that is named twice is there once.
#[must_use]
pub fn find_specs(paths: &[PathBuf]) -> (Vec<PathBuf>, Vec<Error>) {
    let mut walk = Walk::default();
    for path in paths {
        let path = normal(path);
        match fs::metadata(&path) {
            Ok(about) if about.is_dir() => {
                let before = (walk.found.len(), walk.errors.len(), walk.passed_over);
                walk.directory(&path, 0);
                if before == (walk.found.len(), walk.errors.len(), walk.passed_over) {
                    walk.errors.push(Error::NoSpecs { path });
                }
            }
            Ok(_) => walk.file(path),
            Err(error) => walk.errors.push(of_io(&path, &error)),
        }
    }
    (walk.found, walk.errors)
}

#[derive(Default)]
struct Walk {
    found: Vec<PathBuf>,
    seen: BTreeSet<PathBuf>,
    /// How many files came a second time.
    passed_over: usize,
    errors: Vec<Error>,
}

impl Walk {
    fn file(&mut self, path: PathBuf) {
        if self.seen.insert(path.clone()) {
            self.found.push(path);
        } else {
            self.passed_over += 1;
        }
    }

    fn directory(&mut self, path: &Path, depth: usize) {
        if depth > DEEPEST {
            let why = format!("directories are nested deeper than {DEEPEST}");
            self.errors.push(Error::Unreadable { path: path.into(), why });
            return;
        }
        let listed = fs::read_dir(path).and_then(Iterator::collect::<Result<Vec<_>, _>>);
        let mut entries = match listed {
            Ok(entries) => entries,
            Err(error) => return self.errors.push(of_io(path, &error)),
        };
        entries.sort_by_key(fs::DirEntry::file_name);
        for entry in entries {
            let inner = normal(&path.join(entry.file_name()));
            match entry.file_type() {
                Ok(kind) if kind.is_dir() => {
                    if !entry.file_name().as_encoded_bytes().starts_with(b".") {
                        self.directory(&inner, depth + 1);
                    }
                }
                Ok(_) if inner.extension().is_some_and(|end| end == EXTENSION) => {
                    if !inner.is_dir() {
                        self.file(inner);
                    }
                }
                Ok(_) => {}
                Err(error) => self.errors.push(of_io(&inner, &error)),
            }
        }
    }
}

/// The path without `.` and without a `..` that has a name before it, so that one file has one name
/// however it was reached.
pub(crate) fn normal(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir
                if matches!(out.components().next_back(), Some(Component::Normal(_))) =>
            {
                out.pop();
            }
            other => out.push(other),
        }
    }
    if out.as_os_str().is_empty() { PathBuf::from(".") } else { out }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tree(files: &[&str]) -> tempfile::TempDir {
        let dir = tempfile::tempdir().unwrap();
        for file in files {
            let path = dir.path().join(file);
            fs::create_dir_all(path.parent().unwrap()).unwrap();
            fs::write(path, "").unwrap();
        }
        dir
    }

    fn names(dir: &Path, found: &[PathBuf]) -> Vec<String> {
        found.iter().map(|p| p.strip_prefix(dir).unwrap().display().to_string()).collect()
    }

    #[test]
    fn a_directory_is_walked_in_order_of_name() {
        let dir = tree(&["b.truing", "a/z.truing", "a/a.truing", "a/notes.txt", ".git/x.truing"]);
        let (found, errors) = find_specs(&[dir.path().to_owned()]);
        assert!(errors.is_empty());
        assert_eq!(names(dir.path(), &found), ["a/a.truing", "a/z.truing", "b.truing"]);
    }

    #[test]
    fn a_file_named_twice_is_there_once() {
        let dir = tree(&["a/a.truing"]);
        let file = dir.path().join("a/a.truing");
        let round_about = dir.path().join("a/../a/./a.truing");
        let (found, errors) = find_specs(&[file.clone(), round_about, dir.path().to_owned()]);
        assert!(errors.is_empty(), "{errors:?}");
        assert_eq!(found, [file]);
    }

    #[test]
    fn what_is_found_below_the_point_has_the_name_that_it_is_called_by() {
        // The tests of this crate run in crates/truing.
        let here = [PathBuf::from("."), PathBuf::from("../../specs")];
        let (found, _) = find_specs(&here);
        assert!(!found.is_empty());
        assert!(found.iter().all(|path| *path == normal(path)), "{found:?}");
    }

    #[test]
    fn a_file_is_taken_whatever_its_name_ends_in() {
        let dir = tree(&["notes.txt"]);
        let file = dir.path().join("notes.txt");
        assert_eq!(find_specs(std::slice::from_ref(&file)).0, [file]);
    }

    #[test]
    fn what_stands_for_nothing_is_an_error_and_hides_nothing_else() {
        let dir = tree(&["empty/notes.txt", "a.truing"]);
        let paths = ["gone", "empty", "a.truing"].map(|name| dir.path().join(name));
        let (found, errors) = find_specs(&paths);
        assert_eq!(names(dir.path(), &found), ["a.truing"]);
        assert!(matches!(errors.as_slice(), [Error::Missing { .. }, Error::NoSpecs { .. }]));
    }

    #[test]
    fn paths_have_one_name() {
        for (written, name) in [
            ("./a", "a"),
            ("a/../b", "b"),
            ("../a", "../a"),
            ("../../a/..", "../.."),
            (".", "."),
            ("a/..", "."),
            ("/../a", "/../a"),
        ] {
            assert_eq!(normal(Path::new(written)), Path::new(name), "{written}");
        }
    }
}
