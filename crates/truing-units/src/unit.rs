//! Units of measurement.

use std::borrow::Cow;
use std::fmt;
use std::sync::Arc;

use serde::{Deserialize, Deserializer, Serialize, Serializer};

use crate::{Catalogue, Dimension, Exact, Kind, Rational};

/// A unit of measurement with its exact factor to the coherent unit of its dimension.
///
/// A figure `v` in the unit is worth `v * factor` of the coherent unit as an amount, and
/// `(v + offset) * factor` as a point of a scale. Cloning is cheap.
pub struct Unit(Arc<UnitData>);

impl Clone for Unit {
    fn clone(&self) -> Self {
        Self(Arc::clone(&self.0))
    }

    /// One reading after another is in the same unit: then there is nothing to count up and down.
    fn clone_from(&mut self, source: &Self) {
        if !Arc::ptr_eq(&self.0, &source.0) {
            self.0 = Arc::clone(&source.0);
        }
    }
}

/// The parts of a [`Unit`].
#[derive(Clone, PartialEq, Debug)]
pub(crate) struct UnitData {
    pub symbol: Cow<'static, str>,
    pub words: Cow<'static, str>,
    pub dimension: Dimension,
    pub factor: Exact,
    pub offset: Rational,
    pub kinds: Vec<Kind>,
    pub ucum: Option<Cow<'static, str>>,
}

impl Unit {
    pub(crate) fn new(data: UnitData) -> Unit {
        Unit(Arc::new(data))
    }

    /// The canonical symbol, in ASCII and without spaces: `ohm`, `degC`, `N.m`.
    pub fn symbol(&self) -> &str {
        &self.0.symbol
    }

    /// The name in words: `newton metre`. The symbol again for a composed unit.
    pub fn words(&self) -> &str {
        &self.0.words
    }

    /// The dimension of figures in the unit.
    pub fn dimension(&self) -> Dimension {
        self.0.dimension
    }

    /// How much of the coherent unit one unit is worth, exactly.
    pub fn factor(&self) -> Exact {
        self.0.factor
    }

    /// What is added to a point's figure before it is scaled: 273.15 for `degC`. Nought for most.
    pub fn offset(&self) -> Rational {
        self.0.offset
    }

    /// The kinds that a figure in this unit may be; the first is what it is when nothing says
    /// otherwise. Empty for composed units, whose figures are plain.
    pub fn kinds(&self) -> &[Kind] {
        &self.0.kinds
    }

    /// The unit's code in UCUM (the Unified Code for Units of Measure), where it has one.
    pub fn ucum(&self) -> Option<&str> {
        self.0.ucum.as_deref()
    }

    /// Whether a figure in this unit may stand where `kind` is wanted.
    ///
    /// A named unit fits the kinds that it lists. A composed unit fits an amount or a difference of
    /// its dimension. A kind that a spec added takes every unit of its dimension.
    pub fn fits(&self, kind: Kind, catalogue: &Catalogue) -> bool {
        if self.0.kinds.contains(&kind) {
            return true;
        }
        let def = catalogue.kind(kind);
        if def.dimension != self.0.dimension {
            return false;
        }
        if catalogue.is_own(kind) {
            // Degrees still do not fit a number, nor hertz a rotational speed.
            let wanted = catalogue.counted_in(kind);
            let mut found = self.0.kinds.iter().map(|kind| catalogue.counted_in(*kind));
            return if self.0.kinds.is_empty() {
                wanted.is_none()
            } else {
                found.any(|unit| unit == wanted)
            };
        }
        self.0.kinds.is_empty() && catalogue.takes_plain(kind)
    }
}

impl PartialEq for Unit {
    fn eq(&self, other: &Unit) -> bool {
        Arc::ptr_eq(&self.0, &other.0) || self.0 == other.0
    }
}

impl fmt::Debug for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Unit({})", self.0.symbol)
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.symbol())
    }
}

impl Serialize for Unit {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.symbol())
    }
}

impl<'de> Deserialize<'de> for Unit {
    /// Reads a symbol, or a UCUM code, of the standard catalogue.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Unit, D::Error> {
        let text = String::deserialize(deserializer)?;
        let catalogue = Catalogue::standard();
        catalogue
            .unit(&text)
            .or_else(|error| catalogue.unit_from_ucum(&text).map_err(|_| error))
            .map_err(serde::de::Error::custom)
    }
}
