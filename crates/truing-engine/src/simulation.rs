//! The propagation of distributions by a Monte Carlo method (JCGM 101:2008), beside the linear
//! propagation that decides.
//!
//! Each trial draws the elementary errors of the readings, takes them off, and works the quantity out
//! in plain doubles. It needs no derivative, so it also tells where linear propagation does not hold:
//! near a product with nought, at the foot of a square, where it is open which of several readings is
//! the greatest.
//!
//! The errors are those of the language reference. All are drawn from their own distributions. A
//! limit of error that readings share is one rectangular error e, from −1 to 1, per trial: each
//! reading has the error e·(s·gain + t·offset), with the signs s and t for which the gain parts and
//! the offset parts add up to most on the quantity. To first order this is the agreed half-width
//! |Σ c·gain| + |Σ c·offset|. The sensitivities that give the signs are central differences over one
//! standard uncertainty to either side (JCGM 100:2008, 5.1.3, note 2).
//!
//! Conditions of choices are asked anew in every trial. Variants and conditions of limits, and what
//! other checks came to, are as the readings alone have them.

mod errors;
mod limits;
mod model;
mod trial;

use serde::Serialize;
use thiserror::Error;
use truing_metrology::uncertainty::monte_carlo::{Simulation, SimulationError, Source, agrees};
use truing_model::{CheckId, DerivedId, Outcome, Relation, SlotId};

use crate::arithmetic::{Arithmetic, Mode};
use crate::budget::{Conformance, Uncertainty};
use crate::decide::Asked;
use crate::flat::FlatReading;
use crate::full::Full;
use crate::plan::Plan;
use crate::program::{FlatCheck, FlatCheckRule, Program, Root};
use crate::run::Runner;
use crate::sheet::{Sheet, place};

use limits::Ends;
use trial::Trial;

/// What to simulate.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Simulated {
    /// What a check holds against its limit; of a comparison the quantity on its left.
    Check(CheckId),
    /// A derived quantity.
    Derived(DerivedId),
}

/// How to simulate.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct SimulationOptions {
    /// How many trials; from two to [`MOST_TRIALS`].
    pub trials: usize,
    /// The seed: the same seed gives the same result everywhere.
    pub seed: u64,
    /// The probability that the intervals hold the true value.
    pub coverage: f64,
}

impl Default for SimulationOptions {
    fn default() -> Self {
        Self { trials: 200_000, seed: 1, coverage: 0.95 }
    }
}

/// The most trials of one simulation: they are kept, eight bytes each.
pub const MOST_TRIALS: usize = 100_000_000;

/// How many significant digits of a standard uncertainty are meant, for the numerical tolerance of
/// JCGM 101:2008, 7.9.2.
const DIGITS: u32 = 2;

/// Why something was not simulated.
#[derive(Copy, Clone, Debug, PartialEq, Error)]
pub enum NotSimulated {
    /// There is no such check or derived quantity.
    #[error("there is no such quantity")]
    NoSuchQuantity,
    /// The check judges no quantity: it is a logical rule, or asks for equality.
    #[error("the check judges no quantity that could be simulated")]
    NoQuantity,
    /// The check was not judged, since something else comes first.
    #[error("the check was not judged")]
    NotJudged,
    /// A reading is not a single figure: how it is distributed is not known.
    #[error("a reading is not a single figure: its distribution is not known")]
    NotSingle {
        /// The reading.
        slot: SlotId,
    },
    /// A reading was not taken.
    #[error("a reading was not taken")]
    NotTaken {
        /// The reading.
        slot: SlotId,
    },
    /// The meter that a reading was taken with is not fit for it, so that its errors are not known.
    #[error("the errors of a reading are not known")]
    Unfit {
        /// The reading.
        slot: SlotId,
    },
    /// Nothing in it is uncertain.
    #[error("nothing in it is uncertain")]
    Certain,
    /// It works out to no number by the readings.
    #[error("it works out to no number")]
    NoNumber,
    /// It works out to no number in a trial: a divisor came to nought, or a root to the negative.
    #[error("it worked out to no number in trial {trial}")]
    NoNumberInTrial {
        /// The trial, from 0.
        trial: usize,
    },
    /// More trials than are kept, or fewer than make an interval.
    #[error("{trials} trials are too few for an interval, or more than {MOST_TRIALS}")]
    Trials {
        /// How many.
        trials: usize,
    },
    /// A coverage probability that is not between 0 and 1.
    #[error("a coverage probability is between 0 and 1, not {coverage}")]
    Coverage {
        /// The probability.
        coverage: f64,
    },
}

