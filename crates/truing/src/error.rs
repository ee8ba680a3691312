//! What can go wrong at the front door.

use std::fmt;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use thiserror::Error;
use truing_job::SheetError;
use truing_report::Problem;
use truing_syntax::{Diagnostic, Severity, Slug, Sources};

use crate::slugs;

/// What can go wrong at the front door. Findings in a text are not errors of the program: they come
/// as data, with the texts that they point into.
#[derive(Clone, Debug, Error)]
pub enum Error {
    /// A path that does not exist.
    #[error("{}: there is no such file or directory", path.display())]
    Missing {
        /// The path.
        path: PathBuf,
    },
    /// A directory in which, at any depth, no file ends in `.truing`.
    #[error("{}: no file in this directory ends in .truing", path.display())]
    NoSpecs {
        /// The directory.
        path: PathBuf,
    },
    /// A file or directory that cannot be read.
    #[error("{}: cannot be read: {why}", path.display())]
    Unreadable {
        /// The path.
        path: PathBuf,
        /// What the system says.
        why: String,
    },
    /// A file that is not UTF-8.
    #[error("{}:{line}: not UTF-8; save the file as UTF-8", path.display())]
    Encoding {
        /// The file.
        path: PathBuf,
        /// The line of the first byte that does not belong.
        line: usize,
        /// The place of that byte in the file, from 0.
        byte: usize,
    },
    /// A file that is larger than any spec.
    #[error("{}: has {bytes} bytes, and the largest spec that is read has {limit}", path.display())]
    TooLarge {
        /// The file.
        path: PathBuf,
        /// Its size; of a pipe, as far as it was read.
        bytes: u64,
        /// The largest size that is read.
        limit: u64,
    },
    /// A text with errors in it.
    #[error("{0}")]
    Refused(Refused),
    /// A library where a spec is due: its limits are open.
    #[error("{name}: this is a library; a spec that uses it can be compiled")]
    Library {
        /// The text's name.
        name: String,
    },
    /// A reading, observation or property that does not fit the spec.
    #[error(transparent)]
    Sheet(#[from] SheetError),
}

impl Error {
    /// Its stable name, which [`explain`](fn@crate::explain) takes.
    #[must_use]
    pub fn slug(&self) -> Slug {
        match self {
            Self::Missing { .. } => slugs::NO_SUCH_FILE,
            Self::NoSpecs { .. } => slugs::NO_SPECS,
            Self::Unreadable { .. } => slugs::UNREADABLE,
            Self::Encoding { .. } => slugs::NOT_UTF8,
            Self::TooLarge { .. } => slugs::FILE_TOO_LARGE,
            Self::Refused(_) => slugs::SPEC_IN_ERROR,
            Self::Library { .. } => slugs::IS_A_LIBRARY,
            Self::Sheet(error) => error.slug,
        }
    }

    /// The same as a report shows it.
    #[must_use]
    pub fn problem(&self) -> Problem {
        let of_file = |message: &str, path: &Path| {
            Problem::new(self.slug().0, message).file(path.display().to_string())
        };
        match self {
            Self::Missing { path } => of_file("there is no such file or directory", path),
            Self::NoSpecs { path } => of_file("no file in this directory ends in .truing", path),
            Self::Unreadable { path, why } => of_file(&format!("this cannot be read: {why}"), path),
            Self::Encoding { path, line, .. } => Problem {
                line: Some(*line),
                ..of_file("this is not UTF-8", path).mend("save the file as UTF-8")
            },
            Self::TooLarge { path, bytes, limit } => {
                let message = format!("this has {bytes} bytes, and the largest spec has {limit}");
                of_file(&message, path)
            }
            Self::Refused(refused) => {
                let count = refused.errors().count();
                let message = format!("the spec has errors in it: {count}");
                Problem::new(self.slug().0, message).file(refused.name.as_str())
            }
            Self::Library { name } => {
                Problem::new(self.slug().0, "this is a library, and a spec is due here")
                    .file(name.as_str())
                    .mend("give a spec that uses it")
            }
            Self::Sheet(error) => Problem::from(error),
        }
    }
}

/// A text with errors in it: the findings, and the texts that they point into.
#[derive(Clone, Debug)]
pub struct Refused {
    /// The name of the text.
    pub name: String,
    /// The texts.
    pub sources: Arc<Sources>,
    /// The findings, warnings among them, in order of place.
    pub findings: Vec<Diagnostic>,
}

impl Refused {
    /// The findings that are errors.
    pub fn errors(&self) -> impl Iterator<Item = &Diagnostic> {
        self.findings.iter().filter(|finding| finding.severity() == Severity::Error)
    }
}

impl fmt::Display for Refused {
    /// How many errors, and the first of them with its place.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let count = self.errors().count();
        let noun = if count == 1 { "error" } else { "errors" };
        write!(f, "{}: {count} {noun}", self.name)?;
        let Some(first) = self.errors().next() else { return Ok(()) };
        let span = first.primary().span;
        match self.sources.get(span.file) {
            Some(source) => {
                let (line, column) = source.line_column(span.start);
                write!(f, "; the first at {}:{line}:{column}: ", source.name())?;
            }
            None => f.write_str("; the first: ")?,
        }
        f.write_str(first.message())
    }
}
