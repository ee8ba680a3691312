//! One end of what is known of a quantity: exact where exact arithmetic reaches, else enclosed.

use std::cmp::Ordering;

use truing_units::{Exact, Rational};

use super::Unknown;

/// A real number, as well as it is known.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) enum Real {
    MinusInfinity,
    Exact(Exact),
    /// It lies between these.
    Near(f64, f64),
    PlusInfinity,
}

impl Real {
    pub const ZERO: Self = Self::Exact(Exact::ZERO);
    pub const ONE: Self = Self::Exact(Exact::ONE);

    /// A figure with its exact form; without one, the double is what is meant.
    pub fn figure(value: f64, exact: Option<Exact>) -> Self {
        match exact.or_else(|| fraction_of(value)) {
            Some(exact) => Self::Exact(exact),
            None => Self::Near(value, value),
        }
    }

    pub fn whole(count: usize) -> Self {
        let exact = i128::try_from(count).ok().and_then(|count| Rational::new(count, 1));
        Self::figure(count as f64, exact.map(Exact::from))
    }

    /// Doubles that enclose it.
    pub fn enclosed(self) -> (f64, f64) {
        match self {
            Self::MinusInfinity => (f64::NEG_INFINITY, f64::NEG_INFINITY),
            Self::PlusInfinity => (f64::INFINITY, f64::INFINITY),
            Self::Near(lo, hi) => (lo, hi),
            Self::Exact(exact) => {
                let value = exact.to_f64();
                let is_double = fraction_of(value) == Some(exact);
                match (is_double, exact.pi()) {
                    (true, _) => (value, value),
                    (false, 0) => (value.next_down(), value.next_up()),
                    // With a power of pi the double is within two units of the last place, and
                    // about one more for each further power.
                    (false, powers) => (0..2 + 2 * powers.unsigned_abs())
                        .fold((value, value), |(lo, hi), _| (lo.next_down(), hi.next_up())),
                }
            }
        }
    }

    /// Whether it is zero and nothing else.
    pub fn is_nought(self) -> bool {
        self.enclosed() == (0.0, 0.0)
    }

    pub fn is_exact(self) -> bool {
        !matches!(self, Self::Near(..))
    }

    /// The same, enclosed.
    pub fn loosened(self) -> Self {
        match self {
            Self::Exact(_) => {
                let (lo, hi) = self.enclosed();
                Self::Near(lo, hi)
            }
            other => other,
        }
    }

    pub fn is_finite(self) -> bool {
        matches!(self, Self::Exact(_) | Self::Near(..))
    }

    /// Whether it is surely below another.
    pub fn below(self, other: Self) -> bool {
        match (self, other) {
            (Self::Exact(a), Self::Exact(b)) => a.compare(b) == Ordering::Less,
            _ => self.enclosed().1 < other.enclosed().0,
        }
    }

    /// Whether it is surely at most another.
    pub fn at_most(self, other: Self) -> bool {
        match (self, other) {
            (Self::Exact(a), Self::Exact(b)) => a.compare(b) != Ordering::Greater,
            _ => self.enclosed().1 <= other.enclosed().0,
        }
    }

    /// Whether it is surely the same as another.
    pub fn same(self, other: Self) -> bool {
        self.at_most(other) && other.at_most(self)
    }

    pub fn negate(self) -> Self {
        match self {
            Self::MinusInfinity => Self::PlusInfinity,
            Self::PlusInfinity => Self::MinusInfinity,
            Self::Near(lo, hi) => Self::Near(-hi, -lo),
            Self::Exact(exact) => match Exact::ZERO.checked_sub(exact) {
                Some(negated) => Self::Exact(negated),
                None => self.loosened().negate(),
            },
        }
    }

    /// Of what is known never to lie below nought.
    pub fn not_negative(self) -> Self {
        match self {
            Self::Near(lo, hi) => Self::Near(lo.max(0.0), hi.max(0.0)),
            other => other,
        }
    }

    pub fn add(self, other: Self) -> Result<Self, Unknown> {
        if let (Self::Exact(a), Self::Exact(b)) = (self, other)
            && let Some(sum) = a.checked_add(b)
        {
            return Ok(Self::Exact(sum));
        }
        if !(self.is_finite() && other.is_finite()) {
            // Ends of one side never meet the infinity of the other.
            return Ok(if self.is_finite() { other } else { self });
        }
        let ((a, b), (c, d)) = (self.enclosed(), other.enclosed());
        near(a + c, b + d)
    }

    pub fn multiply(self, other: Self) -> Result<Self, Unknown> {
        if self.is_nought() || other.is_nought() {
            return Ok(Self::ZERO);
        }
        if let (Self::Exact(a), Self::Exact(b)) = (self, other)
            && let Some(product) = a.checked_mul(b)
        {
            return Ok(Self::Exact(product));
        }
        if !(self.is_finite() && other.is_finite()) {
            let negative = self.enclosed().0 < 0.0;
            let positive = other.enclosed().0 < 0.0;
            return Ok(if negative == positive { Self::PlusInfinity } else { Self::MinusInfinity });
        }
        let ((a, b), (c, d)) = (self.enclosed(), other.enclosed());
        outermost([(a, c), (a, d), (b, c), (b, d)].map(|(x, y)| {
            let product = x * y;
            match near(product, product) {
                _ if x == 0.0 || y == 0.0 => Ok(Self::Near(0.0, 0.0)),
                // A product that is too small for a double keeps its sign.
                Ok(of) if (x < 0.0) == (y < 0.0) => Ok(of.not_negative()),
                of => of,
            }
        }))
    }

