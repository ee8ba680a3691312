//! All of it, and what makes it sound.

use std::ops::Deref;

use serde::{Deserialize, Serialize, Serializer};
use thiserror::Error;

use crate::case::Case;
use crate::expression::{LogicNode, NumberNode};
use crate::fault::{Bands, Fault, Fix, Part};
use crate::id::id;
use crate::instrument::{Instrument, InstrumentId};
use crate::learned::Learned;
use crate::limit::{DecideRule, Limit};
use crate::measurement::{Caution, Check, CheckId, Derived, Property, Slot, State};
use crate::own::{OwnKind, OwnUnit, catalogue_with};
use crate::procedure::Procedure;

id! {
    /// A source of limits, by its place in the spec.
    SourceId
}

/// Where limits were printed.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Source {
    /// The name that a `cite` uses.
    pub name: String,
    /// The document.
    pub title: String,
}

/// A machine that the spec is for.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Machine {
    /// Who makes it.
    pub maker: String,
    /// Which model.
    pub model: String,
    /// First model year.
    pub from_year: Option<u16>,
    /// Last model year.
    pub to_year: Option<u16>,
}

/// What is possible beside the listed faults, weighed as they are by their odds.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Beside {
    /// The weight of "no fault" where nobody complained: 0 or more.
    pub none: f64,
    /// The weight of a fault that is not listed: 0 or more.
    pub other: f64,
}

impl Beside {
    /// The weight of "no fault" in a spec that says none: that of independent faults.
    pub const NONE: f64 = 1.0;
    /// The weight of a fault that is not listed in a spec that says none. Small, since every band of
    /// a check counts as equally likely under it.
    pub const OTHER: f64 = 0.01;
    /// No weight is greater.
    pub const MOST: f64 = 1e6;
}

impl Default for Beside {
    fn default() -> Self {
        Self { none: Self::NONE, other: Self::OTHER }
    }
}

/// What a spec consists of. Lists are in order of declaration, libraries before what uses them.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct SpecParts {
    /// The spec's name.
    pub name: String,
    /// Its title for people.
    pub title: String,
    /// Its edition, as written.
    pub edition: Option<String>,
    /// The machines that it is for.
    pub machines: Vec<Machine>,
    /// The decision rule where neither check nor sheet says one.
    pub decide: DecideRule,
    /// Kinds of quantity of its own, behind the standard ones.
    #[serde(default)]
    pub own_kinds: Vec<OwnKind>,
    /// Units of its own.
    #[serde(default)]
    pub own_units: Vec<OwnUnit>,
    /// What stands beside its faults.
    #[serde(default)]
    pub beside: Beside,
    /// Where limits were printed.
    pub sources: Vec<Source>,
    /// The instruments that it brings, from the libraries that it uses.
    #[serde(default)]
    pub instruments: Vec<Instrument>,
    /// The instruments that its limits are meant to be decided with, by its own word.
    #[serde(default)]
    pub meters: Vec<InstrumentId>,
    /// What the machine can be.
    pub properties: Vec<Property>,
    /// What can hurt.
    pub cautions: Vec<Caution>,
    /// How the machine can stand.
    pub states: Vec<State>,
    /// What can be read and seen.
    pub slots: Vec<Slot>,
    /// Numbers, children before parents.
    pub numbers: Vec<NumberNode>,
    /// Logic, children before parents.
    pub logic: Vec<LogicNode>,
    /// Limits.
    pub limits: Vec<Limit>,
    /// Derived quantities.
    pub derived: Vec<Derived>,
    /// Checks.
    pub checks: Vec<Check>,
    /// Every check once; a check stands behind those that its rule and conditions ask about.
    pub order: Vec<CheckId>,
    /// What each check can come out as, in the order of the checks. An empty list stands for what
    /// is usual for each rule: sealing writes it out.
    #[serde(default)]
    pub bands: Vec<Bands>,
    /// The parts that fixes replace.
    #[serde(default)]
    pub parts: Vec<Part>,
    /// What mends faults.
    #[serde(default)]
    pub fixes: Vec<Fix>,
    /// What can be wrong.
    #[serde(default)]
    pub faults: Vec<Fault>,
    /// What proven jobs teach of the faults.
    #[serde(default)]
    pub learned: Option<Learned>,
    /// What to do, by complaint.
    #[serde(default)]
    pub procedures: Vec<Procedure>,
    /// The spec's own tests.
    pub cases: Vec<Case>,
}

