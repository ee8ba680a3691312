//! `wrong-sort`: something of another sort than is wanted here.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::Name;

use super::list;
use crate::names::{Entry, Sort};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("wrong-sort"),
    severity: Severity::Error,
    title: "Something of another sort than is wanted here",
    explain: "\
A check has no value and a reading neither passes nor fails; a limit is kept with `within`; a word is asked with `is`; a rule is something that holds or \
does not. The finding says what stands there and what is wanted.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
check ready "Ready" : rest passes
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
reading crank "Lowest while cranking" : dc_voltage
check ready "Ready" : crank >= 9.6 V { when charged passes }
"#,
};

pub(crate) fn finding(name: &Name, entry: &Entry<'_>, wanted: &str) -> Diagnostic {
    let message = format!("`{}` is {}; {wanted} is wanted here", name.node, entry.sort.words());
    let finding = Diagnostic::error(DOC.slug, name.span, message)
        .label(entry.name.span, format!("declared as {}", entry.sort.words()));
    match entry.sort {
        Sort::Limit => finding.mend(format!("a limit is kept with `within`: `READING within {}`", name.node)),
        Sort::Check => finding.mend(format!("ask how it came out: `{} passes`", name.node)),
        _ => finding,
    }
}

/// An observation or a property of words where a number is wanted.
pub(crate) fn words(name: &Name, entry: &Entry<'_>) -> Diagnostic {
    let message = format!("`{}` is {} and has a word, not a figure", name.node, entry.sort.words());
    Diagnostic::error(DOC.slug, name.span, message)
        .label(entry.name.span, "its words stand here")
        .mend(format!("ask for a word: `{} is WORD`", name.node))
}

/// A condition where a number is wanted.
pub(crate) fn condition(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "this is true or false; a number is wanted here")
}

/// A number or a bare name where a condition is wanted.
pub(crate) fn no_condition(span: Span, sort: Option<Sort>) -> Diagnostic {
    let message = "this is neither true nor false; a condition is wanted here";
    let finding = Diagnostic::error(DOC.slug, span, message);
    match sort {
        Some(Sort::Check) => finding.here("a check").mend("ask how it came out: `… passes` or `… fails`"),
        Some(Sort::Observation) => finding.here("an observation").mend("ask for a word: `… is WORD`"),
        Some(sort) => finding.here(sort.words()).mend("compare it, `… >= 12 V`, or hold it against a limit, `… within LIMIT`"),
        None => finding.here("a number").mend("compare it, `… >= 12 V`, or hold it against a limit, `… within LIMIT`"),
    }
}

/// Something measured in the condition of a limit's arm.
pub(crate) fn in_variant(name: &Name, sort: Sort) -> Diagnostic {
    let message = format!("`{}` is {}; a property of the machine is wanted here", name.node, sort.words());
    Diagnostic::error(DOC.slug, name.span, message)
        .note("which limit holds depends on what the machine is, never on what is read")
}

pub(crate) fn condition_in_variant(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "which limit holds depends on what the machine is, never on another limit")
}

/// A line of a measurement in the body of something that is seen.
pub(crate) fn seen(span: Span, line: &str) -> Diagnostic {
    let message = format!("an observation is seen, not measured: `{line}` says nothing of it");
    Diagnostic::error(DOC.slug, span, message).mend("take the line out, or write it in a reading")
}

/// A figure where an observation's or a property's word is wanted.
pub(crate) fn word_wanted(span: Span, label: &str, words: &[String]) -> Diagnostic {
    let words = list(words.iter().map(String::as_str));
    Diagnostic::error(DOC.slug, span, format!("`{label}` has a word, not a figure"))
        .note(format!("its words are {words}"))
}

/// A word, or another form, where a figure is wanted.
pub(crate) fn figure_wanted(span: Span, label: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, format!("`{label}` has a figure, not this"))
}

/// A sweep of something that is read at one point.
pub(crate) fn no_sweep(span: Span, label: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, format!("`{label}` is read at one point, not over a sweep"))
        .note("a reading that is swept says over what: `over rotational_speed`")
}
