//! Interval arithmetic: what is possible of a result, given what is possible of its parts.
//!
//! A range is either exact at both ends or at neither. A quantity that occurs twice in a formula is
//! taken as two that may differ, which can make a range too wide and never too narrow; of single
//! values it makes no difference.

use truing_model::{Function, Law};

use super::real::{Real, known_ln, known_log10};
use super::{Known, Unknown};
use crate::law::law_over;

/// One end.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct End {
    pub at: Real,
    /// The end itself is impossible.
    pub open: bool,
}

/// All from `low` to `high`.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct Range {
    pub low: End,
    pub high: End,
    /// Both ends are exact, and so was all that they came of.
    exact: bool,
}

impl End {
    pub const fn closed(at: Real) -> Self {
        Self { at, open: false }
    }

    pub const fn open(at: Real) -> Self {
        Self { at, open: true }
    }

    fn map(self, of: impl Fn(Real) -> Real) -> Self {
        Self { at: of(self.at), open: self.open }
    }

    fn is_zero(self) -> bool {
        self.at.is_nought()
    }

    fn product(self, other: Self) -> Known<Self> {
        // Nought is reached where one factor can be nought itself.
        let open = match (self.is_zero(), other.is_zero()) {
            (true, true) => self.open && other.open,
            (true, false) => self.open,
            (false, true) => other.open,
            (false, false) => self.open || other.open,
        };
        Ok(Self { at: self.at.multiply(other.at)?, open })
    }

    /// Of two lower ends the one that lets more through, of two upper ends likewise.
    fn outermost(self, other: Self, outside: fn(Real, Real) -> bool) -> Self {
        if outside(self.at, other.at) {
            self
        } else if outside(other.at, self.at) {
            other
        } else if self.at.same(other.at) {
            Self { at: self.at, open: self.open && other.open }
        } else {
            End::closed(self.joined(other))
        }
    }

    /// Of two lower ends the one that lets less through, of two upper ends likewise.
    fn innermost(self, other: Self, outside: fn(Real, Real) -> bool) -> Self {
        if outside(self.at, other.at) {
            other
        } else if outside(other.at, self.at) {
            self
        } else if self.at.same(other.at) {
            Self { at: self.at, open: self.open || other.open }
        } else {
            End::closed(self.joined(other))
        }
    }

    /// Both, where it is not known which is the larger.
    fn joined(self, other: Self) -> Real {
        let ((a, b), (c, d)) = (self.at.enclosed(), other.at.enclosed());
        Real::Near(a.min(c), b.max(d))
    }
}

fn lower(a: Real, b: Real) -> bool {
    a.below(b)
}

fn higher(a: Real, b: Real) -> bool {
    b.below(a)
}

impl Range {
    pub fn whole() -> Self {
        Self::between(End::open(Real::MinusInfinity), End::open(Real::PlusInfinity))
    }

    pub fn point(at: Real) -> Self {
        Self::between(End::closed(at), End::closed(at))
    }

    /// Of ends that come of nothing else.
    pub fn between(low: End, high: End) -> Self {
        Self::new(low, high, true)
    }

    /// Both ends exact, or neither.
    fn new(low: End, high: End, from_exact: bool) -> Self {
        if from_exact && low.at.is_exact() && high.at.is_exact() {
            Self { low, high, exact: true }
        } else {
            let (low, high) = (low.map(Real::loosened), high.map(Real::loosened));
            Self { low, high, exact: false }
        }
    }

    /// The same with another lower end.
    pub fn from(self, low: End) -> Self {
        Self::new(low, self.high, self.exact)
    }

    /// The one value that it is, where that is known exactly.
    pub fn single(self) -> Option<Real> {
        (self.exact && self.is_single()).then_some(self.low.at)
    }

    /// The double nearest to the middle of its ends.
    pub fn nearest(self) -> f64 {
        match self.single() {
            Some(Real::Exact(exact)) => exact.to_f64(),
            _ => self.low.at.enclosed().0 / 2.0 + self.high.at.enclosed().1 / 2.0,
        }
    }

    /// Whether it is exactly nought.
    fn is_nought(self) -> bool {
        self.exact && self.is_single() && self.low.is_zero()
    }

    /// Whether every value here is at most every value there.
    pub fn at_most(self, other: Self) -> Known<bool> {
        if self.high.at.at_most(other.low.at) {
            return Ok(true);
        }
        let apart = other.high.at.below(self.low.at);
        // Of enclosed ends it is not known whether they touch or overlap.
        let touching = self.exact
            && other.exact
            && other.high.at.same(self.low.at)
            && (other.high.open || self.low.open);
        if apart || touching { Ok(false) } else { Err(Unknown::Undecided) }
    }

