//! Tests of the catalogue.

use super::*;
use crate::Floor;
use crate::unit_table;
use proptest::prelude::*;

fn symbol(text: &str) -> String {
    Catalogue::standard().unit(text).unwrap_or_else(|error| panic!("{error}")).symbol().to_owned()
}

fn refused(text: &str) -> UnitError {
    Catalogue::standard().unit(text).unwrap_err()
}

#[test]
fn no_name_stands_for_two_units() {
    let mut seen = BTreeMap::new();
    for row in unit_table::rows() {
        for name in std::iter::once(&row.symbol).chain(row.aliases) {
            let other = seen.insert(normalise(name), row.symbol);
            assert!(
                other.is_none_or(|other| other == row.symbol),
                "{name}: {other:?} and {}",
                row.symbol
            );
        }
    }
    assert_eq!(Catalogue::standard().units().count(), unit_table::rows().count());
}

#[test]
fn symbols_are_ascii_without_spaces_and_read_back() {
    let catalogue = Catalogue::standard();
    for def in catalogue.units() {
        let symbol = def.unit.symbol();
        assert!(symbol.is_ascii() && !symbol.contains(' '), "{symbol}");
        assert_eq!(catalogue.unit(symbol).unwrap(), def.unit);
        assert_eq!(normalise(symbol), symbol);
    }
}

#[test]
fn composed_spelling_of_a_named_unit_is_worth_the_same() {
    // A name such as `N.m/deg` in the table must be what its parts make.
    let catalogue = Catalogue::standard();
    let mut unread = Vec::new();
    for def in catalogue.units().filter(|def| def.unit.symbol().contains(['.', '/'])) {
        let symbol = def.unit.symbol();
        let Ok(parts) = composed::parse(symbol, &|name| catalogue.named(name)) else {
            unread.push(symbol);
            continue;
        };
        assert_eq!(parts.factor(), def.unit.factor(), "{symbol}");
        assert_eq!(parts.dimension(), def.unit.dimension(), "{symbol}");
    }
    // Their parts have no names of their own.
    assert_eq!(unread, ["cN.m", "dN.m", "mPa.s", "L/100km", "ohm/kft", "MS/m", "MV/m"]);
}

#[test]
fn units_as_manuals_print_them() {
    for (printed, ours) in [
        ("kgf·m", "kgf.m"),
        ("lbf·ft", "lbf.ft"),
        ("ft-lb", "lbf.ft"),
        ("in-lb", "lbf.in"),
        ("N·m", "N.m"),
        ("Nm", "N.m"),
        ("kgf/cm²", "kgf/cm2"),
        ("kg/m³", "kg/m3"),
        ("°C", "degC"),
        ("℃", "degC"),
        ("°F", "degF"),
        ("mΩ", "mohm"),
        ("MΩ", "Mohm"),
        ("kΩ", "kohm"),
        ("µF", "uF"),
        ("μF", "uF"),
        ("°", "deg"),
        ("cc", "cm3"),
        ("qt", "US_qt"),
        ("usqt", "US_qt"),
        ("r/min", "rpm"),
        ("mils", "thou"),
        ("in", "in"),
        ("min", "min"),
        ("m/s^2", "m/s2"),
        ("VAC", "Vac"),
        ("Vdc", "Vdc"),
        ("CCA", "CCA"),
        ("A·h", "Ah"),
        ("volts", "V"),
        ("PSI", "psi"),
        ("lb/in²", "psi"),
        ("ohms/km", "ohm/km"),
        ("V/1000rpm", "V/krpm"),
        ("‰", "permille"),
    ] {
        assert_eq!(symbol(printed), ours, "{printed}");
    }
}

#[test]
fn look_alikes_are_named_and_not_guessed() {
    for (text, expected) in [
        ("KΩ", &["kohm"][..]),
        ("Kohm", &["kohm"]),
        ("KHz", &["kHz"]),
        ("KV", &["kV"]),
        ("kg-m", &["kgf.m"]),
        ("kg·m", &["kgf.m"]),
        ("kgm", &["kgf.m"]),
        ("kg/cm²", &["kgf/cm2"]),
        ("mpg", &["mpg_us", "mpg_uk"]),
        ("Vpp", &["Vp"]),
        ("AWG", &["mm", "mm2"]),
    ] {
        match refused(text) {
            UnitError::LookAlike { meant, .. } => assert_eq!(meant, expected, "{text}"),
            other => panic!("{text}: {other:?}"),
        }
    }
    assert_eq!(
        refused("KΩ").to_string(),
        "`KΩ` is not taken as a unit: K is kelvin; the prefix kilo is a small k; write kohm"
    );
    let catalogue = Catalogue::standard();
    for (_, meant, _) in crate::spelling::LOOK_ALIKES {
        assert!(meant.iter().all(|unit| catalogue.unit(unit).is_ok()), "{meant:?}");
    }
}

