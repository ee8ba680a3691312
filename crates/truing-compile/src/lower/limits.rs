//! Limits, those with names in order of declaration, then those written inside checks.

use truing_model::{Condition, Limit, LimitId, LimitRule, Variant};

use super::{Instance, Lowering};
use crate::limit::{LimitIr, RuleIr};

impl Lowering<'_, '_> {
    pub(super) fn limits(&mut self) {
        let cx = self.cx;
        let inline = cx.inline.borrow().clone();
        let named: Vec<Option<&LimitIr>> =
            cx.limits.iter().map(|item| item.checked.get().and_then(Option::as_ref)).collect();
        // Ids first: a condition may rest on a curve that stands further down.
        let mut next = 0;
        let mut id = || {
            next += 1;
            LimitId(next - 1)
        };
        self.named_limits = named.iter().map(|ir| ir.map(|_| id())).collect();
        self.inline_limits = inline.iter().map(|_| Some(id())).collect();
        for ir in named.into_iter().flatten().chain(&inline) {
            let limit = self.limit(ir);
            self.parts.limits.push(limit);
        }
    }

    fn limit(&mut self, ir: &LimitIr) -> Limit {
        let conditions = ir
            .conditions
            .iter()
            .filter_map(|condition| {
                Some(Condition {
                    subject: self.number(&condition.subject, Instance::default())?,
                    subject_label: condition.label.clone(),
                    band: condition.band.clone(),
                    printed: condition.printed.clone(),
                })
            })
            .collect();
        Limit {
            name: ir.name.as_ref().map(ToString::to_string),
            title: ir.title.as_ref().map(ToString::to_string),
            kind: ir.kind,
            unit: ir.unit.clone(),
            printed: ir.printed.clone(),
            rule: self.rule(&ir.rule),
            conditions,
            reference: ir.reference.iter().map(|reference| reference.measure.clone()).collect(),
            typical: ir.typical.clone(),
            cites: ir.cites.clone(),
        }
    }

    fn rule(&mut self, rule: &RuleIr) -> LimitRule {
        match rule {
            // An open limit is never part of a spec; a library has no spec.
            RuleIr::Open | RuleIr::NotSpecified => LimitRule::NotSpecified,
            RuleIr::Band(band) => LimitRule::Band((**band).clone()),
            RuleIr::Curve(curve) => LimitRule::Curve(curve.clone()),
            RuleIr::Variants(arms) => {
                let variants = arms.iter().map(|arm| Variant {
                    condition: arm
                        .condition
                        .as_ref()
                        .and_then(|condition| self.logic(condition, Instance::default())),
                    rule: self.rule(&arm.rule),
                    printed: arm.printed.clone(),
                });
                LimitRule::Variants(variants.collect())
            }
        }
    }
}
