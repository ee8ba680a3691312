//! Which way a rule is decided by the errors of its margins (JCGM 106:2012, clauses 7 and 8).

use truing_model::{DecideRule, Relation, Side};

use crate::arithmetic::{Arithmetic, Cause, Ends, Known, Lack, Mode, Stand, Truth};
use crate::budget::Conformance;
use crate::finding::Spanned;
use crate::program::{FlatCurve, FlatPoint, Root};
use crate::run::{Runner, compare, placed};
use crate::stand::{Stood, held};

/// What a decision rule asks of the errors.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) enum Asked {
    /// This probability, on either side.
    Probability(f64),
    /// So many standard uncertainties, on either side.
    Factor(f64),
    /// Nothing: the readings alone decide, and the errors are told.
    Reading,
}

/// How far a probability may fall short by rounding.
const SLACK: f64 = 1e-9;

impl Asked {
    /// Nothing where a rule goes by the readings alone.
    pub fn of(rule: DecideRule) -> Option<Self> {
        match rule {
            DecideRule::Simple | DecideRule::Guarded { k: 0.0 } => None,
            DecideRule::Guarded { k } => Some(Self::Factor(k)),
            DecideRule::At { probability } => Some(Self::Probability(probability)),
        }
    }

    /// Whether something holds that holds with this probability.
    pub fn holds(self, probability: f64) -> Truth {
        let Self::Probability(wanted) = self else { return Truth::Unknown(Cause::Undecided) };
        if probability + SLACK >= wanted {
            Truth::True
        } else if 1.0 - probability + SLACK >= wanted {
            Truth::False
        } else {
            Truth::Unknown(Cause::Undecided)
        }
    }

    /// Whether a margin is surely nought or more, given its standard uncertainty and the
    /// probability that it is.
    fn is_above(self, margin: f64, standard: f64, above: impl FnOnce() -> f64) -> Truth {
        match self {
            Self::Probability(_) | Self::Reading => self.holds(above()),
            Self::Factor(k) => {
                let guard = (k - SLACK) * standard;
                if margin >= guard {
                    Truth::True
                } else if -margin >= guard {
                    Truth::False
                } else {
                    Truth::Unknown(Cause::Undecided)
                }
            }
        }
    }
}

/// Four places on 0 .. 1: the probabilities that the true value lies below each end.
#[derive(Copy, Clone, Debug, Default)]
pub(crate) struct Cuts {
    pub standard: [f64; 2],
    pub service: [f64; 2],
}

impl Cuts {
    /// The probabilities of the parts that a limit makes.
    pub fn conformance(&self) -> Conformance {
        let Self { standard: [sl, sh], service: [vl, vh] } = *self;
        let between = |low: f64, high: f64| (high - low).max(0.0);
        let within = between(sl, sh);
        let shared = between(sl.max(vl), sh.min(vh));
        let passes = (within + between(vl, vh) - shared).clamp(0.0, 1.0);
        let (low, high) = (sl.min(vl), (1.0 - sh.max(vh)).max(0.0));
        Conformance { within, passes, low, high }
    }

    fn decide(&self, wanted: f64) -> Stand {
        let of = self.conformance();
        let enough = |share: f64| share + SLACK >= wanted;
        if enough(of.within) {
            Stand::Within
        } else if enough(of.passes - of.within) {
            Stand::Worn
        } else if enough(1.0 - of.passes) {
            // On the side of the service limit, where there is one.
            let [low, high] = self.service;
            Stand::Outside(if enough(low) {
                Some(Side::Low)
            } else if enough(1.0 - high) {
                Some(Side::High)
            } else {
                None
            })
        } else {
            // An end is spanned where it cuts off more than a hundredth of what may be cut off.
            let spanned = |cut: f64| cut > 0.01 * (1.0 - wanted);
            let Self { standard: [sl, sh], service: [vl, vh] } = *self;
            let low = spanned(sl.min(1.0 - sl)) || spanned(vl.min(1.0 - vl));
            let high = spanned(sh.min(1.0 - sh)) || spanned(vh.min(1.0 - vh));
            let ends = match (low, high) {
                (true, false) => Spanned::Low,
                (false, true) => Spanned::High,
                _ => Spanned::Both,
            };
            Stand::Spans { ends, passes: enough(of.passes) }
        }
    }
}

