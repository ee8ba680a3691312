//! A decision in a straight line: how far a number lies from the ends of a limit, against how
//! uncertain that distance is.
//!
//! Under `at P` by the probability that the true value lies on either side of each end
//! (JCGM 106:2012, clause 7), under `guarded k` by k standard uncertainties (JCGM 106:2012, 8.3).

use truing_metrology::uncertainty::ErrorSum;
use truing_model::{Check, CheckRule, DecideRule, Relation, Side};

use super::dual::Dual;
use super::judge::Judge;
use super::limits::{Border, Borders};
use super::standing::{Position, Standing, graded, position_of};
use super::straight::Line;
use super::{Known, Unknown, Weighed};
use crate::budget::Conformance;

/// Probabilities are reckoned to so much.
const ROUNDING: f64 = 1e-9;

/// Of two figures of this size, an uncertainty below so much of them is rounding.
const NOTHING: f64 = 1e-12;

/// The ends of a limit with their derivatives: those of a curve go by the readings too.
pub(super) struct Ends {
    pub low: Option<End>,
    pub high: Option<End>,
}

pub(super) struct End {
    pub at: Line,
    pub open: bool,
}

impl Ends {
    pub fn fixed(of: Borders) -> Self {
        let end = |border: Border| {
            let dual = Dual::constant(border.at.nearest());
            End { at: Line { exactly: border.at, dual }, open: border.open }
        };
        Self { low: of.low.map(end), high: of.high.map(end) }
    }
}

/// How far one number lies above another, and how uncertain that is.
pub(super) struct Margin {
    by: f64,
    /// The errors of the distance; `None` where there are none.
    errors: Option<ErrorSum>,
    /// Whether it is nought or more, `open`: more, by the readings alone.
    by_itself: Known<bool>,
}

impl Margin {
    pub fn standard_uncertainty(&self) -> f64 {
        self.errors.as_ref().map_or(0.0, ErrorSum::standard_uncertainty)
    }

    /// The probability that the true distance is nought or more: that the errors, which are taken
    /// off what was read, don't exceed it.
    pub fn probability(&self) -> Known<f64> {
        match &self.errors {
            Some(errors) => Ok(errors.cdf(self.by)),
            None => Ok(if self.by_itself? { 1.0 } else { 0.0 }),
        }
    }

    /// Whether the true distance is nought or more, by the rule.
    pub fn is_above(&self, rule: DecideRule) -> Known<bool> {
        match (rule, &self.errors) {
            (DecideRule::Simple, _) | (_, None) => self.by_itself,
            (DecideRule::At { probability: wanted }, _) => {
                let above = self.probability()?;
                decided(enough(above, wanted), enough(1.0 - above, wanted))
            }
            (DecideRule::Guarded { k }, Some(errors)) => {
                let guard = (k - ROUNDING) * errors.standard_uncertainty();
                decided(self.by >= guard, self.by <= -guard)
            }
        }
    }
}

fn decided(holds: bool, fails: bool) -> Known<bool> {
    match (holds, fails) {
        (true, _) => Ok(true),
        (_, true) => Ok(false),
        _ => Err(Unknown::Undecided),
    }
}

fn enough(probability: f64, wanted: f64) -> bool {
    probability + ROUNDING >= wanted
}

/// How far a number lies inside each end that there is.
pub(super) struct Margins {
    pub low: Option<Margin>,
    pub high: Option<Margin>,
}

impl Margins {
    fn position(&self, rule: DecideRule) -> Position {
        let inside = |margin: &Option<Margin>| {
            margin.as_ref().map_or(Ok(true), |margin| margin.is_above(rule))
        };
        position_of(inside(&self.low), inside(&self.high))
    }

    /// The probabilities of a true value below the lower and below the upper end.
    fn cuts(&self) -> Known<[f64; 2]> {
        let low = self.low.as_ref().map_or(Ok(1.0), Margin::probability)?;
        let high = self.high.as_ref().map_or(Ok(1.0), Margin::probability)?;
        Ok([1.0 - low, high])
    }
}

