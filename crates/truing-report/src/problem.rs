//! What is wrong with a sheet or a call, for people and for programs (`truing-errors`, version 1).

use serde::Serialize;
use serde_json::{Value, json};
use truing_job::SheetError;

use crate::layout::{hanging, shown};
use crate::style::{Style, Tone};

/// One thing wrong with a sheet or a call.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Problem {
    /// Its stable name.
    pub slug: String,
    /// What is wrong, in one line.
    pub message: String,
    /// The file that it is about.
    pub file: Option<String>,
    /// The line, from 1.
    pub line: Option<usize>,
    /// The entry of a sheet that it is about, `to_ground[U]`.
    pub entry: Option<String>,
    /// What mends it.
    pub mend: Option<String>,
}

impl Problem {
    /// Something wrong that has no place in a file.
    #[must_use]
    pub fn new(slug: impl Into<String>, message: impl Into<String>) -> Self {
        Self {
            slug: slug.into(),
            message: message.into(),
            file: None,
            line: None,
            entry: None,
            mend: None,
        }
    }

    /// Says which file it is about.
    #[must_use]
    pub fn file(mut self, name: impl Into<String>) -> Self {
        self.file = Some(name.into());
        self
    }

    /// Says what mends it.
    #[must_use]
    pub fn mend(mut self, text: impl Into<String>) -> Self {
        self.mend = Some(text.into());
        self
    }
}

impl From<&SheetError> for Problem {
    fn from(error: &SheetError) -> Self {
        Self {
            slug: error.slug.0.to_owned(),
            message: error.message.clone(),
            file: Some(error.file.clone()).filter(|file| !file.is_empty()),
            line: error.line,
            entry: error.entry.clone(),
            mend: error.mend.clone(),
        }
    }
}

/// Problems as people read them, in the order given.
#[must_use]
pub fn render_problems(problems: &[Problem], style: Style) -> String {
    problems.iter().map(|problem| render(problem, style)).collect()
}

fn render(problem: &Problem, style: Style) -> String {
    let entry = problem.entry.as_ref().map_or(String::new(), |entry| format!("{entry}: "));
    let head = format!("error[{}]", problem.slug);
    let message = shown(&format!("{entry}{}", problem.message));
    let mut out = format!("{}: {message}\n", style.paint(Tone::Bad, &head));
    if let Some(file) = &problem.file {
        let line = problem.line.map_or(String::new(), |line| format!(":{line}"));
        out.push_str(&format!(" --> {}{line}\n", shown(file)));
    }
    if let Some(mend) = &problem.mend {
        out.push_str(&hanging("  = help: ", &shown(mend), style.columns()));
    }
    out
}

/// Problems as JSON; `schema/truing-errors.schema.json` describes it.
#[must_use]
pub fn problems_json(problems: &[Problem]) -> Value {
    json!({ "format": "truing-errors", "version": 1, "errors": problems })
}

#[cfg(test)]
mod tests {
    use super::{Problem, problems_json, render_problems};
    use crate::style::Style;

    fn problem() -> Problem {
        Problem {
            line: Some(12),
            entry: Some("batery_rest".to_owned()),
            ..Problem::new("unknown-reading", "the spec has no such reading")
                .file("monday.toml")
                .mend("did you mean `battery_rest`?")
        }
    }

    #[test]
    fn a_problem_reads_like_a_finding_in_a_spec() {
        assert_eq!(
            render_problems(&[problem()], Style::PLAIN),
            "error[unknown-reading]: batery_rest: the spec has no such reading\n \
             --> monday.toml:12\n  = help: did you mean `battery_rest`?\n"
        );
    }

    #[test]
    fn a_problem_without_a_place_is_one_line() {
        let text =
            render_problems(&[Problem::new("no-sheet", "no readings are given")], Style::PLAIN);
        assert_eq!(text, "error[no-sheet]: no readings are given\n");
    }

    #[test]
    fn json_names_every_field() {
        let json = problems_json(&[problem(), Problem::new("x", "y")]);
        assert_eq!(json["errors"][0]["line"], 12);
        assert!(json["errors"][1]["file"].is_null());
    }
}
