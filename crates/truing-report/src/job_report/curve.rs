//! A limit that is a curve, and the readings that were held against it.

use serde::Serialize;
use truing_model::{Band, Curve, Interpolation};
use truing_units::from_coherent;

use super::bars::Percent;
use super::scale::Scale;
use super::text::Text;
use super::view::{Ends, Known};
use crate::teller::Scale as Shown;

/// Between two points of a curve that is not straight so many more are drawn.
const BETWEEN: usize = 12;

/// A limit that is a curve, as data.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CurveView {
    /// What it goes by.
    pub by: Text,
    /// The unit of `x`.
    pub by_unit: Text,
    /// The unit of the limit.
    pub unit: Text,
    /// What holds between the points.
    pub interpolation: Interpolation,
    /// Its points, rising in `x`.
    pub points: Vec<CurvePointView>,
    /// The readings.
    pub readings: Vec<Plotted>,
}

/// A point of a curve.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct CurvePointView {
    /// Where.
    pub x: f64,
    /// The limit there.
    pub standard: Ends,
    /// The service limit there.
    pub service: Option<Ends>,
}

/// A reading against a curve.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plotted {
    /// Which member.
    pub member: Option<Text>,
    /// The round.
    pub when: Text,
    /// Whether it stands after the last repair.
    pub after_repair: bool,
    /// Where.
    pub x: f64,
    /// What was measured there.
    pub value: Known,
    /// `within`, `outside low`, …; of a point of a sweep that did not decide nothing.
    pub outcome: Option<&'static str>,
}

impl CurveView {
    /// A curve without readings. `across` shows what it goes by, `along` what it limits.
    pub(crate) fn new(curve: &Curve, by: &str, across: &Shown, along: &Shown) -> Self {
        let ends = |band: &Band| ends_of(&band.standard, along);
        let points = curve.points.iter().map(|point| CurvePointView {
            x: from_coherent(point.x, &across.unit, across.place),
            standard: ends(&point.band),
            service: point.band.service.as_ref().map(|service| ends_of(service, along)),
        });
        Self {
            by: Text::line(by),
            by_unit: Text::line(across.unit.symbol()),
            unit: Text::line(along.unit.symbol()),
            interpolation: curve.interpolation,
            points: points.collect(),
            readings: Vec::new(),
        }
    }
}

/// The ends of an interval in the unit in which they are shown.
pub(crate) fn ends_of(interval: &truing_model::Interval, shown: &Shown) -> Ends {
    let end = |edge: &Option<truing_model::Edge>| {
        edge.as_ref().map(|edge| super::view::End {
            value: from_coherent(edge.value, &shown.unit, shown.place),
            open: edge.open,
        })
    };
    Ends { low: end(&interval.low), high: end(&interval.high) }
}

/// A curve as drawn, in per cent of width and height; `y` is counted from the top.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CurveDrawing {
    /// The limit as the outline of an area, for a box of 100 by 100.
    pub area: String,
    /// Its ends as lines.
    pub lines: Vec<String>,
    /// The points of the spec.
    pub points: Vec<Place>,
    /// The readings.
    pub readings: Vec<PlottedPlace>,
    /// Figures along the width.
    pub across: Vec<AxisFigure>,
    /// Figures along the height.
    pub along: Vec<AxisFigure>,
}

/// A place in a drawing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Place {
    /// From the left.
    pub x: Percent,
    /// From the top.
    pub y: Percent,
}

/// A reading in a drawing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlottedPlace {
    /// From the left.
    pub x: Percent,
    /// From the top; nothing where no best value is known.
    pub y: Option<Percent>,
    /// Where what is known of it begins, from the top.
    pub top: Percent,
    /// Where that ends.
    pub bottom: Percent,
    /// Whether it stands after the last repair.
    pub after_repair: bool,
    /// Whether it is a point that decided.
    pub decided: bool,
}

/// A figure at an axis.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AxisFigure {
    /// Where.
    pub at: Percent,
    /// The figure.
    pub label: String,
}

