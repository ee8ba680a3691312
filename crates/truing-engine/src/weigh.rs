//! How uncertain a value is, with its budget, and what would have decided it.

use truing_model::{DecideRule, Outcome, Reading, Relation, Side, SlotId};

use crate::arithmetic::{Arithmetic, Known, Mode};
use crate::budget::{BudgetLine, BudgetPart, Conformance, Uncertainty};
use crate::decide::{Aim, Asked, End, counted, end_of, margin};
use crate::evaluator::Detail;
use crate::explain::Explainer;
use crate::finding::{Bound, Value};
use crate::flat::FlatReading;
use crate::full::{Full, Number};
use crate::judge::Judged;
use crate::program::{FlatCheck, FlatCheckRule, FlatCurve, FlatRule, Root};
use crate::run::{Runner, both};
use crate::sheet::place;
use crate::values::best;

/// The coverage of an uncertainty under the simple rule, which asks for none.
const COVERAGE: f64 = 0.95;

/// The part of what may be cut off that no decision sees.
const NEGLIGIBLE: f64 = 1e-9;

/// How uncertain something is, and what makes it so.
#[derive(Clone, Debug, Default)]
pub(crate) struct Weighed {
    pub conformance: Option<Conformance>,
    pub uncertainty: Option<Uncertainty>,
    /// What is known of the value, with its own expanded uncertainty.
    pub value: Option<Value>,
    pub settles: Option<f64>,
    pub repeats: Option<u32>,
}

/// What a decision rule makes of a sum of errors.
fn covering(runner: &Runner<'_, Full>, rule: DecideRule) -> Uncertainty {
    let sum = &runner.scratch.sum;
    match rule {
        DecideRule::At { probability } => sum.covering(probability),
        DecideRule::Guarded { k } if k > 0.0 => sum.times(k),
        DecideRule::Guarded { .. } | DecideRule::Simple => sum.covering(COVERAGE),
    }
}

fn around(best: f64, uncertainty: &Uncertainty) -> Value {
    let end = |value: f64| Some(Bound { value, open: false });
    let expanded = uncertainty.expanded;
    Value { best: Some(best), low: end(best - expanded), high: end(best + expanded) }
}

impl<'a> Runner<'a, Full> {
    /// How uncertain what a check judges is, where its errors were carried along or, under the
    /// simple rule, where they are asked for.
    pub fn weigh(
        &mut self,
        check: &FlatCheck,
        judged: &Judged<Number>,
        rule: DecideRule,
        detail: Detail,
    ) -> Option<Weighed> {
        let stood = judged.stood.as_ref()?;
        let asked = Asked::of(rule);
        let wanted = match asked {
            Some(_) => judged.linear,
            None => detail == Detail::Budgets && self.is_linear(check),
        };
        if !wanted || stood.point.is_some() {
            return None;
        }
        let mode = Mode::Linear(asked.unwrap_or(Asked::Reading));
        // The registers may hold what was asked last.
        let anew = asked.is_none() || check.when.is_some() || !check.conditions.steps.is_empty();
        if anew {
            self.run(check.root, mode);
        }
        let mut weighed = match check.rule {
            FlatCheckRule::Logic(_) => return None,
            FlatCheckRule::Compare { subject, relation, against } => {
                both(self.number(subject), self.number(against)).ok()?;
                let at = (subject, stood.value?);
                let end = match relation {
                    Relation::Less | Relation::LessOrEqual => stood.standard?.high?,
                    _ => stood.standard?.low?,
                };
                self.weigh_comparison(relation, at, (against, end.0), check.root, rule)?
            }
            FlatCheckRule::Within { subject, .. } | FlatCheckRule::Against { subject, .. } => {
                self.number(subject).ok()?;
                let (standard, service) = (stood.standard?, stood.service);
                let value = stood.value?;
                let curve = self.curve_of(check, judged);
                let aim = Aim { subject, value, standard, service, curve };
                self.weigh_aim(&aim, check.root, rule)?
            }
        };
        if asked.is_none() {
            // The simple rule judges the value as it stands.
            weighed.value = None;
        }
        Some(weighed)
    }

