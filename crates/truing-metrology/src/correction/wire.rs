//! What a conductor should have: IEC 60228 sizes, American wire gauge, and any length and section.

use super::resistance::COPPER_RESISTIVITY_20;
use super::{OutOfRange, WithSlopes, positive, within};

/// Classes of copper conductors (IEC 60228:2004).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Class {
    /// Class 1, solid.
    Solid,
    /// Class 2, stranded.
    Stranded,
    /// Class 5, flexible.
    Flexible,
    /// Class 6, more flexible; up to 300 mm² its resistances are those of class 5.
    MoreFlexible,
}

/// Whether the wires are coated with tin or another metal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Surface {
    /// Plain copper.
    Plain,
    /// Metal-coated copper.
    Coated,
}

/// Plain and coated, Ω/km.
type Pair = (Option<f64>, Option<f64>);

/// A row of the tables of IEC 60228: the area in mm², classes 1, 2 and 5.
struct Row(f64, Pair, Pair, Pair);

const fn both(plain: f64, coated: f64) -> Pair {
    (Some(plain), Some(coated))
}

const fn plain(plain: f64) -> Pair {
    (Some(plain), None)
}

const NONE: Pair = (None, None);

/// IEC 60228:2004, tables of classes 1, 2 and 5: maximum resistance at 20 °C of annealed copper,
/// Ω/km, read in public reproductions. Class 5 of 50 mm² is indeed below class 2.
const IEC_60228: [Row; 22] = [
    Row(0.5, both(36.0, 36.7), both(36.0, 36.7), both(39.0, 40.1)),
    Row(0.75, both(24.5, 24.8), both(24.5, 24.8), both(26.0, 26.7)),
    Row(1.0, both(18.1, 18.2), both(18.1, 18.2), both(19.5, 20.0)),
    Row(1.5, both(12.1, 12.2), both(12.1, 12.2), both(13.3, 13.7)),
    Row(2.5, both(7.41, 7.56), both(7.41, 7.56), both(7.98, 8.21)),
    Row(4.0, both(4.61, 4.70), both(4.61, 4.70), both(4.95, 5.09)),
    Row(6.0, both(3.08, 3.11), both(3.08, 3.11), both(3.30, 3.39)),
    Row(10.0, both(1.83, 1.84), both(1.83, 1.84), both(1.91, 1.95)),
    Row(16.0, both(1.15, 1.16), both(1.15, 1.16), both(1.21, 1.24)),
    Row(25.0, plain(0.727), both(0.727, 0.734), both(0.780, 0.795)),
    Row(35.0, plain(0.524), both(0.524, 0.529), both(0.554, 0.565)),
    Row(50.0, plain(0.387), both(0.387, 0.391), both(0.386, 0.393)),
    Row(70.0, plain(0.268), both(0.268, 0.270), both(0.272, 0.277)),
    Row(95.0, plain(0.193), both(0.193, 0.195), both(0.206, 0.210)),
    Row(120.0, plain(0.153), both(0.153, 0.154), both(0.161, 0.164)),
    Row(150.0, plain(0.124), both(0.124, 0.126), both(0.129, 0.132)),
    Row(185.0, plain(0.101), both(0.0991, 0.100), both(0.106, 0.108)),
    Row(240.0, plain(0.0775), both(0.0754, 0.0762), both(0.0801, 0.0817)),
    Row(300.0, plain(0.0620), both(0.0601, 0.0607), both(0.0641, 0.0654)),
    Row(400.0, plain(0.0465), both(0.0470, 0.0475), both(0.0486, 0.0495)),
    Row(500.0, NONE, both(0.0366, 0.0369), both(0.0384, 0.0391)),
    Row(630.0, NONE, both(0.0283, 0.0286), both(0.0287, 0.0292)),
];

/// The largest resistance in Ω/km at 20 °C that a copper conductor of a nominal area in mm² may
/// have (IEC 60228:2004, tables of the classes). `None`: the tables up to 630 mm² have no such conductor.
/// The area names the size; nothing is interpolated.
#[must_use]
pub fn maximum_resistance(area: f64, class: Class, surface: Surface) -> Option<f64> {
    let Row(size, solid, stranded, flexible) = IEC_60228.iter().find(|row| row.0 == area)?;
    let (plain, coated) = match class {
        Class::Solid => solid,
        Class::Stranded => stranded,
        Class::Flexible => flexible,
        Class::MoreFlexible if *size <= 300.0 => flexible,
        Class::MoreFlexible => return None,
    };
    match surface {
        Surface::Plain => *plain,
        Surface::Coated => *coated,
    }
}

/// The nominal areas of the table in mm², rising.
pub fn areas() -> impl Iterator<Item = f64> {
    IEC_60228.iter().map(|row| row.0)
}

/// The diameter in mm of a solid wire of an American wire gauge: 0.127 mm · 92^((36 − n)/39)
/// (ASTM B258; `from memory`). Gauges 0, 00, 000 and 0000 are 0, −1, −2 and −3.
///
/// # Errors
/// A gauge outside −3 to 56.
pub fn awg_diameter(gauge: i32) -> Result<f64, OutOfRange> {
    let gauge = within("gauge", f64::from(gauge), -3.0, 56.0)?;
    Ok(0.127 * libm::pow(92.0, (36.0 - gauge) / 39.0))
}

/// The resistance in Ω/km at 20 °C of a solid wire of annealed copper of an American wire gauge.
/// Printed tables round the diameter first and differ in the fourth digit.
///
/// # Errors
/// A gauge outside −3 to 56.
pub fn awg_resistance(gauge: i32) -> Result<f64, OutOfRange> {
    let diameter = awg_diameter(gauge)?;
    let area = std::f64::consts::FRAC_PI_4 * diameter * diameter;
    Ok(of_length(COPPER_RESISTIVITY_20, 1000.0, area)?.value)
}

/// The resistance in Ω of a conductor: ρ l / A, with the resistivity in Ω·mm²/m, the length in m
/// and the area in mm². Slopes: by `resistivity`, `length`, `area`.
///
/// # Errors
/// An argument that is not above zero.
pub fn of_length(resistivity: f64, length: f64, area: f64) -> Result<WithSlopes<3>, OutOfRange> {
    positive("resistivity", resistivity)?;
    positive("length", length)?;
    positive("area", area)?;
    let value = resistivity * length / area;
    WithSlopes::checked(value, [length / area, resistivity / area, -value / area])
}