impl CurveDrawing {
    /// The drawing of a curve; nothing where no reading was held against it.
    #[must_use]
    pub fn of(curve: &CurveView) -> Option<Self> {
        curve.readings.first()?;
        let (first, last) = (curve.points.first()?, curve.points.last()?);
        let xs = curve.readings.iter().map(|reading| reading.x).chain([first.x, last.x]);
        let (left, right) = spanned(xs)?;
        let ys = curve.points.iter().flat_map(|point| values(&point.standard));
        let known = curve.readings.iter().flat_map(|reading| {
            [reading.value.best, reading.value.low, reading.value.high].into_iter().flatten()
        });
        let (bottom, top) = spanned(ys.chain(known))?;
        let open = first.standard.low.is_none() || first.standard.high.is_none();
        let room = if open { (top - bottom) * 0.25 } else { 0.0 };
        let up = if first.standard.high.is_none() { room } else { 0.0 };
        let down = if first.standard.low.is_none() { room } else { 0.0 };
        let across = Scale::between(left, right);
        let along = Scale::between(bottom - down, top + up);
        let plot = Plot { across, along };
        let low = plot.line(curve, |ends| ends.low.map(|end| end.value));
        let high = plot.line(curve, |ends| ends.high.map(|end| end.value));
        Some(Self {
            area: plot.area(curve, low.as_deref(), high.as_deref()),
            lines: [low, high].into_iter().flatten().map(|line| path(&line)).collect(),
            points: plot.points(curve),
            readings: curve.readings.iter().map(|reading| plot.reading(reading)).collect(),
            across: figures(&across, |at| at),
            along: figures(&along, |at| 100.0 - at),
        })
    }
}

fn figures(scale: &Scale, place: impl Fn(f64) -> f64) -> Vec<AxisFigure> {
    let ticks = scale.ticks("").into_iter().filter(|tick| (4.0..=96.0).contains(&tick.at));
    ticks.map(|tick| AxisFigure { at: Percent::of(place(tick.at)), label: tick.label }).collect()
}

fn values(ends: &Ends) -> impl Iterator<Item = f64> {
    [ends.low, ends.high].into_iter().flatten().map(|end| end.value)
}

fn spanned(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.filter(|v| v.is_finite()).fold(None, |ends: Option<(f64, f64)>, value| {
        Some(ends.map_or((value, value), |(low, high)| (low.min(value), high.max(value))))
    })
}

struct Plot {
    across: Scale,
    along: Scale,
}

impl Plot {
    fn x(&self, value: f64) -> f64 {
        self.across.at(value)
    }

    fn y(&self, value: f64) -> f64 {
        100.0 - self.along.at(value)
    }

    /// One end of the limit as a line through its points.
    fn line(
        &self,
        curve: &CurveView,
        end: impl Fn(&Ends) -> Option<f64>,
    ) -> Option<Vec<(f64, f64)>> {
        let at: Option<Vec<(f64, f64)>> =
            curve.points.iter().map(|point| Some((point.x, end(&point.standard)?))).collect();
        let at = at?;
        let mut line: Vec<(f64, f64)> = Vec::new();
        for pair in at.windows(2) {
            let [(x0, y0), (x1, y1)] = *pair else { continue };
            line.push((x0, y0));
            match curve.interpolation {
                Interpolation::Linear => {}
                Interpolation::Step => line.push((x1, y0)),
                Interpolation::Log => line.extend((1..BETWEEN).map(|n| {
                    let part = n as f64 / BETWEEN as f64;
                    (x0 + (x1 - x0) * part, y0 * (y1 / y0).powf(part))
                })),
            }
        }
        line.extend(at.last());
        Some(line.into_iter().map(|(x, y)| (self.x(x), self.y(y))).collect())
    }

    /// The area between the ends; an end that is not there is the edge of the drawing.
    fn area(
        &self,
        curve: &CurveView,
        low: Option<&[(f64, f64)]>,
        high: Option<&[(f64, f64)]>,
    ) -> String {
        let ends = curve.points.first().zip(curve.points.last());
        let Some((first, last)) = ends else { return String::new() };
        let edge = |y: f64| vec![(self.x(first.x), y), (self.x(last.x), y)];
        let mut outline = low.map_or_else(|| edge(100.0), <[(f64, f64)]>::to_vec);
        let upper = high.map_or_else(|| edge(0.0), <[(f64, f64)]>::to_vec);
        outline.extend(upper.into_iter().rev());
        format!("{}Z", path(&outline))
    }