    /// The curve that a value was held against, with the number that says where.
    fn curve_of(
        &self,
        check: &FlatCheck,
        judged: &Judged<Number>,
    ) -> Option<(&'a FlatCurve, u32, Number)> {
        let FlatCheckRule::Within { at: Some(number), .. } = check.rule else { return None };
        let Some(FlatRule::Curve(curve)) = judged.resolved?.rule else { return None };
        let at = judged.stood.as_ref()?.at?;
        Some((self.program.curves.get(place(curve))?, number, at))
    }

    fn weigh_aim(
        &mut self,
        aim: &Aim<'_, Number>,
        root: Root,
        rule: DecideRule,
    ) -> Option<Weighed> {
        let conformance = self.cuts(aim, root).ok()?.map(|cuts| cuts.conformance());
        let nearest = (0..4_usize)
            .filter_map(|place| end_of(aim, place))
            .filter_map(|end| Some((margin::<Full>(aim.value, &end).ok()?, end)))
            .min_by(|(a, _), (b, _)| a.abs().total_cmp(&b.abs()));
        let of_value = match (&nearest, aim.curve) {
            (Some(_), Some(_)) => Some(self.errors_of(aim.subject, root, rule)?),
            _ => None,
        };
        match (&nearest, aim.curve) {
            // Fixed ends have the errors of the value alone, which were added up last.
            (Some(_), None) => {}
            (Some((_, end)), Some(_)) => {
                self.errors_against(aim, end, root).ok()?;
            }
            (None, _) => {
                self.errors(&[(aim.subject, 1.0)], root.steps, root.slots)?;
            }
        }
        let beyond = nearest.as_ref().and_then(|(_, end)| self.beyond(aim, end));
        let margin = nearest.map(|(margin, _)| margin);
        self.weighed(best(aim.value, true)?, of_value, conformance, margin, beyond, root, rule)
    }

    /// How far the other end lies of the interval whose one end is the nearest.
    fn beyond(&self, aim: &Aim<'_, Number>, end: &End<Number>) -> Option<f64> {
        let ends = if end.is_service { aim.service.as_ref()? } else { &aim.standard };
        let other = match end.side {
            Side::Low => ends.high?,
            Side::High => ends.low?,
        };
        Some((Full::nearest(aim.value)? - Full::nearest(other.0)?).abs())
    }

    fn weigh_comparison(
        &mut self,
        relation: Relation,
        (left, at_left): (u32, Number),
        (right, at_right): (u32, Number),
        root: Root,
        rule: DecideRule,
    ) -> Option<Weighed> {
        let (low, high) = (Full::nearest(at_left)?, Full::nearest(at_right)?);
        let fails_high = match relation {
            Relation::Less | Relation::LessOrEqual => true,
            Relation::Greater | Relation::GreaterOrEqual => false,
            Relation::Equal | Relation::NotEqual => return None,
        };
        let of_value = self.errors_of(left, root, rule)?;
        let margin = if fails_high { high - low } else { low - high };
        let by = if fails_high { -1.0 } else { 1.0 };
        let standard = self.errors(&[(left, by), (right, -by)], root.steps, root.slots)?;
        let conformance = (counted(standard, Some((low, high))) > 0.0).then(|| {
            let within = 1.0 - self.scratch.sum.below(-margin);
            let outside = 1.0 - within;
            let (low, high) = if fails_high { (0.0, outside) } else { (outside, 0.0) };
            Conformance { within, passes: within, low, high }
        });
        self.weighed(low, Some(of_value), conformance, Some(margin), None, root, rule)
    }

    fn errors_of(&mut self, number: u32, root: Root, rule: DecideRule) -> Option<Uncertainty> {
        self.errors(&[(number, 1.0)], root.steps, root.slots)?;
        Some(covering(self, rule))
    }

