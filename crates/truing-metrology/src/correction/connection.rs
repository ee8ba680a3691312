//! Star and delta, and the frequency of an alternator. Textbook relations.
//!
//! Resistances are in any one unit. `[ab, bc, ca]` are the values between terminals A–B, B–C and
//! C–A, `[a, b, c]` those of the branches of a star to its middle.

use super::{OutOfRange, WithSlope, WithSlopes, positive, within};

/// √3: line over phase voltage in star, line over phase current in delta, when balanced.
pub const LINE_OVER_PHASE: f64 = 1.732_050_807_568_877_2;

/// How three equal windings are connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Connection {
    /// One end of each winding to a common middle.
    Star,
    /// End to end.
    Delta,
}

impl Connection {
    /// Line voltage over the voltage of a winding, balanced.
    #[must_use]
    pub fn line_over_winding_voltage(self) -> f64 {
        match self {
            Self::Star => LINE_OVER_PHASE,
            Self::Delta => 1.0,
        }
    }

    /// Line current over the current of a winding, balanced.
    #[must_use]
    pub fn line_over_winding_current(self) -> f64 {
        match self {
            Self::Star => 1.0,
            Self::Delta => LINE_OVER_PHASE,
        }
    }

    /// The resistance between two terminals over that of one of three equal windings: 2 in star,
    /// 2/3 in delta.
    #[must_use]
    pub fn terminal_over_winding(self) -> f64 {
        match self {
            Self::Star => 2.0,
            Self::Delta => 2.0 / 3.0,
        }
    }

    /// The resistance between two terminals of three equal windings of `winding`.
    ///
    /// # Errors
    /// A resistance that is not above zero.
    pub fn terminal_resistance(self, winding: f64) -> Result<WithSlope, OutOfRange> {
        let factor = self.terminal_over_winding();
        WithSlope::checked(positive("resistance", winding)? * factor, factor)
    }

    /// The resistance of one of three equal windings from that between two terminals.
    ///
    /// # Errors
    /// A resistance that is not above zero.
    pub fn winding_resistance(self, terminal: f64) -> Result<WithSlope, OutOfRange> {
        let factor = self.terminal_over_winding();
        WithSlope::checked(positive("resistance", terminal)? / factor, 1.0 / factor)
    }
}

/// Slopes of the star branch A by the terminal resistances AB, BC, CA; the others are rotated.
const STAR_BY_TERMINALS: [f64; 3] = [0.5, -0.5, 0.5];

/// The branches `[a, b, c]` of a star of unequal windings from its three terminal resistances:
/// A = (AB + CA − BC)/2. Slopes of each: by `ab`, `bc`, `ca`.
///
/// # Errors
/// A resistance that is not above zero; three that no star has.
pub fn star_of_terminals([ab, bc, ca]: [f64; 3]) -> Result<[WithSlopes<3>; 3], OutOfRange> {
    for resistance in [ab, bc, ca] {
        positive("terminal resistance", resistance)?;
    }
    let branch = |near: f64, far: f64, other: f64, slopes| {
        WithSlopes::checked(positive("star branch", (near - far + other) / 2.0)?, slopes)
    };
    let [near, far, other] = STAR_BY_TERMINALS;
    Ok([
        branch(ab, bc, ca, [near, far, other])?,
        branch(bc, ca, ab, [other, near, far])?,
        branch(ca, ab, bc, [far, other, near])?,
    ])
}

/// The windings `[ab, bc, ca]` of the delta that a star `[a, b, c]` is equal to from outside:
/// AB = A + B + AB/C. Slopes of each: by `a`, `b`, `c`.
///
/// # Errors
/// A resistance that is not above zero.
pub fn delta_of_star([a, b, c]: [f64; 3]) -> Result<[WithSlopes<3>; 3], OutOfRange> {
    for resistance in [a, b, c] {
        positive("star branch", resistance)?;
    }
    let side = |one: f64, two: f64, opposite: f64| {
        let value = one + two + one * two / opposite;
        (value, 1.0 + two / opposite, 1.0 + one / opposite, -one * two / (opposite * opposite))
    };
    let (ab, bc, ca) = (side(a, b, c), side(b, c, a), side(c, a, b));
    Ok([
        WithSlopes::checked(ab.0, [ab.1, ab.2, ab.3])?,
        WithSlopes::checked(bc.0, [bc.3, bc.1, bc.2])?,
        WithSlopes::checked(ca.0, [ca.2, ca.3, ca.1])?,
    ])
}

