//! `word-unknown`: a word that the observation never has.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::Name;

use super::list;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("word-unknown"),
    severity: Severity::Error,
    title: "A word that the observation never has",
    explain: "\
An observation has one of its own words, and so has a property of words. Another word would never be seen.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
observation connector "Connector" : clean, burnt
check sound "Connector is sound" : connector is not brunt
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
observation connector "Connector" : clean, burnt
check sound "Connector is sound" : connector is not burnt
"#,
};

pub(crate) fn finding(word: &Name, subject: &Name, known: &[Name], nearest: Option<&str>) -> Diagnostic {
    let words = list(known.iter().map(|name| &*name.node));
    let message = format!("`{}` is never `{}`; its words are {words}", subject.node, word.node);
    let finding = Diagnostic::error(DOC.slug, word.span, message);
    match nearest {
        Some(near) => {
            finding.mend_by(format!("the nearest is `{near}`"), vec![(word.span, near.to_owned())])
        }
        None => finding,
    }
}

/// The same with words that are no longer spanned: from a checked spec.
pub(crate) fn of_slot(word: &Name, subject: &str, known: &[String], nearest: Option<&str>) -> Diagnostic {
    let words = list(known.iter().map(String::as_str));
    let message = format!("`{subject}` is never `{}`; its words are {words}", word.node);
    let finding = Diagnostic::error(DOC.slug, word.span, message);
    match nearest {
        Some(near) => {
            finding.mend_by(format!("the nearest is `{near}`"), vec![(word.span, near.to_owned())])
        }
        None => finding,
    }
}

/// A word asked of a property that is a figure.
pub(crate) fn no_words(subject: &Name) -> Diagnostic {
    let message = format!("`{}` is a figure and has no words", subject.node);
    Diagnostic::error(DOC.slug, subject.span, message).mend("compare it: `serial <= 4100`")
}
