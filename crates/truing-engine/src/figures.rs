//! Figures without words: derived quantities with their standard uncertainties, and one check with its
//! budget in a buffer of the caller. Allocates nothing once there is room.

use truing_model::{CheckId, DerivedId, Outcome};

use crate::arithmetic::{Arithmetic, Lack, Mode};
use crate::budget::{BudgetLine, Weight};
use crate::errors::Total;
use crate::evaluator::{Detail, Evaluator, short};
use crate::fast::Fast;
use crate::formula::{Formula, Told};
use crate::full::Full;
use crate::sheet::{Sheet, place};
use crate::weigh::Weighed;

impl Evaluator<'_> {
    /// A derived quantity by the readings alone, with its standard uncertainty to first order there
    /// (JCGM 100:2008, eq. 10), in the coherent unit; `None` where a reading is no single figure, or
    /// where there is no derivative. Whether errors reach past a point at which the derivative
    /// changes is not asked: [`Evaluator::findings`] does. Checks that it asks about are taken as they
    /// last came out. Allocates nothing, as [`Evaluator::outcomes`].
    pub fn quantity(&mut self, sheet: &Sheet, derived: DerivedId) -> Option<(f64, f64)> {
        let formula = self.plan.formulas.get(place(derived.0))?;
        self.told(sheet, derived, formula.as_ref())
    }

    /// Every derived quantity, in the order of the spec, each as [`Evaluator::quantity`] tells it.
    pub fn quantities(&mut self, sheet: &Sheet) -> &[Option<(f64, f64)>] {
        let mut quantities = std::mem::take(&mut self.quantities);
        let formulas = self.plan.formulas.iter();
        for ((quantity, formula), id) in quantities.iter_mut().zip(formulas).zip(0_u32..) {
            *quantity = self.told(sheet, DerivedId(id), formula.as_ref());
        }
        self.quantities = quantities;
        &self.quantities
    }

    #[inline(never)]
    fn told(
        &mut self,
        sheet: &Sheet,
        derived: DerivedId,
        formula: Option<&Formula>,
    ) -> Option<(f64, f64)> {
        if let Some(formula) = formula
            && let Some(told) = formula.tell(sheet, &mut self.registers)
        {
            return match told {
                Told::Quantity(value, standard) => Some((value, standard)),
                Told::Shared(value) => self.shared(sheet, derived, formula, value),
            };
        }
        self.quantity_by_steps(sheet, derived)
    }

    /// A quantity by its formula, some of whose readings share errors.
    #[inline(never)]
    fn shared(
        &mut self,
        sheet: &Sheet,
        derived: DerivedId,
        formula: &Formula,
        value: f64,
    ) -> Option<(f64, f64)> {
        let (_, root) = self.plan.program.derived.get(place(derived.0))?;
        let scratch = &mut self.scratch;
        scratch.make_room(sheet);
        for (slot, sensitivity) in formula.sensitivities(&self.registers) {
            *scratch.sensitivities.get_mut(place(slot))? = Total::new(sensitivity);
        }
        // None of the readings has errors that go by a frequency.
        let slots = root.slots.of(&self.plan.program.slots);
        scratch.collect(sheet, slots, |slot| sheet.doubt(slot));
        Some((value, scratch.standard()?))
    }

    /// A quantity that no formula tells.
    #[inline(never)]
    fn quantity_by_steps(&mut self, sheet: &Sheet, derived: DerivedId) -> Option<(f64, f64)> {
        let (number, root) = *self.plan.program.derived.get(place(derived.0))?;
        self.begin(sheet, false);
        let mut runner = self.fast(sheet);
        let slots = root.slots.of(&runner.program.slots);
        if root.rough || !slots.iter().all(|slot| runner.is_single(*slot)) {
            return None;
        }
        runner.run(root, Mode::Simple);
        match runner.number(number) {
            Ok(known) => {
                let standard = runner.standard(number, root)?;
                Fast::nearest(known).map(|value| (value, standard))
            }
            Err(Lack::Unclear) => {
                let mut runner = self.full(sheet);
                runner.run(root, Mode::Simple);
                let value = Full::nearest(runner.number(number).ok()?)?;
                Some((value, runner.standard(number, root)?))
            }
            Err(_) => None,
        }
    }

    /// One check by its errors, with its budget put in place of what stood in `into`, the greatest
    /// contribution first; without one where its errors cannot be carried along. `None` where the spec
    /// has no such check. Checks that it asks about are taken as they last came out. Allocates
    /// nothing once the evaluator and the buffer have room, up to twenty lines.
    pub fn budget(
        &mut self,
        sheet: &Sheet,
        check: CheckId,
        into: &mut Vec<BudgetLine>,
    ) -> Option<Weight> {
        into.clear();
        self.begin(sheet, false);
        let program = &self.plan.program;
        let id = check.0;
        let check = program.checks.get(place(id))?;
        let rule = check.decide.unwrap_or(sheet.rule().unwrap_or(program.rule));
        let mut runner = self.full(sheet);
        let (outcome, weighed) = match short(check, sheet, rule, Detail::Budgets) {
            Some((direct, outcome)) => (outcome, runner.weigh_clear(direct.slot, outcome, rule)),
            None => {
                let judged = runner.judge(check, rule);
                let outcome = judged.outcome.unwrap_or(Outcome::Blocked);
                (outcome, runner.weigh(check, &judged, rule, Detail::Budgets))
            }
        };
        let weighed = weighed.map_or_else(Weighed::default, |weighed| {
            runner.budget_into(into);
            weighed
        });
        if let Some(kept) = self.outcomes.get_mut(place(id)) {
            *kept = outcome;
        }
        let Weighed { conformance, uncertainty, settles, .. } = weighed;
        Some(Weight { outcome, conformance, uncertainty, settles })
    }
}
