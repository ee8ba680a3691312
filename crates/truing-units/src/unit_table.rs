//! The standard units: one row each, in tables by field of use.
//!
//! A table is a list of groups, `quantity [KINDS] { rows }`. The quantity is `uom`'s, which gives the
//! dimension, or base powers `[L M T I Th N J]` where `uom` has none. A row is
//!
//! ```text
//! "symbol" "words" = "definition" [offset "…"] [ucum "code"] [uom unit | rounded unit]
//!                    [measured "why"] [also "alias" …];
//! ```
//!
//! The definition is the factor to the SI-coherent unit as a product of exact numbers and the
//! defined constants of [`definition`]; `uom unit` names the unit whose coefficient a test holds
//! it against, `rounded unit` one whose coefficient is published rounded. `measured` marks a
//! factor that rests on a measurement and so is not exact.

pub(crate) mod definition;
mod electricity;
mod energy;
mod flow;
mod heat;
mod light;
mod mechanics;
mod numbers;
mod pressure;
mod space;

use crate::{Dimension, Kind};

/// One unit as the table states it.
pub(crate) struct Row {
    pub symbol: &'static str,
    pub words: &'static str,
    pub definition: &'static str,
    pub offset: Option<&'static str>,
    pub dimension: Dimension,
    pub kinds: &'static [Kind],
    pub ucum: Option<&'static str>,
    pub uom: Option<UomUnit>,
    pub measured: Option<&'static str>,
    pub aliases: &'static [&'static str],
}

/// What `uom` says of the unit.
#[derive(Copy, Clone, Debug)]
pub struct UomUnit {
    /// The unit's path below `uom::si`.
    pub name: &'static str,
    /// `uom`'s factor to the coherent unit.
    pub coefficient: fn() -> f64,
    /// `uom`'s offset.
    pub constant: fn() -> f64,
    /// Whether `uom` states the factor rounded (to seven digits, as SP 811 prints it).
    pub rounded: bool,
}

/// The dimension of a `uom` quantity, or of literal base powers.
macro_rules! table_dimension {
    ([$($power:literal)*]) => { $crate::Dimension([$($power),*]) };
    ($quantity:ident) => { $crate::Dimension::of::<uom::si::$quantity::Dimension>() };
}

/// The `uom` unit that a row names.
macro_rules! table_uom {
    ($quantity:ident $unit:ident $rounded:literal) => {
        $crate::unit_table::UomUnit {
            name: concat!(stringify!($quantity), "::", stringify!($unit)),
            coefficient: || <uom::si::$quantity::$unit as uom::Conversion<f64>>::coefficient(),
            constant: || {
                <uom::si::$quantity::$unit as uom::Conversion<f64>>::constant(uom::ConstantOp::Add)
            },
            rounded: $rounded,
        }
    };
}

/// The value of an optional part of a row.
macro_rules! optional {
    () => {
        None
    };
    ($value:expr) => {
        Some($value)
    };
}

/// A table of groups of rows; the form is described at the head of this file.
macro_rules! units {
    ($($quantity:tt [$($kind:ident)*] { $(
        $symbol:literal $words:literal = $definition:literal
        $(offset $offset:literal)? $(ucum $ucum:literal)? $(uom $uom:ident)? $(rounded $rounded:ident)?
        $(measured $why:literal)? $(also $($alias:literal)+)?;
    )* })*) => {
        pub(super) static ROWS: &[&[$crate::unit_table::Row]] = &[$( units!(@group $quantity [$($kind)*] {$(
            $symbol $words = $definition ($($offset)?) ($($ucum)?) ($($uom false)? $($rounded true)?) ($($why)?) ($($($alias)+)?);
        )*}) ),*];
    };
    (@group $quantity:tt $kinds:tt { $($symbol:literal $words:literal = $definition:literal
        ($($offset:literal)?) ($($ucum:literal)?) ($($uom:ident $rounded:literal)?) ($($why:literal)?) ($($alias:literal)*);)* }) => {
        &[$( $crate::unit_table::Row {
            symbol: $symbol,
            words: $words,
            definition: $definition,
            offset: optional!($($offset)?),
            dimension: table_dimension!($quantity),
            kinds: units!(@kinds $kinds),
            ucum: optional!($($ucum)?),
            uom: optional!($(table_uom!($quantity $uom $rounded))?),
            measured: optional!($($why)?),
            aliases: &[$($alias),*],
        } ),*]
    };
    (@kinds [$($kind:ident)*]) => { &[$($crate::Kind::$kind),*] };
}
pub(crate) use {optional, table_dimension, table_uom, units};

/// Every row, table after table.
pub(crate) fn rows() -> impl Iterator<Item = &'static Row> {
    [
        numbers::ROWS,
        space::ROWS,
        mechanics::ROWS,
        pressure::ROWS,
        flow::ROWS,
        heat::ROWS,
        energy::ROWS,
        electricity::ROWS,
        light::ROWS,
    ]
    .into_iter()
    .flatten()
    .flat_map(|group| group.iter())
}
