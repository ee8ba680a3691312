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
    /// How many trials there were.
    pub trials: usize,
}

impl Simulation {
    /// Mean, spread and intervals of these values.
    pub(super) fn of(mut values: Vec<f64>, coverage: f64) -> Result<Self, SimulationError> {
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
        Ok(Simulation { mean: summary.mean, standard_uncertainty, symmetric, shortest, trials })
    }
}
