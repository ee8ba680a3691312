//! The catalogue held against `uom`, unit by unit.

use truing_units::Catalogue;

/// Every unit that `uom` has too: our exact factor and offset against its coefficient and constant.
/// `uom` states units of the inch-pound system to seven digits, as NIST SP 811 prints them; the
/// table marks those rows, and a mark that is not needed fails.
#[test]
fn factors_and_offsets_agree_with_uom() {
    let catalogue = Catalogue::standard();
    let (mut exact, mut rounded) = (0, 0);
    for def in catalogue.units() {
        let Some(uom) = def.uom else { continue };
        let off = ((uom.coefficient)() / def.unit.factor().to_f64() - 1.0).abs();
        if uom.rounded {
            assert!(
                (1e-9..1.5e-6).contains(&off),
                "{} against the rounded {}: {off:e}",
                def.unit,
                uom.name
            );
            println!("uom rounds {}: off by {off:.1e}", uom.name);
            rounded += 1;
        } else {
            assert!(off < 1e-9, "{} against {}: {off:e}", def.unit, uom.name);
            exact += 1;
        }
        assert_eq!((uom.constant)() + 0.0, def.unit.offset().to_f64(), "{}", def.unit);
    }
    println!("{exact} agree, {rounded} are rounded in uom");
    assert!(exact >= 200 && rounded >= 30, "{exact} and {rounded}");
}

#[test]
fn the_table_is_as_large_as_it_says_and_each_row_was_read() {
    let catalogue = Catalogue::standard();
    assert!(catalogue.kinds().count() >= 45);
    assert!(catalogue.units().count() >= 250);
    for def in catalogue.units() {
        assert!(!def.unit.kinds().is_empty(), "{}", def.unit);
        for kind in def.unit.kinds() {
            let kind = catalogue.kind(*kind);
            assert_eq!(kind.dimension, def.unit.dimension(), "{} as {}", def.unit, kind.name);
        }
    }
}
