//! Numbers that are exact where exact arithmetic reaches, and else enclosed.

use truing_model::{Function, Indication, Law, Reading};
use truing_units::Exact;

use crate::arithmetic::{Arithmetic, Known, Lack, Mode, Order, Width};
use crate::enclosure::{Enclosure, Fixed};
use crate::fast::widened;
use crate::finding::NoNumber;
use crate::flat::{FlatReading, FlatSlot, exact, exact_half, exact_span, half_step};
use crate::span::{Mark, Span};

/// Exact where that exists.
pub(crate) struct Full;

/// An enclosure, and the exact interval where it is known.
#[derive(Copy, Clone, Debug)]
pub(crate) struct Number {
    pub near: Enclosure,
    pub exact: Option<Span>,
}

impl Number {
    fn exact(span: Span) -> Self {
        let around = |mark: Mark| Enclosure::around(mark.at.to_f64(), Some(mark.at));
        Self {
            near: Enclosure {
                lo: span.low.map_or(f64::NEG_INFINITY, |mark| around(mark).lo),
                hi: span.high.map_or(f64::INFINITY, |mark| around(mark).hi),
            },
            exact: Some(span),
        }
    }

    fn near(near: Enclosure) -> Self {
        Self { near, exact: None }
    }

    fn is_nought(&self) -> bool {
        self.single() == Some(Exact::ZERO)
    }

    /// The single value that it is, where it is one and exact.
    pub fn single(&self) -> Option<Exact> {
        self.exact?.single()
    }
}

/// The exact result where there is one, else the enclosed one.
fn either(
    exact: Option<Span>,
    near: impl FnOnce() -> Result<Enclosure, NoNumber>,
) -> Known<Number> {
    match exact {
        Some(span) => Ok(Number::exact(span)),
        None => near().map(Number::near).map_err(Lack::NoNumber),
    }
}

fn both(a: Number, b: Number, of: fn(Span, Span) -> Option<Span>) -> Option<Span> {
    of(a.exact?, b.exact?)
}

fn figure(
    near: Enclosure,
    span: Option<Span>,
    half: Option<Exact>,
    width: Width,
    mode: Mode,
) -> Number {
    match mode {
        Mode::Guarded(k) if width.reach > 0.0 && k > 0.0 => {
            // k·h/√3 is not rational: from here on this is no longer exact.
            Number::near(widened(near, width, mode))
        }
        Mode::Full if width.reach > 0.0 => match grown(span, half) {
            Some(span) => Number::exact(span),
            None => Number::near(widened(near, width, mode)),
        },
        _ => Number { near, exact: span },
    }
}

fn grown(span: Option<Span>, half: Option<Exact>) -> Option<Span> {
    let half = half?;
    let by = Span {
        low: Some(Mark::closed(Exact::ZERO.checked_sub(half)?)),
        high: Some(Mark::closed(half)),
    };
    span?.add(by)
}

impl Arithmetic for Full {
    type Number = Number;
    const ON_A_STEP: Lack = Lack::Rough;

    fn fixed(figure: &Fixed) -> Number {
        Number { near: figure.near, exact: figure.exact.map(Span::point) }
    }

    fn reading(
        slot: &FlatSlot,
        flat: &FlatReading,
        reading: &Reading,
        mode: Mode,
        width: Width,
    ) -> Number {
        let half = (mode == Mode::Full && width.digit).then(|| exact_half(reading)).flatten();
        figure(flat.near, exact_span(slot, reading), half, width, mode)
    }

    fn indication(of: &Indication, mode: Mode, width: Width) -> Number {
        let half = (mode == Mode::Full && width.digit).then(|| half_step(of)).flatten();
        let near = Enclosure::around(of.value, exact(of));
        figure(near, exact(of).map(Span::point), half, width, mode)
    }

    fn nearest(of: Number) -> Option<f64> {
        of.single().map(Exact::to_f64).or_else(|| of.near.middle())
    }

    fn rounding(_: Number) -> f64 {
        // Nothing tells it better.
        0.0
    }

    fn negate(of: Number) -> Number {
        match of.exact.and_then(Span::negate) {
            Some(span) => Number { near: of.near.negate(), exact: Some(span) },
            None => Number::near(of.near.negate()),
        }
    }

    fn add(a: Number, b: Number) -> Known<Number> {
        either(both(a, b, Span::add), || a.near.add(b.near))
    }

    fn multiply(a: Number, b: Number) -> Known<Number> {
        if a.is_nought() || b.is_nought() {
            return Ok(Number::exact(Span::point(Exact::ZERO)));
        }
        either(both(a, b, Span::multiply), || a.near.multiply(b.near))
    }

