//! Written procedures against the model of the faults: what they name without ground, and what in
//! them can change nothing.

use std::collections::BTreeMap;

use truing_engine::SuspectPlan;
use truing_engine::procedure::{Idle, OrderStudy, Unsupported, idle, order_study};
use truing_model::{LogicNode, Procedure, SpecParts, Step, StepId, Taken};
use truing_syntax::Span;

use crate::context::Context;
use crate::lint;
use crate::lower::{Lowered, StepPlace};

/// The findings of the procedures that stand in the main file.
pub(crate) fn check(cx: &Context<'_>, lowered: &Lowered) {
    let spec = &lowered.parts;
    let own = |place: usize| cx.procedures.get(place).is_some_and(|of| cx.is_main(of.name.span));
    let all = spec.procedures.iter().zip(&lowered.step_places).enumerate();
    let all: Vec<_> = all.filter(|(place, _)| own(*place)).collect();
    if all.is_empty() {
        return;
    }
    // What cannot be ranked has findings of its own.
    let Ok(plan) = SuspectPlan::new(spec) else { return };
    for (place, (procedure, places)) in all {
        let written = Written { cx, spec, procedure, places };
        written.idle(&idle(spec, procedure));
        let study = order_study(spec, plan.as_ref(), procedure);
        written.study(&study);
        if study.written.beyond > 0.0
            && let Some(decl) = cx.procedures.get(place)
        {
            cx.findings.push(lint::paths_too_many::finding(&decl.name));
        }
    }
}

/// A procedure with the places of its steps.
struct Written<'a> {
    cx: &'a Context<'a>,
    spec: &'a SpecParts,
    procedure: &'a Procedure,
    places: &'a [StepPlace],
}

impl Written<'_> {
    fn place(&self, step: StepId) -> Option<&StepPlace> {
        self.places.get(step.0 as usize)
    }

    /// Where a condition is written, and what it says.
    fn condition(&self, step: StepId) -> Option<(Span, &str)> {
        let Some(Step::If { label, .. }) = self.procedure.step(step) else { return None };
        Some((*self.place(step)?.parts.first()?, label))
    }

    fn idle(&self, found: &[Idle]) {
        for idle in found {
            match idle {
                Idle::SameWays { step } => {
                    if let Some((span, _)) = self.condition(*step) {
                        self.cx.findings.push(lint::step_without_effect::same_ways(span));
                    }
                }
                Idle::Takes { step, taken } => self.takes(*step, taken),
            }
        }
    }

    /// One finding for each name that is written, if none of its members is of use.
    fn takes(&self, step: StepId, idle: &[Taken]) {
        let (Some(place), Some(Step::Take(all))) = (self.place(step), self.procedure.step(step))
        else {
            return;
        };
        let mut by_name: BTreeMap<Span, bool> = BTreeMap::new();
        for (taken, span) in all.iter().zip(&place.parts) {
            *by_name.entry(*span).or_insert(true) &= idle.contains(taken);
        }
        for (span, _) in by_name.into_iter().filter(|(_, idle)| *idle) {
            let name = self.cx.files.printed(span);
            self.cx.findings.push(lint::step_without_effect::finding(span, &name));
        }
    }

    fn study(&self, study: &OrderStudy) {
        for (step, settled) in &study.settled {
            let Some((span, _)) = self.condition(*step) else { continue };
            let checks = |ids: &[truing_model::CheckId]| -> Vec<String> {
                ids.iter().filter_map(|id| Some(self.spec.check(*id)?.label.clone())).collect()
            };
            self.cx.findings.push(lint::condition_settled::finding(span, settled, checks));
        }
        // Of members that are written as one the one that is spoken against most.
        let mut worst: BTreeMap<Span, &Unsupported> = BTreeMap::new();
        for found in &study.unsupported {
            let Some(span) = self.suspect(found) else { continue };
            let kept = worst.entry(span).or_insert(found);
            if found.decibans < kept.decibans {
                *kept = found;
            }
        }
        for (span, found) in worst {
            self.unsupported(span, found);
        }
    }

    /// Where a suspect is written.
    fn suspect(&self, found: &Unsupported) -> Option<Span> {
        let Some(Step::Suspect(faults)) = self.procedure.step(found.step) else { return None };
        let at = faults.iter().position(|fault| *fault == found.fault)?;
        self.place(found.step)?.parts.get(at).copied()
    }

    fn unsupported(&self, span: Span, found: &Unsupported) {
        let Some((condition, label)) = self.condition(found.against.step) else { return };
        let fault = self.spec.fault(found.fault).map_or("", |fault| fault.label.as_str());
        let by = lint::suspect_unsupported::By {
            condition,
            label,
            check: self.single_check(found.against.step),
        };
        self.cx.findings.push(lint::suspect_unsupported::finding(span, fault, &by, found));
    }

    /// The check that a condition asks about, where it asks of nothing else, and whether it asks that
    /// it passes.
    fn single_check(&self, step: StepId) -> Option<(&str, bool)> {
        let Some(Step::If { condition, .. }) = self.procedure.step(step) else { return None };
        let (check, passes) = match self.spec.logic.get(condition.0 as usize)? {
            LogicNode::Passes(check) => (check, true),
            LogicNode::Fails(check) => (check, false),
            _ => return None,
        };
        Some((self.spec.check(*check)?.label.as_str(), passes))
    }
}