    fn points(&self, curve: &CurveView) -> Vec<Place> {
        let places = curve.points.iter().flat_map(|point| {
            values(&point.standard)
                .map(|value| Place {
                    x: Percent::of(self.x(point.x)),
                    y: Percent::of(self.y(value)),
                })
                .collect::<Vec<_>>()
        });
        places.collect()
    }

    fn reading(&self, reading: &Plotted) -> PlottedPlace {
        let value = reading.value;
        PlottedPlace {
            x: Percent::of(self.x(reading.x)),
            y: value.best.map(|best| Percent::of(self.y(best))),
            top: Percent::of(value.high.map_or(0.0, |high| self.y(high))),
            bottom: Percent::of(value.low.map_or(100.0, |low| self.y(low))),
            after_repair: reading.after_repair,
            decided: reading.outcome.is_some(),
        }
    }
}

/// Points as the data of an SVG path.
fn path(points: &[(f64, f64)]) -> String {
    let steps = points.iter().enumerate().map(|(n, (x, y))| {
        let step = if n == 0 { 'M' } else { 'L' };
        format!("{step}{x:.2} {y:.2}")
    });
    steps.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job_report::view::End;

    fn curve(interpolation: Interpolation, points: &[(f64, f64, Option<f64>)]) -> CurveView {
        let end = |value: f64| End { value, open: false };
        let points = points.iter().map(|(x, low, high)| CurvePointView {
            x: *x,
            standard: Ends { low: Some(end(*low)), high: high.map(end) },
            service: None,
        });
        CurveView {
            by: Text::line("speed"),
            by_unit: Text::line("rpm"),
            unit: Text::line("V"),
            interpolation,
            points: points.collect(),
            readings: vec![Plotted {
                member: None,
                when: Text::line("as found"),
                after_repair: false,
                x: 2000.0,
                value: Known { best: Some(30.0), low: Some(29.0), high: Some(31.0) },
                outcome: Some("within"),
            }],
        }
    }

    fn corners(path: &str) -> usize {
        path.matches(['M', 'L']).count()
    }

    #[test]
    fn a_straight_curve_has_its_points_and_no_more() {
        let drawing = CurveDrawing::of(&curve(
            Interpolation::Linear,
            &[(1200.0, 17.0, Some(23.0)), (5000.0, 60.0, Some(75.0))],
        ))
        .unwrap();
        assert_eq!(drawing.lines.len(), 2);
        assert_eq!(drawing.lines.iter().map(|line| corners(line)).collect::<Vec<_>>(), [2, 2]);
        assert_eq!(corners(&drawing.area), 4);
        assert!(drawing.area.ends_with('Z'));
        assert_eq!(drawing.points.len(), 4);
        assert_eq!(drawing.readings.len(), 1);
    }

    #[test]
    fn a_step_has_a_corner_and_a_logarithm_bends() {
        let points = [(4800.0, 60.0, None), (5200.0, 50.0, None)];
        let step = CurveDrawing::of(&curve(Interpolation::Step, &points)).unwrap();
        assert_eq!(corners(&step.lines[0]), 3);
        // Open above: the area reaches the top of the drawing.
        assert!(step.area.contains(" 0.00"), "{}", step.area);
        let log = CurveDrawing::of(&curve(Interpolation::Log, &points)).unwrap();
        assert_eq!(corners(&log.lines[0]), BETWEEN + 1);
    }

    #[test]
    fn nothing_is_drawn_of_nothing() {
        assert_eq!(CurveDrawing::of(&curve(Interpolation::Linear, &[])), None);
        let mut unread = curve(Interpolation::Linear, &[(0.0, 1.0, None), (1.0, 2.0, None)]);
        assert!(CurveDrawing::of(&unread).is_some());
        unread.readings.clear();
        assert_eq!(CurveDrawing::of(&unread), None);
    }
}
