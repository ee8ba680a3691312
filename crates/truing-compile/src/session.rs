//! Checking files, with the libraries that they share parsed once.

use std::collections::BTreeMap;
use std::sync::atomic::{AtomicU32, Ordering};
use std::sync::{Arc, Mutex, PoisonError};

use truing_model::Spec;
use truing_syntax::{Diagnostic, FileId, Severity, Sources};

use crate::context::Context;
use crate::files::{Files, Gather, ParsedFile};
use crate::library::{Library, Loaded};
use crate::{capability, declare, lower, procedures, relocate, review};

/// Ids of library texts begin here, clear of those that a run's [`Sources`] gives.
const FIRST_LIBRARY: u32 = 1 << 31;

/// What came of checking one file.
#[derive(Clone, Debug)]
pub struct Checked {
    /// The checked spec; there is one where the file is a spec and no finding is an error.
    pub spec: Option<Spec>,
    /// What was found, in order of place: first the file itself, then the libraries it uses.
    pub findings: Vec<Diagnostic>,
    /// Whether the file is a library.
    pub library: bool,
    /// The names of the libraries that it uses, directly or not, before what uses them.
    pub uses: Vec<Arc<str>>,
    /// Every text that was read: of the libraries in that order, and last of the file itself.
    pub texts: Vec<Arc<str>>,
}

impl Checked {
    /// Whether a finding is an error.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity() == Severity::Error)
    }
}

/// Checks `file`: parses it, follows every `use`, resolves names, checks kinds, lowers.
///
/// Libraries in which something was found are added to `sources`, so that every span of a finding
/// can be shown.
pub fn check(sources: &mut Sources, file: FileId, library: &dyn Library) -> Checked {
    Session::new().check(sources, file, library)
}

/// Many checks that share libraries: each library's text is parsed once. May be used from several
/// threads at a time, each with its own [`Sources`].
#[derive(Debug)]
pub struct Session {
    parsed: Mutex<BTreeMap<Arc<str>, Arc<ParsedFile>>>,
    next: AtomicU32,
}

impl Default for Session {
    fn default() -> Self {
        Self::new()
    }
}

impl Session {
    /// Nothing parsed yet.
    #[must_use]
    pub fn new() -> Self {
        Self { parsed: Mutex::new(BTreeMap::new()), next: AtomicU32::new(FIRST_LIBRARY) }
    }

    /// As [`check`], with the libraries that earlier checks of this session parsed.
    pub fn check(&self, sources: &mut Sources, file: FileId, library: &dyn Library) -> Checked {
        let (name, text): (Arc<str>, Arc<str>) = match sources.get(file) {
            Some(source) => (source.name().into(), source.text().into()),
            None => ("".into(), "".into()),
        };
        let main = Arc::new(ParsedFile::new(file, name, text));
        let (files, gathered) = Gather::new(self, library).run(main);
        let mut checked = check_files(&files, gathered);
        checked.findings = relocate::relocate(&files, sources, checked.findings);
        checked
    }

    /// The library, parsed before if its text is the same.
    pub(crate) fn parsed(&self, loaded: Loaded, library: &dyn Library) -> Arc<ParsedFile> {
        let known = {
            let parsed = self.parsed.lock().unwrap_or_else(PoisonError::into_inner);
            parsed.get(&loaded.name).cloned()
        };
        if let Some(known) = known
            && known.text == loaded.text
        {
            return known;
        }
        let id = FileId(self.next.fetch_add(1, Ordering::Relaxed));
        let packed = library.packed(&loaded.text);
        let kept = packed.and_then(|bytes| truing_syntax::unpack(bytes, id, &loaded.text));
        let (name, text) = (loaded.name.clone(), loaded.text);
        let fresh = Arc::new(match kept {
            Some(tree) => ParsedFile::sound(id, name, text, tree),
            None => ParsedFile::new(id, name, text),
        });
        let mut parsed = self.parsed.lock().unwrap_or_else(PoisonError::into_inner);
        parsed.insert(loaded.name, fresh.clone());
        fresh
    }
}

fn check_files(files: &Files, gathered: Vec<Diagnostic>) -> Checked {
    let cx: Context<'_> = declare::declare(files);
    cx.findings.extend(gathered);
    for member in &files.members {
        cx.findings.extend(member.parsed.findings.iter().cloned());
    }
    cx.check_all();
    let parts = lower::lower(&cx);
    review::review(&cx, &parts);
    let library = cx.is_library;
    let sound = !cx.findings.has_errors();
    if sound {
        procedures::check(&cx, &parts);
    }
    let spec = if sound && !library { lower::seal(&cx, parts) } else { None };
    if let Some(spec) = &spec {
        capability::check(&cx, spec);
    }
    let uses = files
        .members
        .iter()
        .take(files.main_index())
        .map(|member| member.parsed.name.clone())
        .collect();
    let texts = files.members.iter().map(|member| member.parsed.text.clone()).collect();
    Checked { spec, findings: cx.findings.take(), library, uses, texts }
}
