//! Whether it is certain which member a number follows.
//!
//! `max` of two readings that may stand in the other order has a corner where the readings are: a
//! straight line along one branch would say too little about the other. So too `abs` near nought.

use truing_metrology::uncertainty::{Component, Shape};
use truing_model::{Fold, Function};

use super::dual::Dual;
use super::judge::Judge;
use super::{Known, Unknown};

impl Judge<'_> {
    /// A function of one number; `abs` where that keeps its sign.
    pub fn applied(&self, function: Function, of: &Dual) -> Known<Dual> {
        if function == Function::Abs {
            self.is_certain(of)?;
        }
        of.apply(function)
    }

    /// A function of several, where it is certain which of them it follows.
    pub fn folded(&self, fold: Fold, members: &[Dual]) -> Known<Dual> {
        let (least, greatest) = (|of: &Dual| -of.value, |of: &Dual| of.value);
        match fold {
            Fold::Mean | Fold::Sum | Fold::Count => {}
            Fold::Min => self.stands_out(members, least)?,
            Fold::Max => self.stands_out(members, greatest)?,
            Fold::Spread => {
                self.stands_out(members, least)?;
                self.stands_out(members, greatest)?;
            }
            Fold::Unbalance => self.deviates_most(members)?,
            Fold::SequenceUnbalance => {
                let unbalance = Dual::fold(fold, members)?;
                unbalance.slopes()?;
                self.is_certain(&unbalance)?;
                self.is_certain(&Dual::constant(1.0).subtract(&unbalance)?)?;
            }
        }
        Dual::fold(fold, members)
    }

    fn stands_out(&self, members: &[Dual], by: fn(&Dual) -> f64) -> Known<()> {
        let first = foremost(members, by)?;
        members.iter().try_for_each(|member| self.is_certain(&first.subtract(member)?))
    }

    /// Whether the same member deviates most from the mean of all, to the same side.
    fn deviates_most(&self, members: &[Dual]) -> Known<()> {
        let mean = Dual::fold(Fold::Mean, members)?;
        let deviations: Known<Vec<Dual>> =
            members.iter().map(|member| member.subtract(&mean)).collect();
        let deviations = deviations?;
        let most = foremost(&deviations, |of| of.value.abs())?;
        self.is_certain(most)?;
        let most = most.apply(Function::Abs)?;
        deviations.iter().try_for_each(|deviation| {
            self.is_certain(&most.subtract(&deviation.apply(Function::Abs)?)?)
        })
    }

    /// Nothing, where a number lies farther from nought than its errors reach, or has none: the sum
    /// of their half-widths, where those without ends count with three standard uncertainties.
    fn is_certain(&self, of: &Dual) -> Known<()> {
        let mut reach = 0.0;
        for part in self.parts(of)? {
            reach += match part.map_err(|_| Unknown::Bent)? {
                part if part.shape() == Shape::Rectangular => part.scale(),
                part => 3.0 * Component::standard_uncertainty(&part),
            };
        }
        // A distance that is the reach but for rounding is not beyond it: 0.22 − 0.21 is not 0.01.
        let beyond = of.value.abs() > reach * (1.0 + 1e-9);
        if reach == 0.0 || beyond { Ok(()) } else { Err(Unknown::Bent) }
    }
}

/// The first of the members for which something is greatest.
fn foremost(members: &[Dual], by: impl Fn(&Dual) -> f64) -> Known<&Dual> {
    let beyond = |best: f64, next: f64| next - best > 1e-12 * best.abs();
    let first =
        members.iter().reduce(|best, next| if beyond(by(best), by(next)) { next } else { best });
    first.ok_or(Unknown::Undecided)
}
