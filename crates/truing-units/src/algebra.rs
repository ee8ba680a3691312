//! What may be added to, multiplied by and compared with what.

use serde::{Deserialize, Serialize};

use crate::conversion::conversion_between;
use crate::{Catalogue, Dimension, Kind, Nature, Refusal};

/// The type of an expression: a kind of quantity, or a plain result of a product or quotient.
#[derive(Copy, Clone, Eq, PartialEq, Debug, Hash, Serialize, Deserialize)]
pub enum Ty {
    /// A quantity of a kind.
    Kind(Kind),
    /// A result that has a dimension and no kind.
    Plain(Dimension),
}

impl Ty {
    /// A plain number; the kind `ratio` counts as the same.
    pub const RATIO: Ty = Ty::Plain(Dimension::NONE);

    /// The dimension of the type.
    pub fn dimension(self, catalogue: &Catalogue) -> Dimension {
        match self {
            Ty::Kind(kind) => catalogue.kind(kind).dimension,
            Ty::Plain(dimension) => dimension,
        }
    }

    /// The type in plain words: `dc voltage`, `a plain number`, `voltage per time`.
    pub fn words(self, catalogue: &Catalogue) -> String {
        match self {
            Ty::Kind(kind) => catalogue.kind(kind).words.to_string(),
            Ty::Plain(dimension) => catalogue.dimension_words(dimension),
        }
    }

    /// The kind `ratio` is a plain number by another name.
    fn settled(self) -> Ty {
        if self == Ty::Kind(Kind::RATIO) { Ty::RATIO } else { self }
    }

    /// Whether scaling by it keeps a kind: a plain number, a ratio or a count.
    fn is_number(self) -> bool {
        matches!(self, Ty::RATIO | Ty::Kind(Kind::RATIO | Kind::COUNT))
    }
}

/// An arithmetic operator.
#[derive(Copy, Clone, Eq, PartialEq, Debug)]
pub enum Operator {
    /// `left + right`
    Add,
    /// `left - right`
    Subtract,
    /// `left * right`
    Multiply,
    /// `left / right`
    Divide,
    /// `left ^ n`; the right-hand type is not looked at.
    Power(i8),
    /// `-left`; the right-hand type is not looked at.
    Negate,
}

impl Operator {
    /// The sign that the language writes it with.
    pub const fn sign(self) -> &'static str {
        match self {
            Operator::Add => "+",
            Operator::Subtract | Operator::Negate => "-",
            Operator::Multiply => "*",
            Operator::Divide => "/",
            Operator::Power(_) => "^",
        }
    }
}

/// What an operation gives.
///
/// # Errors
/// A [`Refusal`] where the operation means nothing.
pub fn combine(catalogue: &Catalogue, op: Operator, left: Ty, right: Ty) -> Result<Ty, Refusal> {
    let (left, right) = (left.settled(), right.settled());
    match op {
        Operator::Add => add(catalogue, left, right),
        Operator::Subtract => subtract(catalogue, left, right),
        Operator::Multiply | Operator::Divide => product(catalogue, op, left, right),
        Operator::Power(exponent) => power(catalogue, left, exponent),
        Operator::Negate if difference_of(catalogue, left).is_some() => {
            Err(Refusal::ScaledPoint { left, right: left, convert: amount_of(left) })
        }
        Operator::Negate => Ok(left),
    }
}

/// The kind of difference that a point has; `None` for what is no point.
fn difference_of(catalogue: &Catalogue, ty: Ty) -> Option<Kind> {
    match ty {
        Ty::Kind(kind) => match catalogue.kind(kind).nature {
            Nature::Point { difference } => Some(difference),
            Nature::Amount | Nature::Difference { .. } => None,
        },
        Ty::Plain(_) => None,
    }
}

/// The function that makes an amount of a point.
fn amount_of(ty: Ty) -> Option<&'static str> {
    crate::conversion::conversions()
        .iter()
        .find(|known| Ty::Kind(known.from) == ty)
        .map(|known| known.name)
}

/// Whether `ty` may move a point whose differences are of kind `difference`.
fn moves(catalogue: &Catalogue, ty: Ty, difference: Kind) -> Result<(), Refusal> {
    assignable(catalogue, ty, difference)
}

fn add(catalogue: &Catalogue, left: Ty, right: Ty) -> Result<Ty, Refusal> {
    match (difference_of(catalogue, left), difference_of(catalogue, right)) {
        (Some(_), Some(_)) if left == right => Err(Refusal::PointPlusPoint { left, right }),
        (Some(_), Some(_)) => Err(mismatch(catalogue, left, right)),
        (Some(difference), None) if moves(catalogue, right, difference).is_ok() => Ok(left),
        (None, Some(difference)) if moves(catalogue, left, difference).is_ok() => Ok(right),
        (None, None) => alike(catalogue, left, right),
        _ => Err(mismatch(catalogue, left, right)),
    }
}

fn subtract(catalogue: &Catalogue, left: Ty, right: Ty) -> Result<Ty, Refusal> {
    match (difference_of(catalogue, left), difference_of(catalogue, right)) {
        (Some(difference), Some(_)) if left == right => Ok(Ty::Kind(difference)),
        (Some(difference), None) if moves(catalogue, right, difference).is_ok() => Ok(left),
        (None, Some(difference)) if moves(catalogue, left, difference).is_ok() => {
            Err(Refusal::DifferenceMinusPoint { left, right })
        }
        (None, None) => alike(catalogue, left, right),
        _ => Err(mismatch(catalogue, left, right)),
    }
}

