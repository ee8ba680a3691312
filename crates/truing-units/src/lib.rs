//! What a quantity is: kinds, units, exact decimal figures and their conversion.
//!
//! Knows nothing of specs, limits or readings: it says what `12.50 V` is, exactly, and what it may be
//! added to or compared with. Read [`Decimal`], [`Rational`] and [`Exact`] for the numbers,
//! [`Dimension`], [`Kind`] and [`Unit`] for what they are of, [`Catalogue`] for where the names come
//! from, [`Measure`] and [`convert`] for figures with units, [`combine`] for the algebra.

mod algebra;
mod catalogue;
mod catalogue_error;
mod composed;
mod conversion;
mod decimal;
mod dimension;
mod exact;
mod kind;
mod kind_table;
mod operator_table;
mod quantity;
mod rational;
mod refusal;
mod rounding;
mod spelling;
mod standard;
mod ucum;
mod ucum_atoms;
mod unit;
mod unit_error;
mod unit_table;
mod words;

pub use algebra::{Operator, Ty, assignable, combine, comparable};
pub use catalogue::Catalogue;
pub use catalogue_error::CatalogueError;
pub use conversion::{Conversion, conversions};
pub use decimal::{Decimal, DecimalError, MAX_DIGITS, MAX_EXPONENT};
pub use dimension::Dimension;
pub use exact::Exact;
pub use kind::{Floor, Kind, KindDef, Nature};
pub use operator_table::{Class, Row, operator_table};
pub use quantity::{ConvertError, Converted, Measure, Place, convert, from_coherent};
pub use rational::Rational;
pub use refusal::Refusal;
pub use rounding::{figure_text, significant_text};
pub use standard::UnitDef;
pub use unit::Unit;
pub use unit_error::UnitError;
pub use unit_table::UomUnit;