    /// From the errors that were added up last.
    #[expect(clippy::too_many_arguments, reason = "what was found out about one margin")]
    fn weighed(
        &self,
        best: f64,
        of_value: Option<Uncertainty>,
        conformance: Option<Conformance>,
        margin: Option<f64>,
        beyond: Option<f64>,
        root: Root,
        rule: DecideRule,
    ) -> Option<Weighed> {
        let uncertainty = covering(self, rule);
        let settles =
            margin.and_then(|margin| self.settles(margin.abs(), beyond, &uncertainty, rule));
        let repeats = settles.and_then(|settles| self.repeats(settles, &uncertainty, root));
        let value = Some(around(best, of_value.as_ref().unwrap_or(&uncertainty)));
        Some(Weighed { conformance, uncertainty: Some(uncertainty), value, settles, repeats })
    }

    /// The budget of the errors that were added up last, the greatest contribution first.
    pub fn budget(&self) -> Vec<BudgetLine> {
        let mut lines = Vec::new();
        self.budget_into(&mut lines);
        lines
    }

    /// The same in place of what stood there.
    pub fn budget_into(&self, lines: &mut Vec<BudgetLine>) {
        let scratch = &self.scratch;
        let standard = scratch.sum.standard();
        lines.clear();
        lines.extend(scratch.errors.iter().map(|error| BudgetLine {
            part: error.part,
            slot: Some(SlotId(error.slot)),
            readings: error.readings,
            shape: error.shape,
            standard_uncertainty: error.standard,
            sensitivity: error.sensitivity,
            contribution: error.contribution,
            share: (error.contribution / standard).powi(2),
            dof: error.dof,
        }));
        lines.sort_by(|a, b| b.contribution.total_cmp(&a.contribution));
    }

    /// The largest expanded uncertainty that decides at this distance from the nearest end, the
    /// errors being distributed alike; `beyond` is how far the other end is.
    fn settles(
        &self,
        distance: f64,
        beyond: Option<f64>,
        uncertainty: &Uncertainty,
        rule: DecideRule,
    ) -> Option<f64> {
        let DecideRule::At { probability } = rule else { return Some(distance) };
        let sum = &self.scratch.sum;
        let one_sided = sum.quantile(probability);
        if one_sided <= 0.0 {
            return None;
        }
        let most = distance / one_sided;
        let beyond = |scale: f64| beyond.map_or(0.0, |beyond| sum.below(-beyond / scale));
        // What cannot reach the other end is cut off at the nearest alone.
        if most <= 0.0 || beyond(most) <= NEGLIGIBLE * (1.0 - probability) {
            return Some(most * uncertainty.expanded);
        }
        let excess =
            |scale: f64| sum.below(-distance / scale) + beyond(scale) - (1.0 - probability);
        // Half of what may be cut off at either end is surely enough.
        let least = distance / sum.quantile((1.0 + probability) / 2.0);
        let most = last_below(excess, least, most);
        Some(most * uncertainty.expanded)
    }

    /// So many repeats make the expanded uncertainty small enough, where one reading is judged and
    /// part of its errors differ from one time to the next.
    fn repeats(&self, settles: f64, uncertainty: &Uncertainty, root: Root) -> Option<u32> {
        const MOST: f64 = 1000.0;
        let [slot] = root.slots.of(&self.program.slots) else { return None };
        let taken = match self.sheet.get(SlotId(*slot))? {
            Reading::Figure(_) => 1.0,
            Reading::Repeats(figures) => figures.len() as f64,
            _ => return None,
        };
        let differs =
            |part: BudgetPart| matches!(part, BudgetPart::Repeats | BudgetPart::Technique);
        let variance = |of: f64| of * of;
        let errors = &self.scratch.errors;
        let own: f64 = errors
            .iter()
            .filter(|error| differs(error.part))
            .map(|error| variance(error.contribution))
            .sum();
        let all = variance(uncertainty.standard);
        let wanted = all * variance(settles / uncertainty.expanded);
        let count = (taken * own / (wanted - (all - own))).ceil();
        let sound = own > 0.0 && wanted > all - own && count > taken && count <= MOST;
        // INVARIANT: between two and a thousand.
        sound.then_some(count as u32)
    }

