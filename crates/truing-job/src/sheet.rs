//! A job sheet as written: texts with their places, nothing judged yet.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};
use truing_model::DecideRule;

pub use crate::record::{Bypass, Closed, Judged, Part, Photo, Remark, Skipped};

/// The version of sheets that are written now. What older ones mean differently is said where they
/// are brought up to it, in `migrations`.
pub const VERSION: u32 = 2;

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
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct JobSheet {
    /// The name under which it was read, for messages.
    pub file: String,
    /// Its version: [`VERSION`], since older ones are brought up to it as they are read.
    pub version: u32,
    /// The version that it was written in, where that was an older one.
    pub migrated_from: Option<u32>,
    /// The job's number.
    pub job: Option<String>,
    /// The spec that it was written for.
    pub spec: Option<String>,
    /// The edition of the spec that it was judged by.
    pub edition: Option<String>,
    /// What the spec's text and its libraries were then: `sha256:…`.
    pub spec_hash: Option<String>,
    /// The day, as written.
    pub date: Option<String>,
    /// Who measured.
    pub technician: Option<String>,
    /// What the customer said.
    pub complaint: Option<String>,
    /// The condition that the complaint shows under: a state of the spec.
    pub shows: Option<String>,
    /// Anything else.
    pub note: Option<String>,
    /// Its decision rule, in place of the spec's.
    pub decide: Option<DecideRule>,
    /// The machine's model, in words. Where the spec has a property `model`, it is that property.
    pub model: Option<String>,
    /// The machine's year. Where the spec has a property `year`, it is that property.
    pub year: Option<String>,
    /// What the machine is: properties and their values.
    pub machine: Vec<Entry>,
    /// The instruments at hand.
    pub instruments: Vec<Instrument>,
    /// With what, and in what surroundings, every reading was taken that does not say otherwise.
    pub conditions: Conditions,
    /// As found, as left, …; in order.
    pub rounds: Vec<Round>,
    /// The limits that it was judged by, as they were then.
    pub judged: Vec<Judged>,
    /// How it was closed; none while it is open.
    pub closed: Option<Closed>,
    /// Where the keys at the top stand.
    #[serde(skip)]
    pub places: BTreeMap<String, Place>,
}

impl Default for JobSheet {
    /// An empty sheet of today's version.
    fn default() -> Self {
        Self {
            file: String::new(),
            version: VERSION,
            migrated_from: None,
            job: None,
            spec: None,
            edition: None,
            spec_hash: None,
            date: None,
            technician: None,
            complaint: None,
            shows: None,
            note: None,
            decide: None,
            model: None,
            year: None,
            machine: Vec::new(),
            instruments: Vec::new(),
            conditions: Conditions::default(),
            rounds: Vec::new(),
            judged: Vec::new(),
            closed: None,
            places: BTreeMap::new(),
        }
    }
}

impl JobSheet {
    /// What it says, without where it stands and from which file it came: two sheets that say the
    /// same are then equal.
    #[must_use]
    pub fn content(&self) -> Self {
        let mut sheet = Self {
            file: String::new(),
            migrated_from: None,
            places: BTreeMap::new(),
            ..self.clone()
        };
        sheet.conditions.place = Place::default();
        sheet.machine.iter_mut().for_each(|it| it.place = Place::default());
        sheet.instruments.iter_mut().for_each(|it| it.place = Place::default());
        sheet.judged.iter_mut().for_each(|it| it.place = Place::default());
        sheet.closed.iter_mut().for_each(|it| it.place = Place::default());
        sheet.rounds.iter_mut().for_each(Round::forget_places);
        sheet
    }

    /// Whether any instrument is named in it.
    #[must_use]
    pub fn names_instruments(&self) -> bool {
        let of_round = |round: &Round| {
            !round.conditions.meters.is_empty()
                || round.readings.iter().any(|entry| entry.meter.is_some())
        };
        !self.instruments.is_empty()
            || !self.conditions.meters.is_empty()
            || self.rounds.iter().any(of_round)
    }

