//! `printed-units-disagree`: a limit printed in two units that disagree.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("printed-units-disagree"),
    severity: Severity::Error,
    title: "A limit printed in two units that disagree",
    explain: "\
The same limit printed twice must be the same within the rounding that its digits imply: half a unit of the last digit of each. A digit \
slipped, or the conversion was made the wrong way round. The finding shows the exact conversion and what should be printed.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading nut "Axle nut" : torque
limit axle_nut : torque = 60 .. 70 N.m (54 .. 52 lbf.ft) cite sheet
check tight "Axle nut" : nut within axle_nut
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading nut "Axle nut" : torque
limit axle_nut : torque = 60 .. 70 N.m (44 .. 52 lbf.ft) cite sheet
check tight "Axle nut" : nut within axle_nut
"#,
};

/// One figure that disagrees; the exact conversion and the one that should be printed.
#[derive(Debug)]
pub(crate) struct Figure {
    pub printed: String,
    pub exact: String,
    pub should: String,
    /// The change of the text that prints it so.
    pub edit: (Span, String),
}

pub(crate) fn finding(span: Span, first: Span, figures: &[Figure]) -> Diagnostic {
    let mut finding = Diagnostic::error(DOC.slug, span, "the two printings of this limit disagree")
        .label(first, "the limit itself");
    for figure in figures {
        let Figure { printed, exact, should, .. } = figure;
        finding = finding.note(format!("{printed} is {exact}; printed it should be {should}"));
    }
    match figures {
        [Figure { should, edit, .. }] => {
            finding.mend_by(format!("print `{should}`, or mend the first figure"), vec![edit.clone()])
        }
        _ => finding,
    }
}

pub(crate) fn other_form(span: Span, first: Span) -> Diagnostic {
    Diagnostic::error(DOC.slug, span, "the second printing of this limit has another form than the first")
        .label(first, "the limit itself")
        .mend("print the same ends in both units")
}