    /// Whether every value here is below every value there.
    pub fn below(self, other: Self) -> Known<bool> {
        other.at_most(self).map(|at_most| !at_most)
    }

    pub fn equal(self, other: Self) -> Known<bool> {
        match (self.at_most(other), other.at_most(self)) {
            (Ok(true), Ok(true)) => Ok(true),
            (Ok(false), _) | (_, Ok(false)) => Ok(false),
            _ => Err(Unknown::Undecided),
        }
    }

    /// Whether zero is possible, or cannot be ruled out.
    fn may_be_zero(self) -> bool {
        let not_reached = |end: End| self.exact && end.is_zero() && end.open;
        let surely_above = Real::ZERO.below(self.low.at) || not_reached(self.low);
        let surely_below = self.high.at.below(Real::ZERO) || not_reached(self.high);
        !surely_above && !surely_below
    }

    /// Whether it is surely above nought.
    pub fn is_above_zero(self) -> bool {
        Real::ZERO.below(self.low.at) || self.exact && self.low.is_zero() && self.low.open
    }

    /// Each end known only as an enclosure.
    fn loosened(self) -> Self {
        Self::new(self.low, self.high, false)
    }

    fn may_be_negative(self) -> bool {
        !Real::ZERO.at_most(self.low.at)
    }

    pub fn negate(self) -> Self {
        Self::new(self.high.map(Real::negate), self.low.map(Real::negate), self.exact)
    }

    /// Exact if everything about it is; else all of it in enclosures.
    fn exact_or(
        exactly: Known<Self>,
        from_exact: bool,
        enclosed: impl FnOnce() -> Known<Self>,
    ) -> Known<Self> {
        match exactly {
            Ok(range) if range.exact || !from_exact => Ok(range),
            Err(unknown) if !from_exact => Err(unknown),
            _ => enclosed(),
        }
    }

    pub fn add(self, other: Self) -> Known<Self> {
        Self::exact_or(self.sum(other), self.exact || other.exact, || {
            self.loosened().sum(other.loosened())
        })
    }

    fn sum(self, other: Self) -> Known<Self> {
        let end = |a: End, b: End| Ok(End { at: a.at.add(b.at)?, open: a.open || b.open });
        Ok(Self::new(
            end(self.low, other.low)?,
            end(self.high, other.high)?,
            self.exact && other.exact,
        ))
    }

    pub fn subtract(self, other: Self) -> Known<Self> {
        self.add(other.negate())
    }

    pub fn multiply(self, other: Self) -> Known<Self> {
        if self.is_nought() || other.is_nought() {
            return Ok(Self::point(Real::ZERO));
        }
        Self::exact_or(self.product(other), self.exact || other.exact, || {
            self.loosened().product(other.loosened())
        })
    }

    fn product(self, other: Self) -> Known<Self> {
        let corners = [
            self.low.product(other.low)?,
            self.low.product(other.high)?,
            self.high.product(other.low)?,
            self.high.product(other.high)?,
        ];
        let [first, rest @ ..] = corners;
        let low = rest.into_iter().fold(first, |low, corner| low.outermost(corner, lower));
        let high = rest.into_iter().fold(first, |high, corner| high.outermost(corner, higher));
        Ok(Self::new(low, high, self.exact && other.exact))
    }

    /// The quotient; by what may be zero it is no number.
    pub fn divide(self, other: Self) -> Known<Self> {
        if other.may_be_zero() {
            return Err(Unknown::Undecided);
        }
        if self.is_nought() {
            return Ok(self);
        }
        Self::exact_or(self.quotient(other), self.exact || other.exact, || {
            self.loosened().divide(other.loosened())
        })
    }

    fn quotient(self, other: Self) -> Known<Self> {
        if self.is_single() && other.is_single() {
            let quotient = End::closed(self.low.at.divide(other.low.at)?);
            return Ok(Self::new(quotient, quotient, self.exact && other.exact));
        }
        let over = |end: End, unbounded: Real| {
            Ok(match end.at {
                Real::MinusInfinity | Real::PlusInfinity => End::open(Real::ZERO),
                _ if end.is_zero() => End::open(unbounded),
                at => End { at: Real::ONE.divide(at)?, open: end.open },
            })
        };
        let reciprocal = Self::new(
            over(other.high, Real::MinusInfinity)?,
            over(other.low, Real::PlusInfinity)?,
            other.exact,
        );
        self.product(reciprocal)
    }

    /// Whether both ends are known as the same.
    pub fn is_single(self) -> bool {
        self.low == self.high
    }