/// What a simulation came to, in the coherent unit of the quantity.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct SimulationFinding {
    /// The estimate (JCGM 101:2008, eq. 16).
    pub mean: f64,
    /// The standard uncertainty (JCGM 101:2008, eq. 17). Repeats count with the spread of Student's
    /// t, which is more than s/√n (JCGM 101:2008, 6.4.9).
    pub standard: f64,
    /// The interval that leaves the same probability on both sides (JCGM 101:2008, 7.7.2).
    pub symmetric: (f64, f64),
    /// The shortest interval (JCGM 101:2008, 7.7.4).
    pub shortest: (f64, f64),
    /// The probability that the intervals hold the true value.
    pub coverage: f64,
    /// How many trials there were.
    pub trials: usize,
    /// The seed.
    pub seed: u64,
    /// How often the true value lay in the parts that the limit makes, of all trials.
    pub conformance: Option<Conformance>,
    /// Whether linear propagation says the same.
    pub agreement: LinearAgreement,
}

/// Whether linear propagation and the simulation say the same (JCGM 101:2008, clause 8).
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case", tag = "linear")]
pub enum LinearAgreement {
    /// Both ends agree within the numerical tolerance of two significant digits of the standard
    /// uncertainty: linear propagation holds.
    Agrees(Difference),
    /// An end differs by more than the tolerance, but by no more than the trials may be off: more
    /// trials would tell.
    Unsettled(Difference),
    /// An end differs by more: linear propagation does not hold here, and the simulation is to be
    /// trusted.
    Differs(Difference),
    /// Errors could not be carried along linearly: the rule goes by intervals, and the simulation is
    /// to be trusted.
    NotLinear,
}

/// By how much the ends of y ± U differ from those of the symmetric interval.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    /// The estimate of linear propagation.
    pub estimate: f64,
    /// Its expanded uncertainty for the same coverage.
    pub expanded: f64,
    /// |y − U − y_low| (JCGM 101:2008, eq. 22).
    pub low: f64,
    /// |y + U − y_high| (JCGM 101:2008, eq. 23).
    pub high: f64,
    /// The numerical tolerance δ (JCGM 101:2008, 7.9.2).
    pub tolerance: f64,
    /// How far the trials may be off at an end: three of its standard deviations.
    pub sampling: f64,
}

/// Simulates a quantity on a sheet of the plan's spec.
///
/// # Errors
/// Where a reading that it is worked out from is no single figure, where there is nothing uncertain
/// or nothing to simulate, or where the options make no sense.
pub fn simulate(
    plan: &Plan,
    sheet: &Sheet,
    what: Simulated,
    options: &SimulationOptions,
) -> Result<SimulationFinding, NotSimulated> {
    let SimulationOptions { trials, seed, coverage } = *options;
    if !(coverage > 0.0 && coverage < 1.0) {
        return Err(NotSimulated::Coverage { coverage });
    }
    if !(2..=MOST_TRIALS).contains(&trials) {
        return Err(NotSimulated::Trials { trials });
    }
    let program = &plan.program;
    let mut evaluator = plan.evaluator();
    let mut runner = evaluator.judged(sheet);
    let aim = aim(program, &mut runner, what)?;
    let slots = aim.root.slots.of(&program.slots);
    sound(&runner, slots)?;
    runner.run(aim.root, Mode::Simple);
    let mut trial = Trial::new(program, &runner, &aim, slots)?;
    let linear = linear(&mut runner, &aim, coverage);

    let mut source = Source::new(seed);
    let mut values = Vec::new();
    values.try_reserve_exact(trials).map_err(|_| NotSimulated::Trials { trials })?;
    for number in 0..trials {
        let value = trial.next(&mut source);
        if !value.is_finite() {
            return Err(NotSimulated::NoNumberInTrial { trial: number });
        }
        values.push(value);
    }
    let simulation = Simulation::of(values, coverage).map_err(|error| match error {
        SimulationError::Coverage(coverage) => NotSimulated::Coverage { coverage },
        _ => NotSimulated::Trials { trials },
    })?;
    Ok(SimulationFinding {
        mean: simulation.mean,
        standard: simulation.standard_uncertainty,
        symmetric: simulation.symmetric,
        shortest: simulation.shortest,
        coverage,
        trials,
        seed,
        conformance: trial.conformance(trials),
        agreement: agreement(linear, &simulation),
    })
}

/// What is simulated, and what it is held against.
struct Aim {
    number: u32,
    root: Root,
    /// Whether errors are carried along linearly where that is possible.
    linear: bool,
    against: Against,
}

enum Against {
    Nothing,
    Limit(Ends, Option<u32>),
    /// Another number: what passes is where this one is less, or no more.
    Number {
        other: u32,
        relation: Relation,
    },
}