/// The star `[a, b, c]` that a delta `[ab, bc, ca]` is equal to from outside: A = AB·CA/Σ.
/// Slopes of each: by `ab`, `bc`, `ca`.
///
/// # Errors
/// A resistance that is not above zero.
pub fn star_of_delta([ab, bc, ca]: [f64; 3]) -> Result<[WithSlopes<3>; 3], OutOfRange> {
    for resistance in [ab, bc, ca] {
        positive("winding resistance", resistance)?;
    }
    let sum = ab + bc + ca;
    let branch = |one: f64, two: f64| {
        let value = one * two / sum;
        (value, (two - value) / sum, (one - value) / sum, -value / sum)
    };
    let (a, b, c) = (branch(ab, ca), branch(bc, ab), branch(ca, bc));
    Ok([
        WithSlopes::checked(a.0, [a.1, a.3, a.2])?,
        WithSlopes::checked(b.0, [b.2, b.1, b.3])?,
        WithSlopes::checked(c.0, [c.3, c.2, c.1])?,
    ])
}

/// The windings `[ab, bc, ca]` of a delta from its three terminal resistances, by way of the star
/// of the same terminals. Slopes of each: by the terminal resistances `ab`, `bc`, `ca`.
///
/// # Errors
/// A resistance that is not above zero; three that no delta has.
pub fn delta_of_terminals(terminals: [f64; 3]) -> Result<[WithSlopes<3>; 3], OutOfRange> {
    let star = star_of_terminals(terminals)?;
    let [ab, bc, ca] = delta_of_star(star.map(|branch| branch.value))?;
    let chained = |side: WithSlopes<3>| {
        let by = star.iter().zip(side.slopes).fold([0.0; 3], |[x, y, z], (branch, by_branch)| {
            let [by_ab, by_bc, by_ca] = branch.slopes;
            [x + by_branch * by_ab, y + by_branch * by_bc, z + by_branch * by_ca]
        });
        WithSlopes::checked(side.value, by)
    };
    Ok([chained(ab)?, chained(bc)?, chained(ca)?])
}

/// The frequency in Hz of an alternator of `poles` poles (not pole pairs) at a speed in r/min:
/// n p/120.
///
/// # Errors
/// A speed below zero; a number of poles that is zero or odd.
pub fn frequency(speed: f64, poles: u32) -> Result<WithSlope, OutOfRange> {
    let poles = even(poles)?;
    let value = within("speed", speed, 0.0, f64::MAX)? * poles / 120.0;
    WithSlope::checked(value, poles / 120.0)
}

/// The speed in r/min of an alternator of `poles` poles (not pole pairs) at a frequency in Hz:
/// 120 f/p.
///
/// # Errors
/// A frequency below zero; a number of poles that is zero or odd.
pub fn speed(frequency: f64, poles: u32) -> Result<WithSlope, OutOfRange> {
    let poles = even(poles)?;
    let value = 120.0 * within("frequency", frequency, 0.0, f64::MAX)? / poles;
    WithSlope::checked(value, 120.0 / poles)
}

fn even(poles: u32) -> Result<f64, OutOfRange> {
    // A machine has its poles in pairs; an odd number is most likely a count of pairs.
    let value = f64::from(poles);
    if poles == 0 || poles % 2 == 1 {
        let what = "poles, an even number,";
        return Err(OutOfRange { what, value, low: 2.0, high: f64::from(u32::MAX) });
    }
    Ok(value)
}
