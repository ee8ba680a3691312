//! The catalogue: the standard kinds and units, and what a spec adds to them.

use std::borrow::Cow;
use std::collections::BTreeMap;

use crate::kind_table::STANDARD_KINDS;
use crate::spelling::{look_alike, nearest, normalise};
use crate::standard::{STANDARD, Standard, UnitDef};
use crate::unit::UnitData;
use crate::{
    CatalogueError, Dimension, Exact, Kind, KindDef, Nature, Place, Rational, Ty, Unit, UnitError,
    composed, ucum, words,
};

/// The longest unit text that is read.
const MAX_UNIT_TEXT: usize = 80;

/// Kinds and units by name: the standard ones, shared and never changed, and a spec's own.
#[derive(Clone, Debug)]
pub struct Catalogue {
    standard: &'static Standard,
    own_kinds: Vec<KindDef>,
    own_units: Vec<UnitDef>,
    own_names: BTreeMap<String, usize>,
}

impl Catalogue {
    /// The standard kinds and units.
    pub fn standard() -> Catalogue {
        Catalogue {
            standard: &STANDARD,
            own_kinds: Vec::new(),
            own_units: Vec::new(),
            own_names: BTreeMap::new(),
        }
    }

    /// What a kind is. A kind of another catalogue, which this one has never seen, reads as a plain
    /// ratio; kinds stay with the catalogue (or a clone of it) that made them.
    pub fn kind(&self, kind: Kind) -> &KindDef {
        let own = kind.index().checked_sub(STANDARD_KINDS.len());
        let found = match own {
            None => STANDARD_KINDS.get(kind.index()),
            Some(own) => self.own_kinds.get(own),
        };
        found.unwrap_or(&RATIO)
    }

    /// The kind of that name, as written in the language.
    pub fn kind_named(&self, name: &str) -> Option<Kind> {
        self.kinds().find(|(_, def)| def.name == name).map(|(kind, _)| kind)
    }

    /// Every kind, the standard ones first.
    pub fn kinds(&self) -> impl Iterator<Item = (Kind, &KindDef)> {
        let all = STANDARD_KINDS.iter().chain(&self.own_kinds);
        (0..=u16::MAX).map(Kind).zip(all)
    }

    /// Whether a spec added the kind.
    pub(crate) fn is_own(&self, kind: Kind) -> bool {
        kind.index() >= STANDARD_KINDS.len()
    }

    /// The coherent unit of a kind for which a bare number leaves open what it counts: an angle
    /// (degrees or radians), a rotational speed (turns or radians), a level. `None` for all others.
    pub(crate) fn counted_in(&self, kind: Kind) -> Option<&str> {
        let unit = self.kind(kind).unit.as_ref();
        matches!(unit, "rad" | "rad/s" | "rad/s2" | "dB").then_some(unit)
    }

    /// Whether a plain result of the right dimension may be taken for this kind: not for points of a
    /// scale, nor for the kinds of [`counted_in`](Self::counted_in).
    pub(crate) fn takes_plain(&self, kind: Kind) -> bool {
        self.counted_in(kind).is_none() && !matches!(self.kind(kind).nature, Nature::Point { .. })
    }

    /// Whether figures of the type are points of a scale, to which a unit's offset applies.
    pub fn place(&self, ty: Ty) -> Place {
        match ty {
            Ty::Kind(kind) if matches!(self.kind(kind).nature, Nature::Point { .. }) => {
                Place::Point
            }
            _ => Place::Amount,
        }
    }

