//! The kinds of quantity and units that a spec adds to the standard catalogue.

use serde::{Deserialize, Serialize};
use truing_units::{Catalogue, Dimension, Exact, Floor, Kind, KindDef, Nature, Rational};

/// A kind of quantity of a spec's own. Its number follows from its place among these.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnKind {
    /// The one-word name.
    pub name: String,
    /// In plain words.
    pub words: String,
    /// Its dimension.
    pub dimension: Dimension,
    /// How its values may be added and scaled.
    pub nature: Nature,
    /// Symbol of the coherent unit.
    pub unit: String,
    /// Whether a true value can lie below zero.
    pub floor: Floor,
}

/// A unit of a spec's own.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OwnUnit {
    /// Its symbol.
    pub symbol: String,
    /// In words.
    pub words: String,
    /// What it measures.
    pub kinds: Vec<Kind>,
    /// How much of the coherent unit one of it is worth.
    pub factor: Exact,
    /// What is added to a point's figure before it is scaled.
    pub offset: Rational,
}

/// The standard catalogue with these kinds and units added, in order. What the compiler added once
/// can be added again; an entry that a hand-changed file broke is left out.
#[must_use]
pub fn catalogue_with(kinds: &[OwnKind], units: &[OwnUnit]) -> Catalogue {
    let mut catalogue = Catalogue::standard();
    for kind in kinds {
        let _ = catalogue.add_kind(KindDef {
            name: kind.name.clone().into(),
            words: kind.words.clone().into(),
            dimension: kind.dimension,
            nature: kind.nature,
            unit: kind.unit.clone().into(),
            floor: kind.floor,
            doc: kind.words.clone().into(),
        });
    }
    for unit in units {
        let _ = catalogue.add_unit(
            &unit.symbol,
            &unit.words,
            unit.kinds.clone(),
            unit.factor,
            unit.offset,
        );
    }
    catalogue
}