impl Judge<'_> {
    /// The figures that the decision of a check goes by, where it is decided in a straight line.
    pub fn weighed(&self, check: &Check) -> Option<Weighed> {
        let way = self.way(check);
        if !way.is_straight() || self.rule_by(check, way) == Err(Unknown::Bent) {
            return None;
        }
        match &check.rule {
            CheckRule::Logic { .. } => None,
            CheckRule::Compare { subject, relation, against, .. } => {
                let margin = self.margin_of(*subject, *relation, *against, way).ok()?;
                let conformance = margin.errors.as_ref().map(|errors| {
                    let within = errors.cdf(margin.by);
                    let (low, high) = match relation {
                        Relation::Less | Relation::LessOrEqual => (0.0, 1.0 - within),
                        _ => (1.0 - within, 0.0),
                    };
                    Conformance { within, passes: within, low, high }
                });
                Some(Weighed { conformance, standard: margin.standard_uncertainty() })
            }
            CheckRule::Within { subject, limit, at, .. } => {
                let arm = self.arm(&self.spec.limit(*limit)?.rule).ok()??;
                let subject = self.line(*subject, way).ok()?;
                let (standard, service) = self.ends(arm, *at, way).ok()?;
                let standard = self.margins(&subject, &standard).ok()?;
                let service = service.map(|ends| self.margins(&subject, &ends)).transpose().ok()?;
                let conformance = conformance(&standard, service.as_ref()).ok();
                let both = [Some(&standard), service.as_ref()];
                let margins = both.into_iter().flatten().flat_map(|of| [&of.low, &of.high]);
                let nearest = margins.flatten().min_by(|a, b| a.by.abs().total_cmp(&b.by.abs()));
                let standard = match nearest {
                    Some(margin) => margin.standard_uncertainty(),
                    None => self.spread(&subject.dual).ok()?.standard_uncertainty(),
                };
                Some(Weighed { conformance, standard })
            }
        }
    }

    /// How far one number lies above another; `open`: at nought it is not above.
    pub fn margin(&self, upper: &Line, lower: &Line, open: bool) -> Known<Margin> {
        let distance = upper.dual.subtract(&lower.dual)?;
        let errors = self.spread(&distance)?;
        let size = f64::max(upper.dual.value.abs(), lower.dual.value.abs());
        let certain = errors.standard_uncertainty() <= NOTHING * size;
        let by_itself = if open {
            lower.exactly.below(upper.exactly)
        } else {
            lower.exactly.at_most(upper.exactly)
        };
        Ok(Margin { by: distance.value, errors: (!certain).then_some(errors), by_itself })
    }

    pub fn margins(&self, subject: &Line, ends: &Ends) -> Known<Margins> {
        let low = ends.low.as_ref().map(|end| self.margin(subject, &end.at, end.open));
        let high = ends.high.as_ref().map(|end| self.margin(&end.at, subject, end.open));
        Ok(Margins { low: low.transpose()?, high: high.transpose()? })
    }

    /// How a number stands to a limit in a straight line.
    pub fn hold_straight(
        &self,
        subject: &Line,
        standard: &Ends,
        service: Option<&Ends>,
        rule: DecideRule,
    ) -> Known<Standing> {
        let standard = self.margins(subject, standard)?;
        let service = service.map(|ends| self.margins(subject, ends)).transpose()?;
        match rule {
            DecideRule::At { probability } => {
                let parts = conformance(&standard, service.as_ref())?;
                let [low, high] = service.as_ref().unwrap_or(&standard).cuts()?;
                Ok(by_probability(parts, [low, 1.0 - high], probability))
            }
            DecideRule::Simple | DecideRule::Guarded { .. } => {
                Ok(graded(standard.position(rule), service.map(|service| service.position(rule))))
            }
        }
    }
}

/// From the probabilities below each end to those of the parts that the ends make.
pub(super) fn conformance(standard: &Margins, service: Option<&Margins>) -> Known<Conformance> {
    let [sl, sh] = standard.cuts()?;
    let [vl, vh] = service.unwrap_or(standard).cuts()?;
    let between = |low: f64, high: f64| f64::max(high - low, 0.0);
    let within = between(sl, sh);
    let both = between(sl.max(vl), sh.min(vh));
    let passes = within + between(vl, vh) - both;
    Ok(Conformance { within, passes, low: sl.min(vl), high: 1.0 - sh.max(vh) })
}

/// Outside it is on the side of the service limit, where there is one: `sides` are the probabilities
/// of its sides.
fn by_probability(parts: Conformance, sides: [f64; 2], wanted: f64) -> Standing {
    let Conformance { within, passes, .. } = parts;
    let [low, high] = sides;
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
