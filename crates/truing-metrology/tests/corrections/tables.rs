//! Figures that no published entry holds: each with its own source.

use truing_metrology::correction::preferred::Series;
use truing_metrology::correction::wire::{self, Class, Surface};
use truing_metrology::correction::{
    altitude, battery, connection, platinum, resistance, thermocouple,
};

fn near(got: f64, expected: f64, allowed: f64) {
    assert!((got - expected).abs() <= allowed, "{got}, not {expected}");
}

/// ISO 2533:1975, table 5 (`from memory`; the digits are those of the tables, to 1 Pa or 0.1 Pa).
#[test]
fn the_standard_atmosphere() {
    let table = [
        (-1000.0, 113_929.0, 1.0),
        (0.0, 101_325.0, 0.0),
        (1000.0, 89_874.6, 0.1),
        (2000.0, 79_495.2, 0.1),
        (5000.0, 54_019.9, 0.1),
        (11_000.0, 22_632.0, 0.1),
    ];
    for (metres, pascals, allowed) in table {
        near(altitude::standard_pressure(metres).unwrap().value, pascals, allowed);
    }
    // h/(1 + h/r), r = 6 356 766 m.
    near(altitude::geopotential(3000.0).unwrap().value, 2998.585, 0.001);
}

/// "A sea level value of 120 psi is equivalent to approximately 100 psi at 5000 ft" (a reader's
/// letter in a trade magazine, read).
#[test]
fn compression_on_a_mountain() {
    let sea = altitude::compression_at_sea_level(100.0, 5000.0 * 0.3048).unwrap().value;
    near(sea, 120.0, 0.5);
}

/// "About 1 inch of mercury for every 1000 feet" (a public ordnance training course, read);
/// 1 inHg = 3386.389 Pa (NIST SP 811).
#[test]
fn manifold_vacuum_on_a_mountain() {
    for thousands in [1.0, 5.0] {
        let read = 15.0 * 3386.389;
        let sea = altitude::manifold_vacuum_at_sea_level(read, thousands * 304.8).unwrap().value;
        near((sea - read) / 3386.389, thousands, 0.1 * thousands);
    }
}

/// A vessel of 300 kPa absolute shows 200 kPa in air of 100 kPa and 220 kPa in air of 80 kPa, and
/// one of 60 kPa absolute a vacuum of 40 kPa and 20 kPa (arithmetic).
#[test]
fn a_sealed_vessel_keeps_its_absolute_pressure() {
    near(altitude::sealed_gauge(200.0, 100.0, 80.0).unwrap().value, 220.0, 0.0);
    near(altitude::kept_absolute(40.0, 100.0, 80.0).unwrap().value, 20.0, 0.0);
    assert!(altitude::sealed_gauge(-101.0, 100.0, 80.0).is_err());
    assert!(altitude::kept_absolute(101.0, 100.0, 80.0).is_err());
}

/// The whole table of k_t (IEC 60228:2004, read in a public reproduction, 5 °C to 100 °C).
#[test]
fn cable_factors_as_printed() {
    let printed = [
        1.064, 1.042, 1.020, 1.000, 0.980, 0.962, 0.943, 0.926, 0.909, 0.893, 0.877, 0.862, 0.847,
        0.833, 0.820, 0.806, 0.794, 0.781, 0.769, 0.758,
    ];
    for (place, factor) in (1_u32..).zip(printed) {
        let t = 5.0 * f64::from(place);
        near(resistance::cable_factor_printed(t).unwrap().value, factor, 0.0005 + 1e-9);
    }
    // 254.5/(234.5 + t): the exact form differs in the third decimal.
    near(resistance::cable_factor_copper(90.0).unwrap().value, 0.784_284, 1e-6);
}

/// IEC 60228:2004 (read in public reproductions): cells that are easily taken for another.
#[test]
fn conductors() {
    let table = [
        (50.0, Class::Flexible, Surface::Plain, Some(0.386)),
        (50.0, Class::Stranded, Surface::Plain, Some(0.387)),
        (240.0, Class::Solid, Surface::Plain, Some(0.0775)),
        (240.0, Class::Stranded, Surface::Plain, Some(0.0754)),
        (2.5, Class::Solid, Surface::Coated, Some(7.56)),
        (25.0, Class::Solid, Surface::Coated, None),
        (500.0, Class::Solid, Surface::Plain, None),
        (300.0, Class::MoreFlexible, Surface::Coated, Some(0.0654)),
        (400.0, Class::MoreFlexible, Surface::Plain, None),
        (3.0, Class::Stranded, Surface::Plain, None),
        (f64::NAN, Class::Stranded, Surface::Plain, None),
    ];
    for (area, class, surface, expected) in table {
        assert_eq!(wire::maximum_resistance(area, class, surface), expected, "{area} {class:?}");
    }
    // In each class a larger conductor has less resistance, and a coated one never less than plain.
    for class in [Class::Solid, Class::Stranded, Class::Flexible, Class::MoreFlexible] {
        let plain: Vec<_> = wire::areas()
            .filter_map(|area| wire::maximum_resistance(area, class, Surface::Plain))
            .collect();
        assert!(plain.windows(2).all(|pair| pair[1] < pair[0]), "{class:?}");
        for area in wire::areas() {
            if let Some(coated) = wire::maximum_resistance(area, class, Surface::Coated) {
                assert!(coated >= wire::maximum_resistance(area, class, Surface::Plain).unwrap());
            }
        }
    }
    // ASTM B258: gauge 36 is 0.005 in, gauge 0000 is 0.46 in, by definition.
    near(wire::awg_diameter(36).unwrap(), 0.127, 1e-15);
    near(wire::awg_diameter(-3).unwrap(), 11.684, 1e-12);
}

