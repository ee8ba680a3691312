//! A decision in a straight line: how far a number lies from the ends of a limit, against how
//! uncertain that distance is.
//!
//! Under `at P` by the probability that the true value lies on either side of each end
//! (JCGM 106:2012, clause 7), under `guarded k` by k standard uncertainties (JCGM 106:2012, 8.3).

use truing_model::{DecideRule, Edge, Interval, Side};

use super::dual::{Bar, Dual};
use super::judge::{Judge, Position, Standing, graded, position_of};
use super::sum::ErrorSum;
use super::{Known, Unknown};
use crate::budget::Conformance;

/// Probabilities are reckoned to so much.
const ROUNDING: f64 = 1e-9;

/// The ends of a limit with their derivatives: those of a curve go by the readings too.
pub(super) struct Ends {
    pub low: Option<End>,
    pub high: Option<End>,
}

pub(super) struct End {
    pub at: Dual,
    pub open: bool,
}

/// How far a number lies above something, with the errors of that distance.
pub(super) struct Margin {
    pub by: f64,
    pub errors: ErrorSum,
}

impl Ends {
    pub fn fixed(of: &Interval) -> Self {
        let end =
            |edge: &Edge| End { at: Dual::constant(edge.value), open: edge.open };
        Self { low: of.low.as_ref().map(end), high: of.high.as_ref().map(end) }
    }
}

impl Margin {
    pub fn is_certain(&self) -> bool {
        self.errors.standard_uncertainty() == 0.0
    }

    /// The probability that the true distance is below nought. The errors are taken off what was
    /// read, so they have to exceed the distance; they lie symmetrically about nought.
    fn below(&self, open: bool) -> f64 {
        if self.is_certain() {
            return if self.by < 0.0 || open && self.by == 0.0 { 1.0 } else { 0.0 };
        }
        self.errors.cumulative(-self.by)
    }

    /// Whether the distance is above nought, by the rule. `open`: nought itself is not enough.
    pub fn is_above(&self, rule: DecideRule, open: bool) -> Known<bool> {
        let (holds, fails) = match rule {
            DecideRule::At { probability } => {
                let below = self.below(open);
                (enough(1.0 - below, probability), enough(below, probability))
            }
            DecideRule::Guarded { k } if !self.is_certain() => {
                let standard = self.errors.standard_uncertainty();
                let guard = k * standard - ROUNDING * standard;
                (self.by >= guard, self.by <= -guard)
            }
            _ => (self.below(open) == 0.0, self.below(open) == 1.0),
        };
        if holds {
            Ok(true)
        } else if fails {
            Ok(false)
        } else {
            Err(Unknown::Undecided)
        }
    }
}

fn enough(probability: f64, wanted: f64) -> bool {
    probability + ROUNDING >= wanted
}

/// How far a number lies above each end that there is.
pub(super) struct Margins {
    low: Option<(Margin, bool)>,
    high: Option<(Margin, bool)>,
}

impl Margins {
    fn are_certain(&self) -> bool {
        [&self.low, &self.high].into_iter().flatten().all(|(margin, _)| margin.is_certain())
    }

    /// Which way by the guards on both sides.
    fn position(&self, rule: DecideRule) -> Position {
        let above_low = self.low.as_ref().map_or(Ok(true), |(margin, open)| {
            margin.is_above(rule, *open)
        });
        let below_high = self.high.as_ref().map_or(Ok(true), |(margin, open)| {
            margin.reversed().is_above(rule, *open)
        });
        position_of(above_low, below_high)
    }

    /// The probabilities of a true value below the lower and below the upper end.
    fn cuts(&self) -> [f64; 2] {
        [
            self.low.as_ref().map_or(0.0, |(margin, open)| margin.below(*open)),
            self.high.as_ref().map_or(1.0, |(margin, open)| margin.below(!*open)),
        ]
    }
}

impl Margin {
    fn reversed(&self) -> Self {
        Self { by: -self.by, errors: self.errors.clone() }
    }
}

impl Judge<'_> {
    pub fn margin(&self, subject: &Dual, end: &Dual) -> Result<Margin, Bar> {
        let distance = subject.subtract(end)?;
        Ok(Margin { by: distance.value, errors: self.spread(&distance) })
    }

    pub fn margins(&self, subject: &Dual, ends: &Ends) -> Result<Margins, Bar> {
        let margin = |end: &Option<End>| match end {
            Some(end) => Ok(Some((self.margin(subject, &end.at)?, end.open))),
            None => Ok::<_, Bar>(None),
        };
        Ok(Margins { low: margin(&ends.low)?, high: margin(&ends.high)? })
    }

    /// How a number stands to a limit; `None` where nothing about it is uncertain.
    pub fn hold_straight(
        &self,
        subject: &Dual,
        standard: &Ends,
        service: Option<&Ends>,
        rule: DecideRule,
    ) -> Result<Option<Standing>, Bar> {
        let standard = self.margins(subject, standard)?;
        let service = service.map(|ends| self.margins(subject, ends)).transpose()?;
        if standard.are_certain() && service.as_ref().is_none_or(Margins::are_certain) {
            return Ok(None);
        }
        Ok(Some(match rule {
            DecideRule::At { probability } => {
                let parts = parts(standard.cuts(), service.as_ref().map(Margins::cuts));
                by_probability(parts, probability)
            }
            _ => {
                graded(standard.position(rule), service.map(|service| service.position(rule)))
            }
        }))
    }
}

/// From the probabilities below each end to those of the parts that the ends make.
pub(super) fn parts([sl, sh]: [f64; 2], service: Option<[f64; 2]>) -> Conformance {
    let [vl, vh] = service.unwrap_or([sl, sh]);
    let between = |low: f64, high: f64| f64::max(high - low, 0.0);
    let within = between(sl, sh);
    let both = between(sl.max(vl), sh.min(vh));
    let passes = within + between(vl, vh) - both;
    Conformance { within, passes, low: sl.min(vl), high: 1.0 - sh.max(vh) }
}

fn by_probability(parts: Conformance, wanted: f64) -> Standing {
    let Conformance { within, passes, low, high } = parts;
    if enough(within, wanted) {
        Standing::Within
    } else if enough(passes - within, wanted) {
        Standing::Worn
    } else if enough(1.0 - passes, wanted) {
        Standing::Outside(if enough(low, wanted) {
            Some(Side::Low)
        } else if enough(high, wanted) {
            Some(Side::High)
        } else {
            None
        })
    } else if enough(passes, wanted) {
        Standing::Passes
    } else {
        Standing::Undecided
    }
}
