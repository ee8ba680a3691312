//! Diagnostics for people: the place in the text, what stands there, and what mends it.

use std::collections::BTreeMap;

use annotate_snippets::{
    Annotation, AnnotationKind, Group, Level, Patch, Renderer, Snippet, normalize_untrusted_str,
};
use truing_syntax::{Diagnostic, FileId, Label, Mend, Severity, Sources, Span};

use crate::place_index::PlaceIndex;
use crate::style::Style;

/// The findings in texts as people read them, in the order given, with a blank line after each.
///
/// Spans that lie outside their text are drawn at its end: a wrong span costs a wrong mark and
/// never the message.
#[must_use]
pub fn render_diagnostics(sources: &Sources, findings: &[Diagnostic], style: Style) -> String {
    let places: BTreeMap<FileId, PlaceIndex<'_>> =
        sources.iter().map(|(id, file)| (id, PlaceIndex::new(file))).collect();
    let renderer = if style.color { Renderer::styled() } else { Renderer::plain() };
    let renderer = renderer.term_width(style.columns());
    let mut out = String::new();
    for finding in findings {
        out.push_str(&renderer.render(&report(&places, finding)));
        out.push_str("\n\n");
    }
    out
}

type Places<'a> = BTreeMap<FileId, PlaceIndex<'a>>;

fn report<'a>(places: &'a Places<'a>, finding: &'a Diagnostic) -> Vec<Group<'a>> {
    let level = match finding.severity() {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let title =
        level.primary_title(normalize_untrusted_str(finding.message())).id(finding.slug().0);
    let mut first = Group::with_title(title).elements(causes(places, finding));
    for note in finding.notes() {
        first = first.element(Level::NOTE.message(normalize_untrusted_str(note)));
    }
    let mut groups = vec![first];
    groups.extend(finding.mending().map(|mend| suggestion(places, mend)));
    groups
}

/// One snippet for each file that the finding names, the primary place's file first.
fn causes<'a>(places: &'a Places<'a>, finding: &'a Diagnostic) -> Vec<Snippet<'a, Annotation<'a>>> {
    let primary = finding.primary();
    let mut by_file: Vec<(FileId, Vec<(AnnotationKind, &Label)>)> =
        vec![(primary.span.file, vec![(AnnotationKind::Primary, primary)])];
    for label in finding.labels() {
        let entry = (AnnotationKind::Context, label);
        match by_file.iter_mut().find(|(file, _)| *file == label.span.file) {
            Some((_, marks)) => marks.push(entry),
            None => by_file.push((label.span.file, vec![entry])),
        }
    }
    by_file.iter().filter_map(|(file, marks)| cause(places.get(file)?, marks)).collect()
}

fn cause<'a>(
    index: &'a PlaceIndex<'a>,
    marks: &[(AnnotationKind, &'a Label)],
) -> Option<Snippet<'a, Annotation<'a>>> {
    let window = Window::around(index, marks.iter().map(|(_, label)| label.span))?;
    let mut snippet =
        Snippet::source(window.text).line_start(window.line).path(index.file().name());
    for (kind, label) in marks {
        let mut mark = kind.span(window.inside(index.range(label.span)));
        if !label.text.is_empty() {
            mark = mark.label(normalize_untrusted_str(&label.text));
        }
        snippet = snippet.annotation(mark);
    }
    Some(snippet)
}

/// The mend: with the changed lines where it changes the text, else its words alone.
fn suggestion<'a>(places: &'a Places<'a>, mend: &'a Mend) -> Group<'a> {
    let title = Level::HELP.secondary_title(normalize_untrusted_str(&mend.text));
    let mut files: Vec<FileId> = mend.edits.iter().map(|(span, _)| span.file).collect();
    files.dedup();
    Group::with_title(title).elements(files.iter().filter_map(|file| {
        let index = places.get(file)?;
        let edits = mend.edits.iter().filter(|(span, _)| span.file == *file);
        let window = Window::around(index, edits.clone().map(|(span, _)| *span))?;
        let snippet =
            Snippet::source(window.text).line_start(window.line).path(index.file().name());
        let patches = edits
            .map(|(span, new)| Patch::new(window.inside(index.range(*span)), normalize_lines(new)));
        Some(snippet.patches(patches.collect::<Vec<_>>()))
    }))
}

/// A replacement may hold line breaks, which stay; other control characters do not.
fn normalize_lines(text: &str) -> String {
    text.split('\n').map(normalize_untrusted_str).collect::<Vec<_>>().join("\n")
}

/// The lines of a file from the first marked one to the last. Handing over these alone keeps the
/// cost of a finding to its own lines, however long the file is.
struct Window<'a> {
    text: &'a str,
    line: usize,
    start: usize,
}

impl<'a> Window<'a> {
    fn around(index: &PlaceIndex<'a>, spans: impl Iterator<Item = Span>) -> Option<Self> {
        let ranges: Vec<_> = spans.map(|span| index.range(span)).collect();
        let first = ranges.iter().map(|r| r.start).min()?;
        let last = ranges.iter().map(|r| r.end.max(r.start + 1) - 1).max()?;
        let (start, line) = index.line_start(first);
        let text = index.file().text().get(start..index.line_end(last))?;
        Some(Self { text, line, start })
    }

    fn inside(&self, range: std::ops::Range<usize>) -> std::ops::Range<usize> {
        range.start.saturating_sub(self.start)..range.end.saturating_sub(self.start)
    }
}
