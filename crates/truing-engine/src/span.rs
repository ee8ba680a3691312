//! Intervals with exact ends: where a value touches a limit, these decide.
//!
//! An operation gives `None` where its exact result does not exist (a logarithm) or does not fit
//! in 128-bit parts. Nothing here allocates.

use std::cmp::Ordering;

use truing_units::{Exact, Rational};

/// One end.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Mark {
    pub at: Exact,
    /// Whether the end itself is impossible.
    pub open: bool,
}

/// What is possible, from one end to the other; an end that is `None` is unbounded.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(crate) struct Span {
    pub low: Option<Mark>,
    pub high: Option<Mark>,
}

/// A corner of a product: one end of one factor times one of the other.
#[derive(Copy, Clone)]
enum Corner {
    MinusInfinity,
    At(Mark),
    PlusInfinity,
}

impl Mark {
    pub const fn closed(at: Exact) -> Self {
        Self { at, open: false }
    }

    fn sign(self) -> i128 {
        self.at.ratio().numer().signum()
    }

    fn negate(self) -> Option<Self> {
        Some(Self { at: Exact::ZERO.checked_sub(self.at)?, open: self.open })
    }
}

/// Order of lower ends: an open one begins just above a closed one.
fn by_low(a: Mark, b: Mark) -> Ordering {
    a.at.compare(b.at).then(a.open.cmp(&b.open))
}

/// Order of upper ends: an open one stops just below a closed one.
fn by_high(a: Mark, b: Mark) -> Ordering {
    a.at.compare(b.at).then(b.open.cmp(&a.open))
}

fn pick(a: Mark, b: Mark, order: fn(Mark, Mark) -> Ordering, wanted: Ordering) -> Mark {
    if order(a, b) == wanted { a } else { b }
}

/// Of two lower (or upper) ends, one of which may be unbounded: the nearer to the unbounded side.
fn outer(
    a: Option<Mark>,
    b: Option<Mark>,
    order: fn(Mark, Mark) -> Ordering,
    wanted: Ordering,
) -> Option<Mark> {
    Some(pick(a?, b?, order, wanted))
}

/// Of two lower (or upper) ends: the farther from the unbounded side.
fn inner(
    a: Option<Mark>,
    b: Option<Mark>,
    order: fn(Mark, Mark) -> Ordering,
    wanted: Ordering,
) -> Option<Mark> {
    match (a, b) {
        (Some(a), Some(b)) => Some(pick(a, b, order, wanted)),
        (one, other) => one.or(other),
    }
}

fn sum(a: Option<Mark>, b: Option<Mark>) -> Option<Option<Mark>> {
    match (a, b) {
        (Some(a), Some(b)) => {
            Some(Some(Mark { at: a.at.checked_add(b.at)?, open: a.open || b.open }))
        }
        _ => Some(None),
    }
}

impl Span {
    pub const fn point(at: Exact) -> Self {
        Self { low: Some(Mark::closed(at)), high: Some(Mark::closed(at)) }
    }

    /// The single value, where there is only one.
    pub fn single(self) -> Option<Exact> {
        match (self.low, self.high) {
            (Some(low), Some(high)) if !low.open && !high.open && low.at == high.at => Some(low.at),
            _ => None,
        }
    }

    pub fn contains_zero(self) -> bool {
        let below = self.low.is_none_or(|low| low.sign() < 0 || low.sign() == 0 && !low.open);
        let above = self.high.is_none_or(|high| high.sign() > 0 || high.sign() == 0 && !high.open);
        below && above
    }

    /// Whether something below zero is possible.
    pub fn reaches_below_zero(self) -> bool {
        self.low.is_none_or(|low| low.sign() < 0)
    }

    /// Whether every value here is at most every value there: yes, no, or it depends.
    pub fn at_most(self, other: Self) -> Option<bool> {
        if let (Some(high), Some(low)) = (self.high, other.low)
            && high.at.compare(low.at) != Ordering::Greater
        {
            return Some(true);
        }
        if let (Some(low), Some(high)) = (self.low, other.high) {
            match low.at.compare(high.at) {
                Ordering::Greater => return Some(false),
                Ordering::Equal if low.open || high.open => return Some(false),
                _ => {}
            }
        }
        None
    }

