//! A program in plain doubles: trial after trial into the same registers, without allocating.
//!
//! It shares nothing with the evaluators that go by intervals but the program itself.

use truing_model::{Fold, Function, Law, Relation};

use super::limits::{Ends, Held, number_of};
use crate::arithmetic::{Arithmetic, Truth};
use crate::full::Full;
use crate::law::{law_at, sequence_unbalance};
use crate::program::{LogicOp, NumberOp, Program, Root, Stretch};
use crate::run::Runner;
use crate::sheet::place;

/// How a number comes about, where it is not the same in every trial.
#[derive(Copy, Clone, Debug)]
enum Op {
    /// A reading, by its place among those that are drawn.
    Reading(usize),
    Negate(u32),
    Add(u32, u32),
    Subtract(u32, u32),
    Multiply(u32, u32),
    Divide(u32, u32),
    Power(u32, i8),
    Apply(Function, u32),
    Law(Law, u32),
    Fold(Fold, Stretch),
    Refer {
        resistance: u32,
        from: u32,
        to: u32,
        offset: f64,
    },
    /// The lower end of a limit of single values, at a number.
    Curve {
        limit: usize,
        at: u32,
    },
    Choose {
        condition: u32,
        then: u32,
        otherwise: u32,
    },
}

/// How a truth value comes about, where it is not the same in every trial.
#[derive(Copy, Clone, Debug)]
enum Test {
    Compare(Relation, u32, u32),
    Within { subject: u32, limit: usize, at: Option<u32> },
    Not(u32),
    All(Stretch),
    Any(Stretch),
}

#[derive(Copy, Clone, Debug)]
enum Step {
    Number(u32, Op),
    Truth(u32, Test),
}

/// The steps to a quantity, with their registers. What cannot be worked out is not a number.
#[derive(Clone, Debug)]
pub(super) struct Model<'p> {
    steps: Vec<Step>,
    numbers: Vec<f64>,
    truths: Vec<Option<bool>>,
    limits: Vec<Ends>,
    members: &'p [u32],
}

impl<'p> Model<'p> {
    /// The steps of a root. The runner holds what they come to by the readings alone: constants,
    /// properties, words and the outcomes of checks stay as they are there, and so does the arm of a
    /// limit.
    pub fn new(program: &'p Program, runner: &Runner<'_, Full>, root: Root) -> Self {
        let mut model = Self {
            steps: Vec::new(),
            numbers: vec![f64::NAN; program.numbers.len()],
            truths: vec![None; program.logic.len()],
            limits: Vec::new(),
            members: &program.members,
        };
        for step in root.steps.of(&program.steps) {
            match *step {
                crate::program::Step::Number(id) => model.add_number(program, runner, root, id),
                crate::program::Step::Logic(id) => model.add_truth(program, runner, id),
            }
        }
        model
    }

    fn add_number(&mut self, program: &Program, runner: &Runner<'_, Full>, root: Root, id: u32) {
        let Some(op) = program.numbers.get(place(id)) else { return };
        let op = match *op {
            NumberOp::Constant(_) | NumberOp::Property(_) => {
                let known = runner.number(id).ok().and_then(Full::nearest);
                if let Some(register) = self.numbers.get_mut(place(id)) {
                    *register = known.unwrap_or(f64::NAN);
                }
                return;
            }
            NumberOp::Slot(slot) => match root.slots.of(&program.slots).binary_search(&slot) {
                Ok(place) => Op::Reading(place),
                Err(_) => return,
            },
            NumberOp::Negate(of) => Op::Negate(of),
            NumberOp::Add(a, b) => Op::Add(a, b),
            NumberOp::Subtract(a, b) => Op::Subtract(a, b),
            NumberOp::Multiply(a, b) => Op::Multiply(a, b),
            NumberOp::Divide(a, b) => Op::Divide(a, b),
            NumberOp::Power(of, exponent) => Op::Power(of, exponent),
            NumberOp::Apply(function, of) => Op::Apply(function, of),
            NumberOp::Law { law, of } => match program.laws.get(place(law)) {
                Some(law) => Op::Law(*law, of),
                None => return,
            },
            NumberOp::Fold(fold, members) => Op::Fold(fold, members),
            NumberOp::Refer { resistance, from, to, offset } => {
                let offset = program.fixed.get(place(offset)).map_or(f64::NAN, number_of);
                Op::Refer { resistance, from, to, offset }
            }
            NumberOp::CurveAt { limit, at } => match self.add_limit(program, runner, limit) {
                Some(limit) => Op::Curve { limit, at },
                None => return,
            },
            NumberOp::Choose { condition, then, otherwise } => {
                Op::Choose { condition, then, otherwise }
            }
        };
        self.steps.push(Step::Number(id, op));
    }

