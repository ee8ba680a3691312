//! From the errors of readings to those of a margin: one pass backwards over the program gives the
//! exact derivatives (JCGM 100:2008, 5.1.3), and with them each elementary error its contribution.
//! Allocates nothing once its buffers are as large as the sheet needs.

use truing_model::{Fold, Function, Interpolation};

use crate::arithmetic::{Arithmetic, Truth};
use crate::doubt::Doubt;
use crate::errors::{Scratch, Total};
use crate::fitness::Unfit;
use crate::law::{law_at, sequence_unbalance};
use crate::program::{FlatCurve, FlatPoint, FlatRule, NumberOp, Root, Step, Stretch};
use crate::run::Runner;
use crate::sheet::{Sheet, place};

/// A slot whose errors go by the frequency that it is read at.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Banded {
    pub slot: u32,
    /// The frequency, where it is known.
    pub frequency: Option<f64>,
    pub doubt: Doubt,
    pub unfit: Option<Unfit>,
}

/// Numbers by whose change a margin changes, each with by how much.
pub(crate) type Seeds<'s> = &'s [(u32, f64)];

impl<A: Arithmetic> Runner<'_, A> {
    /// The errors of a slot's reading.
    pub fn doubt(&self, slot: u32) -> &Doubt {
        doubt_of(self.sheet, self.banded, slot)
    }

    /// Why a slot's meter is not fit for its reading.
    pub fn unfit(&self, slot: u32) -> Option<Unfit> {
        match self.banded.iter().find(|banded| banded.slot == slot) {
            Some(banded) => banded.unfit,
            None => self.sheet.unfit(slot),
        }
    }

    /// The frequency that a slot is read at, where its errors go by it.
    pub fn frequency(&self, slot: u32) -> Option<f64> {
        self.banded.iter().find(|banded| banded.slot == slot)?.frequency
    }

    /// The errors of a margin whose parts the registers hold, added up; `None` where they have no
    /// finite sum. What it comes to is the standard uncertainty.
    pub fn errors(&mut self, seeds: Seeds<'_>, steps: Stretch, stretch: Stretch) -> Option<f64> {
        if let [(number, by)] = seeds
            && let Some(NumberOp::Slot(slot)) = self.program.numbers.get(place(*number))
        {
            return self.errors_of_slot(*slot, *by);
        }
        self.errors_of_seeds(steps, stretch, |scratch| {
            seeds.iter().for_each(|(number, by)| scratch.seed(*number, *by));
        })
    }

    /// The standard uncertainty of a number that the registers hold, and nothing more of its errors.
    pub fn standard(&mut self, number: u32, root: Root) -> Option<f64> {
        self.collect(root.steps, root.slots, |scratch| scratch.seed(number, 1.0))?;
        self.scratch.standard()
    }

    pub fn errors_of_seeds(
        &mut self,
        steps: Stretch,
        slots: Stretch,
        seed: impl FnOnce(&mut Scratch),
    ) -> Option<f64> {
        self.collect(steps, slots, seed)?;
        self.scratch.add_up()
    }

    /// The elementary errors, not added up.
    fn collect(
        &mut self,
        steps: Stretch,
        slots: Stretch,
        seed: impl FnOnce(&mut Scratch),
    ) -> Option<()> {
        let slots = slots.of(&self.program.slots);
        for slot in slots {
            if let Some(sensitivity) = self.scratch.sensitivities.get_mut(place(*slot)) {
                *sensitivity = Total::default();
            }
        }
        self.backwards(seed, steps)?;
        let (sheet, banded) = (self.sheet, self.banded);
        self.scratch.collect(sheet, slots, |slot| doubt_of(sheet, banded, slot));
        Some(())
    }

    /// The same of a single reading.
    pub fn errors_of_slot(&mut self, slot: u32, by: f64) -> Option<f64> {
        *self.scratch.sensitivities.get_mut(place(slot))? = Total::new(by);
        let (sheet, banded) = (self.sheet, self.banded);
        self.scratch.collect(sheet, &[slot], |slot| doubt_of(sheet, banded, slot));
        self.scratch.add_up()
    }

    /// The derivatives of a margin by the readings; `None` where one is not finite.
    fn backwards(&mut self, seed: impl FnOnce(&mut Scratch), steps: Stretch) -> Option<()> {
        let steps = steps.of(&self.program.steps);
        for step in steps {
            if let Step::Number(id) = step
                && let Some(adjoint) = self.scratch.adjoints.get_mut(place(*id))
            {
                *adjoint = Total::default();
            }
        }
        seed(self.scratch);
        for step in steps.iter().rev() {
            let Step::Number(id) = step else { continue };
            let by = self.scratch.adjoints.get(place(*id)).copied().unwrap_or_default().value();
            if by != 0.0 {
                if !by.is_finite() {
                    return None;
                }
                self.hand_on(*id, by)?;
            }
        }
        Some(())
    }

    /// The value that a number has by the readings alone.
    pub fn at(&self, number: u32) -> Option<f64> {
        self.number(number).ok().and_then(A::nearest)
    }

    /// Hands the derivative by a number on to its parts.
    fn hand_on(&mut self, id: u32, by: f64) -> Option<()> {
        match *self.program.numbers.get(place(id))? {
            NumberOp::Constant(_) | NumberOp::Property(_) => {}
            NumberOp::Slot(slot) => self.scratch.sensitivities.get_mut(place(slot))?.add(by),
            NumberOp::Negate(of) => self.scratch.seed(of, -by),
            NumberOp::Add(a, b) => {
                self.scratch.seed(a, by);
                self.scratch.seed(b, by);
            }
            NumberOp::Subtract(a, b) => {
                self.scratch.seed(a, by);
                self.scratch.seed(b, -by);
            }
            NumberOp::Multiply(a, b) => {
                let (at_a, at_b) = (self.at(a)?, self.at(b)?);
                self.scratch.seed(a, by * at_b);
                self.scratch.seed(b, by * at_a);
            }
            NumberOp::Divide(a, b) => {
                let (at_a, at_b) = (self.at(a)?, self.at(b)?);
                self.scratch.seed(a, by / at_b);
                self.scratch.seed(b, -by * at_a / (at_b * at_b));
            }
            NumberOp::Power(of, exponent) => {
                if exponent != 0 {
                    let power = i32::from(exponent);
                    self.scratch.seed(of, by * f64::from(exponent) * self.at(of)?.powi(power - 1));
                }
            }
            NumberOp::Apply(function, of) => {
                let slope = slope(function, self.at(of)?, self.at(id)?);
                self.scratch.seed(of, by * slope);
            }
            NumberOp::Law { law, of } => {
                let law = *self.program.laws.get(place(law))?;
                let slope = law_at(law, self.at(of)?).ok()?.slope;
                self.scratch.seed(of, by * slope);
            }
            NumberOp::Fold(fold, members) => self.hand_on_fold(fold, members, by)?,
            NumberOp::Refer { resistance, from, to, offset } => {
                let offset = self.fixed(offset).ok().and_then(A::nearest)?;
                let (top, base) = (offset + self.at(to)?, offset + self.at(from)?);
                let (at, resistance_at) = (top / base, self.at(resistance)?);
                self.scratch.seed(resistance, by * at);
                self.scratch.seed(to, by * resistance_at / base);
                self.scratch.seed(from, -by * resistance_at * top / (base * base));
            }
            NumberOp::CurveAt { limit, at } => {
                let rule = self.program.limits.get(place(limit))?.rule;
                if let Ok(resolved) = self.resolve(rule)
                    && let Some(FlatRule::Curve(curve)) = resolved.rule
                {
                    let curve = self.program.curves.get(place(curve))?;
                    let (x, y) = (self.at(at)?, self.at(id)?);
                    let low = |point: &FlatPoint| {
                        point.band.standard.low.and_then(|edge| edge.at.near.middle())
                    };
                    let slope = self.slope_of_curve(curve, x, y, low)?;
                    self.scratch.seed(at, by * slope);
                }
            }
            NumberOp::Choose { condition, then, otherwise } => match self.truth(condition) {
                Truth::True => self.scratch.seed(then, by),
                Truth::False => self.scratch.seed(otherwise, by),
                Truth::Unknown(_) | Truth::Unclear => return None,
            },
        }
        Some(())
    }

    fn hand_on_fold(&mut self, fold: Fold, members: Stretch, by: f64) -> Option<()> {
        let members = members.of(&self.program.members);
        let count = members.len() as f64;
        match fold {
            Fold::Count => {}
            Fold::Sum => members.iter().for_each(|member| self.scratch.seed(*member, by)),
            Fold::Mean => members.iter().for_each(|member| self.scratch.seed(*member, by / count)),
            Fold::Min => {
                let least = self.foremost(members, |value| -value)?;
                self.scratch.seed(least, by);
            }
            Fold::Max => {
                let greatest = self.foremost(members, |value| value)?;
                self.scratch.seed(greatest, by);
            }
            Fold::Spread => {
                let greatest = self.foremost(members, |value| value)?;
                let least = self.foremost(members, |value| -value)?;
                self.scratch.seed(greatest, by);
                self.scratch.seed(least, -by);
            }
            Fold::SequenceUnbalance => {
                let (_, slopes) = self.sequence_slopes(members)?;
                for (member, slope) in members.iter().zip(slopes) {
                    self.scratch.seed(*member, by * slope);
                }
            }
            Fold::Unbalance => {
                let mut mean = 0.0;
                for member in members {
                    mean += self.at(*member)? / count;
                }
                let most = self.foremost(members, |value| (value - mean).abs())?;
                let at = self.at(most)?;
                let side = if at < mean { -1.0 } else { 1.0 };
                // d(|x − m|/m): by x itself, and by all through their mean.
                let through_mean = -by * side * at / (mean * mean) / count;
                self.scratch.seed(most, by * side / mean);
                members.iter().for_each(|member| self.scratch.seed(*member, through_mean));
            }
        }
        Some(())
    }

    /// The sequence unbalance of three voltages by the readings alone, with its slopes by them where
    /// it has them.
    pub fn sequence_slopes(&self, members: &[u32]) -> Option<(f64, [f64; 3])> {
        let [a, b, c] = members else { return None };
        let line = [self.at(*a)?, self.at(*b)?, self.at(*c)?];
        let (value, slopes) = sequence_unbalance(line).ok()?;
        Some((value, slopes?))
    }

    /// The first of the members for which something is greatest; what differs by rounding only is
    /// equal.
    pub fn foremost(&self, members: &[u32], of: impl Fn(f64) -> f64) -> Option<u32> {
        let mut foremost: Option<(u32, f64)> = None;
        for member in members {
            let value = of(self.at(*member)?);
            let more = foremost.is_none_or(|(_, best)| value - best > 1e-12 * best.abs());
            if more {
                foremost = Some((*member, value));
            }
        }
        foremost.map(|(member, _)| member)
    }

    /// How fast an end of a curve rises where it is `y`: on the stretch that begins at the point
    /// at or below the place, at the last point on the one before it.
    pub fn slope_of_curve(
        &self,
        curve: &FlatCurve,
        x: f64,
        y: f64,
        of: impl Fn(&FlatPoint) -> Option<f64>,
    ) -> Option<f64> {
        if curve.interpolation == Interpolation::Step {
            return Some(0.0);
        }
        let points = curve.points.of(&self.program.points);
        let place_of = |point: &FlatPoint| {
            point.x.exact.map(|exact| exact.to_f64()).or_else(|| point.x.near.middle())
        };
        let below = points.iter().filter(|point| place_of(point).is_some_and(|at| at <= x)).count();
        let begin = below.saturating_sub(1).min(points.len().saturating_sub(2));
        let (from, to) = (points.get(begin)?, points.get(begin + 1)?);
        let run = place_of(to)? - place_of(from)?;
        let (low, high) = (of(from)?, of(to)?);
        let rise = match curve.interpolation {
            Interpolation::Log => y * (libm::log(high) - libm::log(low)),
            Interpolation::Linear | Interpolation::Step => high - low,
        };
        Some(rise / run)
    }
}

fn doubt_of<'a>(sheet: &'a Sheet, banded: &'a [Banded], slot: u32) -> &'a Doubt {
    match banded.iter().find(|banded| banded.slot == slot) {
        Some(banded) => &banded.doubt,
        None => sheet.doubt(slot),
    }
}

/// The derivative of a function at `x`, where it comes to `y`.
fn slope(function: Function, x: f64, y: f64) -> f64 {
    match function {
        Function::Abs if x < 0.0 => -1.0,
        Function::Abs => 1.0,
        Function::Sqrt => 0.5 / y,
        Function::Exp => y,
        Function::Ln => 1.0 / x,
        Function::Log10 => 1.0 / (x * std::f64::consts::LN_10),
        // A rule with one is decided by intervals.
        Function::Round => 0.0,
    }
}