    pub fn negate(self) -> Option<Self> {
        let flip = |end: Option<Mark>| match end {
            Some(mark) => mark.negate().map(Some),
            None => Some(None),
        };
        Some(Self { low: flip(self.high)?, high: flip(self.low)? })
    }

    pub fn add(self, other: Self) -> Option<Self> {
        Some(Self { low: sum(self.low, other.low)?, high: sum(self.high, other.high)? })
    }

    pub fn multiply(self, other: Self) -> Option<Self> {
        if let (Some(a), Some(b)) = (self.single(), other.single()) {
            return Some(Self::point(a.checked_mul(b)?));
        }
        let left = [
            self.low.map_or(Corner::MinusInfinity, Corner::At),
            self.high.map_or(Corner::PlusInfinity, Corner::At),
        ];
        let right = [
            other.low.map_or(Corner::MinusInfinity, Corner::At),
            other.high.map_or(Corner::PlusInfinity, Corner::At),
        ];
        let mut low: Option<Corner> = None;
        let mut high: Option<Corner> = None;
        for a in left {
            for b in right {
                let corner = Corner::product(a, b)?;
                low = Some(low.map_or(corner, |low| low.lower(corner)));
                high = Some(high.map_or(corner, |high| high.higher(corner)));
            }
        }
        Some(Self { low: low.and_then(Corner::mark), high: high.and_then(Corner::mark) })
    }

    /// One over; the span must not contain zero.
    fn reciprocal(self) -> Option<Self> {
        let over = |end: Option<Mark>| match end {
            // One over an unbounded end comes as near to nought as it likes.
            None => Some(Some(Mark { at: Exact::ZERO, open: true })),
            // Zero can only be an open end here: one over it grows without bound.
            Some(mark) if mark.sign() == 0 => Some(None),
            Some(mark) => {
                Some(Some(Mark { at: Exact::ONE.checked_div(mark.at)?, open: mark.open }))
            }
        };
        Some(Self { low: over(self.high)?, high: over(self.low)? })
    }

    /// The quotient; the divisor must not contain zero.
    pub fn divide(self, other: Self) -> Option<Self> {
        if let (Some(a), Some(b)) = (self.single(), other.single()) {
            return Some(Self::point(a.checked_div(b)?));
        }
        self.multiply(other.reciprocal()?)
    }

    pub fn abs(self) -> Option<Self> {
        if !self.reaches_below_zero() {
            return Some(self);
        }
        let mirrored = self.negate()?;
        if self.high.is_some_and(|high| high.sign() <= 0) {
            return Some(mirrored);
        }
        let zero = Some(Mark::closed(Exact::ZERO));
        Some(Self { low: zero, high: outer(self.high, mirrored.high, by_high, Ordering::Greater) })
    }

    /// A whole power; for a negative one the span must not contain zero.
    pub fn power(self, exponent: i8) -> Option<Self> {
        let count = i32::from(exponent.unsigned_abs());
        let base = if count % 2 == 0 { self.abs()? } else { self };
        let raise = |end: Option<Mark>| match end {
            Some(mark) => Some(Some(Mark { at: mark.at.checked_powi(count)?, open: mark.open })),
            None => Some(None),
        };
        let raised = if count == 0 {
            Self::point(Exact::ONE)
        } else {
            Self { low: raise(base.low)?, high: raise(base.high)? }
        };
        if exponent < 0 { raised.reciprocal() } else { Some(raised) }
    }

    /// The square root, where both ends are squares of fractions.
    pub fn sqrt(self) -> Option<Self> {
        let root = |end: Option<Mark>| match end {
            Some(mark) => Some(Some(Mark { at: square_root(mark.at)?, open: mark.open })),
            None => Some(None),
        };
        Some(Self { low: root(self.low)?, high: root(self.high)? })
    }

    /// Whether everything here is above zero.
    pub fn is_above_zero(self) -> bool {
        self.low.is_some_and(|low| low.sign() > 0 || low.sign() == 0 && low.open)
    }

    /// e to the power, where that is one or nought.
    pub fn exp(self) -> Option<Self> {
        let low = match self.low {
            None => Some(Mark { at: Exact::ZERO, open: true }),
            Some(mark) if mark.sign() == 0 => Some(Mark { at: Exact::ONE, open: mark.open }),
            Some(_) => return None,
        };
        let high = match self.high {
            None => None,
            Some(mark) if mark.sign() == 0 => Some(Mark { at: Exact::ONE, open: mark.open }),
            Some(_) => return None,
        };
        Some(Self { low, high })
    }