    pub fn abs(self) -> Self {
        if !self.may_be_negative() {
            return self;
        }
        let mirrored = self.negate();
        if self.high.at.at_most(Real::ZERO) {
            return mirrored;
        }
        let farther = self.high.outermost(mirrored.high, higher);
        Self::new(End::closed(Real::ZERO), farther.map(Real::not_negative), self.exact)
    }

    pub fn power(self, exponent: i8) -> Known<Self> {
        if exponent < 0 && self.may_be_zero() {
            return Err(Unknown::Undecided);
        }
        Self::exact_or(self.raised(exponent), self.exact, || self.loosened().raised(exponent))
    }

    fn raised(self, exponent: i8) -> Known<Self> {
        let count = exponent.unsigned_abs();
        if count == 0 {
            let one = End::closed(Real::ONE);
            return Ok(Self::new(one, one, self.exact));
        }
        let base = if count.is_multiple_of(2) { self.abs() } else { self };
        let raise = |end: End| {
            let mut at = Real::ONE;
            for _ in 0..count {
                at = if at == Real::ONE { end.at } else { at.multiply(end.at)? };
            }
            Ok(End { at, open: end.open })
        };
        let raised = Self::new(raise(base.low)?, raise(base.high)?, self.exact);
        if exponent < 0 { Self::point(Real::ONE).divide(raised) } else { Ok(raised) }
    }

    pub fn apply(self, function: Function) -> Known<Self> {
        let none = match function {
            Function::Sqrt => self.may_be_negative(),
            Function::Ln | Function::Log10 => !self.is_above_zero(),
            Function::Abs | Function::Exp | Function::Round => false,
        };
        if none {
            return Err(Unknown::Undecided);
        }
        Self::exact_or(self.applied(function), self.exact, || self.loosened().applied(function))
    }

    fn applied(self, function: Function) -> Known<Self> {
        let each = |of: &dyn Fn(Real) -> Known<Real>| {
            let end = |end: End| Ok(End { at: of(end.at)?, open: end.open });
            Ok(Self::new(end(self.low)?, end(self.high)?, self.exact))
        };
        match function {
            Function::Abs => Ok(self.abs()),
            Function::Sqrt => each(&|at| Ok(at.sqrt())),
            Function::Exp => each(&Real::exp),
            Function::Ln => each(&|at| Ok(at.logarithm(libm::log, known_ln))),
            Function::Log10 => each(&|at| Ok(at.logarithm(libm::log10, known_log10))),
            Function::Round => {
                let end = |end: End| match end.at {
                    Real::MinusInfinity | Real::PlusInfinity => end,
                    at => End::closed(at.round()),
                };
                Ok(Self::new(end(self.low), end(self.high), self.exact))
            }
        }
    }

    /// Of what is known never to lie below nought, whatever rounding makes of its lower end.
    pub fn not_negative(self) -> Self {
        if self.may_be_negative() {
            let high = self.high.map(Real::not_negative);
            Self::new(End::closed(Real::ZERO), high, self.exact)
        } else {
            self
        }
    }

    /// A law that rises or falls all the way, by its ends.
    pub fn law(self, law: Law) -> Known<Self> {
        let (low, high) = (self.low.at.enclosed().0, self.high.at.enclosed().1);
        let (low, high) = law_over(law, low, high).ok_or(Unknown::Undecided)?;
        let end = |at: f64| End::closed(Real::Near(at, at));
        Ok(Self::new(end(low), end(high), false))
    }

    /// Of two ranges that are not both exact, each end is known only as an enclosure.
    fn together(self, other: Self) -> (Self, Self) {
        let both = self.exact && other.exact;
        let as_far = |range: Self| Self::new(range.low, range.high, both);
        (as_far(self), as_far(other))
    }

    pub fn least(self, other: Self) -> Self {
        let (a, b) = self.together(other);
        // The one that lies wholly below stays as exact as it is.
        if !a.exact && a.high.at.at_most(b.low.at) {
            return self;
        }
        if !a.exact && b.high.at.at_most(a.low.at) {
            return other;
        }
        Self::new(a.low.outermost(b.low, lower), a.high.innermost(b.high, higher), a.exact)
    }

    pub fn greatest(self, other: Self) -> Self {
        let (a, b) = self.together(other);
        if !a.exact && b.high.at.at_most(a.low.at) {
            return self;
        }
        if !a.exact && a.high.at.at_most(b.low.at) {
            return other;
        }
        Self::new(a.low.innermost(b.low, lower), a.high.outermost(b.high, higher), a.exact)
    }

    pub fn hull(self, other: Self) -> Self {
        let (a, b) = self.together(other);
        Self::new(a.low.outermost(b.low, lower), a.high.outermost(b.high, higher), a.exact)
    }
}
