//! Whether it is certain which branch a number follows: which member is the greatest, which sign
//! something has. A straight line along one branch would say too little of the other.

use truing_metrology::uncertainty::Shape;
use truing_model::Fold;

use crate::arithmetic::{Arithmetic, Known, Lack, Order};
use crate::enclosure::Fixed;
use crate::errors::{Elementary, Scratch};
use crate::program::Root;
use crate::run::Runner;

impl<A: Arithmetic> Runner<'_, A> {
    /// Whether it is certain which member a fold follows: none comes as near to it as the errors of
    /// their difference reach.
    pub fn order_is_certain(&mut self, fold: Fold, members: &[u32], root: Root) -> Known<()> {
        let (least, greatest) = (|value: f64| -value, |value: f64| value);
        let certain = match fold {
            Fold::Mean | Fold::Sum | Fold::Count => Some(true),
            Fold::Min => self.stands_out(members, least, root),
            Fold::Max => self.stands_out(members, greatest, root),
            Fold::Spread => self
                .stands_out(members, least, root)
                .zip(self.stands_out(members, greatest, root))
                .map(|(least, greatest)| least && greatest),
            Fold::Unbalance => self.deviates_most(members, root),
            Fold::SequenceUnbalance => self.is_off_balance(members, root),
        };
        if certain == Some(true) { Ok(()) } else { Err(Lack::Rough) }
    }

    /// Whether a number keeps its sign as far as its errors reach.
    pub fn sign_is_certain(&mut self, number: u32, root: Root) -> Known<()> {
        let value = self.at(number).ok_or(Lack::Rough)?;
        let seed = |scratch: &mut Scratch| scratch.seed(number, 1.0);
        let certain = self.is_beyond(value, root, seed);
        if certain == Some(true) { Ok(()) } else { Err(Lack::Rough) }
    }

    /// Whether a root is surely taken of more than nought, where it would rise straight up.
    pub fn is_above_nought(&self, number: A::Number) -> Known<()> {
        match A::at_most(number, A::fixed(&Fixed::new(0.0, None))) {
            Order::No => Ok(()),
            Order::Unclear => Err(Lack::Unclear),
            Order::Yes | Order::Depends => Err(Lack::Rough),
        }
    }

    /// Whether three voltages are surely out of balance, and their triangle surely not flat: at
    /// either the unbalance has a point, and no slope.
    fn is_off_balance(&mut self, members: &[u32], root: Root) -> Option<bool> {
        let (value, slopes) = self.sequence_slopes(members)?;
        let seed = |scratch: &mut Scratch| {
            members.iter().zip(slopes).for_each(|(member, slope)| scratch.seed(*member, slope));
        };
        Some(self.is_beyond(value, root, seed)? && self.is_beyond(1.0 - value, root, seed)?)
    }

    fn stands_out(&mut self, members: &[u32], of: fn(f64) -> f64, root: Root) -> Option<bool> {
        let foremost = self.foremost(members, of)?;
        for member in members {
            let distance = self.at(foremost)? - self.at(*member)?;
            let seed = |scratch: &mut Scratch| {
                scratch.seed(foremost, 1.0);
                scratch.seed(*member, -1.0);
            };
            if !self.is_beyond(distance, root, seed)? {
                return Some(false);
            }
        }
        Some(true)
    }

    /// Whether it is certain which member deviates most from the mean of all, and to which side.
    fn deviates_most(&mut self, members: &[u32], root: Root) -> Option<bool> {
        let count = members.len() as f64;
        let mut mean = 0.0;
        for member in members {
            mean += self.at(*member)? / count;
        }
        let most = self.foremost(members, |value| (value - mean).abs())?;
        let deviation = self.at(most)? - mean;
        let side = |deviation: f64| if deviation < 0.0 { -1.0 } else { 1.0 };
        let by_itself = |scratch: &mut Scratch| {
            scratch.seed(most, 1.0);
            members.iter().for_each(|member| scratch.seed(*member, -1.0 / count));
        };
        if !self.is_beyond(deviation, root, by_itself)? {
            return Some(false);
        }
        for member in members {
            let other = self.at(*member)? - mean;
            let (here, there) = (side(deviation), side(other));
            let seed = |scratch: &mut Scratch| {
                scratch.seed(most, here);
                scratch.seed(*member, -there);
                members.iter().for_each(|all| scratch.seed(*all, (there - here) / count));
            };
            if !self.is_beyond(deviation.abs() - other.abs(), root, seed)? {
                return Some(false);
            }
        }
        Some(true)
    }

    /// Whether a value lies farther from nought than its errors reach: the sum of their half-widths,
    /// where those without ends count with three standard uncertainties. Without errors it is where
    /// it is.
    fn is_beyond(
        &mut self,
        value: f64,
        root: Root,
        seed: impl FnOnce(&mut Scratch),
    ) -> Option<bool> {
        self.errors_of_seeds(root.steps, root.slots, seed)?;
        let reach = |error: &Elementary| match error.shape {
            Shape::Rectangular => 3.0_f64.sqrt() * error.contribution,
            _ => 3.0 * error.contribution,
        };
        let reach: f64 = self.scratch.errors.iter().map(reach).sum();
        // A distance that is the reach but for rounding is not beyond it.
        Some(self.scratch.errors.is_empty() || value.abs() > reach * (1.0 + 1e-9))
    }
}
