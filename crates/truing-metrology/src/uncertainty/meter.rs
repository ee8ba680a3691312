//! What a hand-held meter's data sheet says of an indication.
//!
//! A limit of error is the half-width of a rectangular distribution (JCGM 100:2008, 4.3.7).

use std::f64::consts::PI;

use serde::{Deserialize, Serialize};

use super::{Component, ComponentError, ErrorSum};

/// The accuracy of a range as data sheets state it: the parts add up.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", default, deny_unknown_fields)]
pub struct Accuracy {
    /// Percent of the reading.
    pub percent_of_reading: f64,
    /// Counts of the last digit, each as much as one step of the range in use.
    pub counts: f64,
    /// Percent of the span or of full scale.
    pub percent_of_span: f64,
    /// A fixed part, in the unit of the reading.
    pub absolute: f64,
}

impl Accuracy {
    /// The limit of error of an indication, with the step (one count) and the span of its range, all in
    /// the unit of the indication.
    #[must_use]
    pub fn limit_of_error(&self, indication: f64, step: f64, span: f64) -> f64 {
        let of_reading = self.percent_of_reading / 100.0 * indication.abs();
        of_reading + self.counts * step + self.percent_of_span / 100.0 * span + self.absolute
    }
}

/// What a limit of error grows to outside its temperature band: by `per_degree` of itself for each
/// degree, 0.1 by common practice, no source. Temperatures and band in °C.
#[must_use]
pub fn widened_by_temperature(
    limit_of_error: f64,
    temperature: f64,
    (low, high): (f64, f64),
    per_degree: f64,
) -> f64 {
    let outside = (temperature - high).max(low - temperature).max(0.0);
    limit_of_error * (1.0 + per_degree * outside)
}

/// The error of reading a display of this step: rectangular, half a step (JCGM 100:2008, F.2.2.1).
///
/// # Errors
/// A step that is negative or not finite.
pub fn resolution(step: f64) -> Result<Component, ComponentError> {
    Component::rectangular(0.5 * step)
}

/// One count of a range, for instance 0.01 V of 60 V with 6000 counts. `None` for no counts.
#[must_use]
pub fn step_of_range(range: f64, counts: u32) -> Option<f64> {
    (counts > 0).then(|| range / f64::from(counts))
}

/// The smallest range that shows a value, which is below the range itself (common practice, no source).
/// `None` where none does.
#[must_use]
pub fn smallest_range(value: f64, ranges: &[f64]) -> Option<f64> {
    ranges.iter().copied().filter(|range| value.abs() < *range).min_by(f64::total_cmp)
}

/// The error of the difference of two readings of one meter on one range: what is common to both, the
/// counts among it, cancels; the gain error works on the difference, and each display is read once
/// (JCGM 100:2008, 5.2.2, with correlation 1 for the common part).
///
/// # Errors
/// A percentage or step that is negative, or readings that are not finite.
pub fn difference(
    first: f64,
    second: f64,
    percent_of_reading: f64,
    step: f64,
) -> Result<ErrorSum, ComponentError> {
    let mut error = ErrorSum::new();
    error.push(Component::rectangular(percent_of_reading / 100.0 * (first - second).abs())?);
    error.push(resolution(step)?);
    error.push(resolution(step)?);
    Ok(error)
}

/// Indicated over true voltage where the meter loads its source: R_in/(R_in + R_source).
#[must_use]
pub fn loading_factor(input_resistance: f64, source_resistance: f64) -> f64 {
    input_resistance / (input_resistance + source_resistance)
}

/// The voltage an ammeter takes from its circuit: current through shunt and leads. In volts from ohms
/// and amperes.
#[must_use]
pub fn burden_voltage(shunt: f64, leads: f64, current: f64) -> f64 {
    (shunt + leads) * current
}

/// The form of an alternating voltage or current without a constant part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Waveform {
    /// Sine.
    Sine,
    /// Symmetric triangle.
    Triangle,
    /// Symmetric square.
    Square,
}

impl Waveform {
    /// Root mean square over mean rectified value (textbook).
    #[must_use]
    pub fn form_factor(self) -> f64 {
        match self {
            Waveform::Sine => PI / 8.0_f64.sqrt(),
            Waveform::Triangle => 2.0 / 3.0_f64.sqrt(),
            Waveform::Square => 1.0,
        }
    }

    /// Indicated over true root mean square of a meter that responds to the mean and is calibrated for
    /// a sine (textbook).
    #[must_use]
    pub fn average_responding_factor(self) -> f64 {
        Waveform::Sine.form_factor() / self.form_factor()
    }
}
