//! Why a kind or unit cannot be added to a catalogue.

use thiserror::Error;

/// Why a kind or unit cannot be added.
#[derive(Clone, Eq, PartialEq, Debug, Error)]
pub enum CatalogueError {
    /// The name is taken by a kind.
    #[error("there is a kind `{name}` already")]
    DuplicateKind {
        /// The name.
        name: String,
    },
    /// The symbol is taken by a unit.
    #[error("`{symbol}` is a unit already: {words}")]
    DuplicateUnit {
        /// The symbol.
        symbol: String,
        /// The unit that it names.
        words: String,
    },
    /// A name that cannot be written as one word.
    #[error("`{name}` cannot be a name: write one word of letters, digits and underscores")]
    BadName {
        /// The name.
        name: String,
    },
    /// A kind whose unit is not the coherent unit of its dimension.
    #[error("`{unit}` is not the coherent unit of this kind; that is `{coherent}`")]
    NotCoherent {
        /// The unit given.
        unit: String,
        /// The coherent unit of the dimension, in base units.
        coherent: String,
    },
    /// A unit for no kind at all.
    #[error("the unit `{symbol}` names no kind of quantity")]
    NoKind {
        /// The symbol.
        symbol: String,
    },
    /// A unit for kinds of different dimensions.
    #[error("the kinds of the unit `{symbol}` have different dimensions")]
    KindsDisagree {
        /// The symbol.
        symbol: String,
    },
    /// A unit worth nothing, or less.
    #[error("the factor of the unit `{symbol}` must be above zero")]
    BadFactor {
        /// The symbol.
        symbol: String,
    },
    /// An offset on a unit for which no scale has points.
    #[error("the unit `{symbol}` has an offset, but none of its kinds is a scale of points")]
    OffsetWithoutPoints {
        /// The symbol.
        symbol: String,
    },
    /// No room for another kind.
    #[error("a catalogue holds 65,536 kinds at the most")]
    Full,
}
