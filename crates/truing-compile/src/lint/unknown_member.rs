//! `unknown-member`: a member that the family has not.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::Name;

use super::list;
use crate::family::Family;
use crate::names::nearest;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("unknown-member"),
    severity: Severity::Error,
    title: "A member that the family has not",
    explain: "\
Between the brackets stands a member of the family, or the name of the family that the item runs over. The members of a family of pairs are \
written in the order of declaration, `U-V`.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
family phase = U, V, W
reading ground[phase] "To ground {phase}" : resistance
check clear "Winding X is clear" : ground[X] >= 1 Mohm
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
family phase = U, V, W
reading ground[phase] "To ground {phase}" : resistance
check clear "Winding W is clear" : ground[W] >= 1 Mohm
"#,
};

pub(crate) fn finding(name: &Name, family: &Family<'_>) -> Diagnostic {
    let message = format!("the family `{}` has no member `{}`", family.name.node, name.node);
    let members = family.members.iter().map(|member| &*member.label);
    let finding = Diagnostic::error(DOC.slug, name.span, message)
        .label(family.name.span, format!("its members are {}", list(members.clone())));
    match nearest(&name.node, members) {
        Some(near) => {
            finding.mend_by(format!("the nearest is `{near}`"), vec![(name.span, near.to_owned())])
        }
        None => finding,
    }
}

pub(crate) fn pair(span: Span, label: &str, family: &Family<'_>) -> Diagnostic {
    let message = format!("the family `{}` has no member `{label}`", family.name.node);
    let members = list(family.members.iter().map(|member| &*member.label));
    Diagnostic::error(DOC.slug, span, message)
        .label(family.name.span, format!("its members are {members}"))
}

pub(crate) fn turned(span: Span, written: &str, right: &str) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, format!("this pair is written `{right}`"))
        .here("in the order in which the family declares its members")
        .mend_by(format!("write `{right}` for `{written}`"), vec![(span, right.to_owned())])
}
