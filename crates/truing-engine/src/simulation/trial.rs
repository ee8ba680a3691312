//! One trial: draws, true values, the quantity, and where it lies to its limit.

use truing_metrology::uncertainty::monte_carlo::Source;
use truing_model::{Relation, SlotId};

use super::errors::{Errors, Weights};
use super::limits::{Ends, Four, Held};
use super::model::Model;
use super::{Against, Aim, NotSimulated};
use crate::arithmetic::Arithmetic;
use crate::budget::Conformance;
use crate::decide::Cuts;
use crate::flat::FlatReading;
use crate::full::Full;
use crate::program::{NumberOp, Program, Root, Step};
use crate::run::Runner;
use crate::sheet::place;

/// One trial after the other. Allocates nothing once it is made.
pub(super) struct Trial<'p> {
    model: Model<'p>,
    errors: Errors,
    /// The readings as they are judged.
    readings: Vec<f64>,
    /// Their true values in a trial.
    drawn: Vec<f64>,
    number: u32,
    weights: Weights,
    judge: Judge,
}

/// How often a quantity lay below each end.
enum Judge {
    Nothing,
    Fixed {
        ends: Four,
        below: [usize; 4],
    },
    /// Ends that go by readings themselves: each margin has signs of its own for what is shared.
    Along {
        ends: Ends,
        at: u32,
        margins: Vec<(usize, Weights)>,
        below: [usize; 4],
    },
    Number {
        other: u32,
        relation: Relation,
        weights: Weights,
        holds: usize,
    },
}

impl<'p> Trial<'p> {
    pub fn new(
        program: &'p Program,
        runner: &Runner<'_, Full>,
        aim: &Aim,
        slots: &[u32],
    ) -> Result<Self, NotSimulated> {
        let mut model = Model::new(program, runner, aim.root);
        let errors = Errors::of(runner, slots);
        let readings: Vec<f64> =
            slots.iter().map(|slot| reading(program, runner, aim.root, *slot)).collect();
        model.run(&readings);
        if !model.number(aim.number).is_finite() {
            let absent =
                slots.iter().find(|slot| !runner.sheet.flat(**slot).has(FlatReading::TAKEN));
            return Err(absent.map_or(NotSimulated::NoNumber, |slot| NotSimulated::NotTaken {
                slot: SlotId(*slot),
            }));
        }
        if errors.is_empty() {
            return Err(NotSimulated::Certain);
        }
        let drawn = readings.clone();
        let weights = Weights::none();
        let number = aim.number;
        let mut trial =
            Self { model, errors, readings, drawn, number, weights, judge: Judge::Nothing };
        trial.weights = trial.weights_of(|model| model.number(number));
        trial.judge = trial.judge(&aim.against);
        Ok(trial)
    }

