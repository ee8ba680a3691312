//! `family-too-large`: a family with too many members, or too few for pairs.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};
use truing_syntax::tree::Name;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("family-too-large"),
    severity: Severity::Error,
    title: "A family with too many members, or too few for pairs",
    explain: "\
A family has at most 64 members and a family of pairs at most 276 (those of 24 members); everything that runs over it is \
written out for every member. Pairs need two members.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
family cell = c1, c2, c3, c4, c5, c6, c7, c8, c9, c10, c11, c12, c13, c14, c15, c16, c17, c18, c19, c20, c21, c22, c23, c24, c25, c26, c27, c28, c29, c30, c31, c32, c33, c34, c35, c36, c37, c38, c39, c40, c41, c42, c43, c44, c45, c46, c47, c48, c49, c50, c51, c52, c53, c54, c55, c56, c57, c58, c59, c60, c61, c62, c63, c64, c65
reading cells[cell] "Cell {cell}" : dc_voltage
check good[cell] "Cell {cell}" : cells[cell] >= 2 V
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
family cell = c1, c2, c3, c4, c5, c6
reading cells[cell] "Cell {cell}" : dc_voltage
check good[cell] "Cell {cell}" : cells[cell] >= 2 V
"#,
};

pub(crate) fn finding(name: &Name, members: usize, most: usize) -> Diagnostic {
    let message = format!("the family `{}` has {members} members; {most} is the most", name.node);
    Diagnostic::error(DOC.slug, name.span, message)
}

pub(crate) fn no_pairs(name: &Name, of: &Name) -> Diagnostic {
    let message = format!("there are no pairs of `{}`: it has fewer than two members", of.node);
    Diagnostic::error(DOC.slug, name.span, message).label(of.span, "the members stand here")
}

/// Families inside families that multiply beyond all measure.
pub(crate) fn spec(span: Span, most: usize) -> Diagnostic {
    let message = format!("written out for every member this is more than {most} operations");
    Diagnostic::error(DOC.slug, span, message).mend("let fewer families run inside one another")
}