    /// How uncertain a single reading is that lies clear of its limit.
    pub fn weigh_clear(
        &mut self,
        slot: u32,
        outcome: Outcome,
        rule: DecideRule,
    ) -> Option<Weighed> {
        let flat = self.sheet.flat(slot);
        if !flat.has(FlatReading::POINT) || Asked::of(rule).is_none() {
            return None;
        }
        let reading = self.sheet.judged(slot)?;
        let best = match reading {
            Reading::Figure(figure) => figure.value,
            _ => {
                let facts = self.sheet.facts(slot)?;
                let width = self.width(slot, flat, Mode::Simple);
                best(Full::reading(facts, flat, reading, Mode::Simple, width), true)?
            }
        };
        self.errors_of_slot(slot, 1.0)?;
        let uncertainty = covering(self, rule);
        let mut conformance = Conformance { within: 0.0, passes: 0.0, low: 0.0, high: 0.0 };
        match outcome {
            Outcome::Within => (conformance.within, conformance.passes) = (1.0, 1.0),
            Outcome::Worn => conformance.passes = 1.0,
            Outcome::Outside(Some(Side::Low)) => conformance.low = 1.0,
            Outcome::Outside(Some(Side::High)) => conformance.high = 1.0,
            _ => return None,
        }
        Some(Weighed {
            conformance: Some(conformance),
            value: Some(around(best, &uncertainty)),
            uncertainty: Some(uncertainty),
            settles: None,
            repeats: None,
        })
    }
}

impl Explainer<'_> {
    /// What a number comes to, with its uncertainty where that is known and asked for.
    pub fn number_weighed(
        &mut self,
        number: u32,
        root: Root,
        rule: DecideRule,
        detail: Detail,
    ) -> Known<(Value, Option<Uncertainty>, Vec<BudgetLine>)> {
        let asked = Asked::of(rule);
        let slots = root.slots.of(&self.runner.program.slots);
        let linear = !root.rough && slots.iter().all(|slot| self.runner.is_single(*slot));
        if linear && (asked.is_some() || detail == Detail::Budgets) {
            self.runner.run(root, Mode::Linear(asked.unwrap_or(Asked::Reading)));
            if let Ok(known) = self.runner.number(number)
                && let Some(best) = best(known, true)
                && let Some(uncertainty) = self.runner.errors_of(number, root, rule)
            {
                let budget = self.runner.budget();
                let value = if asked.is_some() {
                    around(best, &uncertainty)
                } else {
                    self.with_best(known, number, root, rule)
                };
                return Ok((value, Some(uncertainty), budget));
            }
        }
        self.runner.run(root, crate::judge::mode(rule));
        let known = self.runner.number(number)?;
        Ok((self.with_best(known, number, root, rule), None, Vec::new()))
    }
}

/// The greatest argument between two at which a rising function is not above nought, to within a
/// millionth: straight lines through both ends, of which the one that stays is pulled in
/// (Dowell and Jarratt, the Illinois rule).
fn last_below(function: impl Fn(f64) -> f64, mut low: f64, mut high: f64) -> f64 {
    const PRECISION: f64 = 1e-6;
    let (mut at_low, mut at_high) = (function(low), function(high));
    if at_high <= 0.0 {
        return high;
    }
    let mut stayed_high = None;
    for _ in 0..40 {
        if high - low <= PRECISION * high || at_low >= 0.0 {
            break;
        }
        // A step of its own inwards, so that both ends close in.
        let place = (at_low / (at_low - at_high)).clamp(0.25 * PRECISION, 1.0 - 0.25 * PRECISION);
        let x = low + place * (high - low);
        let at_x = function(x);
        if at_x.is_nan() {
            break;
        }
        if at_x <= 0.0 {
            // Near enough from the side that decides.
            let near = -at_x <= PRECISION * PRECISION;
            (low, at_low) = (x, at_x);
            if near {
                break;
            }
            if stayed_high == Some(true) {
                at_high /= 2.0;
            }
            stayed_high = Some(true);
        } else {
            (high, at_high) = (x, at_x);
            if stayed_high == Some(false) {
                at_low /= 2.0;
            }
            stayed_high = Some(false);
        }
    }
    low
}
