//! `tests/reference/three-phase.toml`.

use proptest::prelude::*;
use truing_metrology::correction::connection::{self, Connection, LINE_OVER_PHASE};
use truing_metrology::correction::rectifier::{Rectifier, SINE_FORM_FACTOR};
use truing_metrology::correction::symmetrical::{Components, Phasor, line_voltages};
use truing_metrology::correction::{resistance, unbalance};

use crate::published::{Check, hold};

#[test]
fn the_published_figures_of_three_phase_machines_are_met() {
    hold("three-phase.toml", "three_phase.", |check| {
        match check.topic.strip_prefix("three_phase.")? {
            "frequency" => frequency(check).map(|value| vec![value]),
            "unbalance" => percent(check).map(|value| vec![value]),
            "rectifier" => rectified(check).map(|value| vec![value]),
            "connection" => star_and_delta(check),
            "winding" => winding(check),
            _ => None,
        }
    });
}

fn poles(check: &Check) -> u32 {
    u32::try_from(check.whole("poles")).unwrap()
}

fn frequency(check: &Check) -> Option<f64> {
    match check.id.as_str() {
        "tp.rpm_from_f" => {
            Some(connection::speed(check.number("f_Hz"), poles(check)).unwrap().value)
        }
        id if id.starts_with("tp.freq_") => {
            Some(connection::frequency(check.number("rpm"), poles(check)).unwrap().value)
        }
        _ => None,
    }
}

fn percent(check: &Check) -> Option<f64> {
    let line = check.three("V_line");
    if check.id.starts_with("tp.nema_") {
        Some(unbalance::from_mean(line).unwrap().percent)
    } else if check.id.starts_with("tp.iec_") {
        Some(unbalance::negative_sequence(line).unwrap().percent)
    } else {
        None
    }
}

fn rectified(check: &Check) -> Option<f64> {
    let value = match check.id.strip_prefix("tp.rect")? {
        "6.avg_Vph" => Rectifier::SixPulse.mean_over_phase(),
        "6.peak" => Rectifier::SixPulse.mean_over_peak(),
        "6.ripple_factor" => Rectifier::SixPulse.ripple_factor(),
        "6.ripple_freq" => {
            let supply = connection::frequency(check.number("rpm"), poles(check)).unwrap();
            Rectifier::SixPulse.ripple_frequency(supply.value).unwrap()
        }
        "3.avg_Vph" => Rectifier::ThreePulse.mean_over_phase(),
        "1.full" => Rectifier::TwoPulse.mean_over_phase(),
        "1.half" => Rectifier::OnePulse.mean_over_phase(),
        "1.form" => {
            // The mean of the rectified sine is the output of the full-wave rectifier.
            assert!((Rectifier::TwoPulse.form_factor() - SINE_FORM_FACTOR).abs() < 1e-15);
            SINE_FORM_FACTOR
        }
        "1.ripple_full" => Rectifier::TwoPulse.ripple_factor(),
        _ => return None,
    };
    Some(value)
}

fn star_and_delta(check: &Check) -> Option<Vec<f64>> {
    (check.id == "tp.star_delta").then(|| {
        let phase = check.number("R_phase_ohm");
        let seen = |connection: Connection| connection.terminal_resistance(phase).unwrap().value;
        vec![
            Connection::Star.line_over_winding_voltage(),
            seen(Connection::Star),
            seen(Connection::Delta),
        ]
    })
}

fn winding(check: &Check) -> Option<Vec<f64>> {
    if check.id == "tp.winding_alpha_zero" {
        let k = resistance::constant_from_alpha20(check.number("alpha20")).unwrap();
        return Some(vec![k.value]);
    }
    let [r1, t1, r2, k] = ["R1", "t1", "R2", "k"].map(|name| check.number(name));
    if check.id == "tp.winding_rise_ambient" {
        return Some(vec![resistance::rise(r1, t1, r2, check.number("ta"), k).unwrap().value]);
    }
    let hot = resistance::temperature(r1, t1, r2, k).unwrap().value;
    let rise = resistance::rise(r1, t1, r2, t1, k).unwrap().value;
    Some(vec![hot, rise])
}