    /// The quotient by what is not zero and finite.
    pub fn divide(self, other: Self) -> Result<Self, Unknown> {
        if let (Self::Exact(a), Self::Exact(b)) = (self, other)
            && let Some(quotient) = a.checked_div(b)
        {
            return Ok(Self::Exact(quotient));
        }
        let ((a, b), (c, d)) = (self.enclosed(), other.enclosed());
        if c <= 0.0 && d >= 0.0 {
            return Err(Unknown::Undecided);
        }
        if self.is_nought() {
            return Ok(self);
        }
        outermost([(a, c), (a, d), (b, c), (b, d)].map(|(x, y)| {
            let quotient = x / y;
            if x == 0.0 { Ok(Self::Near(0.0, 0.0)) } else { near(quotient, quotient) }
        }))
    }

    /// The square root of what is not negative.
    pub fn sqrt(self) -> Self {
        if let Self::Exact(exact) = self
            && exact.pi() % 2 == 0
        {
            let root = |part: i128| {
                part.checked_isqrt().filter(|root| root.checked_mul(*root) == Some(part))
            };
            let ratio = exact.ratio();
            if let (Some(numer), Some(denom)) = (root(ratio.numer()), root(ratio.denom()))
                && let Some(root) = Rational::new(numer, denom)
            {
                return Self::Exact(Exact::new(root, exact.pi() / 2));
            }
        }
        match self {
            Self::PlusInfinity => self,
            _ => {
                let (lo, hi) = self.enclosed();
                let up = |root: f64| if root == 0.0 { root } else { root.next_up() };
                Self::Near(lo.max(0.0).sqrt().next_down().max(0.0), up(hi.sqrt()))
            }
        }
    }

    pub fn exp(self) -> Result<Self, Unknown> {
        match self {
            Self::MinusInfinity => Ok(Self::ZERO),
            Self::PlusInfinity => Ok(Self::PlusInfinity),
            _ if self == Self::ZERO => Ok(Self::ONE),
            _ => {
                let (lo, hi) = self.enclosed();
                let (lo, hi) = (libm::exp(lo), libm::exp(hi));
                if !hi.is_finite() {
                    return Err(Unknown::Undecided);
                }
                Ok(Self::Near(lo.next_down().next_down().max(0.0), hi.next_up().next_up()))
            }
        }
    }

    /// A logarithm of what is above zero; `known` gives it where it is exact.
    pub fn logarithm(self, of: fn(f64) -> f64, known: fn(Exact) -> Option<Exact>) -> Self {
        match self {
            Self::PlusInfinity => self,
            // The logarithm of an end that is nought, but not reached, is unbounded.
            _ if self.is_nought() => Self::MinusInfinity,
            _ => {
                if let Self::Exact(exact) = self
                    && let Some(known) = known(exact)
                {
                    return Self::Exact(known);
                }
                let (lo, hi) = self.enclosed();
                Self::Near(of(lo).next_down().next_down(), of(hi).next_up().next_up())
            }
        }
    }

    pub fn round(self) -> Self {
        match self {
            Self::Exact(exact) if exact.pi() == 0 => {
                let (numer, denom) = (exact.ratio().numer(), exact.ratio().denom());
                let rest = (numer % denom).abs();
                let step = if rest >= denom - rest { numer.signum() } else { 0 };
                match Rational::new(numer / denom + step, 1) {
                    Some(whole) => Self::Exact(Exact::from(whole)),
                    None => self.loosened().round(),
                }
            }
            Self::MinusInfinity | Self::PlusInfinity => self,
            _ => {
                let (lo, hi) = self.enclosed();
                Self::Near(lo.round(), hi.round())
            }
        }
    }
}

/// The fraction that a double is.
fn fraction_of(value: f64) -> Option<Exact> {
    // Doubling until nothing is left behind the point; a double of everyday size takes few steps.
    let mut scaled = value;
    let mut denom: i128 = 1;
    while scaled.fract() != 0.0 {
        scaled *= 2.0;
        denom = denom.checked_mul(2)?;
    }
    const WHOLE_IN_I128: f64 = 1e38;
    if scaled.abs() > WHOLE_IN_I128 || scaled.is_nan() {
        return None;
    }
    Rational::new(scaled as i128, denom).map(Exact::from)
}

/// The outermost of what four corners come to. Nought is nought, without rounding.
fn outermost(corners: [Result<Real, Unknown>; 4]) -> Result<Real, Unknown> {
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for corner in corners {
        let (lo, hi) = corner?.enclosed();
        (low, high) = (low.min(lo), high.max(hi));
    }
    Ok(Real::Near(low, high))
}

/// Rounded outward.
fn near(lo: f64, hi: f64) -> Result<Real, Unknown> {
    if lo.is_finite() && hi.is_finite() {
        Ok(Real::Near(lo.next_down(), hi.next_up()))
    } else {
        Err(Unknown::Undecided)
    }
}

/// The common logarithm of a whole power of ten.
pub(super) fn known_log10(value: Exact) -> Option<Exact> {
    let power = |part: i128| (0_u32..39).find(|power| 10_i128.checked_pow(*power) == Some(part));
    if value.pi() != 0 {
        return None;
    }
    let exponent = match (value.ratio().numer(), value.ratio().denom()) {
        (numer, 1) => i64::from(power(numer)?),
        (1, denom) => -i64::from(power(denom)?),
        _ => return None,
    };
    Some(Exact::from(Rational::from_integer(exponent)))
}

/// The natural logarithm of one.
pub(super) fn known_ln(value: Exact) -> Option<Exact> {
    (value == Exact::ONE).then_some(Exact::ZERO)
}
