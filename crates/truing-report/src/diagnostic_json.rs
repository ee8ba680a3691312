//! Diagnostics for programs: `truing-diagnostics`, version 1.

use serde_json::{Value, json};
use truing_syntax::{Diagnostic, Label, Severity, Sources, Span};

use crate::place_index::PlaceIndex;

/// The findings of a run as JSON, in the order given; `schema/truing-diagnostics.schema.json`
/// describes it. Lines and columns count from 1, columns in characters, bytes from 0.
#[must_use]
pub fn diagnostics_json(sources: &Sources, findings: &[Diagnostic]) -> Value {
    let places: Vec<PlaceIndex<'_>> = sources.iter().map(|(_, f)| PlaceIndex::new(f)).collect();
    let count = |severity| findings.iter().filter(|f| f.severity() == severity).count();
    json!({
        "format": "truing-diagnostics",
        "version": 1,
        "summary": {
            "errors": count(Severity::Error),
            "warnings": count(Severity::Warning),
        },
        "findings": findings.iter().map(|f| finding(&places, f)).collect::<Vec<_>>(),
    })
}

fn finding(places: &[PlaceIndex<'_>], finding: &Diagnostic) -> Value {
    let mut out = label(places, finding.primary());
    if let Value::Object(fields) = &mut out {
        fields.insert("slug".into(), finding.slug().0.into());
        fields.insert("severity".into(), json!(finding.severity()));
        fields.insert("message".into(), finding.message().into());
        let labels: Vec<_> = finding.labels().iter().map(|l| label(places, l)).collect();
        fields.insert("labels".into(), labels.into());
        fields.insert("notes".into(), json!(finding.notes()));
        fields.insert("mend".into(), mend(places, finding));
    }
    out
}

fn mend(places: &[PlaceIndex<'_>], finding: &Diagnostic) -> Value {
    finding.mending().map_or(Value::Null, |mend| {
        let edits = mend.edits.iter().map(|(span, new)| {
            let mut edit = place(places, *span);
            if let Value::Object(fields) = &mut edit {
                fields.insert("replacement".into(), new.as_str().into());
            }
            edit
        });
        json!({ "text": mend.text, "edits": edits.collect::<Vec<_>>() })
    })
}

fn label(places: &[PlaceIndex<'_>], label: &Label) -> Value {
    let mut out = place(places, label.span);
    if let Value::Object(fields) = &mut out {
        fields.insert("text".into(), label.text.as_ref().into());
    }
    out
}

fn place(places: &[PlaceIndex<'_>], span: Span) -> Value {
    let point = |index: &PlaceIndex<'_>, byte| {
        let place = index.place(byte);
        json!({ "line": place.line, "column": place.column, "byte": place.byte })
    };
    match places.get(span.file.0 as usize) {
        Some(index) => {
            let end = span.end.max(span.start);
            json!({
                "file": index.file().name(),
                "start": point(index, span.start),
                "end": point(index, end),
            })
        }
        // A span of a file that was never given: the message still goes out.
        None => json!({ "file": null, "start": null, "end": null }),
    }
}
