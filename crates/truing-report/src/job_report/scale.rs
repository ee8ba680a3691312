//! The scale that the readings of one check are drawn on: its ends, its ticks, and places on it.

use truing_units::{figure_text, significant_text};

use super::view::{Ends, Row};

/// A value that lies this many times above an end of the limit, or below it, is drawn with it on a
/// logarithmic scale.
const LOGARITHMIC_FROM: f64 = 30.0;
/// Free room at either end, as a part of what is drawn.
const MARGIN: f64 = 0.10;
/// Room on the side on which a limit is open: its band is to be seen to go on.
const OPEN_ROOM: f64 = 0.30;
/// At most so many ticks.
const TICKS: usize = 5;

/// A scale from `from` to `to`.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Scale {
    from: f64,
    to: f64,
    logarithmic: bool,
}

/// A place on a scale with what is written there.
#[derive(Clone, Debug, PartialEq)]
pub struct Tick {
    /// In per cent of the scale.
    pub at: f64,
    /// The figure, with its unit where the scale is logarithmic.
    pub label: String,
}

impl Scale {
    /// A scale on which everything of these rows has its place; none where nothing is to be drawn.
    #[must_use]
    pub fn of(rows: &[Row]) -> Option<Self> {
        let values: Vec<f64> = rows.iter().flat_map(values).filter(|v| v.is_finite()).collect();
        let (low, high) = ends(&values)?;
        let negative = rows.iter().flat_map(fixed).any(|value| value < 0.0);
        if let Some(from) = decades_from(rows, high).filter(|_| !negative) {
            let to = high.log10();
            return Some(Self { from, to: to + (to - from) * MARGIN, logarithmic: true });
        }
        Some(Self::linear(low, high, &open_sides(rows), negative))
    }

    /// A straight scale for values from `low` to `high`.
    #[must_use]
    pub fn between(low: f64, high: f64) -> Self {
        Self::linear(low, high, &(false, false), low < 0.0)
    }

    fn linear(low: f64, high: f64, open: &(bool, bool), negative: bool) -> Self {
        let span = match high - low {
            span if span > 0.0 => span,
            _ if high == 0.0 => 1.0,
            _ => high.abs() * 0.2,
        };
        let room = |open: bool| span * if open { OPEN_ROOM } else { MARGIN };
        let mut from = low - room(open.0);
        // What can't be negative is drawn from nought where that is near.
        if !negative && low >= 0.0 && low <= span * 0.8 {
            from = 0.0;
        }
        Self { from, to: high + room(open.1), logarithmic: false }
    }

    /// Whether it is logarithmic.
    #[must_use]
    pub const fn is_logarithmic(&self) -> bool {
        self.logarithmic
    }

    /// Where a value lies, in per cent of the scale; what lies beyond an end is held there.
    #[must_use]
    pub fn at(&self, value: f64) -> f64 {
        let place = match (self.logarithmic, value > 0.0) {
            (false, _) => value,
            (true, true) => value.log10(),
            (true, false) => self.from,
        };
        ((place - self.from) / (self.to - self.from) * 100.0).clamp(0.0, 100.0)
    }

    /// Whether a value lies on the scale.
    #[must_use]
    pub fn holds(&self, value: f64) -> bool {
        if self.logarithmic {
            value > 0.0 && value.log10() >= self.from && value.log10() <= self.to
        } else {
            value >= self.from && value <= self.to
        }
    }

    /// Round figures along it. `unit` is that of the values.
    #[must_use]
    pub fn ticks(&self, unit: &str) -> Vec<Tick> {
        if self.logarithmic { self.decades(unit) } else { self.steps() }
    }

    fn steps(&self) -> Vec<Tick> {
        let step = round_step((self.to - self.from) / TICKS as f64);
        if step.is_nan() || step <= 0.0 {
            return Vec::new();
        }
        let first = (self.from / step).ceil();
        (0..=2 * TICKS)
            .map(|n| (first + n as f64) * step)
            .take_while(|value| *value <= self.to)
            .map(|value| Tick {
                at: self.at(value),
                label: no_minus_nought(figure_text(value, step)),
            })
            .collect()
    }

    fn decades(&self, unit: &str) -> Vec<Tick> {
        let (first, last) = (self.from.ceil(), self.to.floor());
        let step = ((last - first) / (TICKS - 1) as f64).ceil().max(1.0);
        (0..=2 * TICKS)
            .map(|n| first + n as f64 * step)
            .take_while(|power| *power <= last)
            .map(|power| {
                let value = 10_f64.powf(power);
                Tick { at: self.at(value), label: prefixed(value, unit) }
            })
            .collect()
    }
}

