//! The reference evaluator: a plain walk over the spec, to be read beside the language reference.
//!
//! It never ships results. The compiled evaluator does, and is held equal to this one on generated
//! specs and readings. Nothing here is clever; recursion goes as deep as the spec does.
//!
//! # How a check is judged
//!
//! In this order; the first that applies is the outcome.
//!
//! 1. `applies` is false: *not applicable*. It is unknown: *blocked*.
//! 2. The limit goes by variants. No arm is about this machine: *not applicable*. The condition of
//!    an arm is unknown before one holds: *blocked*. The limit is not specified: *not applicable*.
//! 3. A reading that the rule needs was not taken: *not taken*, whether or not the preconditions
//!    hold. A rule that comes out without it (`false and …`) does not need it.
//! 4. A reading that the rule, its limit's conditions or `when` may read is doubted, since it was
//!    taken in another state, is not plausible, or cannot have been shown by its meter: *blocked*. So
//!    too if the rule goes by uncertainty and the meter has none to say, and if a diode was held
//!    against more than its meter applies.
//! 5. `when` is false or unknown: *blocked*.
//! 6. A condition of the limit is not surely met: *blocked*.
//! 7. What the rule depends on is unknown for another reason than a reading: *blocked*. It works
//!    out to no number, or asks a curve outside its points: *undecided*.
//! 8. The value is held against the limit.
//!
//! # What is possible
//!
//! A quantity is known as an interval of what is possible, with ends that are possible themselves
//! or not, or none.
//!
//! | reading | what is possible |
//! |---|---|
//! | a figure | that one value |
//! | `OL` on a range whose top is `r` | everything above `r` |
//! | `OL`, range not known | everything: it decides nothing |
//! | more than `b`, less than `b` | everything beyond the bound, which itself is possible only where it says so |
//! | `a` goes, `b` does not | from `a`, which is possible, up to `b`, which is not |
//! | unsteady from `a` to `b` | all from `a` to `b` |
//! | repeats | their least, greatest or mean, as the slot says |
//! | a sweep | all from its least to its greatest figure |
//!
//! A reading is corrected for the leads and for the load of its meter before anything is made of it
//! (`taken.rs`). Where the kind of quantity has no values below zero, an end that is unbounded below
//! is zero. The sizes of gauges and bounds have no last digit. An `OL` without a range lies above what
//! its meter goes up to.
//!
//! A reading is plausible if every figure that was shown is; a bound, if anything that it leaves
//! possible is.
//!
//! Expressions are worked out by interval arithmetic, so that what comes out can be too wide and
//! never too narrow. Where every operation is rational it is exact; square roots of squares,
//! logarithms of powers of ten too. Otherwise the ends are doubles rounded outward, and a value
//! within those few units of the last place of a limit is not decided.
//!
//! All that is possible inside the limit: *within*. Inside the service limit and outside the
//! standard one: *worn*. Outside both: *outside*, on the side of the service limit. Else
//! *undecided*; also where only the border between within and worn is in doubt, though a rule that
//! asks `x within limit` then holds.
//!
//! # The decision rules
//!
//! - `simple`, and `guarded 0`: by the reading alone. Its errors are no doubt; a bound or an overload
//!   is still only a bound.
//! - `guarded k` and `at P`: the true value is the reading less its elementary errors (`errors.rs`).
//!   Where every reading that the rule reads is a single value they are carried along in a *straight
//!   line*: each number has its exact derivatives by the readings (`dual.rs`, `straight.rs`), and with
//!   them the errors of its distance from each end of a limit, added up (`spread.rs`). That distance
//!   decides, by probability or by guard (`decide.rs`); where it has no errors, as by `simple`.
//! - Where there is no straight line, *all that is possible* decides: readings are widened by k·u, or
//!   under `at P` by all that their errors reach. So for the whole rule, if anything in it is rounded
//!   or asked to be equal, if the condition of a choice is undecided, if it is not certain which member
//!   is followed (`order.rs`), or if a derivative is endless.
//!
//! A side is named where the value lies there by the same measure. Preconditions, variants and
//! conditions of limits say which readings are to be judged at all: they go by the readings alone,
//! under every rule.
//!
//! # Curves and sweeps
//!
//! Between its points a curve's ends are interpolated, exactly where it is linear. Where it is
//! asked at an interval, a value is within the limit if it is so everywhere on that part of the
//! curve. If any of it lies beyond the points, nothing is decided. An end that is open at one point
//! is open everywhere.
//!
//! A reading that is a sweep over the quantity that the curve goes by is judged point by point,
//! each at its own place; `at` is not looked at. One point outside is *outside* (on its side, if
//! all that are outside agree); else one undecided is *undecided*, one worn is *worn*. In every
//! other place a sweep stands for all from its least to its greatest figure.
//!
//! # Three-valued logic
//!
//! Kleene's: `false and unknown` is false, `true or unknown` is true. Why a rule is unknown
//! decides what comes of it: a reading not taken before a precondition, a precondition before a
//! value that is not decided. `passes` and `fails` hand on why the other check is open; a check
//! that is not applicable neither passes nor fails.

