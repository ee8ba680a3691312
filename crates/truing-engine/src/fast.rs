//! Doubles that say where they cannot tell.

use truing_model::{Function, Indication, Law, Reading};

use crate::arithmetic::{Arithmetic, Known, Lack, Mode, Order, Width};
use crate::enclosure::{Enclosure, Fixed};
use crate::finding::NoNumber;
use crate::flat::{FlatReading, FlatSlot, exact};

/// Enclosures; whatever touches, or may be no number, is unclear.
pub(crate) struct Fast;

/// Widened as a decision rule asks.
pub(crate) fn widened(near: Enclosure, width: Width, mode: Mode) -> Enclosure {
    match mode {
        _ if width.reach == 0.0 => near,
        Mode::Simple | Mode::Linear(_) | Mode::Guarded(0.0) => near,
        Mode::Guarded(k) => near.widened((k * width.standard.next_up()).next_up()),
        Mode::Full => near.widened(width.reach),
    }
}

fn clear(result: Result<Enclosure, NoNumber>) -> Known<Enclosure> {
    result.map_err(|_| Lack::Unclear)
}

impl Arithmetic for Fast {
    type Number = Enclosure;
    const ON_A_STEP: Lack = Lack::Unclear;

    fn fixed(figure: &Fixed) -> Enclosure {
        figure.near
    }

    fn reading(
        _: &FlatSlot,
        flat: &FlatReading,
        _: &Reading,
        mode: Mode,
        width: Width,
    ) -> Enclosure {
        widened(flat.near, width, mode)
    }

    fn indication(of: &Indication, mode: Mode, width: Width) -> Enclosure {
        widened(Enclosure::around(of.value, exact(of)), width, mode)
    }

    fn nearest(of: Enclosure) -> Option<f64> {
        of.middle()
    }

    fn rounding(of: Enclosure) -> f64 {
        of.hi - of.lo
    }

    fn negate(of: Enclosure) -> Enclosure {
        of.negate()
    }

    fn add(a: Enclosure, b: Enclosure) -> Known<Enclosure> {
        clear(a.add(b))
    }

    fn multiply(a: Enclosure, b: Enclosure) -> Known<Enclosure> {
        clear(a.multiply(b))
    }

    fn divide(a: Enclosure, b: Enclosure) -> Known<Enclosure> {
        clear(a.divide(b))
    }

    fn power(of: Enclosure, exponent: i8) -> Known<Enclosure> {
        clear(of.power(exponent))
    }

    fn apply(function: Function, of: Enclosure) -> Known<Enclosure> {
        clear(match function {
            Function::Abs => Ok(of.abs()),
            Function::Sqrt => of.sqrt(),
            Function::Exp => of.exp(),
            Function::Ln => of.ln(),
            Function::Log10 => of.log10(),
            Function::Round => Ok(of.round()),
        })
    }

    fn law(law: Law, of: Enclosure) -> Known<Enclosure> {
        clear(of.law(law))
    }

    fn least(a: Enclosure, b: Enclosure) -> Enclosure {
        a.least(b)
    }

    fn greatest(a: Enclosure, b: Enclosure) -> Enclosure {
        a.greatest(b)
    }

    fn hull(a: Enclosure, b: Enclosure) -> Enclosure {
        a.hull(b)
    }

    fn at_most(a: Enclosure, b: Enclosure) -> Order {
        if a.hi <= b.lo {
            Order::Yes
        } else if b.hi < a.lo {
            Order::No
        } else {
            Order::Unclear
        }
    }

    fn low_end(of: Enclosure) -> Option<Enclosure> {
        of.lo.is_finite().then_some(Enclosure::point(of.lo))
    }

    fn high_end(of: Enclosure) -> Option<Enclosure> {
        of.hi.is_finite().then_some(Enclosure::point(of.hi))
    }
}
