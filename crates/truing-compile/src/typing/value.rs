//! Constants: exact as long as exact arithmetic reaches, a double beside it.

use truing_engine::sequence_unbalance;
use truing_model::{Fold, Function};
use truing_units::{Exact, Rational};

use super::Arithmetic;

/// A value in the coherent unit.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Value {
    pub value: f64,
    pub exact: Option<Exact>,
}

impl Value {
    pub(crate) fn exact(exact: Exact) -> Self {
        Self { value: exact.to_f64(), exact: Some(exact) }
    }

    pub(crate) fn integer(value: i64) -> Self {
        Self::exact(Exact::from(Rational::from_integer(value)))
    }

    pub(crate) const fn rounded(value: f64) -> Self {
        Self { value, exact: None }
    }

    /// The order of two values, exact where both are.
    pub(crate) fn compare(self, other: Self) -> std::cmp::Ordering {
        match (self.exact, other.exact) {
            (Some(left), Some(right)) => left.compare(right),
            _ => self.value.total_cmp(&other.value),
        }
    }

    pub(crate) fn is_zero(self) -> bool {
        self.value == 0.0
    }

    pub(crate) fn negated(self) -> Self {
        match self.exact.and_then(|exact| Exact::ZERO.checked_sub(exact)) {
            Some(exact) => Self::exact(exact),
            None => Self::rounded(-self.value),
        }
    }

    /// `None` only for a division by zero.
    pub(crate) fn combined(self, operation: Arithmetic, other: Self) -> Option<Self> {
        if operation == Arithmetic::Divide && other.is_zero() {
            return None;
        }
        let exact = match (self.exact, other.exact) {
            (Some(left), Some(right)) => match operation {
                Arithmetic::Add => left.checked_add(right),
                Arithmetic::Subtract => left.checked_sub(right),
                Arithmetic::Multiply => left.checked_mul(right),
                Arithmetic::Divide => left.checked_div(right),
            },
            _ => None,
        };
        if let Some(exact) = exact {
            return Some(Self::exact(exact));
        }
        let (left, right) = (self.value, other.value);
        Some(Self::rounded(match operation {
            Arithmetic::Add => left + right,
            Arithmetic::Subtract => left - right,
            Arithmetic::Multiply => left * right,
            Arithmetic::Divide => left / right,
        }))
    }

    /// `None` where nought is raised to a negative power.
    pub(crate) fn power(self, exponent: i8) -> Option<Self> {
        if self.is_zero() && exponent < 0 {
            return None;
        }
        match self.exact.and_then(|exact| exact.checked_powi(i32::from(exponent))) {
            Some(exact) => Some(Self::exact(exact)),
            None => Some(Self::rounded(self.value.powi(i32::from(exponent)))),
        }
    }

    /// `None` where the function has no value there.
    pub(crate) fn applied(self, function: Function) -> Option<Self> {
        let x = self.value;
        match function {
            Function::Abs => return Some(if x < 0.0 { self.negated() } else { self }),
            Function::Sqrt if x < 0.0 => return None,
            Function::Ln | Function::Log10 if x <= 0.0 => return None,
            _ => {}
        }
        let value = match function {
            Function::Sqrt => x.sqrt(),
            Function::Exp => x.exp(),
            Function::Ln => x.ln(),
            Function::Log10 => x.log10(),
            Function::Abs => x.abs(),
            Function::Round => x.round(),
        };
        value.is_finite().then(|| Self::rounded(value))
    }

    /// `None` where there are no values, or where the mean that is divided by is nought.
    pub(crate) fn folded(fold: Fold, values: &[Self]) -> Option<Self> {
        let first = *values.first()?;
        let least =
            || values.iter().copied().fold(first, |a, b| if b.compare(a).is_lt() { b } else { a });
        let most =
            || values.iter().copied().fold(first, |a, b| if b.compare(a).is_gt() { b } else { a });
        let sum = || {
            values
                .iter()
                .skip(1)
                .try_fold(first, |sum, value| sum.combined(Arithmetic::Add, *value))
        };
        let count = Self::integer(i64::try_from(values.len()).ok()?);
        match fold {
            Fold::Min => Some(least()),
            Fold::Max => Some(most()),
            Fold::Sum => sum(),
            Fold::Mean => sum()?.combined(Arithmetic::Divide, count),
            Fold::Spread => most().combined(Arithmetic::Subtract, least()),
            Fold::Count => Some(count),
            Fold::SequenceUnbalance => {
                let [a, b, c] = values else { return None };
                let line = [a.value, b.value, c.value];
                sequence_unbalance(line).ok().map(|(value, _)| Self::rounded(value))
            }
            Fold::Unbalance => {
                let mean = sum()?.combined(Arithmetic::Divide, count)?;
                let off = |value: Self| value.combined(Arithmetic::Subtract, mean);
                let low = off(least())?.applied(Function::Abs)?;
                let high = off(most())?.applied(Function::Abs)?;
                let largest = if low.compare(high).is_gt() { low } else { high };
                largest.combined(Arithmetic::Divide, mean)
            }
        }
    }
}