mod decide;
mod diode;
mod dual;
mod errors;
mod follow;
mod judge;
mod limits;
mod number;
mod order;
mod range;
mod readings;
mod real;
mod spread;
mod standing;
mod straight;
mod taken;

use std::collections::BTreeMap;

use truing_model::{CheckId, NumberId, Outcome, SlotId, Spec};

use crate::budget::Conformance;
use crate::sheet::Sheet;
pub use follow::{Followed, follow};
use judge::Judge;

/// Why something is unknown; of several reasons the greatest counts.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Unknown {
    /// What is known does not decide it.
    Undecided,
    /// Something else comes first.
    Blocked,
    /// Errors can't be carried along in a straight line: what is possible has to tell.
    Bent,
    /// A reading was not taken.
    NotTaken,
}

/// Something, or why it is unknown.
type Known<T> = Result<T, Unknown>;

/// The outcome of every check, in the order of the spec.
#[must_use]
pub fn outcomes(spec: &Spec, sheet: &Sheet) -> Vec<Outcome> {
    let judge = judged(spec, sheet);
    (0_u32..)
        .take(spec.checks.len())
        .map(|id| judge.outcomes.get(&CheckId(id)).copied().unwrap_or(Outcome::Blocked))
        .collect()
}

fn judged<'a>(spec: &'a Spec, sheet: &'a Sheet) -> Judge<'a> {
    let mut judge = Judge::new(spec, sheet);
    for check in &spec.order {
        let outcome = judge.check(*check);
        judge.outcomes.insert(*check, outcome);
    }
    judge
}

/// A number at the readings, and how fast it changes with each of them (JCGM 100:2008, 5.1.3).
#[derive(Clone, Debug, PartialEq)]
pub struct Gradient {
    /// The number.
    pub value: f64,
    /// The derivatives by the readings that it changes with.
    pub slopes: BTreeMap<SlotId, f64>,
}

/// The gradient of every number; `None` where it has no value or jumps there. Choices are decided
/// by the rule of the sheet.
#[must_use]
pub fn gradients(spec: &Spec, sheet: &Sheet) -> Vec<Option<Gradient>> {
    let judge = judged(spec, sheet);
    let gradient = |number| {
        let dual = judge.line(number, judge.way_of_the_sheet()).ok()?.dual;
        Some(Gradient { value: dual.value, slopes: dual.slopes().ok()?.clone() })
    };
    (0_u32..).map(NumberId).take(spec.numbers.len()).map(gradient).collect()
}

/// The value of a number, its standard uncertainty, and its effective degrees of freedom (`None`:
/// infinite), by the errors of the readings in a straight line; `None` where there is none.
#[must_use]
pub fn uncertainty(
    spec: &Spec,
    sheet: &Sheet,
    number: NumberId,
) -> Option<(f64, f64, Option<f64>)> {
    let judge = judged(spec, sheet);
    let dual = judge.line(number, judge.way_of_the_sheet()).ok()?.dual;
    let errors = judge.spread(&dual).ok()?;
    Some((dual.value, errors.standard_uncertainty(), errors.effective_dof()))
}

/// How likely what a check judges conforms, and how uncertain it is.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Weighed {
    /// The probabilities of the parts that the limit makes; `None` where two quantities are compared
    /// that have no errors.
    pub conformance: Option<Conformance>,
    /// The standard uncertainty of the distance from the nearest end of the limit.
    pub standard: f64,
}

/// What the decision of each check goes by where errors are carried along in a straight line and
/// nothing keeps it from being judged; `None` elsewhere, and of logical rules.
#[must_use]
pub fn weighed(spec: &Spec, sheet: &Sheet) -> Vec<Option<Weighed>> {
    let mut judge = Judge::new(spec, sheet);
    let mut weighed = BTreeMap::new();
    for id in &spec.order {
        let outcome = judge.check(*id);
        let judged = matches!(
            outcome,
            Outcome::Within | Outcome::Worn | Outcome::Outside(_) | Outcome::Undecided
        );
        if judged && let Some(check) = spec.check(*id) {
            weighed.extend(judge.weighed(check).map(|of| (*id, of)));
        }
        judge.outcomes.insert(*id, outcome);
    }
    (0_u32..).map(CheckId).take(spec.checks.len()).map(|id| weighed.get(&id).copied()).collect()
}
