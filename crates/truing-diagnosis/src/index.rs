//! What things are called here: their place in the network, nothing else.

use serde::{Deserialize, Serialize};

macro_rules! index {
    ($(#[$meta:meta])* $name:ident) => {
        $(#[$meta])*
        #[derive(
            Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
        )]
        #[serde(transparent)]
        pub struct $name(pub usize);
    };
}

index! {
    /// A fault, in the order in which the builder was given them.
    Fault
}
index! {
    /// A part that a repair replaces (or an act that a repair does), of the builder's parts.
    Part
}
index! {
    /// A check, in the order in which the builder was given them ("spec order").
    Check
}
index! {
    /// A band of a check: 0 is "ok", a later band dominates an earlier one.
    Band
}
index! {
    /// Teardown or preparation that checks need and that stays open once done.
    Setup
}
index! {
    /// A state of the machine in which checks are made.
    State
}

impl Band {
    /// The band of a check that finds nothing wrong.
    pub const OK: Self = Self(0);
}

/// What could be wrong with the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Hypothesis {
    /// No listed fault.
    None,
    /// One fault.
    Single(Fault),
    /// Two faults at once, the lower index first.
    Pair(Fault, Fault),
    /// Something that the network doesn't list.
    Other,
}

impl Hypothesis {
    /// Two faults at once, in either order; one, when they are the same.
    #[must_use]
    pub fn pair(a: Fault, b: Fault) -> Self {
        match a.cmp(&b) {
            std::cmp::Ordering::Less => Self::Pair(a, b),
            std::cmp::Ordering::Equal => Self::Single(a),
            std::cmp::Ordering::Greater => Self::Pair(b, a),
        }
    }

    /// The listed faults that it supposes: none, one or two.
    pub fn faults(self) -> impl Iterator<Item = Fault> {
        let (a, b) = match self {
            Self::None | Self::Other => (None, None),
            Self::Single(f) => (Some(f), None),
            Self::Pair(f, g) => (Some(f), Some(g)),
        };
        a.into_iter().chain(b)
    }
}
