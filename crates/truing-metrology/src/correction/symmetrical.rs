//! Symmetrical components of three phasors (Fortescue, Trans. AIEE 37 (1918) 1027; `from memory`).

use std::ops::{Add, Mul, Sub};

use super::{OutOfRange, positive};

/// A voltage or current as a complex number, in any unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Phasor {
    /// The part in phase with the reference.
    pub real: f64,
    /// The part a quarter turn ahead.
    pub imaginary: f64,
}

/// cos 120° and sin 120°.
const TURN: Phasor = Phasor { real: -0.5, imaginary: 0.866_025_403_784_438_6 };
const TURN_BACK: Phasor = Phasor { real: TURN.real, imaginary: -TURN.imaginary };

impl Phasor {
    /// A phasor of a magnitude at an angle in degrees.
    #[must_use]
    pub fn polar(magnitude: f64, degrees: f64) -> Self {
        let angle = degrees.to_radians();
        Self { real: magnitude * libm::cos(angle), imaginary: magnitude * libm::sin(angle) }
    }

    /// The magnitude.
    #[must_use]
    pub fn magnitude(self) -> f64 {
        libm::hypot(self.real, self.imaginary)
    }

    /// The angle in degrees, above −180 up to 180.
    #[must_use]
    pub fn degrees(self) -> f64 {
        libm::atan2(self.imaginary, self.real).to_degrees()
    }

    fn third(self) -> Self {
        Self { real: self.real / 3.0, imaginary: self.imaginary / 3.0 }
    }
}

impl Add for Phasor {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { real: self.real + other.real, imaginary: self.imaginary + other.imaginary }
    }
}

impl Sub for Phasor {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self { real: self.real - other.real, imaginary: self.imaginary - other.imaginary }
    }
}

impl Mul for Phasor {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        Self {
            real: self.real * other.real - self.imaginary * other.imaginary,
            imaginary: self.real * other.imaginary + self.imaginary * other.real,
        }
    }
}

/// The three components of the first phase; those of the others follow by thirds of a turn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Components {
    /// What the three phases have in common.
    pub zero: Phasor,
    /// What turns in the order of the phases.
    pub positive: Phasor,
    /// What turns the other way.
    pub negative: Phasor,
}

impl Components {
    /// The components of three phases in their order: zero (A + B + C)/3, positive
    /// (A + aB + a²C)/3, negative (A + a²B + aC)/3, with a a third of a turn.
    #[must_use]
    pub fn of_phases([first, second, third]: [Phasor; 3]) -> Self {
        Self {
            zero: (first + second + third).third(),
            positive: (first + TURN * second + TURN_BACK * third).third(),
            negative: (first + TURN_BACK * second + TURN * third).third(),
        }
    }

    /// The three phases again.
    #[must_use]
    pub fn phases(&self) -> [Phasor; 3] {
        let Self { zero, positive, negative } = *self;
        [
            zero + positive + negative,
            zero + TURN_BACK * positive + TURN * negative,
            zero + TURN * positive + TURN_BACK * negative,
        ]
    }

    /// The negative over the positive sequence, percent (IEC 61000-4-30, 5.7.1; `from memory`).
    ///
    /// # Errors
    /// No positive sequence at all.
    pub fn negative_percent(&self) -> Result<f64, OutOfRange> {
        self.percent(self.negative)
    }

    /// The zero over the positive sequence, percent (as [`Self::negative_percent`]).
    ///
    /// # Errors
    /// No positive sequence at all.
    pub fn zero_percent(&self) -> Result<f64, OutOfRange> {
        self.percent(self.zero)
    }

    fn percent(&self, part: Phasor) -> Result<f64, OutOfRange> {
        Ok(100.0 * part.magnitude() / positive("positive sequence", self.positive.magnitude())?)
    }
}

/// The voltages between lines A−B, B−C, C−A from the three voltages to neutral.
#[must_use]
pub fn line_voltages([first, second, third]: [Phasor; 3]) -> [Phasor; 3] {
    [first - second, second - third, third - first]
}
