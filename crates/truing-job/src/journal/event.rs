//! What can be entered in a journal.

use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use truing_model::DecideRule;

use crate::record::{Bypass, Closed, Judged, Part, Photo, Remark, Skipped};
use crate::sheet::{Correlation, Entry, Instrument};

/// An entry as it was logged.
#[derive(Clone, Debug, PartialEq)]
pub struct Logged {
    /// Its number, from 1 on, without gaps.
    pub sequence: u64,
    /// When it was entered, by the machine's clock.
    pub time: Timestamp,
    /// What was entered.
    pub event: Event,
}

/// What was entered. Rounds go by their place, from 0.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "what")]
pub enum Event {
    /// The job was opened; the first entry, and no later one.
    Opened(Header),
    /// The customer's words.
    Complaint {
        /// They.
        text: String,
    },
    /// The condition that the complaint shows under, a state of the spec.
    Shows {
        /// Its name.
        state: String,
    },
    /// A remark about the whole job; it takes the place of the one before.
    Note {
        /// Its text.
        text: String,
    },
    /// A property of the machine; a second one of the same name takes its place.
    Property {
        /// Its name and value.
        entry: Entry,
    },
    /// An instrument at hand; a second one of the same name takes its place.
    Meter(Instrument),
    /// With what readings are taken that do not say it themselves, and in what air.
    Conditions {
        /// Of this round; without one, of all that say nothing else.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        round: Option<usize>,
        /// The names of the instruments.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        meters: Vec<String>,
        /// The temperature of the air.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        ambient: Option<String>,
    },
    /// A round is begun, behind those that there are.
    NextRound {
        /// Its name.
        name: String,
        /// When, local date and time.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        time: Option<String>,
    },
    /// A reading; a second one of the same path in the same round takes its place.
    Reading {
        /// In which round.
        round: usize,
        /// What was read.
        entry: Entry,
    },
    /// Readings whose errors move together.
    Correlated {
        /// In which round.
        round: usize,
        /// They.
        correlation: Correlation,
    },
    /// Something was left out.
    Skipped {
        /// In which round.
        round: usize,
        /// What, and why.
        skipped: Skipped,
    },
    /// A remark.
    Remark {
        /// In which round.
        round: usize,
        /// It.
        remark: Remark,
    },
    /// A photo.
    Photo {
        /// In which round.
        round: usize,
        /// It.
        photo: Photo,
    },
    /// A caution was read and acknowledged.
    Caution {
        /// In which round.
        round: usize,
        /// Its name.
        name: String,
    },
    /// A repair before a round.
    Fitted {
        /// Before which round.
        round: usize,
        /// The fix of the spec, where it is one.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        fix: Option<String>,
        /// The parts.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        parts: Vec<Part>,
    },
    /// Something was bridged or plugged in for a test.
    Bypass {
        /// In which round.
        round: usize,
        /// It.
        bypass: Bypass,
    },
    /// A bypass of any round is off again.
    BypassRemoved {
        /// What it was.
        name: String,
    },
    /// The limits that the job is judged by.
    Judged {
        /// All of them.
        limits: Vec<Judged>,
    },
    /// An entry does not count. That this does not count either is said by another.
    Undo {
        /// The number of the entry.
        of: u64,
    },
    /// The job is closed.
    Closed(Closed),
    /// The job is open again.
    Reopened,
}

/// What is known when a job is opened: the head of its sheet.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Header {
    /// The job's number.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub job: Option<String>,
    /// The spec.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spec: Option<String>,
    /// Its edition.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<String>,
    /// The hash of its text.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub spec_hash: Option<String>,
    /// The day.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub date: Option<String>,
    /// Who measures.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub technician: Option<String>,
    /// What the customer said.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub complaint: Option<String>,
    /// The condition that it shows under.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub shows: Option<String>,
    /// Anything else.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// The decision rule, in place of the spec's.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub decide: Option<DecideRule>,
    /// The machine's model.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub model: Option<String>,
    /// The machine's year.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub year: Option<String>,
}
