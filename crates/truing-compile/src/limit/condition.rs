//! What a limit was given for: readings that must lie in a band, values that are referred to.

use truing_model::Interval;
use truing_syntax::tree::{Condition, ConditionBand, LimitExpr, LimitForm};
use truing_units::{Measure, Ty};

use super::interval::edge;
use super::{ConditionIr, Reference};
use crate::context::Context;
use crate::lint;
use crate::typing::{Allowed, Place, Typer};

impl Context<'_> {
    /// The conditions of a limit; those of a graded or joined limit's parts are the whole's, and so
    /// are those that every arm of a limit by variants carries alike.
    pub(super) fn conditions(&self, value: &LimitExpr) -> (Vec<ConditionIr>, Vec<Reference>) {
        let mut written = Vec::new();
        gather(value, &mut written);
        written.extend(self.of_arms(value));
        let (mut conditions, mut reference) = (Vec::new(), Vec::new());
        for condition in written {
            if condition.subject.is_some() {
                conditions.extend(self.condition(condition));
            } else {
                reference.extend(self.reference(condition));
            }
        }
        (conditions, reference)
    }

    fn of_arms<'l>(&self, value: &'l LimitExpr) -> Vec<&'l Condition> {
        let LimitForm::Variants { arms, otherwise } = &value.form else { return Vec::new() };
        let limits = arms.iter().map(|(_, limit)| limit).chain(otherwise.as_deref());
        // An arm without a figure has nothing that a condition could be about.
        let limits = limits.filter(|limit| limit.form != LimitForm::NotSpecified);
        let mut all = limits.map(|limit| {
            let mut written = Vec::new();
            gather(limit, &mut written);
            written
        });
        let first = all.next().unwrap_or_default();
        for other in all {
            if other != first {
                let odd = other
                    .iter()
                    .chain(&first)
                    .find(|condition| !(other.contains(condition) && first.contains(condition)));
                if let Some(odd) = odd {
                    self.findings.push(lint::condition_misplaced::in_arm(odd.span));
                }
                return Vec::new();
            }
        }
        first
    }

    fn condition(&self, condition: &Condition) -> Option<ConditionIr> {
        let path = condition.subject.as_ref()?;
        let typer = Typer::new(self, None, Allowed::All);
        let subject = typer.named_number(path, path.span)?;
        let place = Place { ty: subject.ty, said: typer.said(&subject), soft: false };
        let band = match &condition.band {
            ConditionBand::Band(form) => self.interval(form, &place, condition.span)?,
            ConditionBand::Exactly(figure) => {
                let at = typer.literal(figure, Some(&place))?.constant()?;
                self.findings.push(lint::condition_misplaced::exactly(condition.span));
                Interval { low: Some(edge(at, false)), high: Some(edge(at, false)) }
            }
        };
        let printed = self.files.printed(condition.span);
        Some(ConditionIr { subject, label: self.files.printed(path.span), band, printed })
    }

    fn reference(&self, condition: &Condition) -> Option<Reference> {
        match &condition.band {
            ConditionBand::Exactly(figure) => {
                let num = Typer::new(self, None, Allowed::Constants).literal(figure, None)?;
                let Ty::Kind(_) = num.ty else {
                    self.findings.push(lint::condition_misplaced::no_kind(condition.span));
                    return None;
                };
                let measure = Measure { figure: figure.number, unit: num.shown.clone()? };
                Some(Reference {
                    measure,
                    ty: num.ty,
                    value: num.constant()?,
                    span: condition.span,
                })
            }
            ConditionBand::Band(_) => {
                self.findings.push(lint::condition_misplaced::no_subject(condition.span));
                None
            }
        }
    }
}

fn gather<'l>(value: &'l LimitExpr, out: &mut Vec<&'l Condition>) {
    out.extend(&value.conditions);
    match &value.form {
        LimitForm::Graded { standard, service } => {
            gather(standard, out);
            gather(service, out);
        }
        LimitForm::Joined { left, right, .. } => {
            gather(left, out);
            gather(right, out);
        }
        _ => {}
    }
}
