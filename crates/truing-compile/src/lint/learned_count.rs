//! `learned-count`: counts of jobs that nobody can have counted.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("learned-count"),
    severity: Severity::Error,
    title: "Counts of jobs that nobody can have counted",
    explain: "\
What was learned is counted in jobs: nought or more of each fault, and parts of a job where several faults explain it. A \
check shows a fault in no more jobs than it was judged in, and was judged in no more than the fault was the cause of; the \
bands of one check under one fault go by the same number. The author's word counts as some jobs, more than none. `truing \
learn` writes such counts from proven jobs.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 100  makes charged low }
learned demo {
    cause worn 3
    shows worn charged low 4 of 3
}
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
fault worn "Battery worn" { odds 8 of 100  makes charged low }
learned demo {
    cause worn 3
    shows worn charged low 2 of 3
}
"#,
};

pub(crate) fn below(span: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "a count of jobs is a plain number, nought or more")
}

pub(crate) fn author(span: Span) -> Diagnostic {
    let message = "the author's word counts as a number of jobs, more than none";
    Diagnostic::error(DOC.slug, span, message).mend("write `author 20`")
}

/// Seen in more jobs than judged.
pub(crate) fn more(seen: Span, judged: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, seen, "it was seen in more jobs than the check was judged in")
        .label(judged, "judged in so many")
}

/// Judged in more jobs than the fault was the cause of.
pub(crate) fn judged_more(judged: Span, fault: &str, jobs: f64) -> Diagnostic {
    let message = format!("the check was judged in more jobs than `{fault}` was the cause of: {jobs}");
    Diagnostic::error(DOC.slug, judged, message)
}

/// The bands of one check under one fault do not add up.
pub(crate) fn disagree(span: Span, check: &str, differ: bool) -> Diagnostic {
    let message = match differ {
        true => format!("`{check}` was judged in another number of jobs in the line of another band"),
        false => format!("the bands of `{check}` come to more jobs than it was judged in"),
    };
    Diagnostic::error(DOC.slug, span, message)
}
