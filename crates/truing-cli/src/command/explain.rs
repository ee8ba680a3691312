//! `truing explain`: more on a finding.

use serde_json::json;
use truing::job::nearest;
use truing::report::Problem;
use truing::syntax::{Severity, SlugDoc};
use truing::{all_slugs, explain};

use crate::arguments::ExplainArguments;
use crate::failure;
use crate::output::Output;
use crate::status::Status;

/// Says more on the finding that the arguments name.
pub fn run(arguments: &ExplainArguments, output: &mut Output) -> Status {
    match &arguments.name {
        Some(name) if !arguments.list => one(name, output),
        _ => list(output),
    }
}

fn one(name: &str, output: &mut Output) -> Status {
    // People copy the name as it is shown: `error[unit-mismatch]:`.
    let name = name.rsplit('[').next().unwrap_or(name).trim_end_matches([':', ']']);
    match explain(name) {
        Some(doc) if output.json() => output.document(&document([doc])),
        Some(doc) => output.say(&page(doc)),
        None => return unknown(name, output),
    }
    Status::Pass
}

fn list(output: &mut Output) -> Status {
    if output.json() {
        let json = document(all_slugs());
        output.document(&json);
        return Status::Pass;
    }
    let width = all_slugs().map(|doc| doc.slug.0.len()).max().unwrap_or(0);
    for doc in all_slugs() {
        output.line(&format!("{:<width$}  {:<7}  {}", doc.slug.0, severity(doc), doc.title));
    }
    Status::Pass
}

fn page(doc: &SlugDoc) -> String {
    let mut out = format!("{} ({})\n{}\n", doc.slug.0, severity(doc), doc.title);
    for (heading, text) in [("", doc.explain), ("Wrong:", doc.wrong), ("Right:", doc.right)] {
        let text = text.trim_end();
        if text.is_empty() {
            continue;
        }
        out.push('\n');
        if heading.is_empty() {
            out.push_str(text);
            out.push('\n');
            continue;
        }
        out.push_str(&format!("{heading}\n"));
        for line in text.lines() {
            out.push_str(format!("    {line}").trim_end());
            out.push('\n');
        }
    }
    out
}

const fn severity(doc: &SlugDoc) -> &'static str {
    match doc.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    }
}

fn document<'d>(docs: impl IntoIterator<Item = &'d SlugDoc>) -> serde_json::Value {
    let docs: Vec<&SlugDoc> = docs.into_iter().collect();
    json!({ "format": "truing-slugs", "version": 1, "slugs": docs })
}

fn unknown(name: &str, output: &mut Output) -> Status {
    let mend = match nearest(name, all_slugs().map(|doc| doc.slug.0)) {
        Some(near) => format!("did you mean `{near}`?"),
        None => "`truing explain --list` names them all".to_owned(),
    };
    let message = format!("no finding is called `{name}`");
    failure::tell(output, &[Problem::new("unknown-finding", message).mend(mend)])
}