    fn add_truth(&mut self, program: &Program, runner: &Runner<'_, Full>, id: u32) {
        let Some(op) = program.logic.get(place(id)) else { return };
        let test = match *op {
            LogicOp::Constant(_)
            | LogicOp::Is { .. }
            | LogicOp::PropertyIs { .. }
            | LogicOp::Passes(_)
            | LogicOp::Fails(_) => {
                if let Some(register) = self.truths.get_mut(place(id)) {
                    *register = match runner.truth(id) {
                        Truth::True => Some(true),
                        Truth::False => Some(false),
                        Truth::Unknown(_) | Truth::Unclear => None,
                    };
                }
                return;
            }
            LogicOp::Compare(relation, left, right) => Test::Compare(relation, left, right),
            LogicOp::Within { subject, limit, at } => {
                match self.add_limit(program, runner, limit) {
                    Some(place) if conditions_hold(program, runner, limit) => {
                        Test::Within { subject, limit: place, at }
                    }
                    _ => return,
                }
            }
            LogicOp::Not(of) => Test::Not(of),
            LogicOp::All(of) => Test::All(of),
            LogicOp::Any(of) => Test::Any(of),
        };
        self.steps.push(Step::Truth(id, test));
    }

    fn add_limit(
        &mut self,
        program: &Program,
        runner: &Runner<'_, Full>,
        limit: u32,
    ) -> Option<usize> {
        let flat = program.limits.get(place(limit))?;
        let rule = runner.resolve(flat.rule).ok()?.rule?;
        self.limits.push(Ends::of(program, rule)?);
        Some(self.limits.len() - 1)
    }

    /// Works everything out for these readings.
    pub fn run(&mut self, readings: &[f64]) {
        for place_of in 0..self.steps.len() {
            match self.steps.get(place_of).copied() {
                Some(Step::Number(id, op)) => {
                    let value = self.work_out(op, readings);
                    if let Some(register) = self.numbers.get_mut(place(id)) {
                        *register = value;
                    }
                }
                Some(Step::Truth(id, test)) => {
                    let truth = self.tell(test);
                    if let Some(register) = self.truths.get_mut(place(id)) {
                        *register = truth;
                    }
                }
                None => {}
            }
        }
    }

    /// What a number comes to, worked out last.
    pub fn number(&self, id: u32) -> f64 {
        self.numbers.get(place(id)).copied().unwrap_or(f64::NAN)
    }

    fn truth(&self, id: u32) -> Option<bool> {
        self.truths.get(place(id)).copied().flatten()
    }

    fn work_out(&self, op: Op, readings: &[f64]) -> f64 {
        match op {
            Op::Reading(place) => readings.get(place).copied().unwrap_or(f64::NAN),
            Op::Negate(of) => -self.number(of),
            Op::Add(a, b) => self.number(a) + self.number(b),
            Op::Subtract(a, b) => self.number(a) - self.number(b),
            Op::Multiply(a, b) => self.number(a) * self.number(b),
            Op::Divide(a, b) => self.number(a) / self.number(b),
            Op::Power(of, exponent) => power(self.number(of), exponent),
            Op::Apply(function, of) => apply(function, self.number(of)),
            Op::Law(law, of) => law_at(law, self.number(of)).map_or(f64::NAN, |at| at.value),
            Op::Fold(fold, members) => self.fold(fold, members),
            Op::Refer { resistance, from, to, offset } => {
                self.number(resistance)
                    * ((offset + self.number(to)) / (offset + self.number(from)))
            }
            Op::Curve { limit, at } => {
                let ends = self.limits.get(limit).map(|ends| ends.at(self.number(at)));
                ends.and_then(|[low, ..]| low).map_or(f64::NAN, |low| low.at)
            }
            Op::Choose { condition, then, otherwise } => match self.truth(condition) {
                Some(true) => self.number(then),
                Some(false) => self.number(otherwise),
                None => f64::NAN,
            },
        }
    }