#[test]
fn unknown_units_come_with_the_nearest() {
    for (text, nearest) in
        [("KPA", "kPa"), ("hz", "Hz"), ("milivolt", "mV"), ("V/krmp", "V/krpm"), ("kgf.n", "kgf.m")]
    {
        let error = refused(text);
        let UnitError::Unknown { nearest: Some(found), .. } = &error else {
            panic!("{text}: {error:?}")
        };
        assert_eq!(found, nearest, "{text}");
    }
    assert_eq!(refused("zebra").to_string(), "there is no unit `zebra`");
    let inside = refused("lm.lm/mole/hz");
    assert_eq!(inside.to_string(), "there is no unit `mole`; did you mean `mi`?");
    assert_eq!(refused(""), UnitError::Empty);
    assert_eq!(refused(&"m.".repeat(60)), UnitError::TooLong);
    assert_eq!(refused("J/kg.K"), UnitError::Ambiguous { text: "J/kg.K".to_owned() });
    assert!(matches!(refused("m/"), UnitError::BadForm { .. }));
    assert!(matches!(refused("((((((m))))))"), UnitError::BadForm { .. }));
    assert!(matches!(refused("V/m99"), UnitError::BadExponent { .. }));
    assert!(matches!(refused("nm9.nm9.nm9"), UnitError::OutOfRange { .. }));
}

#[test]
fn every_kind_has_a_coherent_unit_that_is_its_own() {
    let catalogue = Catalogue::standard();
    for (kind, def) in catalogue.kinds() {
        let unit = catalogue.coherent_unit(kind);
        assert_eq!(unit.symbol(), def.unit, "{}", def.name);
        assert_eq!(unit.factor(), Exact::ONE, "{}", def.name);
        assert!(unit.fits(kind, &catalogue), "{}", def.name);
        assert!(!catalogue.units_of(kind).is_empty(), "{}", def.name);
        assert_eq!(catalogue.kind_named(&def.name), Some(kind));
        assert!(!def.doc.is_empty() && is_word(&def.name), "{}", def.name);
    }
    assert_eq!(catalogue.kind_named("dc_voltage"), Some(Kind::DC_VOLTAGE));
    assert_eq!(catalogue.nearest_kind("dcvoltage").as_deref(), Some("dc_voltage"));
}

#[test]
fn a_bare_unit_may_be_several_kinds_and_a_lettered_one_is_one() {
    let catalogue = Catalogue::standard();
    let fits = |unit: &str, kind| catalogue.unit(unit).unwrap().fits(kind, &catalogue);
    assert!(
        fits("V", Kind::DC_VOLTAGE) && fits("V", Kind::PEAK_VOLTAGE) && fits("V", Kind::DIODE_DROP)
    );
    assert!(fits("Vac", Kind::AC_VOLTAGE) && !fits("Vac", Kind::DC_VOLTAGE));
    assert!(fits("kPa", Kind::ABSOLUTE_PRESSURE) && !fits("psig", Kind::ABSOLUTE_PRESSURE));
    assert!(fits("N.m", Kind::TORQUE) && !fits("N.m", Kind::ENERGY));
    assert!(fits("rpm", Kind::ROTATIONAL_SPEED) && !fits("rpm", Kind::FREQUENCY));
    assert!(fits("mL/d", Kind::VOLUME_FLOW) && !fits("rev/h", Kind::ROTATIONAL_SPEED));
    assert!(!fits("mV.A/ohm/A", Kind::TEMPERATURE));
    assert_eq!(catalogue.unit("V").unwrap().kinds()[0], Kind::DC_VOLTAGE);
    assert_eq!(catalogue.unit("kPa").unwrap().kinds()[0], Kind::GAUGE_PRESSURE);
    assert_eq!(catalogue.unit("degC").unwrap().kinds()[0], Kind::TEMPERATURE);
    assert!(catalogue.unit("N.m/d").unwrap().kinds().is_empty());
}

fn own(name: &'static str, dimension: Dimension, unit: &'static str) -> KindDef {
    KindDef {
        name: name.into(),
        words: name.into(),
        dimension,
        nature: Nature::Amount,
        unit: unit.into(),
        floor: Floor::None,
        doc: "".into(),
    }
}