/// An end of a limit as a figure, without zeros that were not printed.
#[must_use]
pub fn edge_text(value: f64) -> String {
    significant_text(value, 6).parse::<f64>().unwrap_or(value).to_string()
}

/// What a scale has to hold of a row, doubt and guard bands included.
fn values(row: &Row) -> Vec<f64> {
    let mut values = fixed(row);
    let known = row.value.iter().flat_map(|value| [value.low, value.high]);
    values.extend(known.flatten());
    if let Some(guard) = row.guard {
        let ends: Vec<f64> = edges(row);
        values.extend(ends.iter().flat_map(|end| [end - guard, end + guard]));
    }
    values
}

/// What lies where it lies: ends of limits, best values, and the upper ends of what has no best
/// value. (Its lower end may reach below nought by the doubt of the meter alone.)
fn fixed(row: &Row) -> Vec<f64> {
    let mut values = edges(row);
    values.extend(row.value.and_then(|value| value.best.or(value.high)));
    values
}

/// The power of ten from which to draw, where an end of a limit and what is held against it lie so
/// far apart that a straight scale shows one of them only.
fn decades_from(rows: &[Row], high: f64) -> Option<f64> {
    let positive = |values: Vec<f64>| values.into_iter().filter(|value| *value > 0.0);
    let edge = rows.iter().flat_map(|row| positive(edges(row))).reduce(f64::min)?;
    let censored = rows.iter().filter_map(|row| row.value.filter(|value| value.best.is_none()));
    let lower = censored.filter_map(|value| value.low);
    let values = rows.iter().flat_map(|row| positive(fixed(row))).chain(lower.filter(|v| *v > 0.0));
    let least = values.fold(edge, f64::min);
    // Below the end of a limit that is open below, near nought is good, and is drawn near nought.
    let floor = rows.iter().flat_map(|row| positive(floors(row))).reduce(f64::min);
    let far_below = floor.is_some_and(|floor| floor >= least * LOGARITHMIC_FROM);
    let apart = far_below || high >= edge * LOGARITHMIC_FROM;
    apart.then(|| least.log10().floor())
}

fn edges(row: &Row) -> Vec<f64> {
    let of = |ends: &Ends| [ends.low, ends.high].into_iter().flatten().map(|end| end.value);
    row.standard.iter().chain(&row.service).flat_map(of).collect()
}

/// The lower ends of a row's limits.
fn floors(row: &Row) -> Vec<f64> {
    let limits = row.standard.iter().chain(&row.service);
    limits.filter_map(|ends| ends.low).map(|end| end.value).collect()
}

fn ends(values: &[f64]) -> Option<(f64, f64)> {
    let low = values.iter().copied().reduce(f64::min)?;
    let high = values.iter().copied().reduce(f64::max)?;
    Some((low, high))
}

/// Whether any limit, or what is known of any value, goes on without end to the left, to the right.
fn open_sides(rows: &[Row]) -> (bool, bool) {
    let outer = |row: &Row| row.service.or(row.standard);
    let censored = |row: &Row| row.value.filter(|value| value.best.is_none());
    let left = |row: &Row| {
        outer(row).is_some_and(|ends| ends.low.is_none())
            || censored(row).is_some_and(|value| value.low.is_none())
    };
    let right = |row: &Row| {
        outer(row).is_some_and(|ends| ends.high.is_none())
            || censored(row).is_some_and(|value| value.high.is_none())
    };
    (rows.iter().any(left), rows.iter().any(right))
}