    /// Reads a unit: a symbol, another spelling of one, or units composed with `.`, `/` and powers.
    ///
    /// ```
    /// # use truing_units::Catalogue;
    /// let catalogue = Catalogue::standard();
    /// assert_eq!(catalogue.unit("kΩ")?.symbol(), "kohm");
    /// assert_eq!(catalogue.unit("ft-lb")?.words(), "pound-force foot");
    /// assert!(catalogue.unit("KΩ").is_err()); // K is kelvin
    /// # Ok::<(), truing_units::UnitError>(())
    /// ```
    ///
    /// # Errors
    /// [`UnitError`], with the nearest symbol or with what a look-alike may have meant.
    pub fn unit(&self, text: &str) -> Result<Unit, UnitError> {
        let plain = normalise(text);
        if plain.is_empty() {
            return Err(UnitError::Empty);
        }
        if plain.len() > MAX_UNIT_TEXT {
            return Err(UnitError::TooLong);
        }
        if let Some(unit) = self.named(&plain) {
            return Ok(unit);
        }
        if let Some(found) = look_alike(&plain, |name| self.named(name).is_some()) {
            return Err(UnitError::LookAlike {
                text: text.to_owned(),
                meant: found.meant,
                why: found.why,
            });
        }
        // `MOHM` is milliohm or megohm: a factor of a billion is nothing to guess at.
        let meant = self.equal_but_for_case(&plain);
        if meant.len() > 1 {
            let why = "only small and capital letters tell these units apart";
            return Err(UnitError::LookAlike { text: text.to_owned(), meant, why });
        }
        let composed =
            composed::parse(&plain, &|name| self.named(name)).map_err(|error| match error {
                UnitError::Unknown { text: part, .. } => {
                    // A name that is wrong inside a composition is reported by itself, unless the whole
                    // is nearly the name of a unit.
                    let whole = self.nearest_unit(text);
                    let (text, nearest) = match whole {
                        None if part != plain => (part.clone(), self.nearest_unit(&part)),
                        whole => (text.to_owned(), whole),
                    };
                    UnitError::Unknown { text, nearest }
                }
                other => other,
            })?;
        // `ohms/km` composes to the spelling of a unit that has a name.
        Ok(self.named(composed.symbol()).unwrap_or(composed))
    }

    /// The unit of that symbol or other spelling, already normalised.
    fn named(&self, plain: &str) -> Option<Unit> {
        let standard =
            || self.standard.names.get(plain).and_then(|index| self.standard.units.get(*index));
        let own = || self.own_names.get(plain).and_then(|index| self.own_units.get(*index));
        standard().or_else(own).map(|def| def.unit.clone())
    }

    /// The symbols of the units that are spelled like this but for small and capital letters.
    fn equal_but_for_case(&self, plain: &str) -> Vec<String> {
        let names = self.standard.names.keys().chain(self.own_names.keys());
        let like = names.filter(|name| name.eq_ignore_ascii_case(plain));
        let units = like.filter_map(|name| self.named(name));
        let symbols: std::collections::BTreeSet<_> =
            units.map(|unit| unit.symbol().to_owned()).collect();
        // Small letters first: milli before mega.
        symbols.into_iter().rev().collect()
    }

    /// Every unit, the standard ones first.
    pub fn units(&self) -> impl Iterator<Item = &UnitDef> {
        self.standard.units.iter().chain(&self.own_units)
    }

    /// The units that name a kind, in the order of the table.
    pub fn units_of(&self, kind: Kind) -> Vec<&UnitDef> {
        self.units().filter(|def| def.unit.kinds().contains(&kind)).collect()
    }

    /// Reads a code of UCUM, the Unified Code for Units of Measure.
    ///
    /// # Errors
    /// [`UnitError::NotUcum`] where the text is no such code, or measures something that has no
    /// place here (amount of substance in arbitrary units, logarithmic units).
    pub fn unit_from_ucum(&self, code: &str) -> Result<Unit, UnitError> {
        if code.len() > MAX_UNIT_TEXT {
            return Err(UnitError::TooLong);
        }
        match self.standard.ucum.get(code).and_then(|index| self.standard.units.get(*index)) {
            Some(def) => Ok(def.unit.clone()),
            None => ucum::parse(code),
        }
    }

    /// The unit's UCUM code, where it has one.
    pub fn ucum_of(&self, unit: &Unit) -> Option<String> {
        unit.ucum().map(str::to_owned)
    }

    /// The coherent unit in which doubles of a kind are carried.
    pub fn coherent_unit(&self, kind: Kind) -> Unit {
        let def = self.kind(kind);
        let named = self.unit(&def.unit).ok().filter(|unit| unit.factor() == Exact::ONE);
        named.unwrap_or_else(|| coherent(def.dimension, vec![kind]))
    }

    /// The unit symbol most like a text, for a suggestion.
    pub fn nearest_unit(&self, text: &str) -> Option<String> {
        let plain = normalise(text);
        // Symbols before other spellings, so that of two equally like the symbol is named.
        let symbols = self.units().map(|def| def.unit.symbol());
        let others = self.standard.names.keys().chain(self.own_names.keys()).map(String::as_str);
        let name = nearest(&plain, symbols.chain(others))?;
        self.named(name).map(|unit| unit.symbol().to_owned())
    }

    /// The kind name most like a text, for a suggestion.
    pub fn nearest_kind(&self, text: &str) -> Option<String> {
        nearest(text, self.kinds().map(|(_, def)| def.name.as_ref())).map(str::to_owned)
    }

    /// A dimension in plain words: `voltage`, `force times length`, else base units.
    pub fn dimension_words(&self, dimension: Dimension) -> String {
        words::dimension_words(dimension)
    }

