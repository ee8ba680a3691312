//! `paths-too-many`: a procedure with more ways through it than are looked at.

use truing_engine::procedure::MOST_PATHS;
use truing_syntax::tree::Name;
use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("paths-too-many"),
    severity: Severity::Warning,
    title: "A procedure with too many ways through it",
    explain: "\
Each `if` whose ways both go on behind it doubles the number of ways through a procedure. More than 1024 are not \
followed: what lies beyond was not held against the model of the faults, and no condition is called settled. A procedure \
that is followed by people stops where it has come to a conclusion.",
    wrong: WRONG,
    right: r#"spec demo "Demonstration" { edition "1" }
observation plug "Plug" : clean, wet
check dry "Plug is dry" : plug is clean
procedure start "Does not start" {
    take plug
    if dry fails { advise "Dry it."  stop }
    advise "Look elsewhere."
}
"#,
};

/// Thirteen conditions, none of which ends anything.
const WRONG: &str = r#"spec demo "Demonstration" { edition "1" }
family plug = 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13
observation seen[plug] "Plug {plug}" : clean, wet
check dry[plug] "Plug {plug} is dry" : seen[plug] is clean
procedure start "Does not start" {
    take dry
    if dry[1] fails { advise "Dry it." }
    if dry[2] fails { advise "Dry it." }
    if dry[3] fails { advise "Dry it." }
    if dry[4] fails { advise "Dry it." }
    if dry[5] fails { advise "Dry it." }
    if dry[6] fails { advise "Dry it." }
    if dry[7] fails { advise "Dry it." }
    if dry[8] fails { advise "Dry it." }
    if dry[9] fails { advise "Dry it." }
    if dry[10] fails { advise "Dry it." }
    if dry[11] fails { advise "Dry it." }
    if dry[12] fails { advise "Dry it." }
    if dry[13] fails { advise "Dry it." }
}
"#;

pub(crate) fn finding(name: &Name) -> Diagnostic {
    let message = format!("`{}` has more than {MOST_PATHS} ways through it", name.node);
    Diagnostic::warning(DOC.slug, name.span, message)
        .note("what lies beyond was not held against the model of the faults")
        .mend("stop where it has come to a conclusion, or make it several procedures")
}
