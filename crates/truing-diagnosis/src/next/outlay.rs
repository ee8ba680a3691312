//! What repairs are expected to cost after a check that might be made, for many checks.
//!
//! The same figure as [`plan`](crate::repair_order::plan) gives for the belief after each band, got
//! without working that belief out: cures that no suspect of the check belongs to keep their shares,
//! and a plan is followed only for as long as more steps may make it cheaper.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::belief::{Belief, Forecast, Scratch};
use super::suspects::{Suspects, Touched};
use crate::MAX_BANDS;
use crate::cure::Membership;
use crate::index::Part;
use crate::network::RepairCosts;
use crate::repair_order::Step;
use crate::spread::Bands;

pub(crate) struct Outlay<'a, 'n> {
    suspects: &'a Suspects<'n>,
    belief: &'a Belief,
    costs: &'a RepairCosts,
    /// By part: the probability that it has to be replaced.
    faulty: Vec<f64>,
    /// By part: how far its joint chance with each band lies off that of an untouched one.
    shift: Vec<Bands>,
    replaced: Vec<bool>,
    heap: Vec<Ranked>,
}

/// A step by probability over cost; the earlier step is the greater of equals.
struct Ranked {
    ratio: f64,
    step: Step,
}

impl Ord for Ranked {
    fn cmp(&self, other: &Self) -> Ordering {
        self.ratio.total_cmp(&other.ratio).then_with(|| other.step.cmp(&self.step))
    }
}

impl PartialOrd for Ranked {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Ranked {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Ranked {}

impl<'a, 'n> Outlay<'a, 'n> {
    /// `None` where costs aren't known.
    pub fn of(suspects: &'a Suspects<'n>, belief: &'a Belief) -> Option<Self> {
        let costs = suspects.network.costs()?;
        let sum = |cures: &Vec<Membership>| {
            cures.iter().filter_map(|member| belief.cure.get(member.cure as usize)).sum()
        };
        let faulty: Vec<f64> = suspects.cures.with_part.iter().map(sum).collect();
        let parts = faulty.len();
        Some(Self {
            suspects,
            belief,
            costs,
            faulty,
            shift: vec![[0.0; MAX_BANDS]; parts],
            replaced: vec![false; parts],
            heap: Vec::new(),
        })
    }

    /// Expected cost of repairs with nothing more measured.
    pub fn now(&mut self) -> f64 {
        self.in_band(0, 1.0, 1.0, &Scratch::default())
    }

    /// Expected cost of repairs once a check is made: the sum over its bands of
    /// `P(band) ECR(after it)`.
    pub fn after(
        &mut self,
        touched: &Touched<'_>,
        forecast: &Forecast,
        scratch: &mut Scratch,
    ) -> f64 {
        scratch.collect(self.belief, self.suspects, touched);
        let parts = &mut self.shift;
        let mut add = |part: usize, by: &Bands| {
            if let Some(sum) = parts.get_mut(part) {
                sum.iter_mut().zip(by).for_each(|(sum, by)| *sum += by);
            }
        };
        for (number, shift) in scratch.touched() {
            let brief = self.suspects.cures.brief(number);
            if let Some(part) = brief.first {
                add(part as usize, shift);
            }
            if let Some(part) = brief.second {
                add(part as usize, shift);
            }
            if brief.more {
                let rest = self.suspects.cures.parts(number).iter().skip(2);
                rest.for_each(|part| add(part.0, shift));
            }
        }
        let mut sum = 0.0;
        let bands = forecast.chance.iter().zip(&touched.none.chance).take(touched.row.bands);
        for (band, (chance, untouched)) in bands.enumerate() {
            sum += self.in_band(band, *chance, *untouched, scratch);
        }
        scratch.clear();
        self.shift.iter_mut().for_each(|shift| *shift = [0.0; MAX_BANDS]);
        sum
    }

    /// `P(band) ECR`: all weights here are joint with the band.
    fn in_band(&mut self, band: usize, chance: f64, untouched: f64, scratch: &Scratch) -> f64 {
        let nothing = self.belief.ends().0 * untouched;
        let mut heap = std::mem::take(&mut self.heap);
        heap.clear();
        let mut push = |step: Step, weight: f64| {
            if weight > 0.0 {
                heap.push(Ranked { ratio: weight / self.costs.of(step), step });
            }
        };
        push(Step::Nothing, nothing);
        for (part, (faulty, shift)) in self.faulty.iter().zip(&self.shift).enumerate() {
            let off = shift.get(band).copied().unwrap_or(0.0);
            push(Step::Replace(Part(part)), faulty * untouched + off);
        }
        let mut heap = BinaryHeap::from(heap);
        let (mut spent, mut left) = (0.0, chance);
        let mut best = left * self.costs.escalate;
        // What is spent only grows: beyond the best so far, no further step helps.
        while spent < best {
            let Some(Ranked { step, .. }) = heap.pop() else { break };
            spent += left * self.costs.of(step);
            let right = match step {
                Step::Nothing => nothing,
                Step::Replace(part) => self.completed(part, band, untouched, scratch),
            };
            left = f64::max(left - right, 0.0);
            best = f64::min(best, spent + left * self.costs.escalate);
        }
        self.heap = heap.into_vec();
        self.replaced.iter_mut().for_each(|replaced| *replaced = false);
        best
    }

    /// The joint weight of the cures that are complete with this part.
    fn completed(&mut self, part: Part, band: usize, untouched: f64, scratch: &Scratch) -> f64 {
        if let Some(replaced) = self.replaced.get_mut(part.0) {
            *replaced = true;
        }
        let is_replaced = |part: usize| self.replaced.get(part).copied().unwrap_or(false);
        let cures = &self.suspects.cures;
        let mut sum = 0.0;
        for member in cures.with_part.get(part.0).into_iter().flatten() {
            if !is_replaced(member.beside as usize) {
                continue;
            }
            if cures.parts(member.cure).iter().all(|part| is_replaced(part.0)) {
                let p = self.belief.cure.get(member.cure as usize).copied().unwrap_or(0.0);
                let off = scratch.shift(member.cure).and_then(|shift| shift.get(band));
                sum += p * untouched + off.copied().unwrap_or(0.0);
            }
        }
        sum
    }
}
