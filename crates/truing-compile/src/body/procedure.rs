//! Procedures: what each step takes, and which steps are never reached.

use truing_syntax::Span;
use truing_syntax::tree::{Path, Step, StepKind};

use super::cautions;
use crate::context::Context;
use crate::lint;
use crate::names::{Sort, Wanted};
use crate::typing::{Allowed, Logic, Typer};

const TAKEN: Wanted = Wanted::new(
    &[Sort::Check, Sort::Reading, Sort::Observation, Sort::Derived],
    "a check or a reading",
);
const FAULT: Wanted = Wanted::new(&[Sort::Fault], "a fault");

pub(crate) fn procedures(cx: &Context<'_>) {
    for decl in &cx.procedures {
        steps(cx, &decl.steps);
    }
}

/// Checks steps in order; gives where they end whatever is found, if they do.
fn steps(cx: &Context<'_>, steps: &[Step]) -> Option<Span> {
    let mut ended: Option<Span> = None;
    let mut reported = false;
    for step in steps {
        if let Some(stop) = ended
            && !reported
        {
            reported = true;
            cx.findings.push(lint::step_unreachable::finding(step.span, stop));
        }
        let ends = self_ends(cx, step);
        ended = ended.or(ends);
    }
    ended
}

fn self_ends(cx: &Context<'_>, step: &Step) -> Option<Span> {
    match &step.kind {
        StepKind::Take(paths) => paths.iter().for_each(|path| take(cx, path)),
        StepKind::Suspect(paths) => paths.iter().for_each(|path| suspect(cx, path)),
        StepKind::Caution(names) => {
            cautions(cx, names);
        }
        StepKind::Advise(_) => {}
        StepKind::Stop => return Some(step.span),
        StepKind::If { condition, then, otherwise } => {
            let logic = Typer::new(cx, None, Allowed::All).logic(condition);
            if let Some(logic) = &logic {
                cx.bodies.conditions.borrow_mut().insert(condition.span, logic.clone());
            }
            let known = match logic {
                Some(Logic::Constant(value)) => Some(value),
                _ => None,
            };
            let dead = match known {
                Some(true) => otherwise.as_ref().and_then(|steps| steps.first()),
                Some(false) => then.first(),
                None => None,
            };
            if let (Some(step), Some(value)) = (dead, known) {
                let finding = lint::step_unreachable::never_holds(step.span, condition.span, value);
                cx.findings.push(finding);
            }
            let first = steps(cx, then);
            let second = otherwise.as_ref().and_then(|otherwise| steps(cx, otherwise));
            if first.is_some() && second.is_some() {
                return Some(step.span);
            }
        }
    }
    None
}

fn take(cx: &Context<'_>, path: &Path) {
    let Some(entry) = cx.find(&path.name, TAKEN) else { return };
    let family = match entry.sort {
        Sort::Check => cx.checks.get(entry.index).map(|item| item.family),
        Sort::Derived => cx.derived.get(entry.index).map(|item| item.family),
        _ => cx.measured.get(entry.index).map(|item| item.family),
    };
    if let Some(family) = family {
        let _ = cx.written_index(path, family, None);
    }
}

fn suspect(cx: &Context<'_>, path: &Path) {
    let Some(entry) = cx.find(&path.name, FAULT) else { return };
    if let Some((_, family)) = cx.faults.get(entry.index) {
        let _ = cx.written_index(path, *family, None);
    }
}
