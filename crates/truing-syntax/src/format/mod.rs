//! Back to text: one way of laying a file out, with every comment and the same meaning.
//!
//! Built on tokens and not on the tree: a comment is a token like another and keeps its place. The
//! author's line breaks are kept, blanks and indentation are not. What would be printed is read
//! again, and printed only if it says the same.
//!
//! Read in this order: `pieces` (what is moved), `lines` (where lines break), `align` (columns).

mod align;
mod lines;
mod pieces;

use thiserror::Error;

use crate::diagnostic::{Diagnostic, Severity};
use crate::parse::{Parsed, parse};
use crate::scanner::Comment;
use crate::span::FileId;

/// The longest line that the formatter makes, in characters, where it can help it.
pub const WIDEST_LINE: usize = 100;

/// Why a text was left as it is.
#[derive(Clone, Debug, Error)]
pub enum FormatError {
    /// It does not parse.
    #[error("the text has errors and was left as it is")]
    Unparsed(Vec<Diagnostic>),
    /// What would have been printed does not say the same. A fault of the formatter.
    #[error("formatting would have changed what the text says; it was left as it is")]
    Changed,
}

/// The text of a file in the one layout.
///
/// # Errors
/// [`FormatError::Unparsed`] with the findings where the text has errors.
pub fn format(text: &str) -> Result<String, FormatError> {
    let file = FileId(0);
    let before = parse(file, text);
    if before.findings.iter().any(|finding| finding.severity() == Severity::Error) {
        return Err(FormatError::Unparsed(before.findings));
    }
    let pieces = pieces::of(text);
    let mut laid_out = lines::lay_out(&pieces);
    align::align(&mut laid_out, &pieces);
    let printed = lines::print(&laid_out, &pieces);
    let after = parse(file, &printed);
    if after.findings.is_empty() && same(&before, text, &after, &printed) {
        Ok(printed)
    } else {
        Err(FormatError::Changed)
    }
}

/// Whether two texts say the same, comments included.
fn same(before: &Parsed, text: &str, after: &Parsed, printed: &str) -> bool {
    let comments = |parsed: &Parsed, text: &str| -> Vec<String> {
        parsed.comments.iter().map(|comment| said(comment, text).to_owned()).collect()
    };
    before.tree == after.tree && comments(before, text) == comments(after, printed)
}

fn said<'t>(comment: &Comment, text: &'t str) -> &'t str {
    text.get(comment.span.start as usize..comment.span.end as usize).unwrap_or("")
}