/// The rectified output as it is in time, sampled: the integrals that the constants stand for.
#[test]
fn rectifier_constants_are_the_integrals_of_the_waveform() {
    let cases: [(Rectifier, &[f64]); 4] = [
        (Rectifier::OnePulse, &[0.0]),
        (Rectifier::TwoPulse, &[0.0, 180.0]),
        (Rectifier::ThreePulse, &[0.0, 120.0, 240.0]),
        (Rectifier::SixPulse, &[0.0, 60.0, 120.0, 180.0, 240.0, 300.0]),
    ];
    for (rectifier, shifts) in cases {
        let samples = 360_000;
        let (mut sum, mut squares) = (0.0, 0.0);
        for sample in 0..samples {
            let degrees = (f64::from(sample) + 0.5) / 1000.0;
            let output = shifts
                .iter()
                .map(|shift| (degrees - shift).to_radians().cos())
                .fold(0.0_f64, f64::max);
            sum += output;
            squares += output * output;
        }
        let (mean, square) = (sum / f64::from(samples), squares / f64::from(samples));
        assert!((rectifier.mean_over_peak() - mean).abs() < 1e-9, "{rectifier:?}");
        assert!((rectifier.effective_over_peak() - square.sqrt()).abs() < 1e-9, "{rectifier:?}");
        assert_eq!(rectifier.pulses() as usize, shifts.len());
    }
    // 3√2/π, textbook.
    let bridge = Rectifier::SixPulse.mean_over_line().unwrap();
    assert!((bridge - 1.350_474_474).abs() < 1e-9);
    assert_eq!(Rectifier::TwoPulse.mean_over_line(), None);
    assert!((LINE_OVER_PHASE - 3_f64.sqrt()).abs() < 1e-15);
}

/// Three phasors whose differences are the sides of the triangle with these line voltages.
fn triangle([ab, bc, ca]: [f64; 3]) -> [Phasor; 3] {
    let real = (ab * ab + ca * ca - bc * bc) / (2.0 * ab);
    let third = Phasor { real, imaginary: -(ca * ca - real * real).max(0.0).sqrt() };
    let first = Phasor { real: 0.0, imaginary: 0.0 };
    [first, Phasor { real: ab, imaginary: 0.0 }, third]
}

proptest! {
    /// The beta method agrees with the components of the triangle itself.
    #[test]
    fn line_voltages_and_phasors_give_one_unbalance(
        line in prop::array::uniform3(300.0..500.0),
    ) {
        let phasors = line_voltages(triangle(line));
        for (phasor, magnitude) in phasors.iter().zip(line) {
            prop_assert!((phasor.magnitude() - magnitude).abs() < 1e-9);
        }
        let components = Components::of_phases(phasors);
        let (one, other) = (components.negative.magnitude(), components.positive.magnitude());
        let percent = 100.0 * one.min(other) / one.max(other);
        let by_beta = unbalance::negative_sequence(line).unwrap().percent;
        prop_assert!((by_beta - percent).abs() < 1e-9, "{by_beta} {percent}");
        prop_assert!(components.zero.magnitude() < 1e-9, "line voltages add to nothing");
    }

    #[test]
    fn components_and_phases_are_the_same_thing(
        parts in prop::array::uniform3((0.0..400.0, -180.0..180.0)),
    ) {
        let [zero, positive, negative] =
            parts.map(|(magnitude, degrees)| Phasor::polar(magnitude, degrees));
        let components = Components { zero, positive, negative };
        let again = Components::of_phases(components.phases());
        for (got, made) in
            [(again.zero, zero), (again.positive, positive), (again.negative, negative)]
        {
            prop_assert!((got - made).magnitude() < 1e-11);
        }
    }
}

/// From the definition: a positive sequence turns by −120° from phase to phase.
#[test]
fn pure_sequences_have_one_component() {
    let turning = |by: f64| [0.0, 1.0, 2.0].map(|phase| Phasor::polar(230.0, 17.0 + by * phase));
    let positive = Components::of_phases(turning(-120.0));
    assert!((positive.positive.magnitude() - 230.0).abs() < 1e-12);
    assert!((positive.positive.degrees() - 17.0).abs() < 1e-12);
    assert!(positive.negative_percent().unwrap() < 1e-12);
    assert!(positive.zero_percent().unwrap() < 1e-12);
    let negative = Components::of_phases(turning(120.0));
    assert!((negative.negative.magnitude() - 230.0).abs() < 1e-12);
    let zero = Components::of_phases(turning(0.0));
    assert!((zero.zero.magnitude() - 230.0).abs() < 1e-12);
}

#[test]
fn an_unbalance_has_no_slope_where_it_has_a_corner() {
    for line in [[400.0, 400.0, 400.0], [400.0, 390.0, 410.0]] {
        assert_eq!(unbalance::from_mean(line).unwrap().slopes, None);
    }
    let balanced = unbalance::negative_sequence([400.0; 3]).unwrap();
    assert_eq!((balanced.percent, balanced.slopes), (0.0, None));
    // Sides 3, 1, 1 make no triangle.
    assert!(unbalance::negative_sequence([3.0, 1.0, 1.0]).is_err());
    // 1e-9 of unbalance is still seen: β alone would round to 1/3.
    let slight = unbalance::negative_sequence([400.0, 400.0, 400.0 * (1.0 + 1e-9)]).unwrap();
    assert!((slight.percent / (100.0 * 2e-9 / 3.0) - 1.0).abs() < 1e-5, "{}", slight.percent);
}
