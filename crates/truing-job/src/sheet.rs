//! A job sheet as written: texts with their places, nothing judged yet.

use std::collections::BTreeMap;
use std::fmt;

use serde::Serialize;
use truing_model::DecideRule;

/// Where something stands in a sheet.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct Place {
    /// The line, from 1, where the format gives one.
    pub line: Option<usize>,
}

impl Place {
    /// On this line.
    #[must_use]
    pub const fn line(line: usize) -> Self {
        Self { line: Some(line) }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.line {
            Some(line) => write!(f, "line {line}"),
            None => f.write_str("no line"),
        }
    }
}

/// A job sheet as written.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct JobSheet {
    /// The name under which it was read, for messages.
    pub file: String,
    /// The job's number.
    pub job: Option<String>,
    /// The spec that it was written for.
    pub spec: Option<String>,
    /// The day, as written.
    pub date: Option<String>,
    /// Who measured.
    pub technician: Option<String>,
    /// What the customer said.
    pub complaint: Option<String>,
    /// Anything else.
    pub note: Option<String>,
    /// Its decision rule, in place of the spec's.
    pub decide: Option<DecideRule>,
    /// What the machine is: properties and their values.
    pub machine: Vec<Entry>,
    /// As found, as left, …; in order.
    pub rounds: Vec<Round>,
    /// Where the keys at the top stand.
    #[serde(skip)]
    pub(crate) places: BTreeMap<String, Place>,
}

impl JobSheet {
    /// Where a key at the top (`spec`, `decide`) stands.
    #[must_use]
    pub fn place_of(&self, key: &str) -> Place {
        self.places.get(key).copied().unwrap_or_default()
    }
}

/// One time through the machine.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Round {
    /// `as found`
    pub name: String,
    /// What was read, in the order in which it stands.
    pub readings: Vec<Entry>,
}

/// One reading, observation or property, as written.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Entry {
    /// `battery_rest`, `to_ground[U]`
    pub path: String,
    /// `12.71 V`. Blank: not filled in, and treated as if the entry were not there.
    pub value: String,
    /// The state that the machine stood in, where it is not the reading's own.
    pub state: Option<String>,
    /// The top of the range in use, for `OL`.
    pub range: Option<String>,
    /// The unit of the figure in `value` as a UCUM code, the interchange form of units; `value` then
    /// has no unit of its own.
    pub ucum: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// Where it stands.
    pub place: Place,
}
