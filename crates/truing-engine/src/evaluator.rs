//! Judging sheets by a plan.

use truing_model::{CheckId, DecideRule, NumberId, Outcome, Spec};

use crate::arithmetic::{Known, Lack, Mode, Truth};
use crate::enclosure::Enclosure;
use crate::explain::Explainer;
use crate::fast::{Fast, widened};
use crate::finding::{Findings, Value};
use crate::flat::FlatReading;
use crate::full::{Full, Number};
use crate::judge::mode;
use crate::plan::Plan;
use crate::program::{Direct, FlatCheck, Thresholds};
use crate::run::Runner;
use crate::sheet::{Sheet, place};

impl Plan {
    /// An evaluator with buffers of its own, to be used again and again.
    #[must_use]
    pub fn evaluator(&self) -> Evaluator<'_> {
        let numbers = self.program.numbers.len();
        Evaluator {
            plan: self,
            outcomes: vec![Outcome::Blocked; self.program.checks.len()],
            fast: vec![Err(Lack::Blocked); numbers],
            full: vec![Err(Lack::Blocked); numbers],
            truths: vec![Truth::False; self.program.logic.len()],
        }
    }
}

/// Judges sheets, one after the other.
#[derive(Debug)]
pub struct Evaluator<'p> {
    plan: &'p Plan,
    outcomes: Vec<Outcome>,
    fast: Vec<Known<Enclosure>>,
    full: Vec<Known<Number>>,
    truths: Vec<Truth>,
}

/// How much is said of a finding.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub enum Detail {
    /// Why it came out so; under a rule that goes by uncertainty with its budget.
    #[default]
    Reasons,
    /// Also under the simple rule how uncertain it is, with its budget.
    Budgets,
}

/// Everything that comes of a sheet. To judge many sheets, keep a [`Plan`].
#[must_use]
pub fn assess(spec: &Spec, sheet: &Sheet) -> Findings {
    assess_with(spec, sheet, Detail::Reasons)
}

/// Everything that comes of a sheet, in the detail that is asked for.
#[must_use]
pub fn assess_with(spec: &Spec, sheet: &Sheet, detail: Detail) -> Findings {
    Plan::new(spec).evaluator().findings_with(spec, sheet, detail)
}