fn product(catalogue: &Catalogue, op: Operator, left: Ty, right: Ty) -> Result<Ty, Refusal> {
    let points =
        (difference_of(catalogue, left).is_some(), difference_of(catalogue, right).is_some());
    if points != (false, false) {
        let convert = if points.0 { amount_of(left) } else { amount_of(right) };
        let scales = (points == (true, false) && right.is_number())
            || (points == (false, true) && left.is_number() && op == Operator::Multiply);
        return Err(match scales {
            true => Refusal::ScaledPoint { left, right, convert },
            false => Refusal::PointProduct { left, right, convert },
        });
    }
    // A kind survives scaling by a number.
    if right.is_number() && !left.is_number() {
        return Ok(left);
    }
    if left.is_number() && !right.is_number() && op == Operator::Multiply {
        return Ok(right);
    }
    let (one, other) = (left.dimension(catalogue), right.dimension(catalogue));
    turning(catalogue, left, right)?;
    if op == Operator::Divide {
        return Ok(Ty::Plain(one.quotient(other)));
    }
    let swept = |speed: Ty, time: Ty| {
        is_turning(catalogue, speed)
            && time.dimension(catalogue) == dimension_of(catalogue, Kind::TIME)
    };
    if swept(left, right) || swept(right, left) {
        // A plain number would not say whether it counts turns or radians.
        return Ok(Ty::Kind(Kind::ANGLE));
    }
    Ok(Ty::Plain(one.product(other)))
}

/// Whether the type counts the turning of a shaft, in radians per second.
fn is_turning(catalogue: &Catalogue, ty: Ty) -> bool {
    matches!(ty, Ty::Kind(kind) if catalogue.counted_in(kind) == Some("rad/s"))
}

fn dimension_of(catalogue: &Catalogue, kind: Kind) -> Dimension {
    catalogue.kind(kind).dimension
}

/// A rotational speed is carried in radians per second and a frequency in cycles per second: their
/// quotient would be out by 2 pi and look like a plain number.
fn turning(catalogue: &Catalogue, left: Ty, right: Ty) -> Result<(), Refusal> {
    let rate = dimension_of(catalogue, Kind::FREQUENCY);
    let clash = |one, other: Ty| {
        is_turning(catalogue, one)
            && !is_turning(catalogue, other)
            && other.dimension(catalogue) == rate
    };
    if clash(left, right) || clash(right, left) {
        return Err(Refusal::TurnsAndCycles { left, right, convert: "frequency_of" });
    }
    Ok(())
}

fn power(catalogue: &Catalogue, base: Ty, exponent: i8) -> Result<Ty, Refusal> {
    if difference_of(catalogue, base).is_some() {
        return Err(Refusal::PointPower { left: base, right: base, convert: amount_of(base) });
    }
    Ok(match exponent {
        1 => base,
        _ => Ty::Plain(base.dimension(catalogue).powi(exponent)),
    })
}

/// The one type of two that are alike: the same, or a plain result that takes the other's kind.
fn alike(catalogue: &Catalogue, left: Ty, right: Ty) -> Result<Ty, Refusal> {
    if left == right {
        return Ok(left);
    }
    match (left, right) {
        (Ty::Plain(_), Ty::Kind(kind)) => assignable(catalogue, left, kind).map(|()| right),
        (Ty::Kind(kind), Ty::Plain(_)) => assignable(catalogue, right, kind).map(|()| left),
        _ => Err(mismatch(catalogue, left, right)),
    }
}

fn mismatch(catalogue: &Catalogue, left: Ty, right: Ty) -> Refusal {
    if left.dimension(catalogue) != right.dimension(catalogue) {
        return Refusal::DifferentDimension { left, right };
    }
    Refusal::DifferentKind { left, right, convert: conversion_between(left, right) }
}

/// The common type of two that are compared; also the rule for the members of `min`, `max` and `mean`
/// and for `within`.
///
/// # Errors
/// A [`Refusal`] where they cannot be compared.
pub fn comparable(catalogue: &Catalogue, left: Ty, right: Ty) -> Result<Ty, Refusal> {
    alike(catalogue, left.settled(), right.settled())
}

/// Whether a value may stand where a kind is wanted. A plain result takes the kind of its place if
/// the dimension agrees, unless the kind is a point or leaves open what a bare number counts.
///
/// # Errors
/// A [`Refusal`] where it may not.
pub fn assignable(catalogue: &Catalogue, value: Ty, place: Kind) -> Result<(), Refusal> {
    let (value, wanted) = (value.settled(), Ty::Kind(place).settled());
    if value == wanted {
        return Ok(());
    }
    if value.dimension(catalogue) != wanted.dimension(catalogue) {
        return Err(Refusal::DifferentDimension { left: value, right: wanted });
    }
    match (value, wanted) {
        (Ty::Plain(_), _) if catalogue.takes_plain(place) => Ok(()),
        (Ty::Plain(_), _) => Err(Refusal::NeedsKind { left: value, right: wanted }),
        // A count is a number.
        (Ty::Kind(Kind::COUNT), Ty::RATIO) => Ok(()),
        _ => Err(mismatch(catalogue, value, wanted)),
    }
}
