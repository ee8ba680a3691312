//! What a meter cannot be used for.

use serde::Serialize;

/// Why a meter is not fit for a reading that it is said to have shown. Figures are in the coherent
/// unit of the reading.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "unfit")]
pub enum Unfit {
    /// It does not measure this kind of quantity.
    NoFunction,
    /// None of its ranges goes so far.
    AboveRange {
        /// The top of its highest range, or of the one that is stated.
        top: f64,
    },
    /// It has no such range.
    NoSuchRange {
        /// The top of the range that is stated.
        stated: f64,
    },
    /// Its display does not show so many digits.
    Digits {
        /// The step of the last digit written.
        step: f64,
        /// The finest step that it can have shown there.
        range_step: f64,
        /// The top of the range that the digits must have come from, where it has one.
        from: Option<f64>,
    },
    /// Its accuracy is given for other frequencies.
    Frequency {
        /// The frequency of the reading, where it is known, in hertz.
        at: Option<f64>,
        /// The lowest that its accuracy is given for, in hertz.
        low: f64,
        /// The highest, in hertz.
        high: f64,
    },
    /// The voltage that its diode function applies does not reach beyond the limit.
    TestVoltage {
        /// What it applies, in volts.
        test: f64,
        /// The upper end of the limit, in volts.
        needed: f64,
    },
    /// The maker states no accuracy for this range.
    NoAccuracy,
}
