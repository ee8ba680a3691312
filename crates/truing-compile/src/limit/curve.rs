//! Curves: points that rise, each with a band of the same ends.

use truing_model::{Band, Curve, CurvePoint, Interpolation, Interval};
use truing_syntax::Span;
use truing_syntax::tree::{self, Figure, KindName, LimitExpr};

use super::ends::known;
use crate::context::Context;
use crate::lint;
use crate::typing::{Allowed, Place, Typer, Value, kind_place};

impl Context<'_> {
    pub(super) fn curve(
        &self,
        by: &KindName,
        interpolation: tree::Interpolation,
        points: &[(Figure, LimitExpr)],
        place: &Place,
        span: Span,
    ) -> Option<Curve> {
        let by_kind = self.kind(by);
        let typer = Typer::new(self, None, Allowed::Constants);
        let mut out: Vec<CurvePoint> = Vec::new();
        let mut sound = true;
        for (figure, limit) in points {
            for condition in &limit.conditions {
                self.findings.push(lint::condition_misplaced::in_arm(condition.span));
            }
            let x = by_kind.and_then(|kind| {
                typer.literal(figure, Some(&kind_place(kind, by.span, "the curve goes by")))
            });
            let band = self.part(limit, place);
            let (Some(x), Some(band)) = (x, band) else {
                sound = false;
                continue;
            };
            let at = known(&x);
            let before = out.last().map(|point| Value { value: point.x, exact: point.exact });
            if before.is_some_and(|before| at.compare(before).is_le()) {
                self.findings.push(lint::curve_not_rising::finding(figure.span));
                sound = false;
            }
            if let Some(first) = out.first()
                && shape(&first.band) != shape(&band)
            {
                let first_span = points.first().map_or(span, |(_, limit)| limit.span);
                self.findings.push(lint::curve_ends::uneven(limit.span, first_span));
                sound = false;
            }
            if interpolation == tree::Interpolation::Log && !positive(&band) {
                self.findings.push(lint::curve_ends::not_positive(limit.span));
                sound = false;
            }
            out.push(CurvePoint { x: at.value, exact: at.exact, band });
        }
        if sound && out.len() < 2 {
            if !self.is_torn(span) {
                self.findings.push(lint::curve_not_rising::too_few(span));
            }
            sound = false;
        }
        let interpolation = match interpolation {
            tree::Interpolation::Linear => Interpolation::Linear,
            tree::Interpolation::Step => Interpolation::Step,
            tree::Interpolation::Log => Interpolation::Log,
        };
        let by = by_kind?;
        sound.then_some(Curve { by, interpolation, points: out })
    }
}

/// Which ends a band has, and which of them are excluded.
fn shape(band: &Band) -> [Option<bool>; 5] {
    let ends = |interval: &Interval| {
        [interval.low.as_ref().map(|edge| edge.open), interval.high.as_ref().map(|edge| edge.open)]
    };
    let [a, b] = ends(&band.standard);
    let [c, d] = band.service.as_ref().map_or([None; 2], ends);
    [a, b, c, d, band.service.as_ref().map(|_| true)]
}

fn positive(band: &Band) -> bool {
    let above = |interval: &Interval| {
        [&interval.low, &interval.high].into_iter().flatten().all(|edge| edge.value > 0.0)
    };
    above(&band.standard) && band.service.as_ref().is_none_or(above)
}
