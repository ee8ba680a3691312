//! Every slope is the derivative: held against central finite differences.

use proptest::prelude::*;
use proptest::test_runner::TestCaseError;
use truing_metrology::correction::connection::{self, Connection};
use truing_metrology::correction::platinum::Platinum;
use truing_metrology::correction::thermistor::{self, BetaLaw, SteinhartHart};
use truing_metrology::correction::unbalance::{self, Unbalance};
use truing_metrology::correction::{
    OutOfRange, WithSlope, WithSlopes, altitude, battery, path, resistance, thermocouple, wire,
};
use truing_metrology::interpolation::{Grid, Law, Table};

type Held = Result<(), TestCaseError>;

/// The central difference of fourth order: (8 (f₊ − f₋) − (f₊₊ − f₋₋)) / 12 h.
fn difference(law: impl Fn(f64) -> f64, at: f64, step: f64) -> f64 {
    let [back2, back, on, on2] = [-2.0, -1.0, 1.0, 2.0].map(|n| law(at + n * step));
    (8.0 * (on - back) - (on2 - back2)) / (12.0 * step)
}

/// Holds the slopes of a function of `N` arguments, each moved by `share` of its size.
fn many<const N: usize>(
    law: impl Fn([f64; N]) -> Result<WithSlopes<N>, OutOfRange>,
    at: [f64; N],
    share: f64,
) -> Held {
    let here = law(at).unwrap();
    for (place, (argument, slope)) in at.into_iter().zip(here.slopes).enumerate() {
        let step = share * argument.abs().max(1.0);
        let moved = |to: f64| {
            let mut there = at;
            there[place] = to;
            law(there).unwrap().value
        };
        let measured = difference(moved, argument, step);
        // What rounding alone can do to a difference of values of this size.
        let rounding = 1e-14 * here.value.abs().max(1.0) / step;
        let allowed = 1e-6 * slope.abs() + rounding;
        prop_assert!(
            (measured - slope).abs() <= allowed,
            "by argument {place} of {at:?}: slope {slope}, difference {measured}"
        );
    }
    Ok(())
}

/// Holds the slope of a function of one reading.
fn one(law: impl Fn(f64) -> Result<WithSlope, OutOfRange>, at: f64, share: f64) -> Held {
    let as_many = |[reading]: [f64; 1]| {
        law(reading).map(|got| WithSlopes { value: got.value, slopes: [got.slope] })
    };
    many(as_many, [at], share)
}

/// Each of three results of three arguments.
fn three(law: impl Fn([f64; 3]) -> Result<[WithSlopes<3>; 3], OutOfRange>, at: [f64; 3]) -> Held {
    for place in 0..3 {
        many(|there| law(there).map(|all| all[place]), at, 1e-4)?;
    }
    Ok(())
}

fn ohms() -> impl Strategy<Value = f64> {
    0.05..50.0_f64
}

fn celsius() -> impl Strategy<Value = f64> {
    -40.0..180.0_f64
}

