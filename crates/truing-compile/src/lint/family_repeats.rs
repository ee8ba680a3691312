//! `family-repeats`: a member or a word that stands twice.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::Name;

use crate::context::Findings;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("family-repeats"),
    severity: Severity::Error,
    title: "A member or a word that stands twice",
    explain: "\
The members of a family, and the words of an observation or a property, are told apart by name: each stands once.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
family wheel = front, rear, rear
reading tyre[wheel] "Tyre {wheel}" : gauge_pressure
check good[wheel] "Tyre {wheel}" : tyre[wheel] within 60 .. 80 kPa
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
family wheel = front, rear
reading tyre[wheel] "Tyre {wheel}" : gauge_pressure
check good[wheel] "Tyre {wheel}" : tyre[wheel] within 60 .. 80 kPa
"#,
};

pub(crate) fn finding(name: &Name, first: &Name) -> Diagnostic {
    Diagnostic::error(DOC.slug, name.span, format!("`{}` stands twice", name.node))
        .here("again here")
        .label(first.span, "already here")
}

/// The same among the words of an observation or a property.
pub(crate) fn words(words: &[Name], findings: &Findings) {
    for (place, word) in words.iter().enumerate() {
        if let Some(first) = words.iter().take(place).find(|other| other.node == word.node) {
            findings.push(finding(word, first));
        }
    }
}