impl Evaluator<'_> {
    /// The outcome of every check, in the order of the spec. Allocates nothing.
    ///
    /// The sheet must be one for the plan's spec; what it has no place for counts as not taken.
    pub fn outcomes(&mut self, sheet: &Sheet) -> &[Outcome] {
        let program = &self.plan.program;
        let base = sheet.rule().unwrap_or(program.rule);
        for id in &program.order {
            let Some(check) = program.checks.get(place(*id)) else { continue };
            let rule = check.decide.unwrap_or(base);
            let short = check
                .direct
                .as_ref()
                .and_then(|direct| directly(direct, sheet.flat(direct.slot), mode(rule)));
            let outcome = match short {
                Some(outcome) => outcome,
                None => self.judge(check, sheet, rule),
            };
            if let Some(kept) = self.outcomes.get_mut(place(*id)) {
                *kept = outcome;
            }
        }
        &self.outcomes
    }

    fn judge(&mut self, check: &FlatCheck, sheet: &Sheet, rule: DecideRule) -> Outcome {
        // Where the short way could not tell, doubles cannot either.
        if check.direct.is_none()
            && let Some(outcome) = self.fast(sheet).judge(check, rule).outcome
        {
            return outcome;
        }
        self.full(sheet).judge(check, rule).outcome.unwrap_or(Outcome::Blocked)
    }

    fn fast<'a>(&'a mut self, sheet: &'a Sheet) -> Runner<'a, Fast> {
        Runner {
            program: &self.plan.program,
            sheet,
            outcomes: &self.outcomes,
            numbers: &mut self.fast,
            truths: &mut self.truths,
        }
    }

    fn full<'a>(&'a mut self, sheet: &'a Sheet) -> Runner<'a, Full> {
        Runner {
            program: &self.plan.program,
            sheet,
            outcomes: &self.outcomes,
            numbers: &mut self.full,
            truths: &mut self.truths,
        }
    }

    /// Everything that comes of a sheet, with its reasons. `spec` is the one that the plan is of.
    #[must_use]
    pub fn findings(&mut self, spec: &Spec, sheet: &Sheet) -> Findings {
        self.findings_with(spec, sheet, Detail::Reasons)
    }

    /// The same in the detail that is asked for.
    #[must_use]
    pub fn findings_with(&mut self, spec: &Spec, sheet: &Sheet, detail: Detail) -> Findings {
        let _ = detail;
        let program = &self.plan.program;
        let base = sheet.rule().unwrap_or(program.rule);
        let mut findings = Vec::with_capacity(program.checks.len());
        for id in &program.order {
            let Some(check) = program.checks.get(place(*id)) else { continue };
            let rule = check.decide.unwrap_or(base);
            let short = check.direct.as_ref().and_then(|direct| {
                let outcome = directly(direct, sheet.flat(direct.slot), mode(rule))?;
                Some((direct, outcome))
            });
            let mut runner = self.full(sheet);
            let finding = match short {
                Some((direct, outcome)) => Explainer { spec, runner }.direct_finding(
                    CheckId(*id),
                    check,
                    direct.slot,
                    outcome,
                    rule,
                ),
                None => {
                    let judged = runner.judge(check, rule);
                    Explainer { spec, runner }.finding(CheckId(*id), check, &judged, rule)
                }
            };
            if let Some(kept) = self.outcomes.get_mut(place(*id)) {
                *kept = finding.outcome;
            }
            findings.push(finding);
        }
        // Checks are mostly judged in the order in which they are declared.
        if !findings.is_sorted_by_key(|finding| finding.check) {
            findings.sort_by_key(|finding| finding.check);
        }
        let derived = Explainer { spec, runner: self.full(sheet) }.derived(base);
        Findings { findings, derived }
    }

    /// What is known of any number of the spec, by the sheet's decision rule; `None` where it
    /// cannot be worked out. Checks that it asks about are taken as they last came out.
    #[must_use]
    pub fn value(&mut self, spec: &Spec, sheet: &Sheet, number: NumberId) -> Option<Value> {
        let base = sheet.rule().unwrap_or(self.plan.program.rule);
        Explainer { spec, runner: self.full(sheet) }.value_of(number, base)
    }
}

/// A reading against fixed ends; `None` where it touches one.
fn directly(direct: &Direct, flat: &FlatReading, mode: Mode) -> Option<Outcome> {
    if !flat.has(FlatReading::TAKEN) {
        return Some(Outcome::NotTaken);
    }
    if flat.has(FlatReading::DOUBTED) {
        return Some(Outcome::Blocked);
    }
    let near = widened(flat.near, flat.half, mode);
    let standard = direct.standard.place(near);
    if standard == Some(Place::Inside) {
        return Some(Outcome::Within);
    }
    let standard = standard?;
    let service = match &direct.service {
        Some(service) => service.place(near)?,
        None => standard,
    };
    Some(match service {
        Place::Inside => Outcome::Worn,
        Place::Below => Outcome::Outside(Some(truing_model::Side::Low)),
        Place::Above => Outcome::Outside(Some(truing_model::Side::High)),
    })
}

/// Where an enclosure surely lies.
#[derive(Copy, Clone, PartialEq, Eq)]
enum Place {
    Below,
    Inside,
    Above,
}

impl Thresholds {
    fn place(&self, near: Enclosure) -> Option<Place> {
        if near.lo >= self.in_low && near.hi <= self.in_high {
            Some(Place::Inside)
        } else if near.hi <= self.out_low {
            Some(Place::Below)
        } else if near.lo >= self.out_high {
            Some(Place::Above)
        } else {
            None
        }
    }
}

/// Checks at compile time that plans can be shared between threads.
const _: fn() = || {
    fn shared<T: Send + Sync>() {}
    shared::<Plan>();
};
