//! One check's readings drawn against its limit: a strip for each row, all on one scale, and the
//! axis below them. Everything is a share of the width, so that a drawing fits any page while its
//! lines and letters keep their size.

use serde::Serialize;

use super::scale::{Scale, edge_text};
use super::view::{Ends, Family, Row};

/// Ticks nearer than this to an end of the limit, in per cent of the width, are not labelled.
const CLOSE: f64 = 12.0;

/// The drawing of a family.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Drawing {
    /// One for each row.
    pub strips: Vec<Strip>,
    /// What stands below them.
    pub axis: Axis,
    /// Whether the scale is logarithmic.
    pub logarithmic: bool,
}

/// One row.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Strip {
    /// The service limit, outside the standard one.
    pub service: Option<Stretch>,
    /// The limit.
    pub limit: Option<Stretch>,
    /// Ends of limits, as lines.
    pub edges: Vec<Percent>,
    /// Guard bands around them.
    pub guards: Vec<Stretch>,
    /// What the value can be: its expanded uncertainty, or what is known of it.
    pub doubt: Option<Spread>,
    /// The value.
    pub mark: Option<Percent>,
}

/// A stretch of the width.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stretch {
    /// Where it begins.
    pub from: Percent,
    /// How wide it is.
    pub width: Percent,
}

/// What a value can be.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Spread {
    /// Where it begins.
    pub from: Percent,
    /// Where it ends.
    pub to: Percent,
    /// Whether it goes on to the left.
    pub goes_left: bool,
    /// Whether it goes on to the right.
    pub goes_right: bool,
}

/// The axis.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Axis {
    /// Round figures.
    pub ticks: Vec<AxisTick>,
    /// The ends of the limit, where it is the same in every row.
    pub limits: Vec<AxisTick>,
    /// What the figures are in; nothing where each has its unit.
    pub unit: Option<String>,
}

/// A figure on the axis.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AxisTick {
    /// Where.
    pub at: Percent,
    /// The figure.
    pub label: String,
    /// On which side of its place the figure stands.
    pub anchor: &'static str,
}

/// A share of the width as SVG takes it, `43.21%`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Percent(String);

impl Percent {
    /// To a hundredth of a per cent: far below what is seen.
    #[must_use]
    pub fn of(share: f64) -> Self {
        // No "-0.00".
        let share = if share.abs() < 0.005 { 0.0 } else { share };
        Self(format!("{share:.2}%"))
    }
}

impl Drawing {
    /// The drawing of a family; nothing where no limit or no value of it has a place.
    #[must_use]
    pub fn of(family: &Family) -> Option<Self> {
        let rows = &family.rows;
        if !rows.iter().any(|row| row.standard.is_some() && row.value.is_some()) {
            return None;
        }
        let scale = Scale::of(rows)?;
        let unit = family.unit.as_ref().map_or("", |unit| unit.as_str());
        Some(Self {
            strips: rows.iter().map(|row| strip(row, &scale)).collect(),
            axis: axis(rows, &scale, unit),
            logarithmic: scale.is_logarithmic(),
        })
    }
}

fn strip(row: &Row, scale: &Scale) -> Strip {
    let ends = |ends: &Option<Ends>| ends.map(|ends| band(&ends, scale));
    let edges = edges(row);
    let guard = row.guard.filter(|guard| *guard > 0.0);
    let guards = edges.iter().filter_map(|edge| {
        let (from, to) = (scale.at(edge - guard?), scale.at(edge + guard?));
        (to > from).then(|| stretch(from, to))
    });
    Strip {
        service: ends(&row.service),
        limit: ends(&row.standard),
        guards: guards.collect(),
        edges: edges.iter().map(|edge| Percent::of(scale.at(*edge))).collect(),
        doubt: row.value.and_then(|value| {
            let (from, to) =
                (value.low.map_or(0.0, |v| scale.at(v)), value.high.map_or(100.0, |v| scale.at(v)));
            let off = |end: Option<f64>| end.is_none_or(|value| !scale.holds(value));
            (to > from).then(|| Spread {
                from: Percent::of(from),
                to: Percent::of(to),
                goes_left: off(value.low),
                goes_right: off(value.high),
            })
        }),
        mark: row.value.and_then(|value| value.best).map(|best| Percent::of(scale.at(best))),
    }
}

fn stretch(from: f64, to: f64) -> Stretch {
    Stretch { from: Percent::of(from), width: Percent::of(to - from) }
}

fn band(ends: &Ends, scale: &Scale) -> Stretch {
    let from = ends.low.map_or(0.0, |end| scale.at(end.value));
    let to = ends.high.map_or(100.0, |end| scale.at(end.value));
    stretch(from, to)
}

/// The ends of a row's limits, each once.
fn edges(row: &Row) -> Vec<f64> {
    let mut edges: Vec<f64> = Vec::new();
    for ends in row.standard.iter().chain(&row.service) {
        for end in [ends.low, ends.high].into_iter().flatten() {
            if !edges.contains(&end.value) {
                edges.push(end.value);
            }
        }
    }
    edges
}

