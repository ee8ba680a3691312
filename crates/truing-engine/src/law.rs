//! Laws of one quantity: the value, the exact slope, and what an interval of readings makes possible.

use truing_metrology::correction::altitude::standard_pressure;
use truing_metrology::correction::platinum::Platinum;
use truing_metrology::correction::thermistor::BetaLaw;
use truing_metrology::correction::unbalance::negative_sequence;
use truing_metrology::correction::{OutOfRange, WithSlope, thermocouple};
use truing_model::Law;

/// 0 °C in kelvins (SI Brochure, 2.3.1).
const ZERO_CELSIUS: f64 = 273.15;

/// How far a law may be off by rounding, of its value and of its argument.
const SLACK: f64 = 1e-12;

/// The value of a law and its slope, in coherent units: temperatures in kelvins, voltages in volts.
///
/// # Errors
/// An argument, or a constant of the law, that it does not cover; the figures of the error are in
/// the units of the law (°C, mV).
pub fn law_at(law: Law, x: f64) -> Result<WithSlope, OutOfRange> {
    match law {
        Law::Platinum { nominal } => {
            let celsius = Platinum::with_nominal(nominal)?.temperature(x)?;
            Ok(in_kelvins(celsius.value, celsius.slope))
        }
        Law::ThermocoupleK { reference } => {
            let celsius = thermocouple::with_reference_at(1e3 * x, reference - ZERO_CELSIUS)?;
            let [by_millivolts, _] = celsius.slopes;
            Ok(in_kelvins(celsius.value, 1e3 * by_millivolts))
        }
        Law::Beta { resistance, at, beta } => {
            let law = BetaLaw::new(resistance, at - ZERO_CELSIUS, beta)?;
            let celsius = law.temperature(x)?;
            Ok(in_kelvins(celsius.value, celsius.slope))
        }
        Law::StandardPressure => standard_pressure(x),
    }
}

/// Unbalance comes of a root: the rounding of equal voltages, some 1e-16, makes an unbalance of 1e-8.
const BALANCED: f64 = 1e-7;

/// The negative over the positive sequence of three voltages between lines (IEC 61000-4-30), with its
/// slopes by them. There are none in balance, as well as doubles tell, and where the triangle of
/// voltages is flat.
///
/// # Errors
/// A voltage that is not above zero; three voltages that make no triangle.
pub fn sequence_unbalance(line: [f64; 3]) -> Result<(f64, Option<[f64; 3]>), OutOfRange> {
    let unbalance = negative_sequence(line)?;
    let value = unbalance.percent / 100.0;
    let slopes = unbalance.slopes.filter(|_| value > BALANCED);
    Ok((value, slopes.map(|slopes| slopes.map(|slope| slope / 100.0))))
}

fn in_kelvins(celsius: f64, slope: f64) -> WithSlope {
    WithSlope { value: celsius + ZERO_CELSIUS, slope }
}

/// What a law makes of all from `low` to `high`, rounded outward; `None` where it does not cover
/// all of it. A law rises or falls all the way, so its ends are those of the values.
pub(crate) fn law_over(law: Law, low: f64, high: f64) -> Option<(f64, f64)> {
    let end = |x: f64| {
        let at = law_at(law, x).ok()?;
        let slack = SLACK * (at.value.abs() + (at.slope * x).abs());
        Some((at.value - slack, at.value + slack))
    };
    let ((a, b), (c, d)) = (end(low)?, end(high)?);
    let (low, high) = (a.min(c), b.max(d));
    (low.is_finite() && high.is_finite()).then_some((low, high))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "what a test is made of may fail as the test may")]
mod tests {
    use super::*;

    const LAWS: [(Law, f64, f64); 4] = [
        (Law::Platinum { nominal: 100.0 }, 18.6, 390.4),
        (Law::ThermocoupleK { reference: 298.15 }, -7.4e-3, 53.8e-3),
        (Law::Beta { resistance: 1e4, at: 298.15, beta: 3950.0 }, 1.0, 1e7),
        (Law::StandardPressure, -2000.0, 11_000.0),
    ];

    /// What the enclosures rest on: from point to point each law goes one way, within the slack.
    #[test]
    fn laws_go_one_way() {
        for (law, low, high) in LAWS {
            let slope = law_at(law, (low + high) / 2.0).unwrap().slope;
            let mut last: Option<(f64, f64)> = None;
            for step in 0..=20_000 {
                let x = low + (high - low) * f64::from(step) / 20_000.0;
                let at = law_at(law, x).unwrap();
                assert_eq!(at.slope.signum(), slope.signum(), "{law:?} at {x}");
                let next = law_over(law, x, x).unwrap();
                if let Some(last) = last {
                    let along = if slope > 0.0 { next.1 >= last.0 } else { next.0 <= last.1 };
                    assert!(along, "{law:?} at {x}");
                }
                last = Some(next);
            }
        }
    }

    #[test]
    fn outside_its_range_a_law_gives_nothing() {
        for (law, low, high) in LAWS {
            for x in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, low - 1e9, -1e9] {
                assert!(law_at(law, x).is_err(), "{law:?} at {x}");
                assert_eq!(law_over(law, low, x), None, "{law:?} to {x}");
            }
            assert!(law_over(law, low, high).is_some(), "{law:?}");
        }
        // A constant that makes no law makes no number either.
        assert!(law_at(Law::Platinum { nominal: 0.0 }, 100.0).is_err());
        assert!(law_at(Law::Beta { resistance: 1e4, at: 0.0, beta: 1.0 }, 1e4).is_err());
        assert!(law_at(Law::ThermocoupleK { reference: 0.0 }, 0.0).is_err());
    }

    /// Against the values of steps between the ends.
    #[test]
    fn what_an_interval_makes_possible_holds_all_of_it() {
        for (law, low, high) in LAWS {
            let (least, most) = law_over(law, low, high).unwrap();
            for step in 0..=1000 {
                let x = low + (high - low) * f64::from(step) / 1000.0;
                let value = law_at(law, x).unwrap().value;
                assert!(least <= value && value <= most, "{law:?} at {x}");
            }
        }
    }
}
