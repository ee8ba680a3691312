//! No text and no reading brings the program down.

#![expect(clippy::unwrap_used, reason = "a test fails by panicking")]

use std::sync::LazyLock;

use proptest::prelude::*;
use truing::{CheckOptions, Compiled, Libraries, check_text};

static DEMO: LazyLock<Compiled> = LazyLock::new(|| {
    Compiled::from_text("demo", include_str!("../../../specs/demo/lowmoor-420-orchard.truing"))
        .unwrap()
});

const BENCH: &str = include_str!("bench.truing");

fn options() -> CheckOptions {
    CheckOptions { libraries: Libraries::built_in() }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..Default::default() })]

    #[test]
    fn any_text_is_checked(text in "\\PC*") {
        let _ = check_text("text", &text, &options());
    }

    /// A sound spec with a piece cut out and something put in.
    #[test]
    fn any_damage_to_a_spec_is_checked(at in 0..BENCH.len(), length in 0usize..60, new in "\\PC{0,12}") {
        let place = |byte: usize| (0..=byte.min(BENCH.len())).rev().find(|it| BENCH.is_char_boundary(*it)).unwrap();
        let (start, end) = (place(at), place(at + length));
        let damaged = format!("{}{new}{}", &BENCH[..start], &BENCH[end..]);
        if let Ok(compiled) = Compiled::from_text("damaged", &damaged) {
            let _ = truing::run_cases(&compiled);
        }
    }

    #[test]
    fn any_reading_is_taken_or_refused(
        name in prop_oneof![Just("battery_rest".to_owned()), Just("to_ground[U]".to_owned()),
            Just("stator_connector".to_owned()), Just("market".to_owned()), "\\PC{0,12}"],
        text in prop_oneof!["\\PC{0,24}", "[-+<>=0-9.,eE ]{0,12} ?(V|mV|ohm|Mohm|degC|OL|:|unsteady)?"],
    ) {
        if let Ok(sheet) = DEMO.sheet().read(&name, &text) {
            let _ = sheet.assess();
        }
    }

    #[test]
    fn any_quantity_is_taken_or_refused(bits in any::<u64>(), step in any::<u64>()) {
        let volts = |bits| uom::si::f64::ElectricPotential::new::<uom::si::electric_potential::volt>(f64::from_bits(bits));
        if let Ok(sheet) = DEMO.sheet().measure_to("battery_rest", volts(bits), volts(step)) {
            let _ = sheet.assess();
        }
    }
}

/// Tests run on threads with a stack of 2 MB, as a server's do.
#[test]
fn what_is_nested_too_deep_is_refused_and_overflows_no_stack() {
    let deep = 20_000;
    let (open, close) = ("(".repeat(deep), ")".repeat(deep));
    let minus = "-".repeat(deep);
    let nots = "not ".repeat(deep);
    let ifs = "if a passes { ".repeat(deep) + &"}".repeat(deep);
    let chain = "1 V + ".repeat(deep);
    for rule in [
        format!("{open}a{close} > 1 V"),
        format!("{minus}a > 1 V"),
        format!("{nots}a passes"),
        format!("a > {chain}1 V"),
    ] {
        let text = format!("{BENCH}\ncheck deep \"Deep\" : {rule}\n");
        assert!(check_text("deep", &text, &options()).has_errors());
    }
    let text = format!("{BENCH}\nprocedure deep \"Deep\" {{ {ifs} }}\n");
    assert!(check_text("deep", &text, &options()).has_errors());
    let reading = format!("{minus}1 V");
    assert!(DEMO.sheet().read("battery_rest", &reading).is_err());
    assert!(truing::calculate(&format!("{open}1 V{close}")).is_err());
}

/// Each derived quantity is made of the one before: the evaluation goes as deep.
#[test]
fn a_long_chain_of_derived_quantities_overflows_no_stack() {
    let mut text = format!("{BENCH}\nderived d0 = battery_rest + 1 V\n");
    for link in 1..300 {
        text.push_str(&format!("derived d{link} = d{} + 1 V\n", link - 1));
    }
    text.push_str("check chain \"Chain\" : d299 > 1 V\n");
    if let Ok(compiled) = Compiled::from_text("chain", &text) {
        let sheet = compiled.sheet().read("battery_rest", "12.7 V").unwrap();
        assert_eq!(sheet.assess().findings.len(), compiled.spec().checks.len());
    }
}