    /// Where a key at the top (`spec`, `decide`) stands, or one of the machine (`machine.year`).
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
    /// When it was begun, local date and time as written.
    pub time: Option<String>,
    /// With what, and in what surroundings; goes before what the sheet says for all rounds.
    pub conditions: Conditions,
    /// Readings whose errors move together.
    pub correlations: Vec<Correlation>,
    /// What was done to the machine between the round before and this one.
    pub fitted: Fitted,
    /// The parts that were fitted then.
    pub parts: Vec<Part>,
    /// The cautions that were acknowledged, by their names.
    pub cautions: Vec<String>,
    /// Where they are named.
    pub cautions_place: Place,
    /// What was left out, and why.
    pub skipped: Vec<Skipped>,
    /// Remarks.
    pub remarks: Vec<Remark>,
    /// Photos in the job's folder.
    pub photos: Vec<Photo>,
    /// What was bridged or plugged in for a test.
    pub bypasses: Vec<Bypass>,
    /// What was read, in the order in which it stands.
    pub readings: Vec<Entry>,
}

impl Round {
    fn forget_places(&mut self) {
        let nowhere = Place::default();
        self.conditions.place = nowhere;
        self.fitted.place = nowhere;
        self.cautions_place = nowhere;
        self.correlations.iter_mut().for_each(|it| it.place = nowhere);
        self.parts.iter_mut().for_each(|it| it.place = nowhere);
        self.skipped.iter_mut().for_each(|it| it.place = nowhere);
        self.remarks.iter_mut().for_each(|it| it.place = nowhere);
        self.photos.iter_mut().for_each(|it| it.place = nowhere);
        self.bypasses.iter_mut().for_each(|it| it.place = nowhere);
        self.readings.iter_mut().for_each(|it| it.place = nowhere);
    }
}

/// Repairs before a round.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Fitted {
    /// Names of the spec's fixes: `renew_stator`.
    pub fixes: Vec<String>,
    /// Where they stand.
    pub place: Place,
}

/// An instrument at hand.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Instrument {
    /// Its own name, which readings give as their `meter`: `M-B`.
    pub name: String,
    /// The instrument of a library that says what it can do: `handheld_6000`.
    pub profile: String,
    /// Its leads are zeroed before every reading.
    pub zeroed: bool,
    /// The day of its calibration, as written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub calibrated: Option<String>,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}

/// With what, and in what surroundings, readings were taken.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Conditions {
    /// Names of instruments: of several, the first that measures a reading's kind.
    pub meters: Vec<String>,
    /// The temperature of the air, as written.
    pub ambient: Option<String>,
    /// Where the meters are named.
    pub place: Place,
}

/// Readings whose errors move together.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Correlation {
    /// Two readings or more; every two of them are correlated.
    pub readings: Vec<String>,
    /// The correlation coefficient, as written.
    pub coefficient: String,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}

/// One reading, observation or property, as written.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Entry {
    /// `battery_rest`, `to_ground[U]`
    pub path: String,
    /// `12.71 V`. Blank: not filled in, and treated as if the entry were not there.
    pub value: String,
    /// The state that the machine stood in, where it is not the reading's own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub state: Option<String>,
    /// The top of the range in use, for `OL`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub range: Option<String>,
    /// The name of the instrument that it was taken with.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub meter: Option<String>,
    /// Whether the leads were zeroed for it, where that is not what the instrument says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub zeroed: Option<bool>,
    /// The frequency that it was taken at.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub frequency: Option<String>,
    /// Its standard uncertainty from a certificate, in place of what the instrument says.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub uncertainty: Option<String>,
    /// The degrees of freedom of that.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub degrees_of_freedom: Option<String>,
    /// The unit of the figure in `value` as a UCUM code, the interchange form of units; `value` then
    /// has no unit of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ucum: Option<String>,
    /// When it was taken, local date and time as written.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub time: Option<String>,
    /// A remark.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Where it stands.
    #[serde(skip)]
    pub place: Place,
}
