//! Preferred values of resistors and capacitors (IEC 60063).

use super::{OutOfRange, positive, within};

/// A series of preferred values.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Series {
    /// 3 values a decade, ±40 % (`from memory`).
    E3,
    /// 6 values a decade, ±20 %.
    E6,
    /// 12 values a decade, ±10 %.
    E12,
    /// 24 values a decade, ±5 %.
    E24,
    /// 48 values a decade, ±2 %.
    E48,
    /// 96 values a decade, ±1 %.
    E96,
    /// 192 values a decade, ±0.5 %.
    E192,
}

/// E24. It follows no rule: 27 to 47 and 82 are not what the rounded powers give.
const E24: [u32; 24] = [
    10, 11, 12, 13, 15, 16, 18, 20, 22, 24, 27, 30, 33, 36, 39, 43, 47, 51, 56, 62, 68, 75, 82, 91,
];

/// Powers of ten that an `f64` holds exactly.
const POWERS: [f64; 16] =
    [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15];

impl Series {
    /// How many values a decade has.
    #[must_use]
    pub fn count(self) -> u32 {
        match self {
            Self::E3 => 3,
            Self::E6 => 6,
            Self::E12 => 12,
            Self::E24 => 24,
            Self::E48 => 48,
            Self::E96 => 96,
            Self::E192 => 192,
        }
    }

    /// The tolerance that goes with the series, as a fraction of the value. A component's own
    /// marking comes first: E96 parts are made to ±0.1 % too.
    #[must_use]
    pub fn tolerance(self) -> f64 {
        match self {
            Self::E3 => 0.40,
            Self::E6 => 0.20,
            Self::E12 => 0.10,
            Self::E24 => 0.05,
            Self::E48 => 0.02,
            Self::E96 => 0.01,
            Self::E192 => 0.005,
        }
    }

    /// The significant figures of one decade, rising: two figures up to E24, three from E48.
    pub fn figures(self) -> impl Iterator<Item = u32> {
        let count = self.count();
        let step = 24_u32.checked_div(count).unwrap_or(0) as usize;
        let two = E24.into_iter().step_by(step.max(1)).filter(move |_| count <= 24);
        let three = (0..count).filter(move |_| count > 24).map(move |place| three(place, count));
        two.chain(three)
    }

    /// The preferred value nearest to `value` by difference, in the unit of `value`. Of two that
    /// are equally near it is the lower.
    ///
    /// # Errors
    /// A value outside 1e-9 to 1e12.
    pub fn nearest(self, value: f64) -> Result<f64, OutOfRange> {
        within("value", positive("value", value)?, 1e-9, 1e12)?;
        let digits = if self.count() <= 24 { 1 } else { 2 };
        let first = libm::floor(libm::log10(value)) as i32 - digits;
        // One decade up and down too: the logarithm may round, and 9.9 is nearest to 10.
        let near = (first - 1..=first + 1)
            .flat_map(|power| self.figures().map(move |figure| scaled(figure, power)));
        let off = |candidate: &f64| (candidate - value).abs();
        Ok(near.fold(f64::INFINITY, |best, next| if off(&next) < off(&best) { next } else { best }))
    }
}

/// The three figures at a place in a decade: the rounded power, and the one exception of E192.
fn three(place: u32, count: u32) -> u32 {
    let figure = libm::round(100.0 * libm::exp10(f64::from(place) / f64::from(count))) as u32;
    if figure == 919 { 920 } else { figure }
}

/// `figure` times ten to the `power`, rounded once.
fn scaled(figure: u32, power: i32) -> f64 {
    let ten = POWERS.get(power.unsigned_abs() as usize).copied().unwrap_or(f64::INFINITY);
    if power < 0 { f64::from(figure) / ten } else { f64::from(figure) * ten }
}
