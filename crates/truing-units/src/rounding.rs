//! Doubles as text, to the digits that they deserve.

/// The value to the decimals that a step deserves: those of the largest power of ten not above it.
/// A step of 0.5 gives one decimal, 0.002 three, 20 rounds to tens. A step that is not above zero
/// gives the shortest text of the value itself.
pub fn figure_text(value: f64, resolution: f64) -> String {
    // Steps such as 0.001 are not doubles: a hair is added before the logarithm is cut off.
    rounded_text(value, (resolution.log10() + 1e-9).floor())
}

/// The value to a number of significant digits (1 to 17).
pub fn significant_text(value: f64, digits: u32) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let digits = digits.clamp(1, 17);
    // Rounding may carry into a further digit (9.96 to two digits is 10): read the power off the
    // rounded text.
    let rounded = format!("{value:.*e}", digits as usize - 1);
    let power = rounded.split_once('e').and_then(|(_, power)| power.parse::<f64>().ok());
    rounded_text(value, power.map_or(f64::NAN, |power| power - f64::from(digits) + 1.0))
}

/// The value rounded at the decimal place of a power of ten.
pub(crate) fn rounded_text(value: f64, power: f64) -> String {
    if !value.is_finite() || !power.is_finite() || power.abs() > 30.0 {
        return value.to_string();
    }
    let power = power as i32;
    let text = if power <= 0 {
        format!("{value:.*}", power.unsigned_abs() as usize)
    } else {
        let step = 10_f64.powi(power);
        format!("{:.0}", (value / step).round_ties_even() * step)
    };
    match text.strip_prefix('-') {
        Some(digits) if digits.chars().all(|c| matches!(c, '0' | '.')) => digits.to_owned(),
        _ => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn figures_are_written_to_the_decimals_of_a_step() {
        for (value, step, expected) in [
            (12.5, 0.5, "12.5"),
            (12.534, 0.01, "12.53"),
            (12.534, 0.002, "12.534"),
            (12.534, 1.0, "13"),
            (1234.0, 20.0, "1230"),
            (-0.001, 0.1, "0.0"),
            (0.3, 0.001, "0.300"),
            (7.0, 0.0, "7"),
            (7.0, f64::NAN, "7"),
        ] {
            assert_eq!(figure_text(value, step), expected, "{value} to {step}");
        }
        for (value, digits, expected) in [
            (9.96, 2, "10"),
            (0.012_345, 3, "0.0123"),
            (1234.0, 2, "1200"),
            (0.0, 3, "0"),
            (-2.5, 4, "-2.500"),
        ] {
            assert_eq!(significant_text(value, digits), expected, "{value} to {digits}");
        }
    }

    proptest! {
        #[test]
        fn texts_of_figures_read_back_within_half_a_step(value in -1e6_f64..1e6, power in -6_i32..=4) {
            let step = 10_f64.powi(power);
            let text: f64 = figure_text(value, step).parse().unwrap();
            prop_assert!((text - value).abs() <= step * 0.500_000_1);
        }
    }
}