    /// The natural logarithm, where both ends are one, unbounded or nought and not reached.
    pub fn ln(self) -> Option<Self> {
        self.logarithm(|at| (at == Exact::ONE).then_some(Exact::ZERO))
    }

    /// The common logarithm, where both ends are powers of ten, unbounded or nought and not reached.
    pub fn log10(self) -> Option<Self> {
        self.logarithm(power_of_ten)
    }

    fn logarithm(self, known: fn(Exact) -> Option<Exact>) -> Option<Self> {
        let end = |end: Option<Mark>| match end {
            None => Some(None),
            Some(mark) if mark.sign() == 0 => Some(None),
            Some(mark) => Some(Some(Mark { at: known(mark.at)?, open: mark.open })),
        };
        Some(Self { low: end(self.low)?, high: end(self.high)? })
    }

    /// To whole numbers, halves away from zero. Ends count as possible: that is never too narrow.
    pub fn round(self) -> Option<Self> {
        let nearest = |end: Option<Mark>| match end {
            Some(mark) => Some(Some(Mark::closed(rounded(mark.at)?))),
            None => Some(None),
        };
        Some(Self { low: nearest(self.low)?, high: nearest(self.high)? })
    }

    pub fn least(self, other: Self) -> Self {
        Self {
            low: outer(self.low, other.low, by_low, Ordering::Less),
            high: inner(self.high, other.high, by_high, Ordering::Less),
        }
    }

    pub fn greatest(self, other: Self) -> Self {
        Self {
            low: inner(self.low, other.low, by_low, Ordering::Greater),
            high: outer(self.high, other.high, by_high, Ordering::Greater),
        }
    }

    pub fn hull(self, other: Self) -> Self {
        Self {
            low: outer(self.low, other.low, by_low, Ordering::Less),
            high: outer(self.high, other.high, by_high, Ordering::Greater),
        }
    }
}

impl Corner {
    fn sign(self) -> i128 {
        match self {
            Self::MinusInfinity => -1,
            Self::At(mark) => mark.sign(),
            Self::PlusInfinity => 1,
        }
    }

    fn product(a: Self, b: Self) -> Option<Self> {
        if a.sign() == 0 || b.sign() == 0 {
            // Nought is reached where either factor can be nought itself.
            let reached =
                |corner: Self| matches!(corner, Self::At(mark) if mark.sign() == 0 && !mark.open);
            let open = !(reached(a) || reached(b));
            return Some(Self::At(Mark { at: Exact::ZERO, open }));
        }
        match (a, b) {
            (Self::At(a), Self::At(b)) => {
                Some(Self::At(Mark { at: a.at.checked_mul(b.at)?, open: a.open || b.open }))
            }
            _ if a.sign() * b.sign() < 0 => Some(Self::MinusInfinity),
            _ => Some(Self::PlusInfinity),
        }
    }

    fn lower(self, other: Self) -> Self {
        match (self, other) {
            (Self::MinusInfinity, _) | (_, Self::PlusInfinity) => self,
            (_, Self::MinusInfinity) | (Self::PlusInfinity, _) => other,
            (Self::At(a), Self::At(b)) => Self::At(pick(a, b, by_low, Ordering::Less)),
        }
    }

    fn higher(self, other: Self) -> Self {
        match (self, other) {
            (Self::PlusInfinity, _) | (_, Self::MinusInfinity) => self,
            (_, Self::PlusInfinity) | (Self::MinusInfinity, _) => other,
            (Self::At(a), Self::At(b)) => Self::At(pick(a, b, by_high, Ordering::Greater)),
        }
    }

    fn mark(self) -> Option<Mark> {
        match self {
            Self::At(mark) => Some(mark),
            Self::MinusInfinity | Self::PlusInfinity => None,
        }
    }
}

