//! `wrong-index`: an index that does not say which member.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::{Index, Name, Path};

use super::list;
use crate::family::Family;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("wrong-index"),
    severity: Severity::Error,
    title: "An index that does not say which member",
    explain: "\
What runs over a family is asked for a member: by its name, `ground[U]`; by the family's name inside an item that runs over the same \
family, `ground[phase]`; or for all of them, in a function of several numbers or behind `any of` and `all of`. What runs over no family \
has no index.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
family phase = U, V, W
reading ground[phase] "To ground {phase}" : resistance
check clear "Windings are clear" : ground >= 1 Mohm
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
family phase = U, V, W
reading ground[phase] "To ground {phase}" : resistance
check clear "Windings are clear" : min(ground) >= 1 Mohm
"#,
};

pub(crate) fn missing(path: &Path, family: Option<&Family<'_>>) -> Diagnostic {
    let name = &path.name.node;
    let finding = Diagnostic::error(DOC.slug, path.span, format!("which `{name}` is meant?"));
    match family {
        Some(family) => {
            let members = list(family.members.iter().take(6).map(|member| &*member.label));
            finding
                .here(format!("runs over the family `{}`: {members}", family.name.node))
                .mend(format!(
                    "name the member, `{name}[…]`; or take them all: `min({name})`, `any of …`, `all of …`"
                ))
        }
        None => finding,
    }
}

pub(crate) fn no_family(path: &Path) -> Diagnostic {
    let span = index_span(path);
    let message = format!("`{}` runs over no family, so it has no index", path.name.node);
    Diagnostic::error(DOC.slug, span, message).mend("leave the index out")
}

/// An index by a family that is not the item's, or that the item does not run over.
pub(crate) fn family(path: &Path, at: &Name, found: &str, wanted: &str, runs: Option<&str>) -> Diagnostic {
    let name = &path.name.node;
    let (message, note) = match runs {
        _ if found != wanted => (
            format!("`{name}` runs over `{wanted}`, not over `{found}`"),
            "name a member, or the family that it runs over".to_owned(),
        ),
        Some(runs) => (
            format!("this item runs over `{runs}`, so there is no `{found}` at hand"),
            format!("`[{found}]` is the member at hand inside an item over `{found}`"),
        ),
        None => (
            format!("this item runs over no family, so there is no `{found}` at hand"),
            format!("`[{found}]` is the member at hand inside an item over `{found}`"),
        ),
    };
    Diagnostic::error(DOC.slug, at.span, message).note(note)
}

pub(crate) fn member_of_base(at: &Name, family: &Family<'_>, base: &Family<'_>) -> Diagnostic {
    let pairs = list(family.members.iter().take(6).map(|member| &*member.label));
    let message = format!("`{}` is a member of `{}`; a pair is wanted here", at.node, base.name.node);
    Diagnostic::error(DOC.slug, at.span, message).note(format!("the pairs are {pairs}"))
}

pub(crate) fn part(part: &Name) -> Diagnostic {
    let message = format!("a pair has a `first` and a `second`, and no `{}`", part.node);
    Diagnostic::error(DOC.slug, part.span, message)
}

pub(crate) fn not_pairs(path: &Path, at: &Name, about: Option<&str>) -> Diagnostic {
    let span = index_span(path);
    let message = match about {
        Some(about) => format!("`{}` has no parts here: this item runs over `{about}`", at.node),
        None => format!("`{}` has no parts here: this item runs over no family", at.node),
    };
    Diagnostic::error(DOC.slug, span, message).note("only a pair has a first and a second")
}

pub(crate) fn pairs_of_pairs(base: &Name) -> Diagnostic {
    let message = format!("pairs are made of a family with listed members, and `{}` is not one", base.node);
    Diagnostic::error(DOC.slug, base.span, message)
}

pub(crate) fn two_families(path: &Path, running: &str, of: &str) -> Diagnostic {
    let message = format!("two families run at once: `{running}`, and `{of}` of `{}`", path.name.node);
    Diagnostic::error(DOC.slug, path.span, message).mend("give one of them an index")
}

/// What stands between the brackets; the name where nothing does.
fn index_span(path: &Path) -> Span {
    match &path.index {
        Some(Index::One(name)) => name.span,
        Some(Index::Pair(first, second) | Index::Part(first, second)) => first.span.to(second.span),
        None => path.name.span,
    }
}