#[test]
fn a_spec_adds_kinds_and_units() {
    let mut catalogue = Catalogue::standard();
    let length = catalogue.kind(Kind::LENGTH).dimension;
    let wear = catalogue.add_kind(own("pad_wear", length, "m")).unwrap();
    assert_eq!(catalogue.kind(wear).name, "pad_wear");
    assert!(catalogue.unit("mm").unwrap().fits(wear, &catalogue));
    assert!(!catalogue.unit("s").unwrap().fits(wear, &catalogue));
    let quarter = Exact::from(Rational::new(1, 4000).unwrap());
    catalogue
        .add_unit("click", "click of the adjuster", vec![wear], quarter, Rational::ZERO)
        .unwrap();
    assert_eq!(catalogue.unit("click").unwrap().factor(), quarter);
    assert!(catalogue.unit("N/click").is_ok());
    assert_eq!(catalogue.units_of(wear).len(), 1);
    // The standard catalogue has seen nothing of it.
    assert!(Catalogue::standard().unit("click").is_err());
    assert_eq!(Catalogue::standard().kind(wear).name, "ratio");
}

#[test]
fn additions_that_clash_are_refused() {
    let mut catalogue = Catalogue::standard();
    let length = catalogue.kind(Kind::LENGTH).dimension;
    let duplicate = catalogue.add_kind(own("torque", length, "m"));
    assert!(matches!(duplicate, Err(CatalogueError::DuplicateKind { .. })));
    assert!(matches!(
        catalogue.add_kind(own("two words", length, "m")),
        Err(CatalogueError::BadName { .. })
    ));
    assert!(matches!(
        catalogue.add_kind(own("gap", length, "mm")),
        Err(CatalogueError::NotCoherent { .. })
    ));
    let bare = catalogue.add_kind(own("bare", Dimension([1, 0, -3, 0, 0, 0, 0]), "")).unwrap();
    assert_eq!(catalogue.coherent_unit(bare).symbol(), "m.s-3");

    let mut add = |symbol: &str, kinds: Vec<Kind>, factor| {
        catalogue.add_unit(symbol, symbol, kinds, factor, Rational::ZERO)
    };
    let taken = add("mV", vec![Kind::DC_VOLTAGE], Exact::ONE);
    assert!(
        matches!(taken, Err(CatalogueError::DuplicateUnit { words, .. }) if words == "millivolt")
    );
    assert!(matches!(add("blink", vec![], Exact::ONE), Err(CatalogueError::NoKind { .. })));
    let mixed = add("blink", vec![Kind::TIME, Kind::LENGTH], Exact::ONE);
    assert!(matches!(mixed, Err(CatalogueError::KindsDisagree { .. })));
    assert!(matches!(
        add("blink", vec![Kind::TIME], Exact::ZERO),
        Err(CatalogueError::BadFactor { .. })
    ));
    assert!(matches!(add("b2", vec![Kind::TIME], Exact::ONE), Err(CatalogueError::BadName { .. })));
    let shifted = catalogue.add_unit("late", "late", vec![Kind::TIME], Exact::ONE, Rational::ONE);
    assert!(matches!(shifted, Err(CatalogueError::OffsetWithoutPoints { .. })));
}

#[test]
fn an_angle_of_a_specs_own_takes_degrees_and_no_plain_number() {
    let mut catalogue = Catalogue::standard();
    let camber = catalogue.add_kind(own("camber", Dimension::NONE, "rad")).unwrap();
    let share = catalogue.add_kind(own("share", Dimension::NONE, "1")).unwrap();
    let fits = |unit: &str, kind| catalogue.unit(unit).unwrap().fits(kind, &catalogue);
    assert!(fits("deg", camber) && !fits("%", camber));
    assert!(fits("%", share) && !fits("deg", share));
    assert!(!catalogue.takes_plain(camber) && catalogue.takes_plain(share));
}

proptest! {
    #[test]
    fn any_text_is_read_or_refused(text in "\\PC{0,30}") {
        let _ = Catalogue::standard().unit(&text);
    }

    /// What is composed of names reads back from its own symbol as the same unit.
    #[test]
    fn composed_symbols_read_back(
        parts in prop::collection::vec((0_usize..390, 1_u32..4, any::<bool>()), 1..4)
    ) {
        let catalogue = Catalogue::standard();
        let mut text = String::new();
        for (index, exponent, divide) in parts {
            let unit = catalogue.units().nth(index).unwrap().unit.symbol();
            let power = if unit.contains(['.', '/']) || unit.ends_with(char::is_numeric) { String::new() } else { exponent.to_string() };
            let joint = if text.is_empty() { "" } else if divide || text.contains('/') { "/" } else { "." };
            text.push_str(&format!("{joint}({unit}{power})"));
        }
        if let Ok(unit) = catalogue.unit(&text) {
            let again = catalogue.unit(unit.symbol());
            prop_assert_eq!(again.as_ref().map(Unit::factor), Ok(unit.factor()), "{} from {}", unit.symbol(), text);
            prop_assert_eq!(again.map(|again| again.dimension()), Ok(unit.dimension()));
        }
    }
}