/// 1, 2 or 5 times a power of ten, at least `least`.
fn round_step(least: f64) -> f64 {
    let power = 10_f64.powf(least.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().find(|n| n * power >= least * 0.999);
    step.unwrap_or(10.0) * power
}

fn no_minus_nought(text: String) -> String {
    let nought = text.starts_with('-') && text.chars().all(|c| matches!(c, '-' | '0' | '.'));
    if nought { text.trim_start_matches('-').to_owned() } else { text }
}

/// `100 ohm`, `10 kohm`: over many decades one unit does not do.
fn prefixed(value: f64, unit: &str) -> String {
    const BASES: [&str; 8] = ["ohm", "V", "A", "W", "Hz", "F", "Pa", "m"];
    const PREFIXES: [(&str, i32); 7] =
        [("n", -9), ("u", -6), ("m", -3), ("", 0), ("k", 3), ("M", 6), ("G", 9)];
    let known = PREFIXES.iter().find_map(|(prefix, power)| {
        let base = unit.strip_prefix(prefix)?;
        BASES.contains(&base).then_some((base, *power))
    });
    let Some((base, power)) = known else { return format!("{} {unit}", edge_text(value)) };
    // A hair is added: the logarithm of a power of ten may lie just below it.
    let of_value = (value.log10() + 1e-9).floor() as i32 + power;
    let nearest = PREFIXES.iter().rev().find(|(_, at)| *at <= of_value);
    let (prefix, at) = nearest.copied().unwrap_or(("", 0));
    format!("{} {prefix}{base}", edge_text(value * 10_f64.powi(power - at)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job_report::view::{End, Known};

    fn row(low: Option<f64>, high: Option<f64>, best: f64, doubt: f64) -> Row {
        let end = |value: f64| End { value, open: false };
        let known = Known { best: Some(best), low: Some(best - doubt), high: Some(best + doubt) };
        Row {
            value: Some(known),
            standard: Some(Ends { low: low.map(end), high: high.map(end) }),
            guard: Some(doubt),
            ..Row::default()
        }
    }

    #[test]
    fn everything_has_its_place_and_the_order_stays() {
        let rows =
            [row(Some(14.0), Some(14.8), 13.24, 0.08), row(Some(14.0), Some(14.8), 14.21, 0.1)];
        let scale = Scale::of(&rows).unwrap();
        let places = [13.16, 13.24, 14.0, 14.21, 14.8, 14.9].map(|value| scale.at(value));
        assert!(places.is_sorted(), "{places:?}");
        assert!(places[0] > 0.0 && places[5] < 100.0, "{places:?}");
        assert!(!scale.is_logarithmic());
    }

    #[test]
    fn an_open_side_has_room_for_its_band() {
        let scale = Scale::of(&[row(Some(12.6), None, 12.66, 0.08)]).unwrap();
        assert!(scale.at(12.74) < 82.0, "{}", scale.at(12.74));
        let scale = Scale::of(&[row(None, Some(0.1), 1.07, 0.02)]).unwrap();
        assert_eq!(scale.at(0.0), 0.0);
        assert!(scale.at(0.1) > 5.0);
    }

    #[test]
    fn ohms_and_megohms_are_drawn_by_decades() {
        // 0.3 ohm and 48 Mohm against 1 Mohm.
        let rows = [row(Some(1.0), None, 3e-7, 3e-7), row(Some(1.0), None, 48.0, 0.8)];
        let scale = Scale::of(&rows).unwrap();
        assert!(scale.is_logarithmic());
        let labels: Vec<String> = scale.ticks("Mohm").into_iter().map(|tick| tick.label).collect();
        assert_eq!(labels, ["100 mohm", "100 ohm", "100 kohm", "100 Mohm"]);
        assert!(scale.at(-1.0) == 0.0);
    }

    #[test]
    fn ticks_are_round_and_inside() {
        let ticks = Scale::between(13.1, 14.9).ticks("V");
        let labels: Vec<&str> = ticks.iter().map(|tick| tick.label.as_str()).collect();
        assert_eq!(labels, ["13.0", "13.5", "14.0", "14.5", "15.0"]);
        assert!(ticks.iter().all(|tick| (0.0..=100.0).contains(&tick.at)));
        let labels = Scale::between(-1.3, 3.5).ticks("A");
        assert!(labels.iter().any(|tick| tick.label == "0"), "{labels:?}");
    }

    #[test]
    fn one_value_alone_has_a_scale_too() {
        for value in [0.0, 5.0, -3.0] {
            let scale = Scale::between(value, value);
            let at = scale.at(value);
            assert!((0.0..=100.0).contains(&at) && !at.is_nan(), "{value} at {at}");
        }
    }

    #[test]
    fn prefixes_follow_the_size() {
        assert_eq!(prefixed(1e-6, "Mohm"), "1 ohm");
        assert_eq!(prefixed(0.1, "Mohm"), "100 kohm");
        assert_eq!(prefixed(10.0, "Mohm"), "10 Mohm");
        assert_eq!(prefixed(100.0, "mA"), "100 mA");
        assert_eq!(prefixed(1000.0, "mA"), "1 A");
        assert_eq!(prefixed(100.0, "rpm"), "100 rpm");
    }

    #[test]
    fn no_number_makes_no_ticks_and_no_panic() {
        assert_eq!(Scale::of(&[]), None);
        let scale = Scale { from: f64::NAN, to: f64::NAN, logarithmic: false };
        assert!(scale.ticks("V").is_empty());
        assert!(Scale::between(-1e308, 1e308).ticks("V").len() < 12);
    }
}
