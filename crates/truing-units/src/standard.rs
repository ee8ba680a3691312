//! The standard units, built once from the tables and never changed.

use std::borrow::Cow;
use std::collections::BTreeMap;
use std::sync::LazyLock;

use crate::spelling::normalise;
use crate::unit::UnitData;
use crate::unit_table::{self, UomUnit, definition};
use crate::{Rational, Unit};

/// A unit of the catalogue with what is known of it.
#[derive(Clone, Debug)]
pub struct UnitDef {
    /// The unit itself.
    pub unit: Unit,
    /// Other spellings that are read as this unit.
    pub aliases: Vec<Cow<'static, str>>,
    /// The factor as the table states it; empty for a spec's own unit.
    pub definition: &'static str,
    /// Why the factor is not exact, where it rests on a measurement.
    pub measured: Option<&'static str>,
    /// The `uom` unit that the factor was held against.
    pub uom: Option<UomUnit>,
}

/// The standard table, built once.
#[derive(Debug)]
pub(crate) struct Standard {
    pub units: Vec<UnitDef>,
    pub names: BTreeMap<String, usize>,
    pub ucum: BTreeMap<&'static str, usize>,
}

pub(crate) static STANDARD: LazyLock<Standard> = LazyLock::new(Standard::build);

impl Standard {
    /// Reads the tables. A row whose definition cannot be read is left out; a test sees that none is.
    fn build() -> Standard {
        let mut standard =
            Standard { units: Vec::new(), names: BTreeMap::new(), ucum: BTreeMap::new() };
        for row in unit_table::rows() {
            let offset = row.offset.map_or(Some(Rational::ZERO), definition::rational);
            let (Some(factor), Some(offset)) = (definition::value_of(row.definition), offset)
            else {
                continue;
            };
            let index = standard.units.len();
            let names = std::iter::once(&row.symbol).chain(row.aliases);
            for name in names {
                standard.names.entry(normalise(name)).or_insert(index);
            }
            if let Some(code) = row.ucum {
                standard.ucum.entry(code).or_insert(index);
            }
            standard.units.push(UnitDef {
                unit: Unit::new(UnitData {
                    symbol: Cow::Borrowed(row.symbol),
                    words: Cow::Borrowed(row.words),
                    dimension: row.dimension,
                    factor,
                    offset,
                    kinds: row.kinds.to_vec(),
                    ucum: row.ucum.map(Cow::Borrowed),
                }),
                aliases: row.aliases.iter().map(|alias| Cow::Borrowed(*alias)).collect(),
                definition: row.definition,
                measured: row.measured,
                uom: row.uom,
            });
        }
        standard
    }
}
