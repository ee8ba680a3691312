//! Unbalance of three line voltages, in percent.
//!
//! The two measures are different numbers: the deviation from the mean (NEMA MG 1) and the ratio of
//! the negative to the positive sequence (IEC). Both take voltages *between lines*.

use super::{OutOfRange, finite, positive, within};

/// An unbalance with its sensitivity to each voltage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unbalance {
    /// The unbalance, percent.
    pub percent: f64,
    /// Its derivatives by the three voltages, percent per volt. `None` where it has none: in exact
    /// balance, where two deviations are equally large, or where the triangle of voltages is flat.
    pub slopes: Option<[f64; 3]>,
}

/// The percent unbalance of NEMA MG 1 (14.36 and 20.24; `from memory`): 100 times the largest
/// deviation from the mean of the three line voltages, over the mean.
///
/// # Errors
/// A voltage that is not above zero.
pub fn from_mean(line: [f64; 3]) -> Result<Unbalance, OutOfRange> {
    for voltage in line {
        positive("line voltage", voltage)?;
    }
    let mean = finite("sum of the line voltages", line.iter().sum())? / 3.0;
    let off = line.map(|voltage| voltage - mean);
    let largest = off.iter().fold(0.0_f64, |most, deviation| most.max(deviation.abs()));
    let percent = finite("unbalance", 100.0 * largest / mean)?;
    let mut far = line.iter().zip(off).enumerate().filter(|(_, (_, off))| off.abs() == largest);
    let slopes = match (far.next(), far.next()) {
        (Some((place, (voltage, off))), None) => {
            let sign = off.signum();
            let shared = -100.0 * sign * (voltage / mean) / (3.0 * mean);
            let own = |other: usize| if other == place { 100.0 * sign / mean } else { 0.0 };
            Some([own(0) + shared, own(1) + shared, own(2) + shared])
        }
        _ => None,
    };
    Ok(Unbalance { percent, slopes: slopes.filter(all_finite) })
}

/// The negative-sequence unbalance u₂ in percent from three line voltages (IEC 61000-4-30, 5.7.1;
/// IEC 60034-26; `from memory`): u₂ = √((1 − s)/(1 + s)), s = √(3 − 6β), β = ΣU⁴/(ΣU²)².
///
/// It is worked out as √d/(1 + √(1 − d)) with d = 6β − 2, and d from the differences of the
/// squares, so that nothing cancels near balance.
///
/// # Errors
/// A voltage that is not above zero; three voltages that make no triangle (d above 1).
pub fn negative_sequence(line: [f64; 3]) -> Result<Unbalance, OutOfRange> {
    for voltage in line {
        positive("line voltage", voltage)?;
    }
    // Taken relative to the largest, the squares neither overflow nor vanish.
    let scale = line.iter().fold(0.0_f64, |most, voltage| most.max(*voltage));
    let relative = line.map(|voltage| voltage / scale);
    let [a, b, c] = relative.map(|voltage| voltage * voltage);
    let sum = a + b + c;
    let spread = (a - b) * (a - b) + (b - c) * (b - c) + (c - a) * (c - a);
    let d = within("6 beta - 2 of the line voltages", 2.0 * spread / (sum * sum), 0.0, 1.0)?;
    let s = (1.0 - d).sqrt();
    let percent = 100.0 * d.sqrt() / (1.0 + s);
    let by_d = 100.0 / (2.0 * d.sqrt() * s * (1.0 + s));
    let by_square = |square: f64| 4.0 * (3.0 * square - sum) / (sum * sum) - 2.0 * d / sum;
    let [u, v, w] = relative;
    let slope = |square, voltage: f64| by_d * by_square(square) * 2.0 * voltage / scale;
    let slopes = [slope(a, u), slope(b, v), slope(c, w)];
    Ok(Unbalance { percent, slopes: Some(slopes).filter(all_finite) })
}

fn all_finite(slopes: &[f64; 3]) -> bool {
    slopes.iter().all(|slope| slope.is_finite())
}