    fn judge(&mut self, against: &Against) -> Judge {
        let below = [0; 4];
        let number = self.number;
        match against {
            Against::Nothing => Judge::Nothing,
            Against::Limit(Ends::Fixed(ends), _) => Judge::Fixed { ends: *ends, below },
            Against::Limit(_, None) => Judge::Nothing,
            Against::Limit(ends, Some(at)) => {
                let along = |model: &Model<'_>, place: usize| {
                    let end = ends.at(model.number(*at)).get(place).copied().flatten();
                    end.map_or(f64::NAN, |end| model.number(number) - end.at)
                };
                let there = ends.at(self.model.number(*at));
                let places = (0..4_usize).filter(|of| there.get(*of).is_some_and(Option::is_some));
                let margins =
                    places.map(|of| (of, self.weights_of(|model| along(model, of)))).collect();
                Judge::Along { ends: ends.clone(), at: *at, margins, below }
            }
            Against::Number { other, relation } => {
                let weights = self.weights_of(|model| model.number(number) - model.number(*other));
                Judge::Number { other: *other, relation: *relation, weights, holds: 0 }
            }
        }
    }

    /// What the shared limits of error do to a quantity, by its central differences.
    fn weights_of(&mut self, of: impl Fn(&Model<'_>) -> f64) -> Weights {
        let mut sensitivities = vec![0.0; self.readings.len()];
        let steps = self.errors.standards.clone();
        for (place, (sensitivity, step)) in sensitivities.iter_mut().zip(steps).enumerate() {
            let mut moved = |by: f64| {
                self.drawn.copy_from_slice(&self.readings);
                if let Some(reading) = self.drawn.get_mut(place) {
                    *reading += by;
                }
                self.model.run(&self.drawn);
                of(&self.model)
            };
            let slope = if step > 0.0 { (moved(step) - moved(-step)) / (2.0 * step) } else { 0.0 };
            *sensitivity = if slope.is_finite() { slope } else { 0.0 };
        }
        self.model.run(&self.readings);
        self.errors.weights(&sensitivities)
    }

    /// The quantity in the next trial.
    pub fn next(&mut self, source: &mut Source) -> f64 {
        let Self { model, errors, readings, drawn, number, weights, judge } = self;
        errors.draw(source);
        errors.take_off(readings, weights, drawn);
        model.run(drawn);
        let value = model.number(*number);
        match judge {
            Judge::Nothing => {}
            Judge::Fixed { ends, below } => {
                for (count, is_below) in below.iter_mut().zip(Held::of(value, ends).below) {
                    *count += usize::from(is_below);
                }
            }
            Judge::Along { ends, at, margins, below } => {
                for (place, weights) in margins {
                    errors.take_off(readings, weights, drawn);
                    model.run(drawn);
                    let held = Held::of(model.number(*number), &ends.at(model.number(*at)));
                    if let (Some(count), Some(is_below)) =
                        (below.get_mut(*place), held.below.get(*place))
                    {
                        *count += usize::from(*is_below);
                    }
                }
            }
            Judge::Number { other, relation, weights, holds } => {
                errors.take_off(readings, weights, drawn);
                model.run(drawn);
                let (left, right) = (model.number(*number), model.number(*other));
                let is_so = match relation {
                    Relation::Less => left < right,
                    Relation::LessOrEqual => left <= right,
                    Relation::Greater => left > right,
                    Relation::GreaterOrEqual => left >= right,
                    Relation::Equal | Relation::NotEqual => false,
                };
                *holds += usize::from(is_so);
            }
        }
        value
    }

    /// The shares of the trials in the parts that the limit makes.
    pub fn conformance(&self, trials: usize) -> Option<Conformance> {
        let share = |count: usize| count as f64 / trials as f64;
        let of_cuts = |ends: &Four, below: &[usize; 4]| {
            let mut cuts = [0.0, 1.0, 0.0, 1.0];
            for ((cut, count), end) in cuts.iter_mut().zip(below).zip(ends) {
                if end.is_some() {
                    *cut = share(*count);
                }
            }
            let [low, high, service_low, service_high] = cuts;
            Cuts { standard: [low, high], service: [service_low, service_high] }.conformance()
        };
        match &self.judge {
            Judge::Nothing => None,
            Judge::Fixed { ends, below } => Some(of_cuts(ends, below)),
            Judge::Along { ends, at, below, .. } => {
                Some(of_cuts(&ends.at(self.model.number(*at)), below))
            }
            Judge::Number { relation, holds, .. } => {
                let within = share(*holds);
                let outside = 1.0 - within;
                let fails_high = matches!(relation, Relation::Less | Relation::LessOrEqual);
                let (low, high) = if fails_high { (0.0, outside) } else { (outside, 0.0) };
                Some(Conformance { within, passes: within, low, high })
            }
        }
    }
}

/// The reading of a slot as it is judged; not a number where there is none.
fn reading(program: &Program, runner: &Runner<'_, Full>, root: Root, slot: u32) -> f64 {
    let mut numbers = root.steps.of(&program.steps).iter().filter_map(|step| match step {
        Step::Number(id) => Some(*id),
        Step::Logic(_) => None,
    });
    let of_slot = numbers.find(
        |id| matches!(program.numbers.get(place(*id)), Some(NumberOp::Slot(of)) if *of == slot),
    );
    let known = of_slot.and_then(|id| runner.number(id).ok()).and_then(Full::nearest);
    known.unwrap_or(f64::NAN)
}