    fn fold(&self, fold: Fold, members: Stretch) -> f64 {
        let members = members.of(self.members);
        let each = || members.iter().map(|member| self.number(*member));
        let sum = || each().fold(0.0, |sum, value| sum + value);
        let mean = || sum() / members.len() as f64;
        match fold {
            Fold::Min => least(each()),
            Fold::Max => greatest(each()),
            Fold::Sum => sum(),
            Fold::Mean => mean(),
            Fold::Spread => greatest(each()) - least(each()),
            Fold::Count => members.len() as f64,
            Fold::SequenceUnbalance => match members {
                [a, b, c] => {
                    let line = [self.number(*a), self.number(*b), self.number(*c)];
                    sequence_unbalance(line).map_or(f64::NAN, |(value, _)| value)
                }
                _ => f64::NAN,
            },
            Fold::Unbalance => {
                let mean = mean();
                greatest(each().map(|value| (value - mean).abs())) / mean
            }
        }
    }

    fn tell(&self, test: Test) -> Option<bool> {
        match test {
            Test::Compare(relation, left, right) => {
                let (left, right) = (self.number(left), self.number(right));
                if left.is_nan() || right.is_nan() {
                    return None;
                }
                Some(match relation {
                    Relation::Less => left < right,
                    Relation::LessOrEqual => left <= right,
                    Relation::Greater => left > right,
                    Relation::GreaterOrEqual => left >= right,
                    Relation::Equal => left == right,
                    Relation::NotEqual => left != right,
                })
            }
            Test::Within { subject, limit, at } => {
                let at = at.map_or(f64::NAN, |at| self.number(at));
                let value = self.number(subject);
                let ends = self.limits.get(limit)?.at(at);
                (!value.is_nan()).then(|| Held::of(value, &ends).passes())
            }
            Test::Not(of) => self.truth(of).map(|truth| !truth),
            Test::All(of) => self.kleene(of, false),
            Test::Any(of) => self.kleene(of, true),
        }
    }

    /// One member settles it; else one that is unknown leaves it so.
    fn kleene(&self, of: Stretch, settles: bool) -> Option<bool> {
        let mut all = Some(!settles);
        for member in of.of(self.members) {
            match self.truth(*member) {
                Some(truth) if truth == settles => return Some(settles),
                Some(_) => {}
                None => all = None,
            }
        }
        all
    }
}

/// Whether the conditions of a limit are met by the readings alone.
fn conditions_hold(program: &Program, runner: &Runner<'_, Full>, limit: u32) -> bool {
    let Some(flat) = program.limits.get(place(limit)) else { return false };
    flat.conditions.of(&program.conditions).iter().all(|condition| {
        let value = runner.number(condition.subject).ok().and_then(Full::nearest);
        value.is_some_and(|value| Held::of(value, &Ends::interval(&condition.band)).passes())
    })
}

fn greatest(values: impl Iterator<Item = f64>) -> f64 {
    let most = values.reduce(|most, next| if next > most || next.is_nan() { next } else { most });
    most.unwrap_or(f64::NAN)
}

fn least(values: impl Iterator<Item = f64>) -> f64 {
    -greatest(values.map(|value| -value))
}

/// By repeated products, which every platform rounds alike.
fn power(of: f64, exponent: i8) -> f64 {
    let product = (0..exponent.unsigned_abs()).fold(1.0, |product, _| product * of);
    if exponent < 0 { 1.0 / product } else { product }
}

fn apply(function: Function, of: f64) -> f64 {
    match function {
        Function::Abs => of.abs(),
        Function::Sqrt => of.sqrt(),
        Function::Exp => libm::exp(of),
        Function::Ln => libm::log(of),
        Function::Log10 => libm::log10(of),
        Function::Round => of.round(),
    }
}
