//! A value with its derivatives by the readings that it comes of.
//!
//! Forward differentiation by dual numbers: each operation gives its value and, by the chain rule,
//! how fast that value changes with each reading. The derivatives are the sensitivity coefficients
//! of JCGM 100:2008, 5.1.3. Where an operation has a corner (`abs`, `min`, `max`) it follows the
//! branch that is taken at the readings; of equal members the first.

use std::collections::BTreeMap;

use truing_model::{Fold, Function, SlotId};

use super::{Known, Unknown};
use crate::law::sequence_unbalance;

/// A value and how fast it changes with each reading. A reading that it doesn't change with is not
/// in the map.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Dual {
    pub value: f64,
    gradient: BTreeMap<SlotId, f64>,
    /// It goes by something that changes endlessly fast: the root of nought. Where nothing more
    /// comes of that, it doesn't matter.
    endless: bool,
}

/// Of terms that cancel, what is left below so much of them is rounding.
const ROUNDING: f64 = 1e-12;

impl Dual {
    pub const fn constant(value: f64) -> Self {
        Self { value, gradient: BTreeMap::new(), endless: false }
    }

    pub fn reading(slot: SlotId, value: f64) -> Self {
        Self { value, gradient: BTreeMap::from([(slot, 1.0)]), endless: false }
    }

    /// The same slopes where the value is known better.
    pub fn at(self, value: f64) -> Self {
        Self { value, ..self }
    }

    /// How fast it changes with each reading; none where that is endless.
    pub fn slopes(&self) -> Known<&BTreeMap<SlotId, f64>> {
        if self.endless { Err(Unknown::Bent) } else { Ok(&self.gradient) }
    }

    /// The chain rule: the value of a function and its derivative by each of its parts.
    fn of<'d>(value: f64, parts: impl IntoIterator<Item = (f64, &'d Self)>) -> Known<Self> {
        let mut sums: BTreeMap<SlotId, (f64, f64)> = BTreeMap::new();
        let mut endless = false;
        for (outer, part) in parts {
            if outer == 0.0 {
                continue;
            }
            endless |= part.endless || !outer.is_finite();
            for (slot, inner) in &part.gradient {
                let (sum, size) = sums.entry(*slot).or_default();
                *sum += outer * inner;
                *size += (outer * inner).abs();
            }
        }
        if !value.is_finite() {
            return Err(Unknown::Undecided);
        }
        endless |= sums.values().any(|(sum, _)| !sum.is_finite());
        sums.retain(|_, (sum, size)| sum.abs() > ROUNDING * *size);
        let gradient = sums.into_iter().map(|(slot, (sum, _))| (slot, sum)).collect();
        Ok(Self { value, gradient, endless })
    }

    pub fn negate(&self) -> Known<Self> {
        Self::of(-self.value, [(-1.0, self)])
    }

    pub fn add(&self, other: &Self) -> Known<Self> {
        Self::of(self.value + other.value, [(1.0, self), (1.0, other)])
    }

    pub fn subtract(&self, other: &Self) -> Known<Self> {
        Self::of(self.value - other.value, [(1.0, self), (-1.0, other)])
    }

    pub fn multiply(&self, other: &Self) -> Known<Self> {
        Self::of(self.value * other.value, [(other.value, self), (self.value, other)])
    }

    pub fn divide(&self, other: &Self) -> Known<Self> {
        if other.value == 0.0 {
            return Err(Unknown::Undecided);
        }
        let quotient = self.value / other.value;
        Self::of(quotient, [(1.0 / other.value, self), (-quotient / other.value, other)])
    }

    pub fn power(&self, exponent: i8) -> Known<Self> {
        let exponent = i32::from(exponent);
        if exponent < 0 && self.value == 0.0 {
            return Err(Unknown::Undecided);
        }
        let slope = match exponent {
            0 => 0.0,
            _ => f64::from(exponent) * self.value.powi(exponent - 1),
        };
        Self::of(self.value.powi(exponent), [(slope, self)])
    }

    pub fn apply(&self, function: Function) -> Known<Self> {
        let x = self.value;
        let none = match function {
            Function::Sqrt => x < 0.0,
            Function::Ln | Function::Log10 => x <= 0.0,
            Function::Abs | Function::Exp | Function::Round => false,
        };
        if none {
            return Err(Unknown::Undecided);
        }
        match function {
            Function::Abs => Self::of(x.abs(), [(if x < 0.0 { -1.0 } else { 1.0 }, self)]),
            Function::Sqrt => Self::of(x.sqrt(), [(0.5 / x.sqrt(), self)]),
            Function::Exp => Self::of(libm::exp(x), [(libm::exp(x), self)]),
            Function::Ln => Self::of(libm::log(x), [(1.0 / x, self)]),
            Function::Log10 => {
                Self::of(libm::log10(x), [(1.0 / (x * std::f64::consts::LN_10), self)])
            }
            // A step has no slope that says anything about the next step.
            Function::Round if self.gradient.is_empty() && !self.endless => {
                Ok(Self::constant(x.round()))
            }
            Function::Round => Err(Unknown::Bent),
        }
    }

    pub fn fold(fold: Fold, members: &[Self]) -> Known<Self> {
        let count = Self::constant(members.len() as f64);
        match fold {
            Fold::Min => Self::least(members).cloned(),
            Fold::Max => Self::greatest(members).cloned(),
            Fold::Sum => Self::sum(members),
            Fold::Mean => Self::sum(members)?.divide(&count),
            Fold::Count => Ok(count),
            Fold::Spread => Self::greatest(members)?.subtract(Self::least(members)?),
            Fold::SequenceUnbalance => {
                let [a, b, c] = members else { return Err(Unknown::Undecided) };
                let of = sequence_unbalance([a.value, b.value, c.value]);
                let (value, slopes) = of.map_err(|_| Unknown::Bent)?;
                // In balance and of a flat triangle it has a point.
                let slopes = slopes.unwrap_or([f64::INFINITY; 3]);
                Self::of(value, slopes.into_iter().zip(members))
            }
            Fold::Unbalance => {
                let mean = Self::sum(members)?.divide(&count)?;
                let deviations: Known<Vec<Self>> = members
                    .iter()
                    .map(|member| member.subtract(&mean)?.apply(Function::Abs))
                    .collect();
                Self::greatest(&deviations?)?.divide(&mean)
            }
        }
    }

    fn sum(members: &[Self]) -> Known<Self> {
        let value = members.iter().map(|member| member.value).sum();
        Self::of(value, members.iter().map(|member| (1.0, member)))
    }

    fn least(members: &[Self]) -> Known<&Self> {
        members
            .iter()
            .reduce(|best, next| if beyond(-best.value, -next.value) { next } else { best })
            .ok_or(Unknown::Undecided)
    }

    fn greatest(members: &[Self]) -> Known<&Self> {
        members
            .iter()
            .reduce(|best, next| if beyond(best.value, next.value) { next } else { best })
            .ok_or(Unknown::Undecided)
    }

    /// R·(k + to)/(k + from), where k is given for kelvins.
    pub fn refer(&self, from: &Self, to: &Self, k: f64) -> Known<Self> {
        let k = Self::constant(k);
        self.multiply(&k.add(to)?.divide(&k.add(from)?)?)
    }

    /// A function of this alone whose value and slope are known there.
    pub fn along(&self, value: f64, slope: f64) -> Known<Self> {
        Self::of(value, [(slope, self)])
    }
}

