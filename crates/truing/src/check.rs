//! Checking many files at once.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use rayon::prelude::*;
use truing_compile::{Checked, Session};
use truing_syntax::{Diagnostic, FileId, Label, Severity, Sources, Span};

use crate::compiled::Compiled;
use crate::error::Error;
use crate::library::{Libraries, Remembered};
use crate::text::read_text;
use crate::walk::find_specs;

/// How files are checked.
#[derive(Clone, Debug)]
pub struct CheckOptions {
    /// Where a `use` finds its library.
    pub libraries: Libraries,
}

impl Default for CheckOptions {
    fn default() -> Self {
        Self { libraries: Libraries::new() }
    }
}

/// What came of checking files.
#[derive(Clone, Debug, Default)]
pub struct CheckRun {
    /// One for each file that could be read, in the order given; in a directory by name.
    pub files: Vec<FileCheck>,
    /// Paths that stand for nothing, and files that cannot be read.
    pub errors: Vec<Error>,
    /// The texts that the findings point into: each file and each library once.
    pub sources: Arc<Sources>,
}

impl CheckRun {
    /// The findings of all files, each once: what is wrong with a library is found again by every
    /// spec that uses it.
    #[must_use]
    pub fn findings(&self) -> Vec<Diagnostic> {
        let mut seen: BTreeMap<(Span, &str), Vec<&Diagnostic>> = BTreeMap::new();
        let mut all = Vec::new();
        for finding in self.files.iter().flat_map(|file| &file.findings) {
            let same = seen.entry((finding.primary().span, finding.slug().0)).or_default();
            if !same.contains(&finding) {
                same.push(finding);
                all.push(finding.clone());
            }
        }
        all
    }

    /// Whether a path was wrong or a finding is an error.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        !self.errors.is_empty() || self.files.iter().any(FileCheck::has_errors)
    }
}

/// What came of checking one file.
#[derive(Clone, Debug)]
pub struct FileCheck {
    /// The file.
    pub path: PathBuf,
    /// What was found, with places in [`CheckRun::sources`].
    pub findings: Vec<Diagnostic>,
    /// The spec, ready to be asked, where the file is one and has no errors.
    pub compiled: Option<Compiled>,
    /// Whether the file is a library.
    pub library: bool,
    /// The names of the libraries that it uses, before what uses them.
    pub uses: Vec<Arc<str>>,
}

impl FileCheck {
    /// Whether a finding is an error.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity() == Severity::Error)
    }
}

/// Checks the files that `paths` stand for, several at a time; the result is the same as one after
/// another. Shared libraries are read and parsed once.
#[must_use]
pub fn check_paths(paths: &[PathBuf], options: &CheckOptions) -> CheckRun {
    let (files, mut errors) = find_specs(paths);
    let session = Session::new();
    let library = Remembered::new(&options.libraries);
    let one = |path: &PathBuf| {
        let text = read_text(path)?;
        Ok(check_one(&session, &library, &path.display().to_string(), text))
    };
    let checked: Vec<Result<Lone, Error>> = match files.as_slice() {
        // Starting threads takes longer than most files do.
        [only] => vec![one(only)],
        many => many.par_iter().map(one).collect(),
    };
    let mut joined = Joined::default();
    let mut done = Vec::with_capacity(files.len());
    for (path, result) in files.into_iter().zip(checked) {
        match result {
            Ok(lone) => done.push(joined.take(path, lone)),
            Err(error) => errors.push(error),
        }
    }
    CheckRun { files: done, errors, sources: Arc::new(joined.sources) }
}

/// Checks one text as [`check_paths`] does a file; `name` is its path, or what stands for it.
#[must_use]
pub fn check_text(name: &str, text: &str, options: &CheckOptions) -> CheckRun {
    let library = Remembered::new(&options.libraries);
    let lone = check_one(&Session::new(), &library, name, text.to_owned());
    let mut joined = Joined::default();
    let file = joined.take(Path::new(name).to_owned(), lone);
    CheckRun { files: vec![file], errors: Vec::new(), sources: Arc::new(joined.sources) }
}

/// One file checked, with texts of its own.
struct Lone {
    sources: Arc<Sources>,
    findings: Vec<Diagnostic>,
    compiled: Option<Compiled>,
    library: bool,
    uses: Vec<Arc<str>>,
}

fn check_one(session: &Session, library: &Remembered<'_>, name: &str, text: String) -> Lone {
    let mut sources = Sources::new();
    let file = sources.add(name, text);
    let checked = session.check(&mut sources, file, library);
    let Checked { spec, findings, library, uses, texts } = checked;
    let sources = Arc::new(sources);
    // Here and not where the files are joined: the plan is made beside those of other files.
    let compiled =
        spec.map(|spec| Compiled::of_spec(spec, sources.clone(), texts, findings.clone()));
    Lone { sources, findings, compiled, library, uses }
}

/// The texts of many checks as one list, in which each text stands once.
#[derive(Default)]
struct Joined {
    sources: Sources,
    known: BTreeMap<String, Vec<FileId>>,
}

impl Joined {
    fn take(&mut self, path: PathBuf, lone: Lone) -> FileCheck {
        let ids: Vec<FileId> =
            lone.sources.iter().map(|(_, file)| self.add(file.name(), file.text())).collect();
        let moved = |span: Span| match ids.get(span.file.0 as usize) {
            Some(id) => Span { file: *id, ..span },
            None => span,
        };
        let findings = lone.findings.iter().map(|it| with_spans(it, &moved)).collect();
        let Lone { compiled, library, uses, .. } = lone;
        FileCheck { path, findings, compiled, library, uses }
    }

    fn add(&mut self, name: &str, text: &str) -> FileId {
        let same_name = self.known.entry(name.to_owned()).or_default();
        let sources = &self.sources;
        let is_it = |id: &&FileId| sources.get(**id).is_some_and(|file| file.text() == text);
        if let Some(id) = same_name.iter().find(is_it) {
            return *id;
        }
        let id = self.sources.add(name, text);
        same_name.push(id);
        id
    }
}

/// The same finding with its places moved.
fn with_spans(finding: &Diagnostic, moved: &dyn Fn(Span) -> Span) -> Diagnostic {
    let Label { span, text } = finding.primary();
    let message = finding.message();
    let mut out = match finding.severity() {
        Severity::Error => Diagnostic::error(finding.slug(), moved(*span), message),
        Severity::Warning => Diagnostic::warning(finding.slug(), moved(*span), message),
    };
    out = out.here(text.clone());
    for Label { span, text } in finding.labels() {
        out = out.label(moved(*span), text.clone());
    }
    for note in finding.notes() {
        out = out.note(note.clone());
    }
    if let Some(mend) = finding.mending() {
        let edits = mend.edits.iter().map(|(span, new)| (moved(*span), new.clone())).collect();
        out = out.mend_by(mend.text.clone(), edits);
    }
    out
}
