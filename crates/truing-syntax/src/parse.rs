//! The entries: a file, an expression, a reading, a conversion, a path.

use std::sync::Arc;

use pest::Parser as _;

use crate::build::Builder;
use crate::diagnostic::{Diagnostic, Severity};
use crate::grammar::{Rule, TruingParser};
use crate::names::Names;
use crate::scanner::{Comment, Cut, scan};
use crate::span::{FileId, Span, Spanned};
use crate::tree::{File, Item, Name, Text};

/// What was read from a file.
#[derive(Clone, Debug)]
pub struct Parsed {
    /// What could be read.
    pub tree: File,
    /// What could not, in the order of the text.
    pub findings: Vec<Diagnostic>,
    /// All comments in order.
    pub comments: Vec<Comment>,
    /// Names of items that could not be read: they exist, though the tree does not have them.
    pub unread: Vec<Name>,
}

/// Reads a file as far as it can be read.
#[must_use]
pub fn parse(file: FileId, text: &str) -> Parsed {
    let scan = scan(file, text);
    let mut names = Names::default();
    let mut findings = Vec::new();
    let mut items = Vec::with_capacity(scan.cuts.len());
    for cut in &scan.cuts {
        let slice = text.get(cut.start..cut.end).unwrap_or("");
        let base = cut.start as u32;
        match TruingParser::parse(Rule::one_item, slice) {
            Ok(mut pairs) => {
                let mut builder =
                    Builder::new(file, base, &scan.comments, &mut names, &mut findings);
                if let Some(pair) = pairs.next()
                    && let Ok(kind) = builder.item(pair)
                {
                    let span = Span::new(file, cut.start as u32, cut.end as u32);
                    items.push(Item { doc: doc_of(text, &scan.comments, cut), kind, span });
                }
            }
            Err(error) => {
                let place = match error.location {
                    pest::error::InputLocation::Pos(at) => at,
                    pest::error::InputLocation::Span((at, _)) => at,
                };
                let at = base + place as u32;
                findings.push(Diagnostic::error(
                    crate::slugs::SYNTAX,
                    Span::new(file, at, at),
                    format!("{:?}", error.variant),
                ));
            }
        }
    }
    Parsed { tree: File { items }, findings, comments: scan.comments, unread: Vec::new() }
}

/// Reads a file that must have no errors.
///
/// # Errors
/// All findings, where one of them is an error.
pub fn parse_strict(file: FileId, text: &str) -> Result<File, Vec<Diagnostic>> {
    let parsed = parse(file, text);
    if parsed.findings.iter().any(|finding| finding.severity() == Severity::Error) {
        Err(parsed.findings)
    } else {
        Ok(parsed.tree)
    }
}

/// The lines of a doc comment without their `##` and one blank.
fn doc_of(text: &str, comments: &[Comment], cut: &Cut) -> Vec<Text> {
    let lines = comments.get(cut.doc.clone()).unwrap_or(&[]);
    lines
        .iter()
        .map(|comment| {
            let span = comment.span;
            let line = text.get(span.start as usize..span.end as usize).unwrap_or("");
            let line = line.trim_start_matches('#');
            Spanned { node: Arc::from(line.strip_prefix(' ').unwrap_or(line)), span }
        })
        .collect()
}
