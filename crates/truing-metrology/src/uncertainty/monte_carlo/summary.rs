use super::SimulationError;
use crate::statistics::Summary;

/// What the trials of a model say of its output.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Simulation {
    /// The estimate: the mean of the trials (JCGM 101:2008, eq. 16).
    pub mean: f64,
    /// The standard uncertainty: their standard deviation (JCGM 101:2008, eq. 17).
    pub standard_uncertainty: f64,
    /// The interval that leaves equal probability on both sides (JCGM 101:2008, 7.7.2).
    pub symmetric: (f64, f64),
    /// The shortest interval (JCGM 101:2008, 7.7.4).
    pub shortest: (f64, f64),
    /// The standard deviations of the ends of the symmetric interval, from one simulation to the
    /// next: by the binomial spread of how many trials fall below an end.
    pub symmetric_deviation: (f64, f64),
    /// How many trials there were.
    pub trials: usize,
}

impl Simulation {
    /// Mean, spread and intervals of these values.
    ///
    /// # Errors
    /// A coverage probability or a number of values that gives no interval.
    pub fn of(mut values: Vec<f64>, coverage: f64) -> Result<Self, SimulationError> {
        if !(coverage > 0.0 && coverage < 1.0) {
            return Err(SimulationError::Coverage(coverage));
        }
        let trials = values.len();
        let held = (coverage * trials as f64 + 0.5).floor() as usize;
        let summary = Summary::of(&values).filter(|_| held >= 1 && held < trials);
        let deviation = summary.and_then(|summary| summary.deviation);
        let (Some(summary), Some(standard_uncertainty)) = (summary, deviation) else {
            return Err(SimulationError::Trials(trials));
        };
        values.sort_unstable_by(f64::total_cmp);
        // Places are counted from 0 here, from 1 in the document.
        let spare = trials - held;
        let first = ((spare as f64 / 2.0 + 0.5).floor() as usize).clamp(1, spare) - 1;
        let pair = |first: usize| {
            let ends = values.get(first).zip(values.get(first + held));
            ends.map_or((f64::NAN, f64::NAN), |(low, high)| (*low, *high))
        };
        let mut shortest = pair(first);
        for (low, high) in values.iter().zip(values.iter().skip(held)) {
            if high - low < shortest.1 - shortest.0 {
                shortest = (*low, *high);
            }
        }
        let symmetric = pair(first);
        let symmetric_deviation =
            (deviation_at(&values, first), deviation_at(&values, first + held));
        let mean = summary.mean;
        Ok(Simulation {
            mean,
            standard_uncertainty,
            symmetric,
            shortest,
            symmetric_deviation,
            trials,
        })
    }
}

/// The standard deviation of the value at this place of a sorted sample: half the distance of those
/// that lie one standard deviation of the number of values below it to either side.
fn deviation_at(sorted: &[f64], place: usize) -> f64 {
    let count = sorted.len() as f64;
    let share = (place as f64 + 0.5) / count;
    let reach = (count * share * (1.0 - share)).sqrt();
    let low = place.saturating_sub(reach.ceil() as usize);
    let high = (place + reach.ceil() as usize).min(sorted.len().saturating_sub(1));
    let ends = sorted.get(low).zip(sorted.get(high)).filter(|_| high > low);
    ends.map_or(0.0, |(from, to)| (to - from) / (high - low) as f64 * reach)
}