fn aim(
    program: &Program,
    runner: &mut Runner<'_, Full>,
    what: Simulated,
) -> Result<Aim, NotSimulated> {
    match what {
        Simulated::Derived(id) => {
            let derived = program.derived.get(place(id.0));
            let (number, root) = *derived.ok_or(NotSimulated::NoSuchQuantity)?;
            let linear = !root.rough;
            Ok(Aim { number, root, linear, against: Against::Nothing })
        }
        Simulated::Check(id) => {
            let check = program.checks.get(place(id.0)).ok_or(NotSimulated::NoSuchQuantity)?;
            let judged = runner.outcomes.get(place(id.0)).is_some_and(|outcome| {
                outcome.passes() || outcome.fails() || *outcome == Outcome::Undecided
            });
            if !judged {
                return Err(missing(runner, check).unwrap_or(NotSimulated::NotJudged));
            }
            aim_of_check(program, runner, check)
        }
    }
}

/// A reading of a check that was not taken.
fn missing(runner: &Runner<'_, Full>, check: &FlatCheck) -> Option<NotSimulated> {
    let slots = check.root.slots.of(&runner.program.slots).iter();
    let mut missing = slots.filter(|slot| !runner.sheet.flat(**slot).has(FlatReading::TAKEN));
    missing.next().map(|slot| NotSimulated::NotTaken { slot: SlotId(*slot) })
}

fn aim_of_check(
    program: &Program,
    runner: &mut Runner<'_, Full>,
    check: &FlatCheck,
) -> Result<Aim, NotSimulated> {
    let (number, against) = match check.rule {
        FlatCheckRule::Within { subject, limit, at } => {
            runner.run(check.arms, Mode::Simple);
            let flat = program.limits.get(place(limit)).ok_or(NotSimulated::NoSuchQuantity)?;
            let rule = runner.resolve(flat.rule).ok().and_then(|resolved| resolved.rule);
            let ends = rule.and_then(|rule| Ends::of(program, rule));
            (subject, Against::Limit(ends.ok_or(NotSimulated::NotJudged)?, at))
        }
        FlatCheckRule::Against { subject, side, edge } => {
            (subject, Against::Limit(Ends::one(side, edge), None))
        }
        FlatCheckRule::Compare { relation: Relation::Equal | Relation::NotEqual, .. }
        | FlatCheckRule::Logic(_) => return Err(NotSimulated::NoQuantity),
        FlatCheckRule::Compare { subject, relation, against } => {
            (subject, Against::Number { other: against, relation })
        }
    };
    Ok(Aim { number, root: check.root, linear: runner.is_linear(check), against })
}

/// That every reading is a single figure, or a word, with errors that are known.
fn sound(runner: &Runner<'_, Full>, slots: &[u32]) -> Result<(), NotSimulated> {
    for slot in slots {
        if !runner.is_single(*slot) {
            return Err(NotSimulated::NotSingle { slot: SlotId(*slot) });
        }
        if runner.unfit(*slot).is_some() {
            return Err(NotSimulated::Unfit { slot: SlotId(*slot) });
        }
    }
    Ok(())
}

/// The estimate and the uncertainty of linear propagation, where errors can be carried along.
fn linear(runner: &mut Runner<'_, Full>, aim: &Aim, coverage: f64) -> Option<(f64, Uncertainty)> {
    if !aim.linear {
        return None;
    }
    runner.run(aim.root, Mode::Linear(Asked::Reading));
    let estimate = Full::nearest(runner.number(aim.number).ok()?)?;
    runner.errors(&[(aim.number, 1.0)], aim.root.steps, aim.root.slots)?;
    Some((estimate, runner.scratch.sum.covering(coverage)))
}

fn agreement(linear: Option<(f64, Uncertainty)>, simulation: &Simulation) -> LinearAgreement {
    let Some((estimate, uncertainty)) = linear else { return LinearAgreement::NotLinear };
    let expanded = uncertainty.expanded;
    let Ok(of) = agrees((estimate, expanded), simulation, DIGITS) else {
        return LinearAgreement::NotLinear;
    };
    let (low, high) = simulation.symmetric_deviation;
    let difference = Difference {
        estimate,
        expanded,
        low: of.low_difference,
        high: of.high_difference,
        tolerance: of.tolerance,
        sampling: 3.0 * low.max(high),
    };
    let beyond = |difference: f64, deviation: f64| difference > of.tolerance + 3.0 * deviation;
    if of.holds() {
        LinearAgreement::Agrees(difference)
    } else if beyond(of.low_difference, low) || beyond(of.high_difference, high) {
        LinearAgreement::Differs(difference)
    } else {
        LinearAgreement::Unsettled(difference)
    }
}
