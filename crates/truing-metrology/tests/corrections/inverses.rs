//! Every inverse leads back to where its law came from.

use proptest::prelude::*;
use truing_metrology::correction::connection;
use truing_metrology::correction::platinum::Platinum;
use truing_metrology::correction::thermistor::{self, BetaLaw, SteinhartHart};
use truing_metrology::correction::{WithSlope, altitude, resistance, thermocouple};

/// The slopes of a law and of its inverse at one point multiply to one.
fn reciprocal(forth: WithSlope, back: WithSlope) -> bool {
    (forth.slope * back.slope - 1.0).abs() < 1e-9
}

proptest! {
    #[test]
    fn resistance_and_temperature(
        (r1, t1) in (0.01..1e4_f64, -60.0..200.0_f64),
        t2 in -60.0..200.0_f64,
        k in 220.0..260.0_f64,
    ) {
        let r2 = resistance::at_temperature(r1, t1, t2, k).unwrap().value;
        let back = resistance::temperature(r1, t1, r2, k).unwrap().value;
        prop_assert!((back - t2).abs() < 1e-10);
        let again = resistance::at_temperature(r2, t2, t1, k).unwrap().value;
        prop_assert!((again / r1 - 1.0).abs() < 1e-13);
    }

    #[test]
    fn thermistors(
        (r0, t0, b) in (10.0..1e6_f64, 0.0..50.0_f64, 1500.0..6000.0_f64),
        t in -55.0..200.0_f64,
        c in -5e-8..5e-7_f64,
    ) {
        let law = BetaLaw::new(r0, t0, b).unwrap();
        let forth = law.resistance(t).unwrap();
        let back = law.temperature(forth.value).unwrap();
        prop_assert!((back.value - t).abs() < 1e-9 && reciprocal(forth, back));
        let again = law.resistance(t0 + 30.0).unwrap().value;
        let constant = thermistor::beta(r0, t0, again, t0 + 30.0).unwrap().value;
        prop_assert!((constant / b - 1.0).abs() < 1e-11);

        let fit = SteinhartHart::new(1.009_249_522e-3, 2.378_405_444e-4, c).unwrap();
        let forth = fit.resistance(t).unwrap();
        let back = fit.temperature(forth.value).unwrap();
        prop_assert!((back.value - t).abs() < 1e-9 && reciprocal(forth, back), "{t} {back:?}");
    }

    #[test]
    fn platinum(t in -200.0..=850.0_f64, nominal in 10.0..2000.0_f64) {
        let law = Platinum::with_nominal(nominal).unwrap();
        let forth = law.resistance(t).unwrap();
        let back = law.temperature(forth.value).unwrap();
        prop_assert!((back.value - t).abs() < 1e-10 && reciprocal(forth, back), "{t} {back:?}");
    }

    #[test]
    fn type_k(t in -270.0..=1372.0_f64, terminals in 0.0..50.0_f64) {
        let forth = thermocouple::emf(t).unwrap();
        let back = thermocouple::temperature(forth.value).unwrap();
        // Near −270 °C the law is so flat that a last digit of the mV is 1e-12 °C and more.
        prop_assert!((back.value - t).abs() < 1e-9, "{t} {back:?}");
        prop_assert!((forth.slope * back.slope - 1.0).abs() < 1e-6);
        let measured = forth.value - thermocouple::emf(terminals).unwrap().value;
        let junction = thermocouple::with_reference_at(measured, terminals).unwrap();
        prop_assert!((junction.value - t).abs() < 1e-9);
    }

    /// The errors that NIST states for its approximate inverse (SRD 60, type K).
    #[test]
    fn type_k_by_polynomial(t in -200.0..1371.9_f64) {
        let (low, high) = match t {
            t if t < 0.0 => (-0.02, 0.04),
            t if t < 500.0 => (-0.05, 0.04),
            _ => (-0.05, 0.06),
        };
        let emf = thermocouple::emf(t).unwrap().value;
        prop_assume!(emf > -5.891);
        let error = thermocouple::temperature_by_polynomial(emf).unwrap().value - t;
        // NIST states the errors to two decimals.
        prop_assert!(error > low - 0.005 && error < high + 0.005, "{t} °C: {error}");
    }

    #[test]
    fn altitude(metres in -2000.0..=11_000.0_f64, reading in 1e5..2e6_f64) {
        let air = altitude::standard_pressure(metres).unwrap();
        let back = altitude::standard_altitude(air.value).unwrap();
        prop_assert!((back.value - metres).abs() < 1e-8 && reciprocal(air, back));
        let sea = altitude::compression_at_sea_level(reading, metres).unwrap().value;
        let here = altitude::kept_ratio(sea, altitude::SEA_LEVEL, air.value).unwrap().value;
        prop_assert!((here / reading - 1.0).abs() < 1e-12);
        // The absolute pressures keep their ratio to the air.
        let (up, down) =
            ((reading + air.value) / air.value, (sea + altitude::SEA_LEVEL) / altitude::SEA_LEVEL);
        prop_assert!((up / down - 1.0).abs() < 1e-12);
    }

    #[test]
    fn star_and_delta(
        branches in prop::array::uniform3(0.1..10.0_f64),
        (speed, poles) in (0.0..9000.0_f64, 1..20_u32),
    ) {
        let near = |got: [f64; 3], made: [f64; 3]| {
            got.iter().zip(made).all(|(got, made)| (got / made - 1.0).abs() < 1e-11)
        };
        let delta = connection::delta_of_star(branches).unwrap().map(|side| side.value);
        let star = connection::star_of_delta(delta).unwrap().map(|branch| branch.value);
        prop_assert!(near(star, branches));
        // What an ohmmeter sees between the terminals: the side across, beside the other two.
        let beside = |across: f64, rest: f64| across * rest / (across + rest);
        let [ab, bc, ca] = delta;
        let seen = [beside(ab, bc + ca), beside(bc, ca + ab), beside(ca, ab + bc)];
        let [a, b, c] = branches;
        prop_assert!(near(seen, [a + b, b + c, c + a]));
        let star = connection::star_of_terminals(seen).unwrap().map(|branch| branch.value);
        prop_assert!(near(star, branches));
        let sides = connection::delta_of_terminals(seen).unwrap().map(|side| side.value);
        prop_assert!(near(sides, delta));
        let hertz = connection::frequency(speed, 2 * poles).unwrap();
        let back = connection::speed(hertz.value, 2 * poles).unwrap();
        prop_assert!((back.value - speed).abs() < 1e-9 && reciprocal(hertz, back));
    }
}
