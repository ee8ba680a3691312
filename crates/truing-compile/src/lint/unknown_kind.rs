//! `unknown-kind`: a kind of quantity that is not known.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::KindName;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("unknown-kind"),
    severity: Severity::Error,
    title: "A kind of quantity that is not known",
    explain: "\
A kind is one word of the catalogue (`dc_voltage`, not `voltage`: dc, ac and peak are never mixed), or one declared with `kind`.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
reading rest "Battery at rest" : dc_votlage
check charged "Battery is charged" : rest >= 12.4 V
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
reading rest "Battery at rest" : dc_voltage
check charged "Battery is charged" : rest >= 12.4 V
"#,
};

pub(crate) fn finding(name: &KindName, nearest: Option<&str>) -> Diagnostic {
    let message = format!("there is no kind of quantity `{}`", name.node);
    let finding = Diagnostic::error(DOC.slug, name.span, message);
    match nearest {
        Some(nearest) => finding.mend_by(
            format!("the nearest is `{nearest}`"),
            vec![(name.span, nearest.to_owned())],
        ),
        None => finding.mend("see the list of kinds, or declare one with `kind`"),
    }
}