    fn divide(a: Number, b: Number) -> Known<Number> {
        if b.exact.is_some_and(Span::contains_zero) {
            return Err(Lack::NoNumber(NoNumber::DivisionByZero));
        }
        let quotient = either(both(a, b, Span::divide), || a.near.divide(b.near))?;
        Ok(if a.is_nought() { Number::exact(Span::point(Exact::ZERO)) } else { quotient })
    }

    fn power(of: Number, exponent: i8) -> Known<Number> {
        if exponent < 0 && of.exact.is_some_and(Span::contains_zero) {
            return Err(Lack::NoNumber(NoNumber::DivisionByZero));
        }
        either(of.exact.and_then(|span| span.power(exponent)), || of.near.power(exponent))
    }

    fn apply(function: Function, of: Number) -> Known<Number> {
        match function {
            Function::Abs => either(of.exact.and_then(Span::abs), || Ok(of.near.abs())),
            Function::Round => either(of.exact.and_then(Span::round), || Ok(of.near.round())),
            Function::Exp => either(of.exact.and_then(Span::exp), || of.near.exp()),
            Function::Sqrt => root(of),
            Function::Ln => logarithm(of, Span::ln, Enclosure::ln),
            Function::Log10 => logarithm(of, Span::log10, Enclosure::log10),
        }
    }

    fn law(law: Law, of: Number) -> Known<Number> {
        either(None, || of.near.law(law))
    }

    fn least(a: Number, b: Number) -> Number {
        match (a.exact, b.exact) {
            (Some(one), Some(other)) => Number::exact(one.least(other)),
            // The one that lies wholly below stays as exact as it is.
            _ if a.near.hi <= b.near.lo => a,
            _ if b.near.hi <= a.near.lo => b,
            _ => Number::near(a.near.least(b.near)),
        }
    }

    fn greatest(a: Number, b: Number) -> Number {
        match (a.exact, b.exact) {
            (Some(one), Some(other)) => Number::exact(one.greatest(other)),
            _ if b.near.hi <= a.near.lo => a,
            _ if a.near.hi <= b.near.lo => b,
            _ => Number::near(a.near.greatest(b.near)),
        }
    }

    fn hull(a: Number, b: Number) -> Number {
        match (a.exact, b.exact) {
            (Some(one), Some(other)) => Number::exact(one.hull(other)),
            _ => Number::near(a.near.hull(b.near)),
        }
    }

    fn at_most(a: Number, b: Number) -> Order {
        // What lies clear is clear without exact arithmetic.
        if a.near.hi <= b.near.lo {
            return Order::Yes;
        }
        if b.near.hi < a.near.lo {
            return Order::No;
        }
        match (a.exact, b.exact) {
            (Some(one), Some(other)) => match one.at_most(other) {
                Some(true) => Order::Yes,
                Some(false) => Order::No,
                None => Order::Depends,
            },
            _ => Order::Depends,
        }
    }

    fn low_end(of: Number) -> Option<Number> {
        match of.exact {
            Some(span) => Some(Number::exact(Span::point(span.low?.at))),
            None => of.near.lo.is_finite().then(|| Number::near(Enclosure::point(of.near.lo))),
        }
    }

    fn high_end(of: Number) -> Option<Number> {
        match of.exact {
            Some(span) => Some(Number::exact(Span::point(span.high?.at))),
            None => of.near.hi.is_finite().then(|| Number::near(Enclosure::point(of.near.hi))),
        }
    }
}

fn root(of: Number) -> Known<Number> {
    match of.exact {
        Some(span) if span.reaches_below_zero() => Err(Lack::NoNumber(NoNumber::RootOfNegative)),
        Some(span) => {
            either(span.sqrt(), || Enclosure { lo: of.near.lo.max(0.0), hi: of.near.hi }.sqrt())
        }
        None => of.near.sqrt().map(Number::near).map_err(Lack::NoNumber),
    }
}

fn logarithm(
    of: Number,
    known: fn(Span) -> Option<Span>,
    near: fn(Enclosure) -> Result<Enclosure, NoNumber>,
) -> Known<Number> {
    let Some(span) = of.exact else {
        return near(of.near).map(Number::near).map_err(Lack::NoNumber);
    };
    if !span.is_above_zero() {
        return Err(Lack::NoNumber(NoNumber::LogarithmOfNothing));
    }
    either(known(span), || {
        if of.near.lo > 0.0 {
            return near(of.near);
        }
        // Nought is an end that is not reached: the logarithm is unbounded below.
        let high = near(Enclosure { lo: of.near.hi, hi: of.near.hi })?;
        Ok(Enclosure { lo: f64::NEG_INFINITY, hi: high.hi })
    })
}
