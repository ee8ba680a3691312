//! One operation of a formula: what it gives, and its derivatives by what it is given.

use super::LOSS;

/// One operation; operands are registers.
#[derive(Copy, Clone, Debug)]
pub(super) enum Operation {
    Negate(u8),
    Add(u8, u8),
    Subtract(u8, u8),
    Multiply(u8, u8),
    Divide(u8, u8),
    Power(u8, i8),
    Least(u8, u8),
    Greatest(u8, u8),
    Abs(u8),
    Sqrt(u8),
    Exp(u8),
    Ln(u8),
    Log10(u8),
}

impl Operation {
    /// What it gives. `sound` falls where doubles cannot be trusted with it: in a delicate formula
    /// what loses nearly all of its terms, and a number that is not finite where that would not show
    /// in the result, since it is divided by or not followed.
    #[inline(always)]
    pub fn value<const DELICATE: bool>(&self, of: impl Fn(u8) -> f64, sound: &mut bool) -> f64 {
        match *self {
            Self::Negate(a) => -of(a),
            Self::Add(a, b) => {
                let sum = of(a) + of(b);
                *sound &= !DELICATE || sum.abs() > LOSS * of(a).abs();
                sum
            }
            Self::Subtract(a, b) => {
                let difference = of(a) - of(b);
                *sound &= !DELICATE || difference.abs() > LOSS * of(a).abs();
                difference
            }
            Self::Multiply(a, b) => of(a) * of(b),
            Self::Divide(a, b) => {
                *sound &= of(b).is_finite();
                of(a) / of(b)
            }
            Self::Power(a, exponent) => {
                *sound &= of(a).is_finite();
                power(of(a), exponent)
            }
            Self::Least(a, b) => {
                *sound &= (of(a) - of(b)).is_finite();
                if of(b) < of(a) { of(b) } else { of(a) }
            }
            Self::Greatest(a, b) => {
                *sound &= (of(a) - of(b)).is_finite();
                if of(b) > of(a) { of(b) } else { of(a) }
            }
            Self::Abs(a) => of(a).abs(),
            Self::Sqrt(a) => of(a).sqrt(),
            Self::Exp(a) => {
                *sound &= of(a).is_finite();
                libm::exp(of(a))
            }
            Self::Ln(a) => libm::log(of(a)),
            Self::Log10(a) => libm::log10(of(a)),
        }
    }

    /// The derivatives by its operands, from that by its register; nought by an operand that it has
    /// not, or does not follow.
    #[inline(always)]
    pub fn parts(&self, by: f64, register: u8, of: impl Fn(u8) -> f64) -> [f64; 2] {
        match *self {
            Self::Negate(_) => [-by, 0.0],
            Self::Add(..) => [by, by],
            Self::Subtract(..) => [by, -by],
            Self::Multiply(a, b) => [by * of(b), by * of(a)],
            Self::Divide(_, b) => {
                let part = by / of(b);
                [part, -part * of(register)]
            }
            Self::Power(a, exponent) => {
                let below = power(of(a), exponent.saturating_sub(1));
                [by * f64::from(exponent) * below, 0.0]
            }
            Self::Least(a, b) if is_beyond(-of(b), -of(a)) => [0.0, by],
            Self::Greatest(a, b) if is_beyond(of(b), of(a)) => [0.0, by],
            Self::Least(..) | Self::Greatest(..) => [by, 0.0],
            Self::Abs(a) => [if of(a) < 0.0 { -by } else { by }, 0.0],
            Self::Sqrt(_) => [by * 0.5 / of(register), 0.0],
            Self::Exp(_) => [by * of(register), 0.0],
            Self::Ln(a) => [by / of(a), 0.0],
            Self::Log10(a) => [by / (of(a) * std::f64::consts::LN_10), 0.0],
        }
    }

    /// The registers that it reads.
    pub const fn operands(self) -> [Option<u8>; 2] {
        match self {
            Self::Add(a, b)
            | Self::Subtract(a, b)
            | Self::Multiply(a, b)
            | Self::Divide(a, b)
            | Self::Least(a, b)
            | Self::Greatest(a, b) => [Some(a), Some(b)],
            Self::Negate(a)
            | Self::Power(a, _)
            | Self::Abs(a)
            | Self::Sqrt(a)
            | Self::Exp(a)
            | Self::Ln(a)
            | Self::Log10(a) => [Some(a), None],
        }
    }

    /// It divides, or has no value somewhere.
    pub const fn is_delicate(self) -> bool {
        match self {
            Self::Divide(..) | Self::Sqrt(_) | Self::Ln(_) | Self::Log10(_) => true,
            Self::Power(_, exponent) => exponent < 0,
            _ => false,
        }
    }

    /// Its derivatives do not change with those of its operands that do.
    pub fn is_straight(self, changes: impl Fn(u8) -> bool) -> bool {
        match self {
            Self::Negate(_) | Self::Add(..) | Self::Subtract(..) => true,
            Self::Multiply(a, b) => !(changes(a) && changes(b)),
            Self::Divide(_, b) => !changes(b),
            other => !other.operands().into_iter().flatten().any(changes),
        }
    }
}

/// Whether one of two numbers is the greater by more than rounding.
fn is_beyond(other: f64, foremost: f64) -> bool {
    other - foremost > 1e-12 * foremost.abs()
}

/// By multiplying, so that it comes out alike everywhere.
fn power(of: f64, exponent: i8) -> f64 {
    let raised = (0..exponent.unsigned_abs()).fold(1.0, |product, _| product * of);
    if exponent < 0 { 1.0 / raised } else { raised }
}
