//! What a reading says of the bands of its check.
//!
//! A [`Likelihood`] is virtual evidence (Pearl 1988, *Probabilistic Reasoning in Intelligent
//! Systems*, 2.2.2): only the ratios of its weights matter, the order of readings doesn't, and a
//! reading that says half and half changes nothing. It takes values on both sides of a limit, close
//! by, for equally common beforehand.

use serde::Serialize;
use thiserror::Error;

use crate::MAX_BANDS;
use crate::index::Band;
use crate::spread::{Bands, count};

/// The weight of each band of one check in the light of a reading, at least one over 0.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Likelihood(Vec<f64>);

/// Why something isn't a likelihood.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum LikelihoodError {
    /// Fewer than 2 bands, or more than 8.
    #[error("{0} bands; 2 to 8 are possible")]
    Bands(usize),
    /// A weight that is negative or not a finite number.
    #[error("{0} isn't a weight")]
    Weight(f64),
    /// A reading has to be possible in some band.
    #[error("no band has any weight")]
    AllZero,
    /// A band that the check lacks.
    #[error("there is no band {}", .0.0)]
    NoSuchBand(Band),
    /// A reading or standard uncertainty that isn't a finite number, or an uncertainty below 0.
    #[error("{0} isn't a usable figure for a reading or its uncertainty")]
    Figure(f64),
    /// Edges that aren't finite and rising.
    #[error("the edges of the bands aren't rising figures")]
    Edges,
    /// The number of intervals isn't that of the edges and one more.
    #[error("{edges} edges part the line into {} intervals, not {intervals}", edges + 1)]
    Intervals {
        /// How many edges.
        edges: usize,
        /// How many intervals were named.
        intervals: usize,
    },
}

impl Likelihood {
    /// From given weights, one for each band.
    ///
    /// # Errors
    ///
    /// Where there are fewer than 2 or more than 8, where one is negative or not finite, or where
    /// all are 0.
    pub fn given(weights: &[f64]) -> Result<Self, LikelihoodError> {
        if !(2..=MAX_BANDS).contains(&weights.len()) {
            return Err(LikelihoodError::Bands(weights.len()));
        }
        if let Some(bad) = weights.iter().find(|w| !w.is_finite() || **w < 0.0) {
            return Err(LikelihoodError::Weight(*bad));
        }
        if weights.iter().all(|w| *w <= 0.0) {
            return Err(LikelihoodError::AllZero);
        }
        Ok(Self(weights.to_vec()))
    }

    /// A band that was seen without doubt.
    ///
    /// # Errors
    ///
    /// Where the check has no such band, or no possible number of bands.
    pub fn hard(band: Band, bands: usize) -> Result<Self, LikelihoodError> {
        if !(2..=MAX_BANDS).contains(&bands) {
            return Err(LikelihoodError::Bands(bands));
        }
        if band.0 >= bands {
            return Err(LikelihoodError::NoSuchBand(band));
        }
        Ok(Self((0..bands).map(|k| if k == band.0 { 1.0 } else { 0.0 }).collect()))
    }

    /// From a reading with its standard uncertainty, normally distributed, against the intervals
    /// that make up the bands (JCGM 106:2012, 7.2–7.4). Without uncertainty an interval is closed
    /// below and open above.
    ///
    /// # Errors
    ///
    /// Where a figure isn't finite, or where the intervals leave some band's weight at 0 in all.
    pub fn of_reading(reading: Reading, bands: &Intervals) -> Result<Self, LikelihoodError> {
        let mut weights = vec![0.0; bands.bands];
        let mut low = f64::NEG_INFINITY;
        let highs = bands.edges.iter().copied().chain([f64::INFINITY]);
        for (high, band) in highs.zip(&bands.band_of) {
            if let Some(weight) = weights.get_mut(band.0) {
                *weight += reading.between(low, high);
            }
            low = high;
        }
        Self::given(&weights)
    }

    /// The weight of each band.
    #[must_use]
    pub fn weights(&self) -> &[f64] {
        &self.0
    }

    /// How many bands.
    #[must_use]
    pub fn bands(&self) -> usize {
        self.0.len()
    }

    /// The share of the weight that a band has, from 0 to 1.
    #[must_use]
    pub fn share(&self, band: Band) -> f64 {
        let sum: f64 = self.0.iter().sum();
        // Huge weights may add up to infinity: then against the greatest.
        let most = if sum.is_finite() { 1.0 } else { self.0.iter().copied().fold(0.0, f64::max) };
        let sum: f64 = self.0.iter().map(|w| w / most).sum();
        self.0.get(band.0).map_or(0.0, |w| w / most / sum)
    }

    /// The band with the greatest weight, the earliest of equals.
    #[must_use]
    pub fn likeliest(&self) -> Band {
        let mut best = (Band::OK, f64::NEG_INFINITY);
        for (k, weight) in self.0.iter().enumerate() {
            if *weight > best.1 {
                best = (Band(k), *weight);
            }
        }
        best.0
    }

    /// The greatest weight.
    pub(crate) fn most(&self) -> f64 {
        self.0.iter().copied().fold(0.0, f64::max)
    }