/// What is held against a limit with its ends.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Aim<'a, N> {
    /// The number that is judged.
    pub subject: u32,
    pub value: N,
    pub standard: Ends<N>,
    pub service: Option<Ends<N>>,
    /// Where on its curve, with the number that says it.
    pub curve: Option<(&'a FlatCurve, u32, N)>,
}

impl<N: Copy> Aim<'_, N> {
    /// As something that stands so.
    pub fn stood(&self, stand: Stand) -> Stood<N> {
        Stood {
            stand,
            value: Some(self.value),
            standard: Some(self.standard),
            service: self.service,
            at: self.curve.map(|(_, _, at)| at),
            conformance: None,
            point: None,
        }
    }
}

/// One end of one of the intervals of a limit.
#[derive(Copy, Clone, Debug)]
pub(crate) struct End<N> {
    pub side: Side,
    pub is_service: bool,
    pub at: N,
    pub open: bool,
}

impl<'a, A: Arithmetic> Runner<'a, A> {
    /// How a value stands to a limit by what a decision rule asks of its errors.
    pub fn decide(
        &mut self,
        aim: &Aim<'_, A::Number>,
        asked: Asked,
        root: Root,
    ) -> Known<Stood<A::Number>> {
        match asked {
            Asked::Probability(wanted) => {
                let Some(cuts) = self.cuts(aim, root)? else {
                    return self.hold(aim, Mode::Simple, root);
                };
                let stand = cuts.decide(wanted);
                Ok(Stood { conformance: Some(cuts.conformance()), ..aim.stood(stand) })
            }
            Asked::Factor(_) | Asked::Reading => {
                let mut inside = [[Truth::True; 2]; 2];
                for place in 0..4_usize {
                    let Some(end) = end_of(aim, place) else { continue };
                    let standard = self.errors_against(aim, &end, root)?;
                    let truth = if standard == 0.0 {
                        by_itself::<A>(aim.value, &end)
                    } else {
                        let margin = margin::<A>(aim.value, &end)?;
                        asked.is_above(margin, standard, || 1.0)
                    };
                    if truth == Truth::Unclear {
                        return Err(Lack::Unclear);
                    }
                    if let Some(kept) =
                        inside.get_mut(place / 2).and_then(|of| of.get_mut(place % 2))
                    {
                        *kept = truth;
                    }
                }
                let [[low, high], [service_low, service_high]] = inside;
                let service = aim.service.map(|_| placed(service_low, service_high));
                let stand = held(placed(low, high), service).ok_or(Lack::Unclear)?;
                Ok(aim.stood(stand))
            }
        }
    }

    /// The probabilities that the true value lies below each end; `None` where there are no errors
    /// and the readings alone do not tell either.
    pub fn cuts(&mut self, aim: &Aim<'_, A::Number>, root: Root) -> Known<Option<Cuts>> {
        let mut cuts = [[0.0, 1.0], [0.0, 1.0]];
        let mut known = None;
        for place in 0..4_usize {
            let Some(end) = end_of(aim, place) else { continue };
            // Fixed ends have the errors of the value alone: those are added up once.
            let standard = match known {
                Some(standard) if aim.curve.is_none() => standard,
                _ => self.errors_against(aim, &end, root)?,
            };
            known = Some(standard);
            let cut = if standard == 0.0 {
                match (by_itself::<A>(aim.value, &end), end.side) {
                    (Truth::True, Side::Low) | (Truth::False, Side::High) => 0.0,
                    (Truth::False, Side::Low) | (Truth::True, Side::High) => 1.0,
                    (Truth::Unclear, _) => return Err(Lack::Unclear),
                    (Truth::Unknown(_), _) => return Ok(None),
                }
            } else {
                let inwards = margin::<A>(aim.value, &end)?;
                let up = if end.side == Side::Low { inwards } else { -inwards };
                self.scratch.sum.below(-up)
            };
            if cut.is_nan() {
                return Err(Lack::Rough);
            }
            if let Some(kept) = cuts.get_mut(place / 2).and_then(|of| of.get_mut(place % 2)) {
                *kept = cut;
            }
        }
        let [standard, service] = cuts;
        let service = if aim.service.is_some() { service } else { standard };
        Ok(Some(Cuts { standard, service }))
    }

