//! Instruments: what a meter can do.

use super::{Figure, KindName, Name, Text};
use crate::span::Span;

/// `instrument NAME "title" { … }`
#[derive(Clone, Debug, PartialEq)]
pub struct InstrumentDecl {
    /// The instrument's name.
    pub name: Name,
    /// Its title.
    pub title: Text,
    /// The lines of its body.
    pub members: Vec<InstrumentMember>,
}

/// A line of an instrument's body.
#[derive(Clone, Debug, PartialEq)]
pub enum InstrumentMember {
    /// `measures dc_voltage { … }`
    Measures {
        /// What.
        kind: KindName,
        /// The lines of its body.
        members: Vec<FunctionMember>,
    },
    /// `valid 18 .. 28 degC widens 10 %`: where its accuracy holds.
    Valid {
        /// Lowest.
        low: Figure,
        /// Highest.
        high: Figure,
        /// By what part of itself it widens for each kelvin outside.
        widens: Option<Figure>,
    },
    /// `calibration 1 year`: how long a calibration holds.
    Calibration(Figure),
    /// `note "text"`
    Note(Text),
}

/// A line of a function's body.
#[derive(Clone, Debug, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "most lines are ranges")]
pub enum FunctionMember {
    /// `range 6 V step 0.001 V accuracy 0.5 % + 3 counts`
    Range(RangeLine),
    /// `capture 1 % + 10 counts`: what holding a least or greatest value adds.
    Capture(Accuracy),
    /// `leads 0.2 ohm ± 0.1 ohm`
    Leads {
        /// The lead resistance that adds to every reading.
        value: Figure,
        /// How well it is known.
        doubt: Option<Figure>,
    },
    /// `technique 0.002 mm`, `technique 1 %`: how well it is applied.
    Technique(Figure),
    /// `common gain, offset`, `common nothing`: the parts of its error that two readings share.
    Common {
        /// The part of the reading.
        gain: bool,
        /// Counts and amounts.
        offset: bool,
    },
    /// `test 3 V`: the voltage that the diode or continuity function applies.
    TestVoltage(Figure),
    /// `input 10 Mohm`: the resistance that it puts across a voltage.
    Input(Figure),
    /// `burden 0.03 ohm`: what it puts in series with a current.
    Burden(Figure),
    /// `band 45 .. 500 Hz`: the frequencies that it is specified for.
    Band {
        /// Lowest.
        low: Figure,
        /// Highest.
        high: Figure,
    },
    /// `note "text"`
    Note(Text),
}

/// One range.
#[derive(Clone, Debug)]
pub struct RangeLine {
    /// The lowest value, where a range does not begin at zero: `range 0 .. 600 kPa`.
    pub bottom: Option<Figure>,
    /// Its top.
    pub top: Figure,
    /// The smallest step of the display.
    pub step: Option<Figure>,
    /// As printed.
    pub accuracy: Option<Accuracy>,
    /// `band 45 .. 500 Hz` for this line alone.
    pub band: Option<(Figure, Figure)>,
    /// All of it.
    pub span: Span,
}

impl PartialEq for RangeLine {
    fn eq(&self, other: &Self) -> bool {
        self.bottom == other.bottom
            && self.top == other.top
            && self.step == other.step
            && self.accuracy == other.accuracy
            && self.band == other.band
    }
}

/// `0.5 % + 3 counts`, `1.6 % of span`, `2.5 K or 0.75 %`: to either side, the greatest of its sums.
#[derive(Clone, Debug)]
pub struct Accuracy {
    /// At least one.
    pub sums: Vec<ErrorSum>,
    /// All of it, without the word `accuracy` or `capture`.
    pub span: Span,
}

impl PartialEq for Accuracy {
    fn eq(&self, other: &Self) -> bool {
        self.sums == other.sums
    }
}

/// `0.5 % + 3 counts`
#[derive(Clone, Debug, PartialEq)]
pub struct ErrorSum {
    /// The terms.
    pub terms: Vec<AccuracyTerm>,
}

/// One term of an accuracy.
#[derive(Clone, Debug, PartialEq)]
pub struct AccuracyTerm {
    /// How much.
    pub figure: Figure,
    /// Of what.
    pub basis: AccuracyBasis,
}

/// What a term of an accuracy is counted in.
#[derive(Copy, Clone, Debug, PartialEq, Eq)]
pub enum AccuracyBasis {
    /// Per cent (or ppm) of the reading.
    Reading,
    /// Per cent of the span.
    Span,
    /// Steps of the last digit.
    Counts,
    /// In the unit measured.
    Absolute,
}

crate::packed::packed! {
    struct InstrumentDecl { name, title, members }
    enum InstrumentMember {
        Measures { kind, members }, Valid { low, high, widens }, Calibration(a), Note(a)
    }
    enum FunctionMember {
        Range(a), Capture(a), Leads { value, doubt }, Technique(a), Common { gain, offset }, TestVoltage(a),
        Input(a), Burden(a), Band { low, high }, Note(a)
    }
    struct RangeLine { bottom, top, step, accuracy, band, span }
    struct Accuracy { sums, span }
    struct ErrorSum { terms }
    struct AccuracyTerm { figure, basis }
    enum AccuracyBasis { Reading, Span, Counts, Absolute }
}
