//! Instruments: what a meter can do, in coherent units.

use serde::{Deserialize, Serialize};
use truing_units::{Kind, Measure, Unit};

use crate::id::id;

id! {
    /// An instrument, by its place in the spec.
    InstrumentId
}

/// A measuring instrument (VIM 3.1).
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    /// Its name.
    pub name: String,
    /// Its title for people.
    pub title: String,
    /// What it measures, each kind once.
    pub functions: Vec<MeterFunction>,
    /// The ambient temperatures that its accuracy is given for, in kelvins.
    pub valid: Option<Validity>,
    /// How long a calibration holds, in seconds. Past it every accuracy grows in proportion to
    /// the time since calibration.
    pub calibration: Option<f64>,
    /// Notes for people.
    pub notes: Vec<String>,
}

/// The ambient temperatures that an accuracy is given for.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Validity {
    /// Lowest, in kelvins.
    pub low: f64,
    /// Highest, in kelvins.
    pub high: f64,
    /// The part of its accuracy by which it widens for each kelvin outside: 0.1 unless the author
    /// says otherwise (common practice, no source).
    pub widens: f64,
}

/// What an instrument measures, and how well.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeterFunction {
    /// The kind of quantity.
    pub kind: Kind,
    /// The unit of its first range, for showing figures.
    pub unit: Unit,
    /// Rising by their tops. One range may stand several times, for bands of frequency that do
    /// not overlap.
    pub ranges: Vec<MeterRange>,
    /// What the leads add to every reading that is not zeroed.
    pub leads: Option<Leads>,
    /// The voltage that the diode or continuity function applies, in volts.
    pub test_voltage: Option<f64>,
    /// The resistance that it puts across a voltage, in ohms.
    pub input: Option<f64>,
    /// The resistance that it puts in series with a current, in ohms.
    pub burden: Option<f64>,
    /// How well it is applied (feel, position, parallax): own to each reading.
    pub technique: Option<Technique>,
    /// Which parts of its error two readings on one range share.
    pub common: CommonParts,
    /// Notes for people.
    pub notes: Vec<String>,
}

/// One range of a function, for one band of frequencies.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct MeterRange {
    /// The lowest value.
    pub bottom: f64,
    /// The highest value: above it the display shows overload.
    pub top: f64,
    /// The top as printed.
    pub printed: Measure,
    /// The value that counts as nought for a part of the reading: 273.15 where a thermometer
    /// shows degrees Celsius, else nought.
    pub nought: f64,
    /// The smallest step of the display; `None` where it has none.
    pub step: Option<f64>,
    /// The limit of error; `None` where the maker states none.
    pub accuracy: Option<LimitOfError>,
    /// As printed, for people: `0.5 % + 3 counts`.
    pub accuracy_printed: Option<String>,
    /// The limit of error that holding a least or greatest value adds; `None` where it holds none.
    #[serde(default)]
    pub capture: Option<LimitOfError>,
    /// The frequencies that it is given for, in hertz; both ends belong to it.
    pub band: Option<(f64, f64)>,
}

/// A limit of error (VIM 4.26) to either side: the greatest of its sums.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct LimitOfError {
    /// At least one.
    pub sums: Vec<ErrorTerms>,
}

/// A sum of terms, each zero or more.
#[derive(Copy, Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct ErrorTerms {
    /// A part of the reading: 0.005 for 0.5 %.
    pub reading: f64,
    /// Counts of the last digit, already multiplied by the step.
    pub counts: f64,
    /// A part of the span, already multiplied by it.
    pub span: f64,
    /// An amount.
    pub absolute: f64,
}

/// What leads add to a reading.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Leads {
    /// How much.
    pub value: f64,
    /// The half-width of what it may be besides (rectangular); common to all readings.
    pub doubt: f64,
}

/// How well an instrument is applied: the half-width of a rectangular error.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Technique {
    /// An amount.
    Amount(f64),
    /// A part of the reading.
    Reading(f64),
}

/// Which parts of a limit of error two readings of one instrument, function and range share.
///
/// The part of the reading is the *gain* part. Counts and amounts are the *offset* part. Per cent
/// of span is never shared: the error of a dial differs from place to place.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CommonParts {
    /// The gain part.
    pub gain: bool,
    /// The offset part.
    pub offset: bool,
}

impl Default for CommonParts {
    fn default() -> Self {
        Self { gain: true, offset: true }
    }
}

impl ErrorTerms {
    /// The sum at a reading that lies `from_nought` from nought.
    #[must_use]
    pub fn at(&self, from_nought: f64) -> f64 {
        self.reading * from_nought.abs() + self.counts + self.span + self.absolute
    }
}

impl LimitOfError {
    /// The sum that is greatest at a reading that lies `from_nought` from nought.
    #[must_use]
    pub fn greatest(&self, from_nought: f64) -> ErrorTerms {
        let at = |terms: &ErrorTerms| terms.at(from_nought);
        let greatest = self.sums.iter().max_by(|a, b| at(a).total_cmp(&at(b)));
        greatest.copied().unwrap_or_default()
    }
}

impl MeterFunction {
    /// Whether it holds the least or the greatest of a value that changes.
    #[must_use]
    pub fn captures(&self) -> bool {
        self.ranges.iter().any(|range| range.capture.is_some())
    }
}

impl Instrument {
    /// What it measures of a kind.
    #[must_use]
    pub fn function(&self, kind: Kind) -> Option<&MeterFunction> {
        self.functions.iter().find(|function| function.kind == kind)
    }
}
