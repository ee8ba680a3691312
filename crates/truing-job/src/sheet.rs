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
    /// The instruments at hand.
    pub instruments: Vec<Instrument>,
    /// With what, and in what surroundings, every reading was taken that does not say otherwise.
    pub conditions: Conditions,
    /// As found, as left, …; in order.
    pub rounds: Vec<Round>,
    /// Where the keys at the top stand.
    #[serde(skip)]
    pub(crate) places: BTreeMap<String, Place>,
}

impl JobSheet {
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
    /// With what, and in what surroundings; goes before what the sheet says for all rounds.
    pub conditions: Conditions,
    /// Readings whose errors move together.
    pub correlations: Vec<Correlation>,
    /// What was done to the machine between the round before and this one.
    pub fitted: Fitted,
    /// What was read, in the order in which it stands.
    pub readings: Vec<Entry>,
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
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Instrument {
    /// Its own name, which readings give as their `meter`: `M-B`.
    pub name: String,
    /// The instrument of a library that says what it can do: `handheld_6000`.
    pub profile: String,
    /// Its leads are zeroed before every reading.
    pub zeroed: bool,
    /// The day of its calibration, as written.
    pub calibrated: Option<String>,
    /// Where it stands.
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
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Correlation {
    /// Two readings or more; every two of them are correlated.
    pub readings: Vec<String>,
    /// The correlation coefficient, as written.
    pub coefficient: String,
    /// Where it stands.
    pub place: Place,
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
    /// The name of the instrument that it was taken with.
    pub meter: Option<String>,
    /// Whether the leads were zeroed for it, where that is not what the instrument says.
    pub zeroed: Option<bool>,
    /// The frequency that it was taken at.
    pub frequency: Option<String>,
    /// Its standard uncertainty from a certificate, in place of what the instrument says.
    pub uncertainty: Option<String>,
    /// The degrees of freedom of that.
    pub degrees_of_freedom: Option<String>,
    /// The unit of the figure in `value` as a UCUM code, the interchange form of units; `value` then
    /// has no unit of its own.
    pub ucum: Option<String>,
    /// A remark.
    pub note: Option<String>,
    /// Where it stands.
    pub place: Place,
}
