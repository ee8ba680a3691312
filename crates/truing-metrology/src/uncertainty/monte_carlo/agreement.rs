use super::{Simulation, SimulationError};

/// The numerical tolerance δ of a standard uncertainty that is meant with this many significant digits:
/// u = c·10ˡ with c of so many digits gives δ = 10ˡ/2 (JCGM 101:2008, 7.9.2).
///
/// # Errors
/// Digits outside 1 to 6.
pub fn numerical_tolerance(standard_uncertainty: f64, digits: u32) -> Result<f64, SimulationError> {
    let places = match digits {
        1..=6 => digits as usize - 1,
        _ => return Err(SimulationError::Digits(digits)),
    };
    if standard_uncertainty == 0.0 || !standard_uncertainty.is_finite() {
        return Ok(0.0);
    }
    // Rounded in decimal, exactly: 0.0996 with one digit is 1·10⁻¹.
    let text = format!("{:.places$e}", standard_uncertainty.abs());
    let exponent = text.split_once('e').and_then(|(_, exponent)| exponent.parse::<i32>().ok());
    let last = exponent.unwrap_or(0) - places as i32;
    Ok(format!("5e{}", last - 1).parse().unwrap_or(0.0))
}

/// Whether the law of propagation and the simulation say the same.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Agreement {
    /// δ.
    pub tolerance: f64,
    /// d_low = |y − U − y_low|.
    pub low_difference: f64,
    /// d_high = |y + U − y_high|.
    pub high_difference: f64,
}

impl Agreement {
    /// Whether neither end differs by more than δ: the law of propagation is then validated.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.low_difference <= self.tolerance && self.high_difference <= self.tolerance
    }
}

/// Compares y ± U of the law of propagation with the symmetric interval of a simulation
/// (JCGM 101:2008, 8.1, eq. 22 and 23).
///
/// # Errors
/// Digits outside 1 to 6.
pub fn agrees(
    (estimate, expanded_uncertainty): (f64, f64),
    simulation: &Simulation,
    digits: u32,
) -> Result<Agreement, SimulationError> {
    let (low, high) = simulation.symmetric;
    Ok(Agreement {
        tolerance: numerical_tolerance(simulation.standard_uncertainty, digits)?,
        low_difference: (estimate - expanded_uncertainty - low).abs(),
        high_difference: (estimate + expanded_uncertainty - high).abs(),
    })
}