    /// Adds a kind of a spec's own. An empty `unit` stands for the coherent unit in base units.
    ///
    /// # Errors
    /// [`CatalogueError`] where the name is taken or is not one word, or the unit is not coherent.
    pub fn add_kind(&mut self, mut def: KindDef) -> Result<Kind, CatalogueError> {
        if !is_word(&def.name) {
            return Err(CatalogueError::BadName { name: def.name.into_owned() });
        }
        if self.kind_named(&def.name).is_some() {
            return Err(CatalogueError::DuplicateKind { name: def.name.into_owned() });
        }
        let bare = coherent(def.dimension, Vec::new());
        if def.unit.is_empty() {
            def.unit = Cow::Owned(bare.symbol().to_owned());
        } else {
            let unit = self.unit(&def.unit).ok();
            let fits =
                |unit: &Unit| unit.dimension() == def.dimension && unit.factor() == Exact::ONE;
            if !unit.as_ref().is_some_and(fits) {
                let coherent = bare.symbol().to_owned();
                return Err(CatalogueError::NotCoherent { unit: def.unit.into_owned(), coherent });
            }
        }
        let index = STANDARD_KINDS.len() + self.own_kinds.len();
        let kind = Kind(u16::try_from(index).map_err(|_| CatalogueError::Full)?);
        self.own_kinds.push(def);
        Ok(kind)
    }

    /// Adds a unit of a spec's own: `coherent = (figure + offset) * factor`.
    ///
    /// # Errors
    /// [`CatalogueError`] where the symbol is taken or is not one word, or the kinds disagree.
    pub fn add_unit(
        &mut self,
        symbol: &str,
        words: &str,
        kinds: Vec<Kind>,
        factor: Exact,
        offset: Rational,
    ) -> Result<(), CatalogueError> {
        let name = || symbol.to_owned();
        if !is_word(symbol) || symbol.ends_with(|c: char| c.is_ascii_digit()) {
            return Err(CatalogueError::BadName { name: name() });
        }
        if let Ok(taken) = self.unit(symbol) {
            return Err(CatalogueError::DuplicateUnit {
                symbol: name(),
                words: taken.words().to_owned(),
            });
        }
        let dimension = match kinds.first() {
            Some(first) => self.kind(*first).dimension,
            None => return Err(CatalogueError::NoKind { symbol: name() }),
        };
        if kinds.iter().any(|kind| self.kind(*kind).dimension != dimension) {
            return Err(CatalogueError::KindsDisagree { symbol: name() });
        }
        if factor.ratio() <= Rational::ZERO {
            return Err(CatalogueError::BadFactor { symbol: name() });
        }
        let points = kinds.iter().any(|kind| self.place(Ty::Kind(*kind)) == Place::Point);
        if !offset.is_zero() && !points {
            return Err(CatalogueError::OffsetWithoutPoints { symbol: name() });
        }
        let unit = Unit::new(UnitData {
            symbol: Cow::Owned(name()),
            words: Cow::Owned(words.to_owned()),
            dimension,
            factor,
            offset,
            kinds,
            ucum: None,
        });
        self.own_names.insert(normalise(symbol), self.own_units.len());
        self.own_units.push(UnitDef {
            unit,
            aliases: Vec::new(),
            definition: "",
            measured: None,
            uom: None,
        });
        Ok(())
    }
}

/// The coherent unit of a dimension, spelled in base units.
fn coherent(dimension: Dimension, kinds: Vec<Kind>) -> Unit {
    let symbol = normalise(&dimension.to_string());
    Unit::new(UnitData {
        symbol: Cow::Owned(symbol.clone()),
        words: Cow::Owned(symbol.clone()),
        dimension,
        factor: Exact::ONE,
        offset: Rational::ZERO,
        kinds,
        ucum: Some(Cow::Owned(symbol)),
    })
}

/// What a kind that no catalogue knows reads as.
static RATIO: KindDef = KindDef {
    name: Cow::Borrowed("ratio"),
    words: Cow::Borrowed("ratio"),
    dimension: Dimension::NONE,
    nature: Nature::Amount,
    unit: Cow::Borrowed("1"),
    floor: crate::Floor::None,
    doc: Cow::Borrowed(""),
};

/// A name of letters, digits and underscores that begins with a letter.
fn is_word(name: &str) -> bool {
    name.starts_with(|c: char| c.is_ascii_alphabetic())
        && name.len() <= 40
        && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_')
}

#[cfg(test)]
mod tests;
