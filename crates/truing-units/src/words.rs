//! Dimensions in plain words.

use crate::{Dimension, Kind, kind_table::STANDARD_KINDS};

/// Names for the dimensions that several kinds share, where no one kind's name will do.
const SHARED: [(Kind, &str); 9] = [
    (Kind::RATIO, "a plain number"),
    (Kind::DC_VOLTAGE, "voltage"),
    (Kind::DC_CURRENT, "current"),
    (Kind::PRESSURE, "pressure"),
    (Kind::TEMPERATURE, "temperature"),
    (Kind::TORQUE, "force times length"),
    (Kind::FREQUENCY, "one over time"),
    (Kind::MAGNETIC_FLUX, "voltage times time"),
    (Kind::AREA, "area"),
];

/// Kinds that read well in a product or quotient of two.
const PAIRED: [Kind; 14] = [
    Kind::DC_VOLTAGE,
    Kind::DC_CURRENT,
    Kind::RESISTANCE,
    Kind::FORCE,
    Kind::PRESSURE,
    Kind::POWER,
    Kind::ENERGY,
    Kind::LENGTH,
    Kind::AREA,
    Kind::VOLUME,
    Kind::MASS,
    Kind::TIME,
    Kind::TEMPERATURE,
    Kind::FREQUENCY,
];

/// The dimension in plain words, else in base units.
pub(crate) fn dimension_words(dimension: Dimension) -> String {
    if let Some(name) = name_of(dimension) {
        return name.to_owned();
    }
    for left in PAIRED {
        for right in PAIRED {
            let (Some(one), Some(other)) = (def_dimension(left), def_dimension(right)) else {
                continue;
            };
            let (Some(left), Some(right)) = (name_of(one), name_of(other)) else { continue };
            if one.quotient(other) == dimension {
                return format!("{left} per {right}");
            }
            if one.product(other) == dimension {
                return format!("{left} times {right}");
            }
        }
    }
    format!("a quantity in {dimension}")
}

fn def_dimension(kind: Kind) -> Option<Dimension> {
    STANDARD_KINDS.get(kind.index()).map(|def| def.dimension)
}

fn name_of(dimension: Dimension) -> Option<&'static str> {
    let shared = SHARED.iter().find(|(kind, _)| def_dimension(*kind) == Some(dimension));
    if let Some((_, name)) = shared {
        return Some(name);
    }
    STANDARD_KINDS.iter().find(|def| def.dimension == dimension).map(|def| def.words.as_ref())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_dimensions_as_people_do() {
        let of = |kind| def_dimension(kind).unwrap();
        assert_eq!(dimension_words(of(Kind::AC_VOLTAGE)), "voltage");
        assert_eq!(dimension_words(Dimension::NONE), "a plain number");
        assert_eq!(dimension_words(of(Kind::ENERGY)), "force times length");
        assert_eq!(
            dimension_words(of(Kind::DC_VOLTAGE).quotient(of(Kind::TIME))),
            "voltage per time"
        );
        assert_eq!(dimension_words(Dimension([5, 0, 0, 0, 3, 0, 1])), "a quantity in m^5.K^3.cd");
    }
}
