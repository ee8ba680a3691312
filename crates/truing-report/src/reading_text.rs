//! A reading as it was written down, and as a sentence speaks of it.

use truing_model::{Indication, Reading};
use truing_units::Unit;

/// So many points of a sweep, or repeats, are written out; of more the number is given.
const WRITTEN_OUT: usize = 6;

/// The unit that the instrument showed.
pub(crate) fn unit(reading: &Reading) -> Option<&Unit> {
    match reading {
        Reading::Figure(figure) => Some(&figure.shown.unit),
        Reading::Overload { range } => range.as_ref().map(|range| &range.shown.unit),
        Reading::Above { bound, .. } | Reading::Below { bound, .. } => Some(&bound.shown.unit),
        Reading::Between { low, .. } | Reading::Unsteady { low, .. } => Some(&low.shown.unit),
        Reading::Repeats(figures) => figures.first().map(|figure| &figure.shown.unit),
        Reading::Sweep(points) => points.first().map(|(_, figure)| &figure.shown.unit),
        Reading::Word(_) | Reading::NotTaken { .. } => None,
    }
}

/// A reading as it was written down. `word` turns an observation's place into its word.
pub(crate) fn as_written(reading: &Reading, word: impl Fn(u16) -> String) -> String {
    match reading {
        Reading::Figure(figure) => figure.shown.to_string(),
        Reading::Overload { range: None } => "OL".to_owned(),
        Reading::Overload { range: Some(range) } => format!("OL on the {} range", range.shown),
        Reading::Above { bound, inclusive } => {
            format!("{} {}", if *inclusive { ">=" } else { ">" }, bound.shown)
        }
        Reading::Below { bound, inclusive } => {
            format!("{} {}", if *inclusive { "<=" } else { "<" }, bound.shown)
        }
        Reading::Between { low, high } => interval(low, high, " .. "),
        Reading::Unsteady { low, high, moved_by } => {
            let by = moved_by.as_ref().map_or(String::new(), |by| format!(" (moved by: {by})"));
            format!("{} unsteady{by}", interval(low, high, " .. "))
        }
        Reading::Repeats(figures) => repeats(figures),
        Reading::Sweep(points) => sweep(points),
        Reading::Word(place) => word(*place),
        Reading::NotTaken { reason: None } => "not taken".to_owned(),
        Reading::NotTaken { reason: Some(reason) } => format!("not taken ({reason})"),
    }
}

/// A reading as the subject of a sentence; `None` where the value must be spoken of instead.
pub(crate) fn as_subject(reading: &Reading) -> Option<String> {
    Some(match reading {
        Reading::Figure(figure) => figure.shown.to_string(),
        Reading::Overload { .. } => as_written(reading, |_| String::new()),
        Reading::Above { bound, inclusive } => {
            format!("{} {}", if *inclusive { "at least" } else { "more than" }, bound.shown)
        }
        Reading::Below { bound, inclusive } => {
            format!("{} {}", if *inclusive { "at most" } else { "less than" }, bound.shown)
        }
        Reading::Between { low, high } => format!("between {}", interval(low, high, " and ")),
        Reading::Unsteady { low, high, .. } => {
            format!("unsteady between {}", interval(low, high, " and "))
        }
        Reading::Repeats(_) | Reading::Sweep(_) => return None,
        Reading::Word(_) | Reading::NotTaken { .. } => return None,
    })
}

/// The fewest significant digits among a reading's figures.
pub(crate) fn digits(reading: &Reading) -> Option<u32> {
    let digits = |figure: &Indication| {
        figure.shown.figure.coefficient().unsigned_abs().checked_ilog10().map_or(1, |log| log + 1)
    };
    match reading {
        Reading::Figure(figure) => Some(digits(figure)),
        Reading::Between { low, high } | Reading::Unsteady { low, high, .. } => {
            Some(digits(low).min(digits(high)))
        }
        Reading::Repeats(figures) => figures.iter().map(digits).min(),
        Reading::Sweep(points) => points.iter().map(|(_, figure)| digits(figure)).min(),
        Reading::Above { bound, .. } | Reading::Below { bound, .. } => Some(digits(bound)),
        Reading::Overload { .. } | Reading::Word(_) | Reading::NotTaken { .. } => None,
    }
}

fn interval(low: &Indication, high: &Indication, between: &str) -> String {
    if low.shown.unit == high.shown.unit {
        format!("{}{between}{}", low.shown.figure, high.shown)
    } else {
        format!("{}{between}{}", low.shown, high.shown)
    }
}

fn repeats(figures: &[Indication]) -> String {
    let same = figures.windows(2).all(|pair| match pair {
        [a, b] => a.shown.unit == b.shown.unit,
        _ => true,
    });
    let Some(last) = figures.last() else { return String::new() };
    let rest = figures.len().saturating_sub(WRITTEN_OUT);
    let told: Vec<String> = figures
        .iter()
        .take(WRITTEN_OUT)
        .map(|figure| if same { figure.shown.figure.to_string() } else { figure.shown.to_string() })
        .collect();
    let mut text = told.join(", ");
    if same {
        text.push_str(&format!(" {}", last.shown.unit));
    }
    if rest > 0 {
        text.push_str(&format!(" and {rest} more"));
    }
    text
}

fn sweep(points: &[(Indication, Indication)]) -> String {
    let told: Vec<String> = points
        .iter()
        .take(WRITTEN_OUT)
        .map(|(at, figure)| format!("{} at {}", figure.shown, at.shown))
        .collect();
    let rest = points.len().saturating_sub(WRITTEN_OUT);
    let more = if rest > 0 { format!(" and {rest} more") } else { String::new() };
    format!("{}{more}", told.join(", "))
}
