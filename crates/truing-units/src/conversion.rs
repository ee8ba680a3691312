//! Conversions between kinds: named functions, never silent.

use std::f64::consts::{FRAC_1_SQRT_2, PI, SQRT_2};

use crate::{Dimension, Kind, Ty};

/// A named function that turns a quantity of one kind into another by a constant factor.
#[derive(Copy, Clone, PartialEq, Debug)]
pub struct Conversion {
    /// The function's name in the language.
    pub name: &'static str,
    /// The kind that it takes.
    pub from: Kind,
    /// The type that it gives.
    pub to: Ty,
    /// What a value in the coherent unit is multiplied by.
    pub factor: f64,
    /// When it is right to use it.
    pub doc: &'static str,
}

const fn row(name: &'static str, from: Kind, to: Ty, factor: f64, doc: &'static str) -> Conversion {
    Conversion { name, from, to, factor, doc }
}

static CONVERSIONS: [Conversion; 8] = [
    row(
        "rms_of_sine",
        Kind::PEAK_VOLTAGE,
        Ty::Kind(Kind::AC_VOLTAGE),
        FRAC_1_SQRT_2,
        "The rms value of a sine wave of this peak: peak over the square root of 2. Wrong for any other wave.",
    ),
    row(
        "peak_of_sine",
        Kind::AC_VOLTAGE,
        Ty::Kind(Kind::PEAK_VOLTAGE),
        SQRT_2,
        "The peak of a sine wave of this rms value. Wrong for any other wave.",
    ),
    row(
        "above_ambient",
        Kind::GAUGE_PRESSURE,
        Ty::Kind(Kind::PRESSURE),
        1.0,
        "How far the pressure lies above that of the surroundings.",
    ),
    row(
        "above_vacuum",
        Kind::ABSOLUTE_PRESSURE,
        Ty::Kind(Kind::PRESSURE),
        1.0,
        "How far the pressure lies above vacuum.",
    ),
    row(
        "thermodynamic",
        Kind::TEMPERATURE,
        Ty::Plain(Dimension([0, 0, 0, 0, 1, 0, 0])),
        1.0,
        "The thermodynamic temperature in kelvins, which may be multiplied and divided.",
    ),
    row(
        "frequency_of",
        Kind::ROTATIONAL_SPEED,
        Ty::Kind(Kind::FREQUENCY),
        0.5 / PI,
        "Turns per second as a frequency; times the pole pairs it is that of an alternator.",
    ),
    row(
        "rotational_speed_of",
        Kind::FREQUENCY,
        Ty::Kind(Kind::ROTATIONAL_SPEED),
        2.0 * PI,
        "The speed of a shaft that turns once a cycle.",
    ),
    row("turns_of", Kind::ANGLE, Ty::RATIO, 0.5 / PI, "The angle as a number of whole turns."),
];

/// Every named conversion between kinds.
pub fn conversions() -> &'static [Conversion] {
    &CONVERSIONS
}

/// The function that makes two types alike, whichever of them it takes.
pub(crate) fn conversion_between(left: Ty, right: Ty) -> Option<&'static str> {
    let turns = |from: Ty, to: Ty| {
        CONVERSIONS
            .iter()
            .find(|known| Ty::Kind(known.from) == from && known.to == to)
            .map(|known| known.name)
    };
    turns(left, right).or_else(|| turns(right, left))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Catalogue, comparable};

    #[test]
    fn conversions_join_kinds_that_do_not_mix_and_go_back() {
        let catalogue = Catalogue::standard();
        for known in conversions() {
            let from = Ty::Kind(known.from);
            assert_eq!(
                from.dimension(&catalogue),
                known.to.dimension(&catalogue),
                "{}",
                known.name
            );
            assert!(
                comparable(&catalogue, from, known.to).is_err(),
                "{} is not needed",
                known.name
            );
            let back = conversions()
                .iter()
                .find(|other| Ty::Kind(other.from) == known.to && other.to == from);
            assert!(
                back.is_none_or(|back| (back.factor * known.factor - 1.0).abs() < 1e-15),
                "{}",
                known.name
            );
        }
    }

    #[test]
    fn a_shaft_at_3000_rpm_turns_at_50_hertz() {
        let speed = Catalogue::standard().unit("rpm").unwrap().factor().to_f64() * 3000.0;
        let known = conversions().iter().find(|known| known.name == "frequency_of").unwrap();
        assert!((speed * known.factor - 50.0).abs() < 1e-12); // arithmetic
    }
}
