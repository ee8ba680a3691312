//! Why an operation on two types means nothing.

use crate::{Catalogue, Ty};

/// Why an operation means nothing.
#[derive(Clone, Eq, PartialEq, Debug)]
pub enum Refusal {
    /// The dimensions differ: volts and ohms.
    DifferentDimension {
        /// Left-hand type.
        left: Ty,
        /// Right-hand type.
        right: Ty,
    },
    /// The dimensions agree and the kinds do not: torque and energy.
    DifferentKind {
        /// Left-hand type.
        left: Ty,
        /// Right-hand type.
        right: Ty,
        /// The named function that turns the one into the other, where there is one.
        convert: Option<&'static str>,
    },
    /// Two points of a scale were added.
    PointPlusPoint {
        /// Left-hand type.
        left: Ty,
        /// Right-hand type.
        right: Ty,
    },
    /// A point was subtracted from a difference.
    DifferenceMinusPoint {
        /// Left-hand type.
        left: Ty,
        /// Right-hand type.
        right: Ty,
    },
    /// A point was multiplied or divided by a number, or its sign was changed.
    ScaledPoint {
        /// Left-hand type.
        left: Ty,
        /// Right-hand type.
        right: Ty,
        /// The named function that makes an amount of the point, where there is one.
        convert: Option<&'static str>,
    },
    /// A point was multiplied by, or divided by or into, another quantity.
    PointProduct {
        /// Left-hand type.
        left: Ty,
        /// Right-hand type.
        right: Ty,
        /// The named function that makes an amount of the point, where there is one.
        convert: Option<&'static str>,
    },
    /// A point was raised to a power.
    PointPower {
        /// Left-hand type.
        left: Ty,
        /// The same again.
        right: Ty,
        /// The named function that makes an amount of the point, where there is one.
        convert: Option<&'static str>,
    },
    /// A rotational speed against a frequency: the quotient would be out by 2 pi.
    TurnsAndCycles {
        /// Left-hand type.
        left: Ty,
        /// Right-hand type.
        right: Ty,
        /// The named function that makes them alike.
        convert: &'static str,
    },
    /// A plain result where the kind needs to be said: an angle, a rotational speed, a point.
    NeedsKind {
        /// The plain type, on whichever side it stood.
        left: Ty,
        /// The kind that was wanted.
        right: Ty,
    },
}

impl Refusal {
    /// The two types of the operation, the left-hand one first.
    pub fn types(&self) -> (Ty, Ty) {
        match *self {
            Refusal::DifferentDimension { left, right }
            | Refusal::DifferentKind { left, right, .. }
            | Refusal::PointPlusPoint { left, right }
            | Refusal::DifferenceMinusPoint { left, right }
            | Refusal::ScaledPoint { left, right, .. }
            | Refusal::PointProduct { left, right, .. }
            | Refusal::PointPower { left, right, .. }
            | Refusal::TurnsAndCycles { left, right, .. }
            | Refusal::NeedsKind { left, right } => (left, right),
        }
    }

    /// The named function that would make it right, where there is one.
    pub fn convert(&self) -> Option<&'static str> {
        match *self {
            Refusal::DifferentKind { convert, .. }
            | Refusal::ScaledPoint { convert, .. }
            | Refusal::PointProduct { convert, .. }
            | Refusal::PointPower { convert, .. } => convert,
            Refusal::TurnsAndCycles { convert, .. } => Some(convert),
            Refusal::DifferentDimension { .. }
            | Refusal::PointPlusPoint { .. }
            | Refusal::DifferenceMinusPoint { .. }
            | Refusal::NeedsKind { .. } => None,
        }
    }

    /// The rule that was broken, in a few words.
    pub const fn rule(&self) -> &'static str {
        match self {
            Refusal::DifferentDimension { .. } => "different quantities",
            Refusal::DifferentKind { .. } => "different kinds of quantity",
            Refusal::PointPlusPoint { .. } => "two points of a scale cannot be added",
            Refusal::DifferenceMinusPoint { .. } => "a point cannot be taken from a difference",
            Refusal::ScaledPoint { .. } => "a point of a scale cannot be scaled",
            Refusal::PointProduct { .. } => "a point of a scale has no products or quotients",
            Refusal::PointPower { .. } => "a point of a scale has no powers",
            Refusal::TurnsAndCycles { .. } => "turns and cycles differ by 2 pi",
            Refusal::NeedsKind { .. } => "a plain result does not say what it counts",
        }
    }

    /// What is wrong, in plain words, naming both sides.
    pub fn message(&self, catalogue: &Catalogue) -> String {
        let (left, right) = self.types();
        let (left, right) = (left.words(catalogue), right.words(catalogue));
        let mut message = match self {
            Refusal::DifferentDimension { .. } => {
                format!("{left} and {right} are different quantities")
            }
            Refusal::DifferentKind { .. } => {
                format!(
                    "{left} and {right} are different kinds of quantity, though their units agree"
                )
            }
            Refusal::PointPlusPoint { .. } => {
                format!(
                    "two points of a scale cannot be added: {left} + {right} depends on where the zero lies"
                )
            }
            Refusal::DifferenceMinusPoint { .. } => {
                format!("{right} cannot be taken from {left}: write the point first")
            }
            Refusal::ScaledPoint { .. }
            | Refusal::PointProduct { .. }
            | Refusal::PointPower { .. } => {
                let point = match self {
                    Refusal::PointProduct { .. } | Refusal::ScaledPoint { .. }
                        if !is_point(self.types().0, catalogue) =>
                    {
                        right
                    }
                    _ => left,
                };
                format!(
                    "{point} is a point of a scale, and has no multiples: twice 20 degC is not 40 degC"
                )
            }
            Refusal::TurnsAndCycles { .. } => {
                format!(
                    "{left} and {right} differ by 2 pi: a shaft's turn is 2 pi radians, a cycle is one"
                )
            }
            Refusal::NeedsKind { .. } => {
                format!(
                    "{left} cannot stand for {right}: the result does not say what it counts or where its zero lies"
                )
            }
        };
        if let Some(function) = self.convert() {
            message.push_str(&format!("; use {function}(...)"));
        }
        message
    }
}

fn is_point(ty: Ty, catalogue: &Catalogue) -> bool {
    catalogue.place(ty) == crate::Place::Point
}