impl SpecParts {
    /// The standard catalogue with the spec's own kinds and units: what its readings are read with.
    #[must_use]
    pub fn catalogue(&self) -> truing_units::Catalogue {
        catalogue_with(&self.own_kinds, &self.own_units)
    }
}

/// A checked spec. One that exists is sound: every index is in range, children stand before
/// parents, `order` is a permutation that respects who asks about whom. So the engine has no error
/// path for any of these.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(try_from = "SpecParts")]
pub struct Spec(SpecParts);

impl Spec {
    /// Wraps parts that have been found sound.
    pub(crate) const fn sealed(parts: SpecParts) -> Self {
        Self(parts)
    }

    /// The parts again, to be changed and sealed anew.
    #[must_use]
    pub fn into_parts(self) -> SpecParts {
        self.0
    }
}

impl Serialize for Spec {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(serializer)
    }
}

impl Deref for Spec {
    type Target = SpecParts;

    fn deref(&self) -> &SpecParts {
        &self.0
    }
}

/// Why parts do not make a spec. From the compiler's own output this cannot come; from a file that
/// was changed by hand it can.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum BrokenSpec {
    /// An index points outside its list.
    #[error("{list} number {index} is named by {by}, and there is none")]
    OutOfRange {
        /// Which list.
        list: &'static str,
        /// The index.
        index: u32,
        /// What names it.
        by: String,
    },
    /// A node stands before one that it is made of.
    #[error("{by} is made of a part that stands behind it")]
    OutOfOrder {
        /// What.
        by: String,
    },
    /// The order of checks is no permutation of them.
    #[error("the order of checks names {named} checks, and there are {checks}")]
    NoPermutation {
        /// So many are named, once each.
        named: usize,
        /// So many there are.
        checks: usize,
    },
    /// A curve with fewer than two points, or with points that do not rise.
    #[error("the curve of limit `{limit}` needs two points or more, rising")]
    Curve {
        /// The limit.
        limit: String,
    },
    /// A limit whose variants go by a reading or by another check, not by what the machine is.
    #[error("the variants of limit `{limit}` may go by properties of the machine only")]
    VariantReads {
        /// The limit.
        limit: String,
    },
    /// A list of slots that is not rising.
    #[error("the slots of {by} must be listed in rising order, each once")]
    NotRising {
        /// Whose.
        by: String,
    },
    /// A function of several numbers that is given none.
    #[error("{by} takes the least, greatest or mean of nothing")]
    EmptyFold {
        /// What.
        by: String,
    },
    /// An infinite figure, or one that is no number.
    #[error("a figure of {by} is not finite")]
    NotFinite {
        /// Whose.
        by: String,
    },
    /// An interval with nothing in it.
    #[error("an interval of {by} is empty")]
    EmptyInterval {
        /// Whose.
        by: String,
    },
    /// An instrument whose ranges do not rise, that measures one kind twice, or with a figure that
    /// is too low; or a circuit with one.
    #[error("the ranges of {by} must rise, each kind be measured once, and no figure lie too low")]
    Instrument {
        /// Which.
        by: String,
    },
    /// A probability, a time or a price that cannot be.
    #[error("a chance, a time or a price of {by} cannot be")]
    Amount {
        /// Whose.
        by: String,
    },
    /// The bands of a check are not those of its rule, or of fewer or more checks than there are.
    #[error("the bands of {by} are not those of its rule, ok first and each once")]
    Bands {
        /// Whose.
        by: String,
    },
    /// A fault drives a check where it cannot go, or more often than always.
    #[error(
        "{by} drives a check into a band that it has not, twice into one, or more often than always"
    )]
    Effect {
        /// Whose.
        by: String,
    },
    /// A state that no way leads to.
    #[error("no way leads to the state {by}")]
    Unreachable {
        /// Which.
        by: String,
    },
    /// The steps of a procedure are no tree laid flat.
    #[error("the steps of {by} must stand in order, each in one branch")]
    Steps {
        /// Whose.
        by: String,
    },
    /// A decision rule with a number that makes no sense.
    #[error(
        "the decision rule of {by} needs a factor of zero or more, or a probability above 0.5 and below 1"
    )]
    DecideRule {
        /// Whose.
        by: String,
    },
}
