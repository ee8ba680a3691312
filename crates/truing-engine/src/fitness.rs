//! What a meter cannot be used for.

use serde::Serialize;
use truing_model::{Indication, MeterFunction, MeterRange, Reading, Reduction};

use crate::doubt::test_voltage;
use crate::meter::MeterUse;

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
    /// The reading is a least or greatest value that the instrument itself holds, and this one holds
    /// none.
    NoCapture,
}

impl Unfit {
    /// Whether it matters only where the uncertainty does: the figure itself can be right.
    pub(crate) const fn is_of_doubt_only(&self) -> bool {
        matches!(self, Self::NoAccuracy | Self::Frequency { at: None, .. })
    }
}

/// What a display showed, as far as the choice of the range goes by it.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Shown {
    pub least: f64,
    pub greatest: f64,
    /// The value that stands for it.
    pub at: f64,
    /// Half of the coarsest last digit; nought where there is none.
    pub half: f64,
    /// Whether it has a last digit at all: a bound and the size of a gauge have none.
    pub digits: bool,
    /// The top of the range in use, where the reading says it.
    pub range: Option<f64>,
    /// It is overload.
    pub overload: bool,
}

impl Shown {
    pub fn figure(figure: &Indication) -> Self {
        Self::between(figure.value, figure.value, figure.half_step, true)
    }

    fn between(least: f64, greatest: f64, half: f64, digits: bool) -> Self {
        let at = if greatest.abs() >= least.abs() { greatest } else { least };
        Self { least, greatest, at, half, digits, range: None, overload: false }
    }

    /// What a reading showed; a sweep is so many single figures.
    pub fn of(reading: &Reading, reduce: Reduction) -> Option<Self> {
        Some(match reading {
            Reading::NotTaken { .. } | Reading::Word(_) | Reading::Sweep(_) => return None,
            Reading::Figure(figure) => Self::figure(figure),
            Reading::Overload { range } => {
                let range = range.as_ref().map(|range| range.value);
                let at = range.unwrap_or(0.0);
                Self { range, overload: true, ..Self::between(at, at, 0.0, false) }
            }
            Reading::Above { bound, .. } | Reading::Below { bound, .. } => {
                Self::between(bound.value, bound.value, 0.0, false)
            }
            Reading::Between { low, high } => Self::between(low.value, high.value, 0.0, false),
            Reading::Unsteady { low, high, .. } => {
                Self::between(low.value, high.value, low.half_step.max(high.half_step), true)
            }
            Reading::Repeats(figures) => {
                let each = || figures.iter().map(|figure| figure.value);
                let least = each().reduce(f64::min)?;
                let greatest = each().reduce(f64::max)?;
                let half = figures.iter().map(|figure| figure.half_step).fold(0.0, f64::max);
                let at = match reduce {
                    Reduction::Min => least,
                    Reduction::Max => greatest,
                    Reduction::Mean => each().map(|x| x / figures.len() as f64).sum(),
                };
                Self { at, ..Self::between(least, greatest, half, true) }
            }
        })
    }

    /// How far it lies from what counts as nought, with its sign.
    pub fn from(&self, nought: f64) -> f64 {
        self.at - nought
    }
}

/// Whether two figures are the same but for rounding.
fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs())
}

/// The line of a function that a reading was taken on: the range by what is stated, else by the
/// value and its digits, and of several lines of one range that of the frequency.
///
/// # Errors
/// [`Unfit`] where there is none.
pub(crate) fn line(
    function: &MeterFunction,
    meter: &MeterUse,
    shown: &Shown,
    frequency: Option<f64>,
) -> Result<usize, Unfit> {
    let stated = meter.range.or(shown.range);
    let range = match stated {
        Some(stated) => stated_range(function, stated, shown),
        None if shown.overload => highest(function),
        None => automatic_range(function, shown),
    }?;
    banded(function, range, meter.frequency.or(frequency))
}

/// What an overload says that the true value is above: the top of the range, or of a diode
/// function the voltage that it applies, where that is less. With the range that has that top.
pub(crate) fn overload_bound<'a>(
    function: &'a MeterFunction,
    meter: &MeterUse,
) -> Option<(f64, &'a MeterRange)> {
    let place = match meter.range {
        Some(stated) => function.ranges.iter().position(|range| same(range.top, stated)),
        None => highest(function).ok(),
    };
    let range = function.ranges.get(place?)?;
    let test = test_voltage(function).filter(|test| meter.range.is_none() && *test < range.top);
    Some((test.unwrap_or(range.top), range))
}