    /// The standard uncertainty of a value against one end; the errors are then added up.
    pub fn errors_against(
        &mut self,
        aim: &Aim<'_, A::Number>,
        end: &End<A::Number>,
        root: Root,
    ) -> Known<f64> {
        let slope = match aim.curve {
            None => None,
            Some((curve, number, at)) => {
                let place = A::nearest(at).zip(A::nearest(end.at));
                let (x, y) = place.ok_or(Lack::Rough)?;
                let of = |point: &FlatPoint| {
                    let band = &point.band;
                    let service = band.service.as_ref();
                    let interval = if end.is_service { service? } else { &band.standard };
                    let edge = match end.side {
                        Side::Low => interval.low?,
                        Side::High => interval.high?,
                    };
                    edge.at.near.middle()
                };
                Some((number, self.slope_of_curve(curve, x, y, of).ok_or(Lack::Rough)?))
            }
        };
        let errors = match slope {
            Some((number, slope)) if slope != 0.0 => {
                self.errors(&[(aim.subject, 1.0), (number, -slope)], root.steps, root.slots)
            }
            _ => self.errors(&[(aim.subject, 1.0)], root.steps, root.slots),
        };
        let size = A::nearest(aim.value).zip(A::nearest(end.at));
        let standard = errors.map(|standard| counted(standard, size)).ok_or(Lack::Rough)?;
        if drowns::<A>(standard, aim.value, end.at) { Err(Lack::Unclear) } else { Ok(standard) }
    }

    /// How two quantities compare by what a decision rule asks of their errors.
    pub fn compare_by(
        &mut self,
        relation: Relation,
        left: (u32, A::Number),
        right: (u32, A::Number),
        asked: Asked,
        root: Root,
    ) -> Truth {
        if asked == Asked::Reading {
            return compare::<A>(relation, left.1, right.1);
        }
        let rough = Truth::Unknown(Cause::Rough);
        let (above, below) = match relation {
            Relation::Less | Relation::LessOrEqual => (right, left),
            Relation::Greater | Relation::GreaterOrEqual => (left, right),
            // Such rules are decided by intervals.
            Relation::Equal | Relation::NotEqual => return rough,
        };
        let seeds = [(above.0, 1.0), (below.0, -1.0)];
        let (Some(standard), Some((a, b))) = (
            self.errors(&seeds, root.steps, root.slots),
            A::nearest(above.1).zip(A::nearest(below.1)),
        ) else {
            return rough;
        };
        if counted(standard, Some((a, b))) == 0.0 {
            return compare::<A>(relation, left.1, right.1);
        }
        if drowns::<A>(standard, above.1, below.1) {
            return Truth::Unclear;
        }
        asked.is_above(a - b, standard, || 1.0 - self.scratch.sum.below(b - a))
    }
}

/// The ends of a limit, by place: standard low and high, service low and high.
pub(crate) fn end_of<N: Copy>(aim: &Aim<'_, N>, place: usize) -> Option<End<N>> {
    let is_service = place >= 2;
    let ends = if is_service { aim.service.as_ref()? } else { &aim.standard };
    let side = if place.is_multiple_of(2) { Side::Low } else { Side::High };
    let (at, open) = match side {
        Side::Low => ends.low?,
        Side::High => ends.high?,
    };
    Some(End { side, is_service, at, open })
}

/// How far inside an end a value lies.
pub(crate) fn margin<A: Arithmetic>(value: A::Number, end: &End<A::Number>) -> Known<f64> {
    let (value, at) = A::nearest(value).zip(A::nearest(end.at)).ok_or(Lack::Rough)?;
    Ok(if end.side == Side::Low { value - at } else { at - value })
}

/// Whether a value lies inside an end by itself.
fn by_itself<A: Arithmetic>(value: A::Number, end: &End<A::Number>) -> Truth {
    let relation = match (end.side, end.open) {
        (Side::Low, true) => Relation::Greater,
        (Side::Low, false) => Relation::GreaterOrEqual,
        (Side::High, true) => Relation::Less,
        (Side::High, false) => Relation::LessOrEqual,
    };
    compare::<A>(relation, value, end.at)
}

/// Whether the errors of a margin are lost in the rounding of the two numbers that it is between.
fn drowns<A: Arithmetic>(standard: f64, one: A::Number, other: A::Number) -> bool {
    standard > 0.0 && A::rounding(one) + A::rounding(other) > 1e-3 * standard
}

/// A standard uncertainty that doubles cannot tell from nought counts as nought.
pub(crate) fn counted(standard: f64, size: Option<(f64, f64)>) -> f64 {
    let size = size.map_or(0.0, |(a, b)| a.abs().max(b.abs()));
    if standard <= 1e-12 * size { 0.0 } else { standard }
}