/// The root of a square of a fraction; of anything else `None`.
fn square_root(value: Exact) -> Option<Exact> {
    if value.pi() % 2 != 0 {
        return None;
    }
    let ratio = value.ratio();
    let root = |part: i128| {
        let root = part.checked_isqrt()?;
        (root.checked_mul(root)? == part).then_some(root)
    };
    let root = Rational::new(root(ratio.numer())?, root(ratio.denom())?)?;
    Some(Exact::new(root, value.pi() / 2))
}

/// The exponent of a whole power of ten; of anything else `None`.
fn power_of_ten(value: Exact) -> Option<Exact> {
    if value.pi() != 0 {
        return None;
    }
    let (mut numer, mut denom, mut exponent) = (value.ratio().numer(), value.ratio().denom(), 0);
    while numer > 0 && numer % 10 == 0 {
        numer /= 10;
        exponent += 1;
    }
    while denom % 10 == 0 {
        denom /= 10;
        exponent -= 1;
    }
    (numer == 1 && denom == 1).then(|| Exact::from(Rational::from_integer(exponent)))
}

/// The nearest whole number, halves away from zero; only of plain fractions.
fn rounded(value: Exact) -> Option<Exact> {
    if value.pi() != 0 {
        return None;
    }
    let (numer, denom) = (value.ratio().numer(), value.ratio().denom());
    let (whole, rest) = (numer / denom, numer % denom);
    // 2 * |rest| >= denom, written so that it cannot overflow.
    let away = rest.abs() >= denom - rest.abs();
    let whole = if away { whole.checked_add(numer.signum())? } else { whole };
    Rational::new(whole, 1).map(Exact::from)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn exact(numer: i128, denom: i128) -> Exact {
        Exact::from(Rational::new(numer, denom).unwrap())
    }

    fn span(low: Option<(i128, bool)>, high: Option<(i128, bool)>) -> Span {
        let mark =
            |end: Option<(i128, bool)>| end.map(|(at, open)| Mark { at: exact(at, 1), open });
        Span { low: mark(low), high: mark(high) }
    }

    #[test]
    fn spans_order_by_their_ends() {
        let below_three = span(None, Some((3, true)));
        let three = Span::point(exact(3, 1));
        assert_eq!(below_three.at_most(three), Some(true)); // arithmetic
        assert_eq!(three.at_most(below_three), Some(false));
        assert_eq!(three.at_most(span(None, Some((3, false)))), None);
        assert_eq!(three.at_most(three), Some(true));
    }

    #[test]
    fn products_keep_open_ends_and_noughts() {
        let unit = span(Some((0, true)), Some((1, false)));
        let large = span(Some((1, false)), None);
        assert_eq!(unit.multiply(large), Some(span(Some((0, true)), None)));
        assert_eq!(
            span(Some((0, false)), Some((1, false))).multiply(large),
            Some(span(Some((0, false)), None))
        );
        let minus = span(Some((-2, true)), Some((3, false)));
        assert_eq!(minus.multiply(minus), Some(span(Some((-6, true)), Some((9, false)))));
    }

    #[test]
    fn quotients_reach_unbounded_ends() {
        let above_nought = span(Some((0, true)), Some((2, false)));
        assert!(!above_nought.contains_zero());
        let quotient = Span::point(exact(6, 1)).divide(above_nought);
        assert_eq!(quotient, Some(span(Some((3, false)), None)));
        let far = Span::point(exact(6, 1)).divide(span(Some((2, false)), None));
        assert_eq!(far, Some(span(Some((0, true)), Some((3, false)))));
    }

    #[test]
    fn roots_and_rounding() {
        assert_eq!(square_root(exact(9, 4)), Some(exact(3, 2)));
        assert_eq!(square_root(exact(2, 1)), None);
        assert_eq!(square_root(exact(-4, 1)), None);
        assert_eq!(rounded(exact(5, 2)), Some(exact(3, 1)));
        assert_eq!(rounded(exact(-5, 2)), Some(exact(-3, 1)));
        assert_eq!(rounded(exact(7, 3)), Some(exact(2, 1)));
    }

    #[test]
    fn the_least_of_two_ends_where_either_ends() {
        let a = span(Some((1, true)), Some((5, false)));
        let b = span(Some((1, false)), Some((5, true)));
        assert_eq!(a.least(b), b);
        assert_eq!(a.greatest(b), a);
        assert_eq!(a.hull(b), span(Some((1, false)), Some((5, false))));
    }
}
