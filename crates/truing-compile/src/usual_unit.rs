//! The units in which manuals and meters give a quantity: what findings suggest and show.

use truing_units::{Catalogue, Kind};

/// By kind, the usual ones first. Common practice, no source.
const USUAL: &[(Kind, &[&str])] = &[
    (Kind::LENGTH, &["mm", "in"]),
    (Kind::AREA, &["mm2", "cm2"]),
    (Kind::VOLUME, &["L", "mL"]),
    (Kind::TIME, &["s", "min"]),
    (Kind::ANGLE, &["deg"]),
    (Kind::SPEED, &["km/h", "mph"]),
    (Kind::FREQUENCY, &["Hz", "kHz"]),
    (Kind::ROTATIONAL_SPEED, &["rpm"]),
    (Kind::MASS, &["kg", "g"]),
    (Kind::FORCE, &["N", "lbf"]),
    (Kind::TORQUE, &["N.m", "lbf.ft"]),
    (Kind::STIFFNESS, &["N/mm"]),
    (Kind::STRESS, &["MPa"]),
    (Kind::GAUGE_PRESSURE, &["kPa", "psi"]),
    (Kind::ABSOLUTE_PRESSURE, &["kPa", "psi"]),
    (Kind::PRESSURE, &["kPa", "psi"]),
    (Kind::VOLUME_FLOW, &["L/min"]),
    (Kind::TEMPERATURE, &["degC", "degF"]),
    (Kind::TEMPERATURE_DIFFERENCE, &["K", "degR"]),
    (Kind::ENERGY, &["J", "kJ"]),
    (Kind::POWER, &["W", "kW"]),
    (Kind::APPARENT_POWER, &["VA", "kVA"]),
    (Kind::DC_VOLTAGE, &["V", "mV"]),
    (Kind::AC_VOLTAGE, &["V", "mV"]),
    (Kind::PEAK_VOLTAGE, &["V"]),
    (Kind::DIODE_DROP, &["V", "mV"]),
    (Kind::DC_CURRENT, &["A", "mA"]),
    (Kind::AC_CURRENT, &["A", "mA"]),
    (Kind::CHARGE, &["Ah"]),
    (Kind::RESISTANCE, &["ohm", "kohm"]),
    (Kind::CAPACITANCE, &["uF", "nF"]),
    (Kind::INDUCTANCE, &["mH", "uH"]),
];

/// One or two units in which a figure of the kind is usually written; none where it needs none.
#[must_use]
pub fn usual_units(catalogue: &Catalogue, kind: Kind) -> Vec<String> {
    if let Some((_, symbols)) = USUAL.iter().find(|(of, _)| *of == kind) {
        return symbols.iter().map(|&symbol| symbol.to_owned()).collect();
    }
    match catalogue.kind(kind).unit.as_ref() {
        "1" => Vec::new(),
        "" => catalogue.units_of(kind).iter().take(1).map(|def| def.unit.symbol().into()).collect(),
        unit => vec![unit.to_owned()],
    }
}

#[cfg(test)]
mod tests {
    use super::{USUAL, usual_units};
    use truing_units::Catalogue;

    #[test]
    fn every_usual_unit_is_one_of_its_kind() {
        let catalogue = Catalogue::standard();
        for (kind, _) in catalogue.kinds() {
            let units = usual_units(&catalogue, kind);
            assert!(units.len() <= 2, "{units:?}");
            for symbol in units {
                let unit = catalogue.unit(&symbol);
                assert!(unit.is_ok_and(|unit| unit.fits(kind, &catalogue)), "{symbol}");
            }
        }
        assert!(USUAL.iter().all(|(_, symbols)| !symbols.is_empty()));
    }
}
