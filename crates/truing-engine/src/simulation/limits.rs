//! The ends of a limit in plain doubles, and how a value lies to them.

use truing_model::{Interpolation, Side};

use crate::enclosure::Fixed;
use crate::plan::one_sided;
use crate::program::{FlatBand, FlatEdge, FlatInterval, FlatRule, Program};
use crate::sheet::place;

/// The double that is nearest to a fixed figure.
pub(super) fn number_of(fixed: &Fixed) -> f64 {
    let exact = fixed.exact.map(|exact| exact.to_f64());
    exact.or_else(|| fixed.near.middle()).unwrap_or(f64::NAN)
}

/// One end.
#[derive(Copy, Clone, Debug)]
pub(super) struct End {
    pub at: f64,
    pub side: Side,
    pub open: bool,
}

impl End {
    fn of(edge: Option<FlatEdge>, side: Side) -> Option<Self> {
        edge.map(|edge| Self { at: number_of(&edge.at), side, open: edge.open })
    }

    /// Whether a value lies below it; one that lies on it lies inside the limit, unless it is open.
    pub fn is_above(&self, value: f64) -> bool {
        match (self.side, self.open) {
            (Side::Low, true) | (Side::High, false) => value <= self.at,
            (Side::Low, false) | (Side::High, true) => value < self.at,
        }
    }
}

/// Standard low and high, service low and high.
pub(super) type Four = [Option<End>; 4];

fn four(band: &FlatBand) -> Four {
    let [low, high, ..] = Ends::interval(&band.standard);
    let [service_low, service_high, ..] = Ends::interval(&band.service.unwrap_or(band.standard));
    [low, high, service_low, service_high]
}

/// How a value lies to the four ends.
pub(super) struct Held {
    /// Whether it lies below each; where there is no end, as if it lay inside.
    pub below: [bool; 4],
}

impl Held {
    pub fn of(value: f64, ends: &Four) -> Self {
        let mut below = [false, true, false, true];
        for (kept, end) in below.iter_mut().zip(ends) {
            if let Some(end) = end {
                *kept = end.is_above(value);
            }
        }
        Self { below }
    }

    /// Whether it lies inside the limit or the service limit.
    pub fn passes(&self) -> bool {
        let [low, high, service_low, service_high] = self.below;
        (!low && high) || (!service_low && service_high)
    }
}

/// The ends of a limit: fixed, or along a curve.
#[derive(Clone, Debug)]
pub(super) enum Ends {
    Fixed(Four),
    Along { points: Vec<(f64, Four)>, interpolation: Interpolation },
}

impl Ends {
    /// The ends of a rule; `None` where it has none.
    pub fn of(program: &Program, rule: FlatRule) -> Option<Self> {
        match rule {
            FlatRule::Band(band) => Some(Self::Fixed(four(program.bands.get(place(band))?))),
            FlatRule::Curve(curve) => {
                let curve = program.curves.get(place(curve))?;
                let points = curve.points.of(&program.points);
                let points = points.iter().map(|point| (number_of(&point.x), four(&point.band)));
                let points = points.collect();
                Some(Self::Along { points, interpolation: curve.interpolation })
            }
            FlatRule::NotSpecified | FlatRule::Variants(_) => None,
        }
    }

    /// The single end of a comparison with a constant.
    pub fn one(side: Side, edge: FlatEdge) -> Self {
        Self::Fixed(Self::interval(&one_sided(side, edge)))
    }

    pub fn interval(interval: &FlatInterval) -> Four {
        let (low, high) = (End::of(interval.low, Side::Low), End::of(interval.high, Side::High));
        [low, high, low, high]
    }

    /// The four ends, of a curve at a place. The stretches at its ends go on beyond them: an error
    /// may lead there.
    pub fn at(&self, x: f64) -> Four {
        let (points, interpolation) = match self {
            Self::Fixed(four) => return *four,
            Self::Along { points, interpolation } => (points, *interpolation),
        };
        let below = points.iter().filter(|(at, _)| *at <= x).count();
        let last = points.len().saturating_sub(1);
        let step = interpolation == Interpolation::Step;
        let begin = below.saturating_sub(1).min(if step { last } else { last.saturating_sub(1) });
        let Some((x0, from)) = points.get(begin) else { return [None; 4] };
        let mut ends = *from;
        if x.is_nan() {
            ends.iter_mut().flatten().for_each(|end| end.at = f64::NAN);
        } else if let Some((x1, to)) = points.get(begin + 1).filter(|_| !step) {
            let part = (x - x0) / (x1 - x0);
            for (end, to) in ends.iter_mut().zip(to) {
                if let (Some(end), Some(to)) = (end, to) {
                    end.at = between(interpolation, end.at, to.at, part);
                }
            }
        }
        ends
    }
}

fn between(interpolation: Interpolation, from: f64, to: f64, part: f64) -> f64 {
    match interpolation {
        Interpolation::Log => {
            let (low, high) = (libm::log(from), libm::log(to));
            libm::exp(low + (high - low) * part)
        }
        Interpolation::Linear | Interpolation::Step => from + (to - from) * part,
    }
}