/// Greater by more than rounding: 0.1 + 0.2 is not greater than 0.3.
fn beyond(best: f64, next: f64) -> bool {
    next - best > 1e-12 * best.abs()
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "what a test is made of may fail as the test may")]
mod tests {
    use super::*;

    fn pair() -> (Dual, Dual) {
        (Dual::reading(SlotId(0), 3.0), Dual::reading(SlotId(1), -4.0))
    }

    fn slopes(of: &Dual) -> Vec<(u32, f64)> {
        of.gradient.iter().map(|(slot, slope)| (slot.0, *slope)).collect()
    }

    #[test]
    fn what_cancels_has_no_gradient() {
        let (a, b) = pair();
        assert_eq!(a.subtract(&a), Ok(Dual::constant(0.0)));
        assert_eq!(slopes(&a.add(&b).unwrap().subtract(&b).unwrap()), [(0, 1.0)]);
        assert_eq!(slopes(&a.divide(&a).unwrap()), []);
        assert_eq!(slopes(&a.power(0).unwrap()), []);
    }

    /// Σ cᵢxᵢ is what a common relative error of all readings does to the value.
    #[test]
    fn a_ratio_loses_a_common_gain_and_a_product_doubles_it() {
        let (a, b) = (Dual::reading(SlotId(0), 5.0), Dual::reading(SlotId(1), 5.0));
        let gain = |of: &Dual| of.gradient.values().map(|slope| slope * 5.0).sum::<f64>();
        assert_eq!(gain(&a.divide(&b).unwrap()), 0.0);
        assert_eq!(gain(&a.multiply(&b).unwrap()), 2.0 * 25.0);
    }

    #[test]
    fn a_corner_follows_the_branch_that_is_taken() {
        let (a, b) = pair();
        assert_eq!(slopes(&b.apply(Function::Abs).unwrap()), [(1, -1.0)]);
        assert_eq!(slopes(&Dual::fold(Fold::Max, &[b.clone(), a.clone()]).unwrap()), [(0, 1.0)]);
        assert_eq!(
            slopes(&Dual::fold(Fold::Spread, &[b.clone(), a.clone()]).unwrap()),
            [(0, 1.0), (1, -1.0)]
        );
        let other = Dual::reading(SlotId(7), 3.0);
        assert_eq!(slopes(&Dual::fold(Fold::Min, &[a, other]).unwrap()), [(0, 1.0)]);
    }

    #[test]
    fn a_step_and_an_endless_slope_are_bent() {
        let (a, _) = pair();
        assert_eq!(a.apply(Function::Round), Err(Unknown::Bent));
        assert_eq!(
            Dual::constant(2.5).apply(Function::Round),
            Ok(Dual::constant(3.0)),
            "nothing can step over"
        );
        let root = Dual::reading(SlotId(0), 0.0).apply(Function::Sqrt).unwrap();
        assert_eq!(root.slopes(), Err(Unknown::Bent));
        let product = root.multiply(&Dual::constant(0.0)).unwrap();
        assert_eq!(product.slopes(), Ok(&BTreeMap::new()), "nothing comes of it");
    }

    #[test]
    fn what_has_no_value_says_so() {
        let (a, b) = pair();
        let nothing = Dual::constant(0.0);
        assert_eq!(a.divide(&nothing), Err(Unknown::Undecided));
        assert_eq!(nothing.power(-1), Err(Unknown::Undecided));
        assert_eq!(b.apply(Function::Sqrt), Err(Unknown::Undecided));
        assert_eq!(nothing.apply(Function::Ln), Err(Unknown::Undecided));
        assert_eq!(Dual::reading(SlotId(0), 1e4).apply(Function::Exp), Err(Unknown::Undecided));
    }
}
