//! Judging sheets by a plan.

use truing_model::node::{Node, walk};
use truing_model::{CheckId, DecideRule, LogicId, NumberId, Outcome, Spec};

use crate::arithmetic::{Arithmetic, Known, Lack, Mode, Truth, Width};
use crate::budget::Uncertainty;
use crate::decide::Asked;
use crate::enclosure::Enclosure;
use crate::errors::Scratch;
use crate::explain::Explainer;
use crate::fast::{Fast, widened};
use crate::finding::{Findings, Value};
use crate::fitness::Unfit;
use crate::flat::FlatReading;
use crate::formula::Registers;
use crate::full::{Full, Number};
use crate::judge::mode;
use crate::plan::Plan;
use crate::program::{Direct, FlatCheck, FlatCheckRule, Root, Thresholds};
use crate::propagate::Banded;
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
            banded: Vec::with_capacity(self.program.frequencies.len()),
            scratch: Scratch::new(numbers, self.program.slot_count),
            registers: Box::new(Registers::new()),
            quantities: vec![None; self.program.derived.len()],
        }
    }
}

/// Judges sheets, one after the other.
#[derive(Debug)]
pub struct Evaluator<'p> {
    pub(crate) plan: &'p Plan,
    pub(crate) outcomes: Vec<Outcome>,
    fast: Vec<Known<Enclosure>>,
    full: Vec<Known<Number>>,
    truths: Vec<Truth>,
    banded: Vec<Banded>,
    pub(crate) scratch: Scratch,
    pub(crate) registers: Box<Registers>,
    pub(crate) quantities: Vec<Option<(f64, f64)>>,
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
    /// The outcome of every check, in the order of the spec. Allocates nothing, but for a sheet with
    /// more meters than any before.
    ///
    /// The sheet must be one for the plan's spec; what it has no place for counts as not taken.
    pub fn outcomes(&mut self, sheet: &Sheet) -> &[Outcome] {
        let program = &self.plan.program;
        let base = sheet.rule().unwrap_or(program.rule);
        self.begin(sheet, true);
        for id in &program.order {
            let Some(check) = program.checks.get(place(*id)) else { continue };
            let rule = check.decide.unwrap_or(base);
            let short = check
                .direct
                .as_ref()
                .and_then(|direct| directly(direct, sheet.flat(direct.slot), rule));
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
        // Where the short way could not tell, doubles cannot either, unless errors decide.
        if (check.direct.is_none() || Asked::of(rule).is_some())
            && let Some(outcome) = self.fast(sheet).judge(check, rule).outcome
        {
            return outcome;
        }
        self.full(sheet).judge(check, rule).outcome.unwrap_or(Outcome::Blocked)
    }

    /// What has to be known of a sheet before its checks: room for its sources of errors, and the
    /// frequencies that readings were taken at.
    pub(crate) fn begin(&mut self, sheet: &Sheet, anew: bool) {
        self.scratch.make_room(sheet);
        self.banded.clear();
        let program = &self.plan.program;
        if program.frequencies.iter().all(|(slot, ..)| !sheet.goes_by_frequency(*slot)) {
            return;
        }
        if anew {
            // No check has come out yet that one could go by.
            self.outcomes.fill(Outcome::Blocked);
        }
        for (slot, number, root) in &program.frequencies {
            if sheet.goes_by_frequency(*slot) {
                let frequency = self.frequency(sheet, *number, *root);
                let (doubt, unfit) = sheet.doubt_at(*slot, frequency);
                self.banded.push(Banded { slot: *slot, frequency, doubt, unfit });
            }
        }
    }

    /// A frequency, where single figures say it.
    fn frequency(&mut self, sheet: &Sheet, number: u32, root: Root) -> Option<f64> {
        let mut runner = self.fast(sheet);
        let slots = root.slots.of(&runner.program.slots);
        if !slots.iter().all(|slot| runner.is_single(*slot)) {
            return None;
        }
        runner.run(root, Mode::Simple);
        match runner.number(number) {
            Ok(known) => Fast::nearest(known),
            Err(Lack::Unclear) => {
                let mut runner = self.full(sheet);
                runner.run(root, Mode::Simple);
                runner.number(number).ok().and_then(Full::nearest)
            }
            Err(_) => None,
        }
    }

    pub(crate) fn fast<'a>(&'a mut self, sheet: &'a Sheet) -> Runner<'a, Fast> {
        Runner {
            program: &self.plan.program,
            sheet,
            outcomes: &self.outcomes,
            numbers: &mut self.fast,
            truths: &mut self.truths,
            banded: &self.banded,
            scratch: &mut self.scratch,
        }
    }

    pub(crate) fn full<'a>(&'a mut self, sheet: &'a Sheet) -> Runner<'a, Full> {
        Runner {
            program: &self.plan.program,
            sheet,
            outcomes: &self.outcomes,
            numbers: &mut self.full,
            truths: &mut self.truths,
            banded: &self.banded,
            scratch: &mut self.scratch,
        }
    }

    /// What works out numbers of a sheet whose checks have been judged.
    pub(crate) fn judged<'a>(&'a mut self, sheet: &'a Sheet) -> Runner<'a, Full> {
        self.outcomes(sheet);
        self.full(sheet)
    }

    /// The plan that it judges by.
    pub(crate) const fn plan(&self) -> &Plan {
        self.plan
    }

    /// How uncertain what a check judges is on a sheet that is only thought of, how far inside an end
    /// it has to lie by that, and what a second quantity is that it is held against; else why a meter
    /// is not fit for it, where that is why not.
    pub(crate) fn forecast(
        &mut self,
        sheet: &Sheet,
        check: CheckId,
        rule: DecideRule,
    ) -> Result<(Uncertainty, f64, Option<f64>), Option<Unfit>> {
        self.begin(sheet, true);
        let check = self.plan.program.checks.get(place(check.0)).copied().ok_or(None)?;
        let mut runner = self.full(sheet);
        let slots = check.root.slots.of(&runner.program.slots);
        if let Some(unfit) = slots.iter().find_map(|slot| runner.unfit(*slot)) {
            return Err(Some(unfit));
        }
        if !runner.is_linear(&check) {
            return Err(None);
        }
        runner.run(check.root, Mode::Linear(Asked::Reading));
        let root = check.root;
        let mut against = None;
        if let FlatCheckRule::Compare { subject, against: other, .. } = check.rule {
            runner.number(subject).map_err(|_| None)?;
            against = Full::nearest(runner.number(other).map_err(|_| None)?);
            let difference = [(subject, 1.0), (other, -1.0)];
            runner.errors(&difference, root.steps, root.slots).ok_or(None)?;
        } else {
            let subject = check.rule.subject().ok_or(None)?;
            runner.number(subject).map_err(|_| None)?;
            runner.errors(&[(subject, 1.0)], root.steps, root.slots).ok_or(None)?;
        }
        let sum = &runner.scratch.sum;
        let (uncertainty, guard) = match rule {
            DecideRule::At { probability } => {
                (sum.covering(probability), sum.quantile(probability))
            }
            DecideRule::Guarded { k } => (sum.times(k), k * sum.standard()),
            DecideRule::Simple => (sum.covering(0.95), 0.0),
        };
        Ok((uncertainty, guard, against))
    }

    /// Everything that comes of a sheet, with its reasons. `spec` is the one that the plan is of.
    #[must_use]
    pub fn findings(&mut self, spec: &Spec, sheet: &Sheet) -> Findings {
        self.findings_with(spec, sheet, Detail::Reasons)
    }

    /// The same in the detail that is asked for.
    #[must_use]
    pub fn findings_with(&mut self, spec: &Spec, sheet: &Sheet, detail: Detail) -> Findings {
        self.begin(sheet, true);
        let program = &self.plan.program;
        let base = sheet.rule().unwrap_or(program.rule);
        let mut findings = Vec::with_capacity(program.checks.len());
        for id in &program.order {
            let Some(check) = program.checks.get(place(*id)) else { continue };
            let rule = check.decide.unwrap_or(base);
            let short = short(check, sheet, rule, detail);
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
                    Explainer { spec, runner }.finding(CheckId(*id), check, &judged, rule, detail)
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
        let derived = Explainer { spec, runner: self.full(sheet) }.derived(base, detail);
        Findings { findings, derived }
    }

    /// What comes of logical rules, each judged as a check that has it for its rule and nothing else
    /// to ask. `spec` is the one that the plan is of.
    #[must_use]
    pub fn rules(&mut self, spec: &Spec, sheet: &Sheet, rules: &[LogicId]) -> Vec<Outcome> {
        self.outcomes(sheet);
        let base = sheet.rule().unwrap_or(self.plan.program.rule);
        // The plan has no root for what only procedures ask: a program of its own for these.
        let mut program = self.plan.program.clone();
        let mut judged = |rule: LogicId| {
            let nodes = walk(spec, [Node::Logic(rule)]).ok()?;
            let check = FlatCheck::of_logic(rule.0, program.root_of(&nodes)?);
            let mut runner = Runner { program: &program, ..self.full(sheet) };
            runner.judge(&check, base).outcome
        };
        rules.iter().map(|rule| judged(*rule).unwrap_or(Outcome::Blocked)).collect()
    }

    /// What is known of any number of the spec, by the sheet's decision rule; `None` where it
    /// cannot be worked out. Checks that it asks about are taken as they last came out.
    #[must_use]
    pub fn value(&mut self, spec: &Spec, sheet: &Sheet, number: NumberId) -> Option<Value> {
        let base = sheet.rule().unwrap_or(self.plan.program.rule);
        self.begin(sheet, false);
        Explainer { spec, runner: self.full(sheet) }.value_of(number, base)
    }
}

/// What a finding says of a check that is decided at once.
pub(crate) fn short<'p>(
    check: &'p FlatCheck,
    sheet: &Sheet,
    rule: DecideRule,
    detail: Detail,
) -> Option<(&'p Direct, Outcome)> {
    // What lies clear is so by its whole doubt: elsewhere probabilities are worked out.
    let clear = match rule {
        DecideRule::Simple => detail == Detail::Reasons,
        DecideRule::At { .. } => true,
        DecideRule::Guarded { .. } => false,
    };
    let direct = check.direct.as_ref().filter(|_| clear)?;
    Some((direct, directly(direct, sheet.flat(direct.slot), rule)?))
}

/// A reading against fixed ends; `None` where it touches one, or where more has to be asked.
fn directly(direct: &Direct, flat: &FlatReading, rule: DecideRule) -> Option<Outcome> {
    if !flat.has(FlatReading::TAKEN) {
        return Some(Outcome::NotTaken);
    }
    if flat.has(FlatReading::DOUBTED) {
        return Some(Outcome::Blocked);
    }
    if flat.has(FlatReading::SPECIAL) {
        return None;
    }
    let near = match mode(rule) {
        Mode::Simple => flat.near,
        mode => {
            // What has no ends is never wholly clear of a limit.
            if flat.has(FlatReading::TAILED | FlatReading::UNFIT_FOR_DOUBT) {
                return None;
            }
            let width = Width { reach: flat.half, standard: flat.standard, digit: false };
            widened(flat.near, width, mode)
        }
    };
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
