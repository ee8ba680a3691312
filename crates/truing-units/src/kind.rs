//! Kinds of quantity (VIM 1.2): a dimension, and what the number is of.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::Dimension;

/// A kind of quantity, as an index into a [`Catalogue`](crate::Catalogue).
///
/// Kinds may share a dimension and still never mix: torque and energy, dc and ac voltage.
#[derive(Copy, Clone, Eq, PartialEq, Ord, PartialOrd, Hash, Debug, Serialize, Deserialize)]
pub struct Kind(pub(crate) u16);

impl Kind {
    /// The place of the kind in its catalogue.
    pub const fn index(self) -> usize {
        self.0 as usize
    }
}

/// What a kind of quantity is.
#[derive(Clone, PartialEq, Debug)]
pub struct KindDef {
    /// The one-word name used in the language: `dc_voltage`.
    pub name: Cow<'static, str>,
    /// The name in plain words: `dc voltage`.
    pub words: Cow<'static, str>,
    /// The dimension that its values have.
    pub dimension: Dimension,
    /// How its values may be added and scaled.
    pub nature: Nature,
    /// Symbol of the coherent unit, in which doubles of this kind are carried.
    pub unit: Cow<'static, str>,
    /// Whether a true value can lie below zero of the coherent unit.
    pub floor: Floor,
    /// One line on what the kind is for.
    pub doc: Cow<'static, str>,
}

/// How the values of a kind may be added and scaled.
#[derive(Copy, Clone, Eq, PartialEq, Debug, Serialize, Deserialize)]
pub enum Nature {
    /// A quantity with a true zero: sums, products and quotients mean something.
    Amount,
    /// A point on a scale whose zero is chosen: only a difference of two points, or a point moved
    /// by a difference, means something.
    Point {
        /// The kind of the difference of two points.
        difference: Kind,
    },
    /// A difference of two points; otherwise an amount.
    Difference {
        /// The kind of the points.
        of: Kind,
    },
}

/// Whether a true value can lie below zero of the coherent unit.
#[derive(Copy, Clone, Eq, PartialEq, Debug, Serialize, Deserialize)]
pub enum Floor {
    /// No true value is below zero: a resistance, a thermodynamic temperature.
    Zero,
    /// The sign is part of the value: a dc voltage, an offset, a gauge pressure.
    None,
}
