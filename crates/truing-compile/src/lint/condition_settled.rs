//! `condition-settled`: a condition of a procedure that comes out one way only, or never.

use truing_engine::procedure::Settled;
use truing_model::CheckId;
use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

use super::list;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("condition-settled"),
    severity: Severity::Warning,
    title: "A condition that comes out one way only",
    explain: "\
On every way through the procedure that leads here, what came out before has settled the condition, so that one of its \
ways is never taken. Or it is never known, and the procedure ends here for everybody: no step before it takes what it \
asks about, or what it asks about is never judged (a limit that is not specified; a check whose `when` does not hold on \
this way).",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
procedure flat "Battery goes flat" {
    take charged
    if charged fails { advise "Charge the battery." stop }
    if charged passes { advise "Look for a drain." }
}
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
procedure flat "Battery goes flat" {
    take charged
    if charged fails { advise "Charge the battery." stop }
    advise "Look for a drain."
}
"#,
};

pub(crate) fn finding(
    condition: Span,
    settled: &Settled,
    labels: impl Fn(&[CheckId]) -> Vec<String>,
) -> Diagnostic {
    let warning = |text: String| Diagnostic::warning(DOC.slug, condition, text);
    match settled {
        Settled::Holds => warning("this always holds here: what came before has settled it".into())
            .mend("leave the condition out"),
        Settled::Fails => warning("this never holds here: what came before has settled it".into())
            .mend("leave the condition out, with what is done where it holds"),
        Settled::Untaken(checks) => {
            let named = labels(checks);
            let text = format!(
                "this is never known here: no step before it takes what {} reads",
                list(named.iter().map(String::as_str))
            );
            warning(text).mend("take it first")
        }
        Settled::Never => warning(
            "this is never known here: what it asks about is not judged on any way to it".into(),
        )
        .mend("ask about something that is judged, or take first what it waits for"),
    }
}