fn axis(rows: &[Row], scale: &Scale, unit: &str) -> Axis {
    let mut of_rows = rows.iter().map(edges).filter(|edges| !edges.is_empty());
    let first = of_rows.next().unwrap_or_default();
    let same = of_rows.all(|edges| edges == first);
    let mut limits: Vec<f64> = if same { first } else { Vec::new() };
    limits.sort_by(f64::total_cmp);
    let places: Vec<f64> = limits.iter().map(|end| scale.at(*end)).collect();
    let count = limits.len();
    let labelled = limits.iter().enumerate().map(|(n, end)| {
        let label = match scale.is_logarithmic() {
            true => format!("{} {unit}", edge_text(*end)),
            false => edge_text(*end),
        };
        let at = scale.at(*end);
        // Two ends write away from each other.
        let anchor = match (count, n) {
            _ if at < 8.0 => "start",
            _ if at > 92.0 => "end",
            (1, _) => "middle",
            (_, 0) => "end",
            (_, n) if n + 1 == count => "start",
            _ => "middle",
        };
        AxisTick { at: Percent::of(at), label, anchor }
    });
    let free = |at: f64| {
        // The unit stands at the right.
        (3.0..=88.0).contains(&at) && places.iter().all(|place| (place - at).abs() > CLOSE)
    };
    let ticks = scale.ticks(unit).into_iter().filter(|tick| free(tick.at));
    Axis {
        limits: labelled.collect(),
        ticks: ticks
            .map(|tick| AxisTick { at: Percent::of(tick.at), label: tick.label, anchor: "middle" })
            .collect(),
        unit: (!scale.is_logarithmic() && !unit.is_empty()).then(|| unit.to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job_report::text::Text;
    use crate::job_report::view::{End, Group, Known};

    fn family(rows: Vec<Row>) -> Family {
        Family {
            check: Text::line("charges"),
            title: Text::line("System charges"),
            group: Group::Outside,
            first_page: None,
            limit: None,
            source: None,
            unit: Some(Text::line("V")),
            rows,
            advice: Vec::new(),
            curve: None,
        }
    }

    fn known(best: f64, doubt: f64) -> Option<Known> {
        Some(Known { best: Some(best), low: Some(best - doubt), high: Some(best + doubt) })
    }

    fn limit(low: f64, high: f64) -> Option<Ends> {
        let end = |value: f64| Some(End { value, open: false });
        Some(Ends { low: end(low), high: end(high) })
    }

    fn number(percent: &Percent) -> f64 {
        percent.0.trim_end_matches('%').parse().unwrap()
    }

    #[test]
    fn found_and_left_are_on_one_scale_and_the_guard_bands_lie_around_the_ends() {
        let row = |best| Row {
            value: known(best, 0.08),
            standard: limit(14.0, 14.8),
            guard: Some(0.08),
            ..Row::default()
        };
        let drawing = Drawing::of(&family(vec![row(13.24), row(14.21)])).unwrap();
        let [found, left] = drawing.strips.as_slice() else { panic!("two rows") };
        assert_eq!(found.limit, left.limit);
        let band = found.limit.as_ref().unwrap();
        assert!(number(found.mark.as_ref().unwrap()) < number(&band.from));
        assert!(number(left.mark.as_ref().unwrap()) > number(&band.from));
        assert_eq!(found.guards.len(), 2);
        for (guard, edge) in found.guards.iter().zip(&found.edges) {
            let middle = number(&guard.from) + number(&guard.width) / 2.0;
            assert!((middle - number(edge)).abs() < 0.02, "{guard:?} around {edge:?}");
        }
        // A guard band is as wide as the doubt is long.
        let doubt = found.doubt.as_ref().unwrap();
        let long = number(&doubt.to) - number(&doubt.from);
        assert!((long - number(&found.guards[0].width)).abs() < 0.03);
        let labels: Vec<_> = drawing.axis.limits.iter().map(|t| t.label.as_str()).collect();
        assert_eq!(labels, ["14", "14.8"]);
    }

    #[test]
    fn what_is_only_known_to_lie_above_goes_on_to_the_right() {
        let censored = Some(Known { best: None, low: Some(2.0), high: None });
        let row = Row { value: censored, standard: limit(0.35, 0.75), ..Row::default() };
        let drawing = Drawing::of(&family(vec![row])).unwrap();
        let strip = &drawing.strips[0];
        assert_eq!(strip.mark, None);
        let doubt = strip.doubt.as_ref().unwrap();
        assert!(doubt.goes_right && !doubt.goes_left);
        assert_eq!(number(&doubt.to), 100.0);
    }

    #[test]
    fn a_row_without_a_value_still_shows_its_limit_and_a_check_without_any_is_not_drawn() {
        let bare = Row { standard: limit(1.0, 2.0), ..Row::default() };
        let taken = Row { value: known(1.5, 0.1), ..bare.clone() };
        let drawing = Drawing::of(&family(vec![bare.clone(), taken])).unwrap();
        assert!(drawing.strips[0].mark.is_none() && drawing.strips[0].limit.is_some());
        assert_eq!(Drawing::of(&family(vec![bare])), None);
        let unlimited = Row { value: known(1.5, 0.1), ..Row::default() };
        assert_eq!(Drawing::of(&family(vec![unlimited])), None);
    }

    #[test]
    fn limits_that_differ_between_rows_are_not_labelled_as_one() {
        let row =
            |low| Row { value: known(60.0, 1.0), standard: limit(low, 90.0), ..Row::default() };
        let drawing = Drawing::of(&family(vec![row(50.0), row(55.0)])).unwrap();
        assert!(drawing.axis.limits.is_empty());
        assert_ne!(drawing.strips[0].limit, drawing.strips[1].limit);
    }

    #[test]
    fn a_share_is_written_without_minus_nought() {
        assert_eq!(Percent::of(-0.0).0, "0.00%");
        assert_eq!(Percent::of(-0.001).0, "0.00%");
        assert_eq!(Percent::of(33.333_3).0, "33.33%");
    }
}