    /// Mixed with the check's slip, so that one slipped probe can't make the truth impossible:
    /// `(1 - s) weight + (s / bands) sum of weights`. Scaled so that the greatest weight is 1.
    pub(crate) fn slipped(&self, slip: f64) -> Bands {
        let most = self.most();
        let mut out = [0.0; MAX_BANDS];
        let sum: f64 = self.0.iter().map(|w| w / most).sum();
        let floor = slip / count(self.0.len()) * sum;
        for (o, w) in out.iter_mut().zip(&self.0) {
            *o = (1.0 - slip) * (w / most) + floor;
        }
        out
    }
}

/// A reading with its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    value: f64,
    uncertainty: f64,
}

impl Reading {
    /// A reading with its standard uncertainty, in the unit of the edges.
    ///
    /// # Errors
    ///
    /// Where one isn't finite, or the uncertainty is below 0.
    pub fn new(value: f64, uncertainty: f64) -> Result<Self, LikelihoodError> {
        match (value.is_finite(), uncertainty.is_finite() && uncertainty >= 0.0) {
            (false, _) => Err(LikelihoodError::Figure(value)),
            (true, false) => Err(LikelihoodError::Figure(uncertainty)),
            (true, true) => Ok(Self { value, uncertainty }),
        }
    }

    /// Repeats of one check in one state, merged: their mean, with `u² = u_A² / n + u_B²` (JCGM
    /// 100:2008, 4.2.3 and 4.3). They share the meter's error `common`, so likelihoods of repeats
    /// are never multiplied. `scatter` is the standard deviation of a single reading; without it,
    /// that of the readings themselves (0 for one reading).
    ///
    /// # Errors
    ///
    /// Where there is no reading, or a figure isn't usable.
    pub fn merged(
        readings: &[f64],
        scatter: Option<f64>,
        common: f64,
    ) -> Result<Self, LikelihoodError> {
        let n = count(readings.len());
        if readings.is_empty() {
            return Err(LikelihoodError::Figure(f64::NAN));
        }
        let mean = readings.iter().map(|y| y / n).sum::<f64>();
        let spread = scatter.unwrap_or_else(|| {
            let squares: f64 = readings.iter().map(|y| (y - mean) * (y - mean)).sum();
            if readings.len() > 1 { libm::sqrt(squares / (n - 1.0)) } else { 0.0 }
        });
        Self::new(spread, 0.0)?;
        Self::new(mean, libm::hypot(spread / libm::sqrt(n), common))
    }

    /// The value.
    #[must_use]
    pub fn value(self) -> f64 {
        self.value
    }

    /// The standard uncertainty.
    #[must_use]
    pub fn uncertainty(self) -> f64 {
        self.uncertainty
    }

    /// The chance that the true value lies between two edges.
    fn between(self, low: f64, high: f64) -> f64 {
        if self.uncertainty <= 0.0 {
            let inside = low <= self.value && self.value < high;
            return if inside { 1.0 } else { 0.0 };
        }
        let [a, b] = [low, high].map(|edge| (edge - self.value) / self.uncertainty);
        // Both edges on one side: the difference of two tails there, else far ones come out as 0.
        if a > 0.0 {
            (upper_tail(a) - upper_tail(b)).max(0.0)
        } else if b < 0.0 {
            (upper_tail(-b) - upper_tail(-a)).max(0.0)
        } else {
            (1.0 - upper_tail(-a) - upper_tail(b)).max(0.0)
        }
    }
}

/// `1 - Phi(z)` by the complementary error function, which keeps far tails.
fn upper_tail(z: f64) -> f64 {
    0.5 * libm::erfc(z * std::f64::consts::FRAC_1_SQRT_2)
}

/// Which band each stretch of the line belongs to.
#[derive(Clone, Debug, PartialEq)]
pub struct Intervals {
    edges: Vec<f64>,
    band_of: Vec<Band>,
    bands: usize,
}

impl Intervals {
    /// `band_of` names the band of each interval from low to high: one more than there are edges.
    ///
    /// # Errors
    ///
    /// Where edges aren't finite and rising, their number doesn't fit, or a band isn't there.
    pub fn new(edges: &[f64], band_of: &[Band], bands: usize) -> Result<Self, LikelihoodError> {
        if !(2..=MAX_BANDS).contains(&bands) {
            return Err(LikelihoodError::Bands(bands));
        }
        let rising = edges.iter().zip(edges.iter().skip(1)).all(|(a, b)| a < b);
        if !rising || edges.iter().any(|edge| !edge.is_finite()) {
            return Err(LikelihoodError::Edges);
        }
        if band_of.len() != edges.len() + 1 {
            let intervals = band_of.len();
            return Err(LikelihoodError::Intervals { edges: edges.len(), intervals });
        }
        if let Some(band) = band_of.iter().find(|band| band.0 >= bands) {
            return Err(LikelihoodError::NoSuchBand(*band));
        }
        Ok(Self { edges: edges.to_vec(), band_of: band_of.to_vec(), bands })
    }
}
