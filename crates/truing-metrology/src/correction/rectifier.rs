//! Ideal rectifiers on a sine without smoothing: no drop in the diodes, resistive load. Textbook
//! relations.

use std::f64::consts::{FRAC_PI_2, PI, SQRT_2};

use super::connection::LINE_OVER_PHASE;
use super::{OutOfRange, within};

/// A rectifier, by how many pulses it gives in one period.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rectifier {
    /// One phase, half wave: one pulse.
    OnePulse,
    /// One phase, full wave: two pulses.
    TwoPulse,
    /// Three phases to neutral, half wave: three pulses.
    ThreePulse,
    /// Three phases, bridge: six pulses.
    SixPulse,
}

impl Rectifier {
    /// Pulses in one period.
    #[must_use]
    pub fn pulses(self) -> u32 {
        match self {
            Self::OnePulse => 1,
            Self::TwoPulse => 2,
            Self::ThreePulse => 3,
            Self::SixPulse => 6,
        }
    }

    /// Mean of the output over its peak: (p/π) sin(π/p), and 1/π for one pulse.
    /// The peak is that of the phase voltage, for [`Self::SixPulse`] that of the line voltage.
    #[must_use]
    pub fn mean_over_peak(self) -> f64 {
        match self {
            Self::OnePulse => 1.0 / PI,
            Self::TwoPulse => 2.0 / PI,
            Self::ThreePulse => 1.5 * LINE_OVER_PHASE / PI,
            Self::SixPulse => 3.0 / PI,
        }
    }

    /// Effective value of the output over its peak: √(1/2 + (p/4π) sin(2π/p)), and 1/2 for one
    /// pulse.
    #[must_use]
    pub fn effective_over_peak(self) -> f64 {
        let square = match self {
            Self::OnePulse => 0.25,
            Self::TwoPulse => 0.5,
            Self::ThreePulse => 0.5 + 3.0 * LINE_OVER_PHASE / (8.0 * PI),
            Self::SixPulse => 0.5 + 3.0 * LINE_OVER_PHASE / (4.0 * PI),
        };
        square.sqrt()
    }

    /// Mean of the output over the effective value of one phase (to neutral with three phases):
    /// 0.450, 0.900, 1.170, 2.339.
    #[must_use]
    pub fn mean_over_phase(self) -> f64 {
        let peak = match self {
            Self::SixPulse => SQRT_2 * LINE_OVER_PHASE,
            _ => SQRT_2,
        };
        peak * self.mean_over_peak()
    }

    /// Mean of the output over the effective line voltage, with three phases: 0.675 and 1.350.
    #[must_use]
    pub fn mean_over_line(self) -> Option<f64> {
        match self {
            Self::OnePulse | Self::TwoPulse => None,
            Self::ThreePulse | Self::SixPulse => Some(self.mean_over_phase() / LINE_OVER_PHASE),
        }
    }

    /// Effective value over mean of the output.
    #[must_use]
    pub fn form_factor(self) -> f64 {
        self.effective_over_peak() / self.mean_over_peak()
    }

    /// Effective value of the ripple over the mean of the output: √(form factor² − 1).
    #[must_use]
    pub fn ripple_factor(self) -> f64 {
        let form = self.form_factor();
        (form * form - 1.0).sqrt()
    }

    /// The frequency of the ripple at a frequency of the supply, both in Hz. Its slope is
    /// [`Self::pulses`].
    ///
    /// # Errors
    /// A frequency below zero.
    pub fn ripple_frequency(self, frequency: f64) -> Result<f64, OutOfRange> {
        Ok(within("frequency", frequency, 0.0, f64::MAX / 6.0)? * f64::from(self.pulses()))
    }
}

/// Effective value over mean rectified value of a sine, π/(2√2) = 1.1107: what a meter that
/// responds to the mean multiplies by.
pub const SINE_FORM_FACTOR: f64 = FRAC_PI_2 / SQRT_2;
