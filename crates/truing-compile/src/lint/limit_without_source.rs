//! `limit-without-source`: a limit that nobody can look up.

use truing_syntax::{Diagnostic, Severity, Slug, SlugDoc};
use truing_syntax::tree::Name;

pub(crate) const DOC: SlugDoc = SlugDoc {
    slug: Slug("limit-without-source"),
    severity: Severity::Warning,
    title: "A limit that nobody can look up",
    explain: "\
A limit without a `cite` cannot be held against what the maker printed, by the next author or by the customer. Declare the \
document once with `source` and cite it with its page.",
    wrong: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit floor : dc_voltage = min 12.4 V
check charged "Battery is charged" : rest within floor
limit crank : dc_voltage = min 9.6 V cite sheet
reading low "Lowest while cranking" : dc_voltage
check cranks "Battery cranks" : low within crank
"#,
    right: r#"spec demo "Demonstration" { edition "1" }
source sheet "Service sheet"
reading rest "Battery at rest" : dc_voltage
limit rest_voltage : dc_voltage = min 12.4 V cite sheet
check charged "Battery is charged" : rest within rest_voltage
"#,
};

pub(crate) fn finding(name: &Name) -> Diagnostic {
    let message = format!("the limit `{}` cites no source", name.node);
    Diagnostic::warning(DOC.slug, name.span, message).mend("say where it was printed: `cite SOURCE \"page\"`")
}
