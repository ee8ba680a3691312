//! Whether the voltage that a diode function applies reaches beyond the limit.

use truing_model::{Check, CheckRule, LimitId, LimitRule, NumberId, NumberNode, Relation};
use truing_units::Kind;

use super::Unknown;
use super::judge::Judge;
use super::limits::{Border, curve_borders, fixed_borders};
use super::range::Range;
use super::readings::Way;
use super::real::Real;

impl Judge<'_> {
    /// Whether a diode was held against an upper end that the voltage applied does not reach beyond.
    pub fn test_voltage_is_too_low(&self, check: &Check) -> bool {
        let (CheckRule::Within { subject, .. } | CheckRule::Compare { subject, .. }) = &check.rule
        else {
            return false;
        };
        let Some(NumberNode::Slot(slot)) = self.spec.numbers.get(subject.0 as usize) else {
            return false;
        };
        let Ok(Some((_, function))) = self.function(*slot) else { return false };
        match function.test_voltage {
            Some(test) if function.kind == Kind::DIODE_DROP => {
                self.upper_ends(check).into_iter().any(|end| end.at.nearest() >= test)
            }
            _ => false,
        }
    }

    /// The upper ends that a check holds its subject against.
    fn upper_ends(&self, check: &Check) -> Vec<Border> {
        let way = match self.way(check) {
            way if self.rule_by(check, way) == Err(Unknown::Bent) => Way::Possible(way.doubt()),
            way => way,
        };
        let ends = |limit: LimitId, at: Option<NumberId>| {
            Some(match self.arm(&self.spec.limit(limit)?.rule).ok()?? {
                LimitRule::Band(band) => fixed_borders(band),
                LimitRule::Curve(curve) => {
                    curve_borders(curve, self.number(at?, way).ok()?).ok()?
                }
                LimitRule::NotSpecified | LimitRule::Variants(_) => return None,
            })
        };
        match &check.rule {
            CheckRule::Within { limit, at, .. } => {
                let (standard, service) = ends(*limit, *at).unzip();
                [standard, service.flatten()]
                    .into_iter()
                    .flatten()
                    .filter_map(|of| of.high)
                    .collect()
            }
            CheckRule::Compare { relation, against, .. } => {
                let upper = matches!(relation, Relation::Less | Relation::LessOrEqual);
                match self.spec.numbers.get(against.0 as usize) {
                    Some(NumberNode::Constant { value, exact }) if upper => {
                        let at = Range::point(Real::figure(*value, *exact));
                        vec![Border { at, open: false }]
                    }
                    _ => Vec::new(),
                }
            }
            CheckRule::Logic { .. } => Vec::new(),
        }
    }
}
