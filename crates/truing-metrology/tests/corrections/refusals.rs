//! Nothing panics, and what comes out is finite, on any input at all.

use proptest::num::f64::ANY;
use proptest::prelude::*;
use proptest::test_runner::TestCaseError;
use truing_metrology::correction::connection::{self, Connection};
use truing_metrology::correction::platinum::{self, Platinum};
use truing_metrology::correction::preferred::Series;
use truing_metrology::correction::rectifier::Rectifier;
use truing_metrology::correction::symmetrical::{Components, Phasor};
use truing_metrology::correction::thermistor::{self, BetaLaw, SteinhartHart};
use truing_metrology::correction::unbalance::{self, Unbalance};
use truing_metrology::correction::{
    OutOfRange, WithSlope, WithSlopes, altitude, battery, path, resistance, thermocouple, wire,
};
use truing_metrology::interpolation::{Grid, Law, Table};

/// What a function may give: finite numbers, or a refusal.
trait Sound {
    fn numbers(&self) -> Vec<f64>;
}

impl Sound for f64 {
    fn numbers(&self) -> Vec<f64> {
        vec![*self]
    }
}

impl Sound for WithSlope {
    fn numbers(&self) -> Vec<f64> {
        vec![self.value, self.slope]
    }
}

impl<const N: usize> Sound for WithSlopes<N> {
    fn numbers(&self) -> Vec<f64> {
        [&[self.value], self.slopes.as_slice()].concat()
    }
}

impl<const N: usize> Sound for [WithSlopes<N>; 3] {
    fn numbers(&self) -> Vec<f64> {
        self.iter().flat_map(Sound::numbers).collect()
    }
}

impl Sound for Unbalance {
    fn numbers(&self) -> Vec<f64> {
        [self.percent].into_iter().chain(self.slopes.into_iter().flatten()).collect()
    }
}

fn sound(got: Result<impl Sound, OutOfRange>) -> Result<(), TestCaseError> {
    if let Ok(got) = got {
        let numbers = got.numbers();
        prop_assert!(numbers.iter().all(|number| number.is_finite()), "{numbers:?}");
    }
    Ok(())
}

/// Any bits, and numbers of a size that gets past the first check.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![ANY, -1e3..1e3_f64, -1e6..1e6_f64, Just(0.0), Just(-0.0), Just(f64::INFINITY)]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn corrections([a, b, c, d, e] in prop::array::uniform5(number())) {
        sound(resistance::constant_from_alpha20(a))?;
        sound(resistance::ratio_to_20(a, b))?;
        sound(resistance::at_temperature(a, b, c, d))?;
        sound(resistance::temperature(a, b, c, d))?;
        sound(resistance::rise(a, b, c, d, e))?;
        sound(resistance::cable_factor_copper(a))?;
        sound(resistance::cable_factor_printed(a))?;
        sound(thermistor::beta(a, b, c, d))?;
        sound(BetaLaw::new(a, b, c).and_then(|law| law.resistance(d)))?;
        sound(BetaLaw::new(a, b, c).and_then(|law| law.temperature(d)))?;
        sound(SteinhartHart::new(a, b, c).and_then(|law| law.resistance(d)))?;
        sound(SteinhartHart::new(a, b, c).and_then(|law| law.temperature(d)))?;
        sound(Platinum::with_nominal(a).and_then(|law| law.resistance(b)))?;
        sound(Platinum::with_nominal(a).and_then(|law| law.temperature(b)))?;
        sound(platinum::Class::A.tolerance(a))?;
        sound(thermocouple::emf(a))?;
        sound(thermocouple::temperature(a))?;
        sound(thermocouple::temperature_by_polynomial(a))?;
        sound(thermocouple::with_reference_at(a, b))?;
        sound(thermocouple::Class::Two.tolerance(a))?;
        sound(wire::of_length(a, b, c))?;
        sound(battery::charge_by_voltage(a))?;
        sound(battery::charge_by_gravity(a))?;
        sound(battery::charge_at(a, b))?;
        sound(altitude::standard_pressure(a))?;
        sound(altitude::standard_altitude(a))?;
        sound(altitude::geopotential(a))?;
        sound(altitude::kept_ratio(a, b, c))?;
        sound(altitude::kept_absolute(a, b, c))?;
        sound(altitude::sealed_gauge(a, b, c))?;
        sound(altitude::compression_at_sea_level(a, b))?;
        sound(altitude::manifold_vacuum_at_sea_level(a, b))?;
        sound(path::without_leads(a, b))?;
        sound(path::resistance(a, b))?;
        sound(path::drop_at(a, b, c))?;
        sound(Series::E24.nearest(a))?;
        sound(Series::E192.nearest(a))?;
    }

    #[test]
    fn three_phases(row in prop::array::uniform3(number()), poles in any::<u32>(), gauge in any::<i32>()) {
        sound(unbalance::from_mean(row))?;
        sound(unbalance::negative_sequence(row))?;
        sound(connection::star_of_terminals(row))?;
        sound(connection::delta_of_terminals(row))?;
        sound(connection::delta_of_star(row))?;
        sound(connection::star_of_delta(row))?;
        sound(connection::frequency(row[0], poles))?;
        sound(connection::speed(row[0], poles))?;
        sound(Connection::Delta.winding_resistance(row[0]))?;
        sound(Rectifier::SixPulse.ripple_frequency(row[0]))?;
        sound(wire::awg_resistance(gauge))?;
        let parts = row.map(|magnitude| Phasor { real: magnitude, imaginary: row[0] });
        // Phasors are plain sums: they may overflow, they must not panic.
        let _ = Components::of_phases(parts).negative_percent();
    }

    #[test]
    fn tables(
        cells in prop::collection::vec((number(), number()), 0..6),
        entry in number(),
        place in 0..6_usize,
    ) {
        let (mut x, y): (Vec<f64>, Vec<f64>) = cells.into_iter().unzip();
        x.sort_by(f64::total_cmp);
        let at = x.get(place).copied().unwrap_or(entry);
        if let Ok(table) = Table::new(&x, &y) {
            for law in [Law::Step, Law::Linear, Law::LogX, Law::LogY, Law::LogLog, Law::Pchip] {
                sound(table.at(entry, law))?;
                sound(table.at(at, law))?;
            }
            sound(table.inverse(entry))?;
            sound(table.inverse(y[0]))?;
        }
        if let Ok(grid) = Grid::new(&x, &[0.0, 1.0], &[y.as_slice(), y.as_slice()].concat()) {
            sound(grid.at(at, 0.5))?;
            sound(grid.at(entry, 1.0))?;
        }
    }
}
