//! What is wrong with a sheet: plain data, one mistake each.

use std::fmt;

use serde::Serialize;
use thiserror::Error;
use truing_syntax::Slug;
use truing_syntax::slugs::TOO_MANY_FINDINGS;

use crate::sheet::Place;

/// One mistake in a job sheet.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Error)]
pub struct SheetError {
    /// Its stable name, which `truing explain` takes.
    pub slug: Slug,
    /// What is wrong, in one line.
    pub message: String,
    /// The sheet's name as given.
    pub file: String,
    /// The line, from 1, where the format gives one.
    pub line: Option<usize>,
    /// The entry that it is about, `to_ground[U]`.
    pub entry: Option<String>,
    /// What mends it.
    pub mend: Option<String>,
}

impl SheetError {
    /// A mistake somewhere in a sheet that is not named yet.
    #[must_use]
    pub fn new(slug: Slug, message: impl Into<String>) -> Self {
        Self {
            slug,
            message: message.into(),
            file: String::new(),
            line: None,
            entry: None,
            mend: None,
        }
    }

    /// Says where it stands.
    #[must_use]
    pub fn at(mut self, place: Place) -> Self {
        self.line = place.line;
        self
    }

    /// Says which entry it is about.
    #[must_use]
    pub fn of(mut self, entry: impl Into<String>) -> Self {
        self.entry = Some(entry.into());
        self
    }

    /// Says what mends it.
    #[must_use]
    pub fn mend(mut self, text: impl Into<String>) -> Self {
        self.mend = Some(text.into());
        self
    }

    /// Says what mends it, where something does.
    #[must_use]
    pub fn mend_if(mut self, text: Option<String>) -> Self {
        self.mend = text.or(self.mend);
        self
    }

    /// Names the sheet.
    #[must_use]
    pub fn file(mut self, name: &str) -> Self {
        name.clone_into(&mut self.file);
        self
    }
}

impl fmt::Display for SheetError {
    /// One line: place, entry, what is wrong, what mends it.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.file.is_empty() {
            f.write_str(&self.file)?;
            if let Some(line) = self.line {
                write!(f, ":{line}")?;
            }
            f.write_str(": ")?;
        }
        if let Some(entry) = &self.entry {
            write!(f, "{entry}: ")?;
        }
        f.write_str(&self.message)?;
        if let Some(mend) = &self.mend {
            write!(f, "; {mend}")?;
        }
        Ok(())
    }
}

/// More mistakes than this nobody reads; a sheet with so many is no sheet.
const MOST: usize = 1000;

/// The mistakes of one sheet, in the order in which they were found.
#[derive(Debug, Default)]
pub(crate) struct Mistakes {
    list: Vec<SheetError>,
    more: bool,
}

impl Mistakes {
    /// Adds one; beyond the most that are told, only that there are more.
    pub(crate) fn add(&mut self, error: SheetError) {
        if self.list.len() < MOST {
            self.list.push(error);
        } else {
            self.more = true;
        }
    }

    /// Whether it is no use to look further.
    pub(crate) fn full(&self) -> bool {
        self.more
    }

    /// `done` where nothing was wrong; else the mistakes by line, each with the sheet's name.
    pub(crate) fn or<T>(self, file: &str, done: T) -> Result<T, Vec<SheetError>> {
        if self.list.is_empty() {
            return Ok(done);
        }
        let mut list: Vec<_> = self.list.into_iter().map(|error| error.file(file)).collect();
        list.sort_by_key(|error| error.line.unwrap_or(0));
        if self.more {
            let message = format!("there are more than {MOST} mistakes; the others are not shown");
            list.push(SheetError::new(TOO_MANY_FINDINGS, message).file(file));
        }
        Err(list)
    }
}

/// A stretch of a sheet, fit to stand in a message: on one line, in quotes, and no longer than a
/// line of a terminal.
pub(crate) fn quoted(text: &str) -> String {
    const LONGEST: usize = 60;
    let mut shown: String = text.chars().take(LONGEST).map(visible).collect();
    if text.chars().nth(LONGEST).is_some() {
        shown.push('…');
    }
    format!("`{shown}`")
}

/// Control characters would move the terminal's cursor or hide what stands there.
fn visible(c: char) -> char {
    if c.is_control() { '\u{FFFD}' } else { c }
}
