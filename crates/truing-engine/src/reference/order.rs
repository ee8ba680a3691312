//! Whether it is certain which member a number follows.
//!
//! `max` of two readings that may stand in the other order has a corner where the readings are: a
//! straight line along one branch would say too little about the other. So too `abs` near nought.

use truing_model::{Fold, Function, NumberId, NumberNode, SlotId};

use super::errors::Errors;
use super::judge::Judge;
use super::range::Range;
use super::readings::{Doubt, Way};
use super::real::Real;
use super::{Known, Unknown};

impl Judge<'_> {
    /// Nothing, where a number goes along one branch whatever the errors are; else it is bent.
    pub fn follows_one_branch(&self, node: &NumberNode, way: Way) -> Known<()> {
        let certain = match node {
            NumberNode::Apply(Function::Abs, of) => self.keeps_its_sign(*of),
            NumberNode::Fold(fold, members) => self.keeps_its_order(*fold, members, way),
            _ => true,
        };
        if certain { Ok(()) } else { Err(Unknown::Bent) }
    }

    fn keeps_its_sign(&self, of: NumberId) -> bool {
        let nought = Range::point(Real::ZERO);
        self.number(of, Way::Possible(Doubt::Full)).is_ok_and(|possible| {
            nought.at_most(possible) == Ok(true) || possible.at_most(nought) == Ok(true)
        })
    }

    fn keeps_its_order(&self, fold: Fold, members: &[NumberId], way: Way) -> bool {
        let values: Known<Vec<f64>> =
            members.iter().map(|member| Ok(self.number(*member, way)?.nearest())).collect();
        let Ok(values) = values else { return false };
        let below: Vec<f64> = values.iter().map(|value| -value).collect();
        match fold {
            Fold::Mean | Fold::Sum | Fold::Count => true,
            Fold::Max => self.one_stands_out(members, &values),
            Fold::Min => self.one_stands_out(members, &below),
            Fold::Spread => {
                self.one_stands_out(members, &values) && self.one_stands_out(members, &below)
            }
            Fold::Unbalance => self.one_deviates_most(members, &values).is_some(),
        }
    }

    /// Whether the member with the greatest of these values stays apart from all others.
    fn one_stands_out(&self, members: &[NumberId], values: &[f64]) -> bool {
        let first = foremost(values);
        members.iter().zip(values).enumerate().all(|(place, (member, value))| {
            let Some((one, most)) =
                first.and_then(|first| Some((members.get(first)?, values.get(first)?)))
            else {
                return false;
            };
            first == Some(place) || self.are_apart(*one, *member, most - value)
        })
    }

    /// Whether two numbers keep their order: readings by what they don't share, others by all that
    /// is possible.
    fn are_apart(&self, one: NumberId, other: NumberId, distance: f64) -> bool {
        if let (Some(a), Some(b)) = (self.slot_read(one), self.slot_read(other)) {
            return distance > self.errors(a).0.apart_from(&self.errors(b).0);
        }
        let possible = |of: NumberId| self.number(of, Way::Possible(Doubt::Full));
        match (possible(one), possible(other)) {
            (Ok(a), Ok(b)) => a.at_most(b) == Ok(false) || b.at_most(a) == Ok(false),
            _ => false,
        }
    }

    /// Whether the same reading deviates most from the mean whatever their own errors are: these
    /// move the deviation by themselves, and all of them through the mean.
    fn one_deviates_most(&self, members: &[NumberId], values: &[f64]) -> Option<()> {
        let count = members.len() as f64;
        let mean = values.iter().map(|value| value / count).sum::<f64>();
        let deviations: Vec<f64> = values.iter().map(|value| (value - mean).abs()).collect();
        let own: Option<Vec<f64>> = members
            .iter()
            .map(|member| Some(self.errors(self.slot_read(*member)?).0.own_reach()))
            .collect();
        let own = own?;
        let all: f64 = own.iter().sum();
        let first = foremost(&deviations)?;
        let (most, of_most) = (deviations.get(first)?, own.get(first)?);
        let apart = deviations.iter().zip(&own).enumerate().all(|(place, (deviation, own))| {
            place == first || (most - deviation).abs() > of_most + own + 2.0 * all / count
        });
        apart.then_some(())
    }

    fn slot_read(&self, number: NumberId) -> Option<SlotId> {
        match self.spec.numbers.get(number.0 as usize) {
            Some(NumberNode::Slot(slot)) => Some(*slot),
            _ => None,
        }
    }
}

/// The place of the greatest, of equal ones the first; rounding makes no difference.
fn foremost(values: &[f64]) -> Option<usize> {
    let places = values.iter().enumerate();
    let first = places.reduce(
        |best, next| {
            if next.1 - best.1 > 1e-12 * best.1.abs() { next } else { best }
        },
    );
    first.map(|(place, _)| place)
}

impl Errors {
    /// How far what is the reading's own reaches.
    pub fn own_reach(&self) -> f64 {
        if self.correlated {
            return self.reach();
        }
        Self { accuracy: None, zero: None, leads: None, ..self.clone() }.reach()
    }

    /// How far two readings have to lie apart for their true values surely to stand in the same
    /// order. One limit of error moves both alike.
    pub fn apart_from(&self, other: &Self) -> f64 {
        let shared = |of: &Self| of.accuracy.clone().filter(|_| !of.correlated);
        let accuracy = |of: &Self| {
            shared(of).map_or(0.0, |(_, gain, offset)| f64::abs(gain) + f64::abs(offset))
        };
        let own = self.own_reach() + other.own_reach();
        match (shared(self), shared(other)) {
            (Some((a, ..)), Some((b, ..))) if a == b => own,
            _ => own + accuracy(self) + accuracy(other),
        }
    }
}
