//! `tests/reference/materials.toml`.

use truing_metrology::correction::platinum::{self, Platinum};
use truing_metrology::correction::preferred::Series;
use truing_metrology::correction::thermistor::{self, BetaLaw, SteinhartHart};
use truing_metrology::correction::wire::{self, Surface};
use truing_metrology::correction::{battery, resistance, thermocouple};
use truing_metrology::interpolation::{Law, Table};

use crate::published::{Check, hold};

#[test]
fn the_published_figures_of_materials_are_met() {
    hold("materials.toml", "materials.", |check| {
        let topic = check.topic.strip_prefix("materials.")?;
        match topic {
            "copper" | "aluminium" => metal(check).map(|value| vec![value]),
            "wire" => conductor(check).map(|value| vec![value]),
            "pt100" => pt100(check).map(|value| vec![value]),
            "thermocouple_k" => type_k(check).map(|value| vec![value]),
            "ntc" => ntc(check).map(|value| vec![value]),
            "eseries" => series(check),
            "battery" => rested(check),
            _ => None,
        }
    });
}

fn metal(check: &Check) -> Option<f64> {
    match check.id.as_str() {
        "materials.cu.rho20" => Some(resistance::COPPER_RESISTIVITY_20),
        "materials.cu.alpha20" => Some(1.0 / (resistance::COPPER + 20.0)),
        "materials.al.alpha20" => Some(1.0 / (resistance::ALUMINIUM_EC + 20.0)),
        id if id.starts_with("materials.cu.ratio_") => {
            let ratio = resistance::ratio_to_20(check.number("alpha20_per_K"), celsius(check));
            Some(ratio.unwrap().value)
        }
        _ => None,
    }
}

fn conductor(check: &Check) -> Option<f64> {
    match check.id.strip_prefix("materials.")?.split_once('.')? {
        ("iec60228", rest) if rest.starts_with("kt_") => {
            Some(resistance::cable_factor_printed(celsius(check)).unwrap().value)
        }
        ("iec60228", rest) if rest.starts_with("class") => {
            let class = match check.whole("class") {
                2 => wire::Class::Stranded,
                5 => wire::Class::Flexible,
                _ => return None,
            };
            assert_eq!(check.word("surface"), "plain copper");
            wire::maximum_resistance(check.number("area_mm2"), class, Surface::Plain)
        }
        ("awg", rest) if rest.starts_with("R_") => {
            let gauge = i32::try_from(check.whole("awg")).unwrap();
            let per_kilometre = wire::awg_resistance(gauge).unwrap();
            Some(per_kilometre * 0.3048) // 1000 ft = 0.3048 km
        }
        _ => None,
    }
}

fn pt100(check: &Check) -> Option<f64> {
    match check.id.strip_prefix("materials.pt100.")? {
        "tol_B_-200" => Some(platinum::Class::B.tolerance(celsius(check)).unwrap()),
        "tol_A_400" => Some(platinum::Class::A.tolerance(celsius(check)).unwrap()),
        "inverse_119.40" => Some(Platinum::PT100.temperature(check.number("R_ohm")).unwrap().value),
        rest if rest.starts_with("R_") => {
            Some(Platinum::PT100.resistance(celsius(check)).unwrap().value)
        }
        _ => None,
    }
}

fn type_k(check: &Check) -> Option<f64> {
    let terminals = check.number("Tref_degC");
    match check.id.strip_prefix("materials.type_k.")? {
        "cold_junction" => {
            let measured = check.number("measured_mV");
            Some(thermocouple::with_reference_at(measured, terminals).unwrap().value)
        }
        rest if rest.starts_with("E_") => {
            assert_eq!(terminals, 0.0);
            Some(thermocouple::emf(celsius(check)).unwrap().value)
        }
        _ => None,
    }
}

fn ntc(check: &Check) -> Option<f64> {
    let value = match check.id.strip_prefix("materials.ntc.")? {
        "beta_R50" => {
            BetaLaw::new(check.number("R25_ohm"), 25.0, check.number("B_K"))
                .unwrap()
                .resistance(celsius(check))
                .unwrap()
                .value
        }
        "B25_85" => {
            let [r1, t1, r2, t2] =
                ["R1_ohm", "T1_degC", "R2_ohm", "T2_degC"].map(|name| check.number(name));
            thermistor::beta(r1, t1, r2, t2).unwrap().value
        }
        "steinhart_25" => {
            let [a, b, c] = ["A", "B", "C"].map(|name| check.number(name));
            let law = SteinhartHart::new(a, b, c).unwrap();
            law.temperature(check.number("R_ohm")).unwrap().value
        }
        _ => return None,
    };
    Some(value)
}

fn series(check: &Check) -> Option<Vec<f64>> {
    let series = match check.word("series") {
        "E12" => Series::E12,
        "E24" => Series::E24,
        "E96" => Series::E96,
        _ => return None,
    };
    match check.id.strip_prefix("materials.eseries.")? {
        "E12" => Some(series.figures().map(f64::from).collect()),
        "E96_rule" => {
            let rule = (0..96_u32).map(|i| (100.0 * 10_f64.powf(f64::from(i) / 96.0)).round());
            Some(vec![f64::from(series.figures().map(f64::from).eq(rule))])
        }
        "nearest96_1563" | "nearest24_1563" => {
            Some(vec![series.nearest(check.number("value")).unwrap()])
        }
        _ => None,
    }
}

fn rested(check: &Check) -> Option<Vec<f64>> {
    let rest = check.id.strip_prefix("materials.battery.")?;
    let (what, _) = rest.split_once('_')?;
    match what {
        "ocv" => {
            let charge = check.number("soc_percent");
            let row = battery::TABLE.iter().find(|row| row.charge == charge).unwrap();
            Some(vec![row.voltage, row.gravity])
        }
        "soc" => {
            assert_eq!(check.word("method"), "linear");
            let (x, y) = (check.row("x"), check.row("y"));
            let voltage = check.number("ocv_V");
            let read = Table::new(&x, &y).unwrap().at(voltage, Law::Linear).unwrap();
            assert_eq!(battery::charge_by_voltage(voltage).unwrap(), read);
            Some(vec![read.value])
        }
        "tcomp" => Some(vec![battery::voltage_correction(from_fahrenheit(check)).unwrap().value]),
        "sgcomp" => Some(vec![battery::gravity_correction(from_fahrenheit(check)).unwrap().value]),
        _ => None,
    }
}

fn celsius(check: &Check) -> f64 {
    check.number("T_degC")
}

fn from_fahrenheit(check: &Check) -> f64 {
    (check.number("T_degF") - 32.0) / 1.8
}
