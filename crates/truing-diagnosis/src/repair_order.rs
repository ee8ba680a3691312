//! In which order to replace parts, and what that is expected to cost.
//!
//! For one fault and repairs that don't hinder each other, taking parts by probability over cost is
//! optimal (Kadane & Simon 1975; Kalagnanam & Henrion 1990).

use std::collections::BTreeMap;

use serde::Serialize;

use crate::cure::Cure;
use crate::index::{Hypothesis, Part};
use crate::network::{Network, RepairCosts};
use crate::posterior::Posterior;

/// One of the things that can be done to set a machine right.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Step {
    /// Replace a part, and prove the machine.
    Replace(Part),
    /// Replace nothing: prove that the machine is sound.
    Nothing,
}

/// What to do in turn, until the machine is right; after the last step it is escalated.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RepairPlan {
    /// The steps, first one first: as many as pay.
    pub steps: Vec<Step>,
    /// Expected cost to the end, in minutes (ECR).
    pub minutes: f64,
    /// The probability that the steps don't set the machine right.
    pub escalated: f64,
}

/// The order of least expected cost for causes one of which is there, by probability over cost;
/// equals in the given order. Entries without a pair are left out.
#[must_use]
pub fn by_probability_over_cost(probability: &[f64], cost: &[f64]) -> Vec<usize> {
    let ratio = |(p, c): (&f64, &f64)| p / c;
    let mut order: Vec<(usize, f64)> =
        probability.iter().zip(cost).map(ratio).enumerate().collect();
    order.sort_by(|(a, x), (b, y)| y.total_cmp(x).then_with(|| a.cmp(b)));
    order.into_iter().map(|(at, _)| at).collect()
}

/// Expected cost of trying causes in an order, when one of them is there: each is paid for until
/// the true one was tried.
#[must_use]
pub fn expected_cost(probability: &[f64], cost: &[f64], order: &[usize]) -> f64 {
    let mut left: f64 = order.iter().filter_map(|at| probability.get(*at)).sum();
    let mut sum = 0.0;
    for at in order {
        sum += left * cost.get(*at).unwrap_or(&0.0);
        left -= probability.get(*at).unwrap_or(&0.0);
    }
    sum
}

impl Network {
    /// The order of repairs after a posterior: parts by the probability that they have to be
    /// replaced over what that costs, for as long as it costs less than escalating at once. `None`
    /// where the network doesn't say what repairs cost.
    #[must_use]
    pub fn repair_plan(&self, posterior: &Posterior) -> Option<RepairPlan> {
        let costs = self.costs()?;
        let hypotheses = posterior.iter().filter(|(_, p)| *p > 0.0);
        Some(plan(costs, hypotheses.map(|(h, p)| (self.target(h), p))))
    }
}

/// What sets the machine right.
#[derive(Clone, Copy)]
pub(crate) enum Target<'a> {
    Unknown,
    Nothing,
    /// Both lists.
    Parts(&'a [Part], &'a [Part]),
}

impl<'a> From<&'a Cure> for Target<'a> {
    fn from(cure: &'a Cure) -> Self {
        match cure {
            Cure::Unknown => Self::Unknown,
            Cure::Nothing => Self::Nothing,
            Cure::Replace(parts) => Self::Parts(parts, &[]),
        }
    }
}

impl Network {
    fn target(&self, hypothesis: Hypothesis) -> Target<'_> {
        match hypothesis {
            Hypothesis::Other => Target::Unknown,
            Hypothesis::None => Target::Nothing,
            Hypothesis::Single(f) => Target::Parts(self.parts_of(f), &[]),
            Hypothesis::Pair(f, g) => Target::Parts(self.parts_of(f), self.parts_of(g)),
        }
    }
}

impl RepairCosts {
    /// Minutes of a step, proof included.
    pub(crate) fn of(&self, step: Step) -> f64 {
        let own = match step {
            Step::Replace(part) => self.part.get(part.0).copied().unwrap_or(self.escalate),
            Step::Nothing => self.nothing,
        };
        own + self.verify
    }
}

/// `ECR = sum over steps of P(not right yet) cost + P(not right at the end) escalation`, for the
/// number of steps that makes it least.
pub(crate) fn plan<'c>(
    costs: &RepairCosts,
    targets: impl Iterator<Item = (Target<'c>, f64)> + Clone,
) -> RepairPlan {
    let order = order(costs, targets.clone());
    let mut place = vec![usize::MAX; costs.part.len()];
    let mut nothing = usize::MAX;
    for (at, step) in order.iter().enumerate() {
        match step {
            Step::Nothing => nothing = at,
            Step::Replace(part) => {
                if let Some(slot) = place.get_mut(part.0) {
                    *slot = at;
                }
            }
        }
    }
    // How much is set right with each step: a cure is complete with the last of its parts.
    let mut right = vec![0.0; order.len()];
    for (target, p) in targets {
        let last = match target {
            Target::Unknown => usize::MAX,
            Target::Nothing => nothing,
            Target::Parts(a, b) => {
                let at = |part: &Part| place.get(part.0).copied().unwrap_or(usize::MAX);
                a.iter().chain(b).map(at).max().unwrap_or(usize::MAX)
            }
        };
        if let Some(right) = right.get_mut(last) {
            *right += p;
        }
    }
    shortest(costs, order, &right)
}

fn shortest(costs: &RepairCosts, mut order: Vec<Step>, right: &[f64]) -> RepairPlan {
    let (mut spent, mut left) = (0.0, 1.0);
    let mut best = (costs.escalate, 0, 1.0);
    for (at, (step, right)) in order.iter().zip(right).enumerate() {
        spent += left * costs.of(*step);
        left = f64::max(left - right, 0.0);
        let minutes = spent + left * costs.escalate;
        if minutes < best.0 {
            best = (minutes, at + 1, left);
        }
    }
    let (minutes, steps, escalated) = best;
    order.truncate(steps);
    RepairPlan { steps: order, minutes, escalated }
}

fn order<'c>(costs: &RepairCosts, targets: impl Iterator<Item = (Target<'c>, f64)>) -> Vec<Step> {
    let mut faulty = vec![0.0; costs.part.len()];
    let mut nothing = 0.0;
    let mut add = |part: &Part, p: f64| {
        if let Some(sum) = faulty.get_mut(part.0) {
            *sum += p;
        }
    };
    for (target, p) in targets {
        match target {
            Target::Unknown => {}
            Target::Nothing => nothing += p,
            Target::Parts(a, b) => {
                a.iter().for_each(|part| add(part, p));
                // A part that both faults share is replaced once.
                b.iter().filter(|part| !a.contains(part)).for_each(|part| add(part, p));
            }
        }
    }
    let parts = faulty.into_iter().enumerate().map(|(at, p)| (Step::Replace(Part(at)), p));
    let mut ratios: BTreeMap<Step, f64> = BTreeMap::new();
    ratios.extend(
        parts
            .chain([(Step::Nothing, nothing)])
            .filter(|(_, p)| *p > 0.0)
            .map(|(step, p)| (step, p / costs.of(step))),
    );
    let mut order: Vec<(Step, f64)> = ratios.into_iter().collect();
    order.sort_by(|(a, x), (b, y)| y.total_cmp(x).then_with(|| a.cmp(b)));
    order.into_iter().map(|(step, _)| step).collect()
}