fn highest(function: &MeterFunction) -> Result<usize, Unfit> {
    let tops = function.ranges.iter().map(|range| range.top).enumerate();
    let highest = tops.fold(None, |best: Option<(usize, f64)>, next| match best {
        Some(best) if best.1 >= next.1 => Some(best),
        _ => Some(next),
    });
    highest.map(|(place, _)| place).ok_or(Unfit::NoFunction)
}

fn stated_range(function: &MeterFunction, stated: f64, shown: &Shown) -> Result<usize, Unfit> {
    let mut ranges = function.ranges.iter().enumerate();
    let Some((place, range)) = ranges.find(|(_, range)| same(range.top, stated)) else {
        return Err(Unfit::NoSuchRange { stated });
    };
    if shown.overload {
        return Ok(place);
    }
    if !holds(range, shown) {
        let above = shown.greatest > range.top;
        return Err(Unfit::AboveRange { top: if above { range.top } else { range.bottom } });
    }
    match range.step {
        Some(step) if too_fine(shown, step) => Err(Unfit::Digits {
            step: 2.0 * shown.half,
            range_step: step,
            from: with_step(function, shown),
        }),
        _ => Ok(place),
    }
}

fn automatic_range(function: &MeterFunction, shown: &Shown) -> Result<usize, Unfit> {
    let holding = || function.ranges.iter().enumerate().filter(|(_, range)| holds(range, shown));
    if holding().next().is_none() {
        let top = function.ranges.iter().map(|range| range.top).fold(f64::MIN, f64::max);
        let bottom = function.ranges.iter().map(|range| range.bottom).fold(f64::MAX, f64::min);
        let above = shown.greatest > top;
        return Err(Unfit::AboveRange { top: if above { top } else { bottom } });
    }
    let by_digits = |range: &MeterRange| {
        shown.digits && range.step.is_some_and(|step| same(step, 2.0 * shown.half))
    };
    let fine = |range: &MeterRange| range.step.is_none_or(|step| !too_fine(shown, step));
    let found = holding()
        .find(|(_, range)| by_digits(range))
        .or_else(|| holding().find(|(_, range)| fine(range)));
    if let Some((place, _)) = found {
        return Ok(place);
    }
    let finest = holding().filter_map(|(_, range)| range.step).fold(f64::MAX, f64::min);
    let step = 2.0 * shown.half;
    Err(Unfit::Digits { step, range_step: finest, from: with_step(function, shown) })
}

fn holds(range: &MeterRange, shown: &Shown) -> bool {
    range.bottom <= shown.least && shown.greatest <= range.top
}

/// Whether the digits are finer than a display of this step shows.
fn too_fine(shown: &Shown, step: f64) -> bool {
    let digit = 2.0 * shown.half;
    shown.digits && digit > 0.0 && digit < step && !same(digit, step)
}

/// The top of a range that shows such digits.
fn with_step(function: &MeterFunction, shown: &Shown) -> Option<f64> {
    let step = 2.0 * shown.half;
    let mut ranges = function.ranges.iter();
    ranges.find(|range| range.step.is_some_and(|of| same(of, step))).map(|range| range.top)
}

/// Of the lines of one range that of the frequency.
fn banded(function: &MeterFunction, place: usize, at: Option<f64>) -> Result<usize, Unfit> {
    let top = function.ranges.get(place).map_or(0.0, |range| range.top);
    let lines = || function.ranges.iter().enumerate().filter(|(_, range)| range.top == top);
    let fits = |range: &MeterRange| match (range.band, at) {
        (None, _) => true,
        // A frequency that is worked out from a speed is off in its last digits.
        (Some((low, high)), Some(at)) => low <= at && at <= high || same(low, at) || same(high, at),
        (Some(_), None) => false,
    };
    if let Some((place, _)) = lines().find(|(_, range)| fits(range)) {
        return Ok(place);
    }
    let bands = || lines().filter_map(|(_, range)| range.band);
    let low = bands().map(|(low, _)| low).fold(f64::MAX, f64::min);
    let high = bands().map(|(_, high)| high).fold(0.0, f64::max);
    Err(Unfit::Frequency { at, low, high })
}
