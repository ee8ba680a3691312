//! Why a draft isn't a network.

use thiserror::Error;

use crate::index::{Band, Check, Fault, Part, Setup, State};

/// Why a [`Draft`](super::Draft) isn't a [`Network`](super::Network).
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NetworkError {
    /// A probability of 0 or below: a fault that can never occur is a mistake.
    #[error("fault {}: probability {probability} isn't over 0", fault.0)]
    NeverOccurs {
        /// The fault.
        fault: Fault,
        /// What was said.
        probability: f64,
    },
    /// A probability of 1 or above: its odds would be infinite.
    #[error("fault {}: probability {probability} isn't below 1", fault.0)]
    AlwaysOccurs {
        /// The fault.
        fault: Fault,
        /// What was said.
        probability: f64,
    },
    /// Odds, a probability, minutes or a weight that isn't a finite number in its range.
    #[error("{what} {value} isn't a usable figure")]
    Figure {
        /// What it was to be.
        what: Place,
        /// What was said.
        value: f64,
    },
    /// An index that points at nothing.
    #[error("{what} names what isn't there")]
    Missing {
        /// Where it stands.
        what: Place,
    },
    /// A fault whose repair replaces nothing.
    #[error("fault {}: no part is named that its repair replaces", fault.0)]
    NoPart {
        /// The fault.
        fault: Fault,
    },
    /// Fewer than 2 bands, or more than 8.
    #[error("check {}: {bands} bands; 2 to 8 are possible", check.0)]
    Bands {
        /// The check.
        check: Check,
        /// How many.
        bands: usize,
    },
    /// A chance for a band that the check lacks, or for band 0 (what is left over is ok).
    #[error("{what}: no chance can be given for band {}", band.0)]
    NoSuchBand {
        /// Where it stands.
        what: Place,
        /// The band.
        band: Band,
    },
    /// Two chances for one band, or two pushes of one fault.
    #[error("{what} is said twice")]
    Twice {
        /// What is.
        what: Place,
    },
    /// Chances that add up to more than 1.
    #[error("{what}: the chances add up to {sum}")]
    OverOne {
        /// Where they stand.
        what: Place,
        /// Their sum.
        sum: f64,
    },
    /// Checks that need each other.
    #[error("checks need each other in a ring")]
    Ring {
        /// The ring, each needing the next and the last the first.
        checks: Vec<Check>,
    },
    /// A band that nothing can drive the check into: seeing it would contradict everything.
    #[error("check {}: nothing leads to band {}, and no slip is allowed for", check.0, band.0)]
    Unreachable {
        /// The check.
        check: Check,
        /// The band.
        band: Band,
    },
    /// No fault, and no weight for "none" and "other".
    #[error("no hypothesis has any weight")]
    NoHypothesis,
    /// Costs that aren't given for each part.
    #[error("costs are given for {given} parts of {parts}")]
    Costs {
        /// For how many they are given.
        given: usize,
        /// How many there are.
        parts: usize,
    },
}

/// Where in a draft something stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// The odds or probability, or the parts, of a fault.
    Fault(Fault),
    /// The leak of a check.
    Leak(Check),
    /// The slip of a check.
    Slip(Check),
    /// The minutes of a check.
    Minutes(Check),
    /// What a fault does to a check.
    Push(Check, Fault),
    /// The state, setups or requirements of a check.
    Needs(Check),
    /// Teardown or preparation.
    Setup(Setup),
    /// A change into a state.
    StateChange(State),
    /// The weight of "none".
    NoneWeight,
    /// The weight of "other".
    OtherWeight,
    /// The cost of replacing a part.
    PartCost(Part),
    /// The cost of handing back, proving or escalating.
    Costs,
}

impl std::fmt::Display for Place {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Fault(x) => write!(f, "fault {}", x.0),
            Self::Leak(c) => write!(f, "the leak of check {}", c.0),
            Self::Slip(c) => write!(f, "the slip of check {}", c.0),
            Self::Minutes(c) => write!(f, "the minutes of check {}", c.0),
            Self::Push(c, x) => write!(f, "what fault {} does to check {}", x.0, c.0),
            Self::Needs(c) => write!(f, "what check {} needs", c.0),
            Self::Setup(s) => write!(f, "setup {}", s.0),
            Self::StateChange(s) => write!(f, "the change into state {}", s.0),
            Self::NoneWeight => f.write_str("the weight of no fault"),
            Self::OtherWeight => f.write_str("the weight of an unlisted fault"),
            Self::PartCost(p) => write!(f, "the cost of part {}", p.0),
            Self::Costs => f.write_str("a cost"),
        }
    }
}
