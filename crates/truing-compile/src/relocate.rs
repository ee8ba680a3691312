//! Findings in the order of places, with the ids of the caller's sources.

use std::collections::BTreeMap;

use truing_syntax::{Diagnostic, FileId, Severity, Sources, Span};

use crate::files::Files;

/// Sorts, drops repeats and warnings inside used libraries, and maps the spans of libraries into
/// `sources`, adding the texts that are needed.
pub(crate) fn relocate(
    files: &Files,
    sources: &mut Sources,
    findings: Vec<Diagnostic>,
) -> Vec<Diagnostic> {
    let main = files.main().map(|member| member.parsed.id);
    let place = |id: FileId| {
        let index = files.members.iter().position(|member| member.parsed.id == id);
        (Some(id) != main, index)
    };
    let mut kept: Vec<Diagnostic> = findings
        .into_iter()
        .filter(|finding| {
            finding.severity() == Severity::Error || Some(finding.primary().span.file) == main
        })
        .collect();
    kept.sort_by_cached_key(|finding| {
        let span = finding.primary().span;
        (place(span.file), span.start, span.end, finding.slug(), finding.message().to_owned())
    });
    kept.dedup();
    let mut ids = BTreeMap::new();
    if let Some(id) = main {
        ids.insert(id, id);
    }
    kept.into_iter().map(|finding| moved(&finding, files, sources, &mut ids)).collect()
}

fn moved(
    finding: &Diagnostic,
    files: &Files,
    sources: &mut Sources,
    ids: &mut BTreeMap<FileId, FileId>,
) -> Diagnostic {
    let mut map = |span: Span| {
        let file =
            *ids.entry(span.file).or_insert_with(|| known_or_added(files, sources, span.file));
        Span { file, ..span }
    };
    let primary = map(finding.primary().span);
    let message = finding.message().to_owned();
    let mut out = match finding.severity() {
        Severity::Error => Diagnostic::error(finding.slug(), primary, message),
        Severity::Warning => Diagnostic::warning(finding.slug(), primary, message),
    };
    out = out.here(finding.primary().text.clone());
    for label in finding.labels() {
        out = out.label(map(label.span), label.text.clone());
    }
    for note in finding.notes() {
        out = out.note(note.clone());
    }
    if let Some(mend) = finding.mending() {
        let edits = mend.edits.iter().map(|(span, text)| (map(*span), text.clone())).collect();
        out = out.mend_by(mend.text.clone(), edits);
    }
    out
}

fn known_or_added(files: &Files, sources: &mut Sources, id: FileId) -> FileId {
    let Some(member) = files.of(id) else { return id };
    let parsed = &member.parsed;
    let known = sources
        .iter()
        .find(|(_, source)| source.name() == &*parsed.name && source.text() == &*parsed.text)
        .map(|(id, _)| id);
    known.unwrap_or_else(|| sources.add(parsed.name.clone(), parsed.text.clone()))
}
