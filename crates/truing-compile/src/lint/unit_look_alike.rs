//! `unit-look-alike`: a unit that looks like another.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc, Span};

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("unit-look-alike"),
    severity: Severity::Error,
    title: "A unit that looks like another",
    explain: "\
Some spellings stand for another unit than the one meant, or for several: `Kohm` has the letter of kelvin, `MOHM` may be milliohm or \
megohm. They are not guessed at.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading coil "Winding" : resistance
limit winding : resistance = min 1 Kohm cite sheet
check clear "Winding is clear" : coil within winding
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading coil "Winding" : resistance
limit winding : resistance = min 1 kohm cite sheet
check clear "Winding is clear" : coil within winding
"#,
};

pub(crate) fn finding(span: Span, text: &str, meant: &[String], why: &str) -> Diagnostic {
    let message = format!("`{text}` is not taken as a unit: {why}");
    let finding = Diagnostic::error(DOC.slug, span, message);
    match meant {
        [] => finding,
        [one] => finding.mend_by(format!("write `{one}`"), vec![(span, one.clone())]),
        several => finding.mend(format!("write {}", several.join(" or "))),
    }
}
