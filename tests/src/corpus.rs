//! The must-fail corpus: files with mistakes, and what each file says must be found in it.
//!
//! A file states its expectations in comments, one finding a line:
//!
//! ```text
//! # expect unit-mismatch at "12.4 ohm"
//! # expect undefined-name at "phase" #2
//! # expect limit-open at "full" in "library/battery.truing"
//! ```
//!
//! The quoted text is the whole stretch that the finding points at (`\"`, `\\` and `\n` are the
//! escapes); `#2` is its second occurrence. What stands in comment lines is no occurrence.

use std::fmt;

use truing_compile::check;
use truing_syntax::{Diagnostic, SourceFile, Sources};

use crate::place::root;
use crate::shelf::{Shelf, truing_files};

/// The folders of the corpus, by what has to notice the mistake.
pub const FOLDERS: [&str; 4] = ["syntax", "names", "kinds", "limits"];

/// One file of the corpus.
#[derive(Clone, Debug)]
pub struct MustFail {
    /// Folder and name, `kinds/torque-limit-in-joules.truing`.
    pub name: String,
    /// The whole text.
    pub text: String,
    /// The findings that it asks for, in order.
    pub expected: Vec<Found>,
}

/// A finding reduced to what a file can state of it.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Found {
    /// Its stable name.
    pub slug: String,
    /// The text that its primary span covers.
    pub text: String,
    /// Which occurrence of that text, from 1.
    pub occurrence: usize,
    /// The file that it stands in, where that is another than the one checked.
    pub file: Option<String>,
}

impl fmt::Display for Found {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let text = self.text.replace('\\', "\\\\").replace('"', "\\\"").replace('\n', "\\n");
        write!(f, "# expect {} at \"{text}\"", self.slug)?;
        if self.occurrence > 1 {
            write!(f, " #{}", self.occurrence)?;
        }
        if let Some(file) = &self.file {
            write!(f, " in \"{file}\"")?;
        }
        Ok(())
    }
}

/// The corpus, in order of names.
///
/// # Errors
/// Where a file cannot be read, or where an expectation in it cannot be.
pub fn must_fail() -> std::io::Result<Vec<MustFail>> {
    let mut corpus = Vec::new();
    for part in FOLDERS {
        for (name, text) in truing_files(&root().join("tests/must-fail").join(part))? {
            let name = format!("{part}/{name}");
            let expected = expectations(&text)
                .map_err(|line| std::io::Error::other(format!("{name}: cannot read: {line}")))?;
            corpus.push(MustFail { name, text, expected });
        }
    }
    Ok(corpus)
}

/// Checks a file of the corpus, with the corpus's own libraries.
#[must_use]
pub fn check_file(file: &MustFail) -> (Sources, Vec<Diagnostic>) {
    let mut sources = Sources::new();
    let id = sources.add(file.name.as_str(), file.text.as_str());
    let shelf = Shelf::new(vec![root().join("tests/must-fail")]);
    let checked = check(&mut sources, id, &shelf);
    (sources, checked.findings)
}

/// A finding as the corpus states it.
#[must_use]
pub fn found(sources: &Sources, main: &str, finding: &Diagnostic) -> Found {
    let span = finding.primary().span;
    let text = sources.slice(span).to_owned();
    let source = sources.get(span.file);
    let occurrence = source.map_or(1, |s| occurrence(s.text(), &text, span.start as usize));
    let file = source.map(SourceFile::name).filter(|name| *name != main).map(str::to_owned);
    Found { slug: finding.slug().0.to_owned(), text, occurrence, file }
}

/// How many times `wanted` stands in `text` up to and with the one at `at`, comment lines aside.
fn occurrence(text: &str, wanted: &str, at: usize) -> usize {
    if wanted.is_empty() {
        return 1;
    }
    let mut count = 0;
    let mut start = 0;
    for line in text.split_inclusive('\n') {
        if !line.trim_start().starts_with('#') {
            count += (0..line.len())
                .filter(|offset| start + offset <= at)
                .filter(|offset| {
                    text.get(start + offset..).is_some_and(|rest| rest.starts_with(wanted))
                })
                .count();
        }
        start += line.len();
    }
    count.max(1)
}

/// The expectations that a text states; the line that cannot be read otherwise.
fn expectations(text: &str) -> Result<Vec<Found>, String> {
    let lines = text.lines().filter_map(|line| Some((line, line.strip_prefix("# expect ")?)));
    lines.map(|(line, rest)| expectation(rest).ok_or_else(|| line.to_owned())).collect()
}

/// `SLUG at "TEXT" [#N] [in "FILE"]`
fn expectation(rest: &str) -> Option<Found> {
    let (slug, rest) = rest.split_once(" at ")?;
    let (text, rest) = quoted(rest)?;
    let rest = rest.trim();
    let (occurrence, rest) = match rest.strip_prefix('#') {
        Some(number) => {
            let (number, rest) = number.split_once(' ').unwrap_or((number, ""));
            (number.parse().ok()?, rest.trim())
        }
        None => (1, rest),
    };
    let file = match rest.strip_prefix("in ") {
        Some(rest) => Some(quoted(rest).filter(|(_, rest)| rest.trim().is_empty())?.0),
        None if rest.is_empty() => None,
        None => return None,
    };
    Some(Found { slug: slug.to_owned(), text, occurrence, file })
}

/// A quoted text at the beginning, unescaped, and what stands behind it.
fn quoted(text: &str) -> Option<(String, &str)> {
    let mut plain = String::new();
    let mut characters = text.strip_prefix('"')?.char_indices();
    while let Some((at, character)) = characters.next() {
        match character {
            '"' => return Some((plain, text.get(at + 2..)?)),
            '\\' => match characters.next()?.1 {
                'n' => plain.push('\n'),
                other => plain.push(other),
            },
            other => plain.push(other),
        }
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_expectation_reads_back_as_it_prints() {
        let found = Found {
            slug: "unclosed".into(),
            text: "\"a \\ b\n".into(),
            occurrence: 2,
            file: Some("library/ring.truing".into()),
        };
        let printed = found.to_string();
        assert_eq!(expectations(&printed), Ok(vec![found]));
    }

    #[test]
    fn comment_lines_hold_no_occurrence() {
        let text = "# 12 V\nmin 12 V max 12 V\n";
        assert_eq!(occurrence(text, "12 V", 11), 1);
        assert_eq!(occurrence(text, "12 V", 20), 2);
    }

    #[test]
    fn an_unreadable_expectation_is_named() {
        assert_eq!(expectations("# expect at nothing"), Err("# expect at nothing".to_owned()));
    }
}