proptest! {
    #[test]
    fn resistance_and_temperature(
        (r1, r2) in (ohms(), ohms()),
        (t1, t2, coolant) in (celsius(), celsius(), celsius()),
        k in 220.0..260.0_f64,
    ) {
        many(|[a, b, c, d]| resistance::at_temperature(a, b, c, d), [r1, t1, t2, k], 1e-4)?;
        many(|[a, b, c, d]| resistance::temperature(a, b, c, d), [r1, t1, r2, k], 1e-4)?;
        many(
            |[a, b, c, d, e]| resistance::rise(a, b, c, d, e),
            [r1, t1, r2, coolant, k],
            1e-4,
        )?;
        many(|[a, b]| resistance::ratio_to_20(a, b), [1.0 / (k + 20.0), t1], 1e-6)?;
        let alpha = |thousandths: f64| {
            let law = resistance::constant_from_alpha20(thousandths / 1000.0)?;
            Ok(WithSlope { value: law.value, slope: law.slope / 1000.0 })
        };
        one(alpha, 1000.0 / (k + 20.0), 1e-4)?;
        one(resistance::cable_factor_copper, t1, 1e-4)?;
        one(resistance::cable_factor_printed, t1, 1e-4)?;
    }

    #[test]
    fn thermistors(
        (r0, t0) in (100.0..100_000.0_f64, 0.0..50.0_f64),
        b in 2000.0..5000.0_f64,
        t in -40.0..150.0_f64,
        share in 0.2..5.0_f64,
    ) {
        let law = BetaLaw::new(r0, t0, b).unwrap();
        one(|t| law.resistance(t), t, 1e-4)?;
        one(|r| law.temperature(r), r0 * share, 1e-4)?;
        let r1 = law.resistance(t0 + 20.0).unwrap().value;
        many(|[a, b, c, d]| thermistor::beta(a, b, c, d), [r0, t0, r1, t0 + 20.0], 1e-4)?;
        let fit = SteinhartHart::new(1.009_249_522e-3, 2.378_405_444e-4, 2.019_202_697e-7).unwrap();
        one(|r| fit.temperature(r), 10_000.0 * share, 1e-4)?;
        one(|t| fit.resistance(t), t, 1e-4)?;
    }

    #[test]
    fn platinum_and_type_k(
        t in -199.0..849.0_f64,
        ohms in 18.6..390.0_f64,
        k in -265.0..1371.0_f64,
        emf in -6.4..54.8_f64,
        terminals in 1.0..50.0_f64,
        measured in 0.1..40.0_f64,
    ) {
        // The third derivatives of both laws jump at 0 °C, where the pieces meet.
        prop_assume!(t.abs() > 0.1 && k.abs() > 0.1 && emf.abs() > 0.01);
        prop_assume!((ohms - 100.0).abs() > 0.1);
        one(|t| Platinum::PT100.resistance(t), t, 1e-4)?;
        one(|ohms| Platinum::PT100.temperature(ohms), ohms, 1e-4)?;
        one(thermocouple::emf, k, 1e-4)?;
        one(thermocouple::temperature, emf, 1e-4)?;
        many(|[a, b]| thermocouple::with_reference_at(a, b), [measured, terminals], 1e-4)?;
        // The approximate inverse has a step where its pieces meet.
        prop_assume!(emf > -5.89 && (emf - 20.644).abs() > 0.01);
        one(thermocouple::temperature_by_polynomial, emf, 1e-4)?;
    }

    #[test]
    fn wire_battery_and_altitude(
        (resistivity, length, area) in (0.01..0.05_f64, 1.0..500.0_f64, 0.5..300.0_f64),
        (row, share, t) in (0..4_u32, 0.05..0.95_f64, 0.0..50.0_f64),
        metres in -1900.0..10_900.0_f64,
        pressure in 50_000.0..110_000.0_f64,
        reading in 1e5..2e6_f64,
    ) {
        many(|[a, b, c]| wire::of_length(a, b, c), [resistivity, length, area], 1e-6)?;
        // Away from the rows, where the lines have corners.
        let charge = 25.0 * (f64::from(row) + share);
        let columns = (battery::TABLE.map(|row| row.charge), battery::TABLE.map(|row| row.voltage));
        let rested = Table::new(&columns.0, &columns.1).unwrap().at(charge, Law::Linear).unwrap();
        one(battery::charge_by_voltage, rested.value, 1e-5)?;
        let taken = rested.value - battery::voltage_correction(t).unwrap().value;
        many(|[a, b]| battery::charge_at(a, b), [taken, t], 1e-5)?;
        one(battery::gravity_correction, t, 1e-4)?;
        one(battery::charge_by_gravity, 1.12 + charge * 1e-4 + 0.005, 1e-5)?;

        one(altitude::standard_pressure, metres, 1e-4)?;
        one(altitude::standard_altitude, pressure, 1e-4)?;
        one(altitude::geopotential, metres, 1e-4)?;
        many(|[a, b, c]| altitude::kept_ratio(a, b, c), [reading, pressure, 1e5], 1e-4)?;
        many(|[a, b, c]| altitude::kept_absolute(a, b, c), [pressure / 2.0, pressure, 1e5], 1e-4)?;
        many(|[a, b, c]| altitude::sealed_gauge(a, b, c), [reading, pressure, 1e5], 1e-4)?;
        many(|[a, b]| altitude::compression_at_sea_level(a, b), [reading, metres], 1e-4)?;
        let high = metres.min(5000.0);
        many(|[a, b]| altitude::manifold_vacuum_at_sea_level(a, b), [2e4, high], 1e-4)?;
    }

    #[test]
    fn three_phases(
        line in prop::array::uniform3(300.0..500.0_f64),
        branches in prop::array::uniform3(0.2..5.0_f64),
        (speed, poles) in (10.0..9000.0_f64, 1..20_u32),
    ) {
        let shown = |law: fn([f64; 3]) -> Result<Unbalance, OutOfRange>| move |line| {
            let got: Unbalance = law(line)?;
            Ok(WithSlopes { value: got.percent, slopes: got.slopes.unwrap() })
        };
        // Far enough from the corners that the differences do not straddle one.
        let mean = line.iter().sum::<f64>() / 3.0;
        let mut off = line.map(|voltage| (voltage - mean).abs());
        off.sort_by(f64::total_cmp);
        if off[2] - off[1] > 1.0 {
            many(shown(unbalance::from_mean), line, 1e-4)?;
            many(shown(unbalance::negative_sequence), line, 1e-5)?;
        }

        three(connection::delta_of_star, branches)?;
        three(connection::star_of_delta, branches)?;
        let [a, b, c] = branches;
        let terminals = [a + b, b + c, c + a];
        three(connection::star_of_terminals, terminals)?;
        three(connection::delta_of_terminals, terminals)?;
        for connected in [Connection::Star, Connection::Delta] {
            one(|r| connected.terminal_resistance(r), a, 1e-4)?;
            one(|r| connected.winding_resistance(r), a, 1e-4)?;
        }
        one(|speed| connection::frequency(speed, 2 * poles), speed, 1e-4)?;
        one(|hertz| connection::speed(hertz, 2 * poles), speed, 1e-4)?;
    }

    #[test]
    fn paths(
        (reading, leads) in (0.5..50.0_f64, 0.0..0.4_f64),
        (current, rated) in (1.0..50.0_f64, 1.0..50.0_f64),
    ) {
        many(|[a, b]| path::without_leads(a, b), [reading, leads], 1e-4)?;
        many(|[a, b]| path::drop(a, b), [reading, leads], 1e-4)?;
        many(|[a, b]| path::resistance(a, b), [reading, current], 1e-4)?;
        many(|[a, b, c]| path::drop_at(a, b, c), [reading, current, rated], 1e-4)?;
    }

    #[test]
    fn tables(row in 0..4_usize, share in 0.05..0.95_f64, up in 0.05..0.95_f64) {
        let (x, y) = ([1.0, 2.0, 4.0, 5.0, 9.0], [2.0, 5.0, 4.0, 4.5, 9.0]);
        let table = Table::new(&x, &y).unwrap();
        let entry = x[row] + share * (x[row + 1] - x[row]);
        for law in [Law::Step, Law::Linear, Law::LogX, Law::LogY, Law::LogLog, Law::Pchip] {
            one(|entry| table.at(entry, law), entry, 1e-4)?;
        }
        let rising = Table::new(&x, &[-2.0, 5.0, 6.0, 7.5, 9.0]).unwrap();
        let value = rising.at(entry, Law::Linear).unwrap().value;
        one(|value| rising.inverse(value), value, 1e-4)?;
        let grid = Grid::new(&[0.0, 1.0], &[0.0, 1.0], &[1.0, 2.0, 3.0, 5.0]).unwrap();
        many(|[x, y]| grid.at(x, y), [share, up], 1e-4)?;
    }
}
