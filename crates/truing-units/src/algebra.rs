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
    if left.dimension(catalogue) != right.dimension(catalogue) {
        return Err(mismatch(catalogue, left, right));
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

#[cfg(test)]
mod tests {
    use super::*;

    const TEMPERATURE: Ty = Ty::Kind(Kind::TEMPERATURE);
    const RISE: Ty = Ty::Kind(Kind::TEMPERATURE_DIFFERENCE);
    const GAUGE: Ty = Ty::Kind(Kind::GAUGE_PRESSURE);
    const DC: Ty = Ty::Kind(Kind::DC_VOLTAGE);
    const AC: Ty = Ty::Kind(Kind::AC_VOLTAGE);
    const PEAK: Ty = Ty::Kind(Kind::PEAK_VOLTAGE);
    const CURRENT: Ty = Ty::Kind(Kind::DC_CURRENT);
    const OHMS: Ty = Ty::Kind(Kind::RESISTANCE);
    const TORQUE: Ty = Ty::Kind(Kind::TORQUE);
    const ENERGY: Ty = Ty::Kind(Kind::ENERGY);
    const POWER: Ty = Ty::Kind(Kind::POWER);
    const SPEED: Ty = Ty::Kind(Kind::ROTATIONAL_SPEED);
    const FREQUENCY: Ty = Ty::Kind(Kind::FREQUENCY);
    const TIME: Ty = Ty::Kind(Kind::TIME);
    const COUNT: Ty = Ty::Kind(Kind::COUNT);

    fn of(op: Operator, left: Ty, right: Ty) -> Result<Ty, Refusal> {
        combine(&Catalogue::standard(), op, left, right)
    }

    fn compared(left: Ty, right: Ty) -> Result<Ty, Refusal> {
        comparable(&Catalogue::standard(), left, right)
    }

    #[test]
    fn temperatures_are_points() {
        assert_eq!(of(Operator::Subtract, TEMPERATURE, TEMPERATURE), Ok(RISE));
        assert_eq!(of(Operator::Add, TEMPERATURE, RISE), Ok(TEMPERATURE));
        assert_eq!(of(Operator::Add, RISE, TEMPERATURE), Ok(TEMPERATURE));
        assert_eq!(of(Operator::Subtract, TEMPERATURE, RISE), Ok(TEMPERATURE));
        assert_eq!(of(Operator::Multiply, Ty::RATIO, RISE), Ok(RISE));
        assert!(matches!(
            of(Operator::Add, TEMPERATURE, TEMPERATURE),
            Err(Refusal::PointPlusPoint { .. })
        ));
        assert!(matches!(
            of(Operator::Subtract, RISE, TEMPERATURE),
            Err(Refusal::DifferenceMinusPoint { .. })
        ));
        assert!(matches!(
            of(Operator::Multiply, Ty::RATIO, TEMPERATURE),
            Err(Refusal::ScaledPoint { .. })
        ));
        assert!(matches!(
            of(Operator::Divide, TEMPERATURE, Ty::RATIO),
            Err(Refusal::ScaledPoint { .. })
        ));
        assert!(matches!(
            of(Operator::Divide, TEMPERATURE, TEMPERATURE),
            Err(Refusal::PointProduct { .. })
        ));
        assert!(matches!(
            of(Operator::Negate, TEMPERATURE, TEMPERATURE),
            Err(Refusal::ScaledPoint { .. })
        ));
        assert!(matches!(
            of(Operator::Power(2), TEMPERATURE, TEMPERATURE),
            Err(Refusal::PointPower { .. })
        ));
        // A rise worked out as power times thermal resistance moves a temperature.
        let rise = of(Operator::Multiply, POWER, Ty::Kind(Kind::THERMAL_RESISTANCE)).unwrap();
        assert_eq!(of(Operator::Add, TEMPERATURE, rise), Ok(TEMPERATURE));
        assert!(compared(TEMPERATURE, rise).is_err());
    }

    #[test]
    fn gauge_and_absolute_pressure_do_not_mix() {
        let absolute = Ty::Kind(Kind::ABSOLUTE_PRESSURE);
        for op in [Operator::Add, Operator::Subtract] {
            assert!(matches!(of(op, GAUGE, absolute), Err(Refusal::DifferentKind { .. })));
        }
        assert_eq!(of(Operator::Subtract, absolute, absolute), Ok(Ty::Kind(Kind::PRESSURE)));
        let halved = of(Operator::Divide, GAUGE, Ty::RATIO).unwrap_err();
        assert_eq!(halved.convert(), Some("above_ambient"));
    }

    #[test]
    fn amounts_of_one_kind_stay_of_it() {
        assert_eq!(of(Operator::Add, DC, DC), Ok(DC));
        assert_eq!(of(Operator::Negate, DC, DC), Ok(DC));
        assert_eq!(of(Operator::Divide, DC, DC), Ok(Ty::RATIO));
        assert_eq!(of(Operator::Multiply, DC, Ty::Kind(Kind::RATIO)), Ok(DC));
        assert_eq!(of(Operator::Divide, DC, COUNT), Ok(DC));
        assert_eq!(of(Operator::Power(1), DC, DC), Ok(DC));
        assert_eq!(of(Operator::Power(0), DC, DC), Ok(Ty::RATIO));
        assert_eq!(of(Operator::Add, Ty::Kind(Kind::RATIO), Ty::RATIO), Ok(Ty::RATIO));
    }

    #[test]
    fn kinds_that_share_a_dimension_do_not_mix() {
        for (left, right, convert) in [
            (TORQUE, ENERGY, None),
            (AC, PEAK, Some("peak_of_sine")),
            (PEAK, AC, Some("rms_of_sine")),
            (DC, AC, None),
            (SPEED, FREQUENCY, Some("frequency_of")),
        ] {
            let expected = Err(Refusal::DifferentKind { left, right, convert });
            assert_eq!(of(Operator::Add, left, right), expected);
            assert_eq!(compared(left, right), expected);
        }
        assert_eq!(compared(DC, OHMS), Err(Refusal::DifferentDimension { left: DC, right: OHMS }));
    }

    #[test]
    fn products_are_plain_and_take_the_kind_of_their_place() {
        let catalogue = Catalogue::standard();
        let drop = of(Operator::Multiply, CURRENT, OHMS).unwrap();
        assert_eq!(drop, Ty::Plain(catalogue.kind(Kind::DC_VOLTAGE).dimension));
        assert_eq!(assignable(&catalogue, drop, Kind::DC_VOLTAGE), Ok(()));
        assert_eq!(compared(drop, AC), Ok(AC));
        assert_eq!(of(Operator::Add, DC, drop), Ok(DC));
        assert!(assignable(&catalogue, drop, Kind::RESISTANCE).is_err());
        let warmth = Ty::Plain(catalogue.kind(Kind::TEMPERATURE).dimension);
        assert!(matches!(
            assignable(&catalogue, warmth, Kind::TEMPERATURE),
            Err(Refusal::NeedsKind { .. })
        ));
        assert!(assignable(&catalogue, warmth, Kind::TEMPERATURE_DIFFERENCE).is_ok());
    }

    #[test]
    fn turns_radians_and_cycles_are_kept_apart() {
        let catalogue = Catalogue::standard();
        // Torque times rotational speed is power: both are in SI-coherent units.
        let power = of(Operator::Multiply, TORQUE, SPEED).unwrap();
        assert_eq!(assignable(&catalogue, power, Kind::POWER), Ok(()));
        // The pole pairs of an alternator are not frequency / speed, but for a factor of 2 pi.
        assert!(matches!(
            of(Operator::Divide, FREQUENCY, SPEED),
            Err(Refusal::TurnsAndCycles { .. })
        ));
        assert!(matches!(
            of(Operator::Multiply, SPEED, FREQUENCY),
            Err(Refusal::TurnsAndCycles { .. })
        ));
        assert_eq!(of(Operator::Divide, SPEED, SPEED), Ok(Ty::RATIO));
        assert_eq!(of(Operator::Multiply, SPEED, TIME), Ok(Ty::Kind(Kind::ANGLE)));
        let rate = of(Operator::Divide, Ty::RATIO, TIME).unwrap();
        assert_eq!(assignable(&catalogue, rate, Kind::FREQUENCY), Ok(()));
        assert!(assignable(&catalogue, rate, Kind::ROTATIONAL_SPEED).is_err());
        assert!(compared(Ty::RATIO, Ty::Kind(Kind::ANGLE)).is_err());
        assert_eq!(compared(COUNT, Ty::RATIO), Ok(COUNT));
        // A voltage constant times a speed is a voltage again.
        let voltage = of(Operator::Multiply, Ty::Kind(Kind::VOLTAGE_PER_SPEED), SPEED).unwrap();
        assert_eq!(compared(voltage, AC), Ok(AC));
    }

    #[test]
    fn refusals_name_both_sides() {
        let catalogue = Catalogue::standard();
        let message = |op, left, right| of(op, left, right).unwrap_err().message(&catalogue);
        assert_eq!(
            message(Operator::Add, DC, OHMS),
            "dc voltage and resistance are different quantities"
        );
        assert_eq!(
            message(Operator::Add, PEAK, AC),
            "peak voltage and ac voltage are different kinds of quantity, though their units agree; use rms_of_sine(...)"
        );
        assert_eq!(
            message(Operator::Multiply, Ty::RATIO, TEMPERATURE),
            "temperature is a point of a scale, and has no multiples: twice 20 degC is not 40 degC; use thermodynamic(...)"
        );
        for op in [Operator::Add, Operator::Subtract, Operator::Multiply, Operator::Divide] {
            for (left, _) in catalogue.kinds() {
                for (right, _) in catalogue.kinds() {
                    let (left, right) = (Ty::Kind(left), Ty::Kind(right));
                    let Err(refusal) = of(op, left, right) else { continue };
                    let (one, other) = (left.settled(), right.settled());
                    let turned =
                        matches!(refusal, Refusal::NeedsKind { .. }) && one != refusal.types().0;
                    assert_eq!(refusal.types(), if turned { (other, one) } else { (one, other) });
                    assert!(refusal.message(&catalogue).len() > 30);
                }
            }
        }
    }
}
