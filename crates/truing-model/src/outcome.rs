//! What can come of a check.

use serde::{Deserialize, Serialize};

/// Which side of a limit.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Below the lower limit.
    Low,
    /// Above the upper limit.
    High,
}

/// The outcome of one check. Logic over outcomes has three values (Kleene): *passes* is within or
/// worn, *fails* is outside, everything else is unknown and stays unknown.
#[derive(Copy, Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", tag = "outcome", content = "side")]
pub enum Outcome {
    /// Inside the limit; of a graded limit, inside its standard part.
    Within,
    /// Inside the service limit and outside the standard one.
    Worn,
    /// Outside the limit. A rule that has no sides (a word seen, a logical rule) has none.
    Outside(Option<Side>),
    /// What is known of the value spans the limit.
    Undecided,
    /// A precondition failed or is unknown, or the reading is implausible.
    Blocked,
    /// A reading that it needs was not taken.
    NotTaken,
    /// This machine has no such part, or the maker gives no limit.
    NotApplicable,
}

impl Outcome {
    /// Within or worn.
    #[must_use]
    pub const fn passes(self) -> bool {
        matches!(self, Self::Within | Self::Worn)
    }

    /// Outside, on whichever side.
    #[must_use]
    pub const fn fails(self) -> bool {
        matches!(self, Self::Outside(_))
    }

    /// The words that people read: `outside low`, `not taken`.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Within => "within",
            Self::Worn => "worn",
            Self::Outside(None) => "outside",
            Self::Outside(Some(Side::Low)) => "outside low",
            Self::Outside(Some(Side::High)) => "outside high",
            Self::Undecided => "undecided",
            Self::Blocked => "blocked",
            Self::NotTaken => "not taken",
            Self::NotApplicable => "not applicable",
        }
    }
}

/// What a case expects of a check.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum OutcomePattern {
    /// This outcome and no other.
    Exactly(Outcome),
    /// Outside, on whichever side.
    Outside,
    /// Within or worn.
    Passes,
}

impl OutcomePattern {
    /// Whether `outcome` is what was expected.
    #[must_use]
    pub fn holds(self, outcome: Outcome) -> bool {
        match self {
            Self::Exactly(expected) => expected == outcome,
            Self::Outside => outcome.fails(),
            Self::Passes => outcome.passes(),
        }
    }

    /// The words that people read.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Exactly(outcome) => outcome.words(),
            Self::Outside => "outside",
            Self::Passes => "within or worn",
        }
    }
}