/// IEC 60063: E96 and E24 as printed in every catalogue (`from memory`).
#[test]
fn preferred_values() {
    let e96 = [
        100, 102, 105, 107, 110, 113, 115, 118, 121, 124, 127, 130, 133, 137, 140, 143, 147, 150,
        154, 158, 162, 165, 169, 174, 178, 182, 187, 191, 196, 200, 205, 210, 215, 221, 226, 232,
        237, 243, 249, 255, 261, 267, 274, 280, 287, 294, 301, 309, 316, 324, 332, 340, 348, 357,
        365, 374, 383, 392, 402, 412, 422, 432, 442, 453, 464, 475, 487, 499, 511, 523, 536, 549,
        562, 576, 590, 604, 619, 634, 649, 665, 681, 698, 715, 732, 750, 768, 787, 806, 825, 845,
        866, 887, 909, 931, 953, 976,
    ];
    assert!(Series::E96.figures().eq(e96));
    assert!(Series::E48.figures().eq(e96.into_iter().step_by(2)));
    assert!(Series::E3.figures().eq([10, 22, 47]));
    assert!(Series::E6.figures().eq([10, 15, 22, 33, 47, 68]));
    assert_eq!(Series::E24.figures().count(), 24);
    let e192: Vec<u32> = Series::E192.figures().collect();
    assert_eq!(e192.len(), 192);
    assert!(e192.contains(&920) && !e192.contains(&919));
    assert!(e192.iter().step_by(2).copied().eq(e96));
    for (value, series, expected) in [
        (9.9, Series::E12, 10.0),
        (1e6, Series::E12, 1e6),
        (999.0, Series::E96, 1000.0),
        (0.47, Series::E6, 0.47),
        (4.6e-9, Series::E12, 4.7e-9),
        (11.0, Series::E12, 10.0), // 10 and 12 are equally near
    ] {
        assert_eq!(series.nearest(value).unwrap(), expected);
    }
    assert_eq!((Series::E12.tolerance(), Series::E96.tolerance()), (0.10, 0.01));
}

/// IEC 60584-1 (`from memory`) and IEC 60751:1995 (read).
#[test]
fn tolerance_classes() {
    near(thermocouple::Class::One.tolerance(100.0).unwrap(), 1.5, 0.0);
    near(thermocouple::Class::One.tolerance(1000.0).unwrap(), 4.0, 1e-12);
    near(thermocouple::Class::Two.tolerance(100.0).unwrap(), 2.5, 0.0);
    near(thermocouple::Class::Two.tolerance(1000.0).unwrap(), 7.5, 1e-12);
    assert!(thermocouple::Class::One.tolerance(1000.1).is_err());
    near(platinum::Class::A.tolerance(0.0).unwrap(), 0.15, 0.0);
    near(platinum::Class::B.tolerance(100.0).unwrap(), 0.8, 1e-12);
    assert!(platinum::Class::A.tolerance(651.0).is_err());
}

/// The pieces of the reference function of type K meet at 0 °C in value and slope.
#[test]
fn pieces_meet() {
    let (below, above) = (thermocouple::emf(-1e-9).unwrap(), thermocouple::emf(1e-9).unwrap());
    // With the printed digits they miss each other by 2e-9 mV, 5e-8 °C.
    near(above.value, below.value, 3e-9);
    near(above.slope, below.slope, 1e-7);
    near(thermocouple::temperature(1e-9).unwrap().value, 0.0, 1e-7);
}

/// The row that no entry holds (the same trade table, read in a public reproduction): 25 %.
#[test]
fn a_battery_at_a_quarter() {
    near(battery::charge_by_voltage(12.06).unwrap().value, 25.0, 1e-9);
    near(battery::charge_by_gravity(1.155).unwrap().value, 25.0, 1e-9);
    // At 0 °F the table takes 0.192 V off: 12.432 V there is half charge at 80 °F.
    near(battery::charge_at(12.432, -32.0 / 1.8).unwrap().value, 50.0, 1e-9);
}

#[test]
fn a_battery_outside_the_table_has_no_charge() {
    for (voltage, word) in [(11.8, "rested voltage"), (12.9, "rested voltage")] {
        let outside = battery::charge_by_voltage(voltage).unwrap_err();
        assert_eq!((outside.what, outside.low, outside.high), (word, 11.89, 12.65));
    }
}

#[test]
fn an_odd_number_of_poles_is_refused() {
    let outside = connection::frequency(1500.0, 3).unwrap_err();
    assert_eq!((outside.what, outside.value), ("poles, an even number,", 3.0));
    assert!(connection::frequency(1500.0, 0).is_err());
}
