//! What the ranking of faults comes to: plain data, no words.

use serde::Serialize;
use truing_diagnosis::{Strength, Verdict};
use truing_model::{CheckBand, CheckId, FaultId, FixId, StateId};

/// One visit's readings, or those since a repair, with what they come to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stage {
    /// The rounds that it is made of, by place.
    pub rounds: Vec<usize>,
    /// What was done before it.
    pub fitted: Vec<FixId>,
    /// What comes of it; or the checks whose results no fault and no slip allows together.
    pub ranking: Result<Ranking, Contradiction>,
}

/// Results that nothing allows together; without any one of them something would.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Contradiction {
    /// The checks.
    pub checks: Vec<CheckId>,
}

/// How likely every fault is, why, and what to do next.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ranking {
    /// What was measured.
    pub seen: Seen,
    /// The probability that no listed fault is there.
    pub none: f64,
    /// The probability of a fault that is not listed.
    pub other: f64,
    /// The probability that no part has to be ordered: nothing is wrong, or the fix of what is wrong
    /// replaces nothing.
    pub no_part: f64,
    /// Every fault, likeliest first.
    pub faults: Vec<FaultRanked>,
    /// Every cure that is possible, likeliest first, "nothing" and "not listed" among them.
    pub cures: Vec<CureRanked>,
    /// Two faults, where one does not explain everything.
    pub pair: Option<PairAlarm>,
    /// Of how many faults, the likeliest, pairs were formed, where there are too many for all.
    pub paired: Option<usize>,
    /// The likeliest hypothesis against the likeliest with another cure.
    pub weighing: Option<Weighing>,
    /// Faults that a check in order speaks against.
    pub ruled_down: Vec<RuledDown>,
    /// Checks that were tried and changed nothing.
    pub unused: Vec<Unused>,
    /// Checks outside their limits that no listed fault acts on.
    pub unexplained: Vec<CheckId>,
    /// Checks that bear on a fault and were not judged, in the order of the spec.
    pub unmeasured: Vec<CheckId>,
    /// What to do next.
    pub recommended: Recommended,
    /// The measurement that tells most, whatever is recommended.
    pub next: Option<NextCheck>,
    /// Whether the machine is proven good, after a repair.
    pub proof: Option<Proof>,
}

/// What was measured. A check that is out of order without any fault more often than not is no failure
/// where it is: a battery that came in low.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Seen {
    /// Nothing that bears on a fault: what is known comes of the odds alone.
    Nothing,
    /// Nothing that bears on a fault came out of order.
    NothingFailed,
    /// Something did.
    Failed,
}

/// A fault with its probability.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct FaultRanked {
    /// The fault.
    pub fault: FaultId,
    /// That it is there.
    pub probability: f64,
}

/// What sets the machine right.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Remedy {
    /// Nothing: nothing listed is wrong.
    Nothing,
    /// This fix, or another that replaces the same parts.
    Fix(FixId),
    /// This fault, for which the spec names no fix.
    Unmended(FaultId),
    /// Nobody knows: the fault is not listed.
    NotListed,
}

/// A cure with its probability.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CureRanked {
    /// The cure.
    pub remedy: Remedy,
    /// That it is the one that is needed.
    pub probability: f64,
    /// The faults that it mends, likeliest first.
    pub faults: Vec<FaultRanked>,
}

/// One fault does not explain everything.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct PairAlarm {
    /// The likeliest two.
    pub faults: [FaultId; 2],
    /// The probability that there are two at once, if there may be.
    pub probability: f64,
}

/// What a weighing weighs.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Points {
    /// Nothing listed is wrong.
    None,
    /// This fault.
    Fault(FaultId),
    /// A fault that is not listed.
    NotListed,
}

/// One hypothesis weighed against another, in decibans that add up.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Weighing {
    /// The likeliest.
    pub leader: Points,
    /// Its probability.
    pub leader_probability: f64,
    /// The likeliest with another cure.
    pub rival: Points,
    /// Its probability.
    pub rival_probability: f64,
    /// What was held before these readings.
    pub prior_decibans: f64,
    /// What each check says, in the order of the spec.
    pub contributions: Vec<Contribution>,
    /// The sum.
    pub total_decibans: f64,
}

/// What one check says between two hypotheses.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Contribution {
    /// The check.
    pub check: CheckId,
    /// The band that it most probably is in.
    pub band: CheckBand,
    /// How probable that band is by the reading alone.
    pub share: f64,
    /// For the leader above 0, for the rival below; infinite (in JSON null) where it excludes one.
    pub decibans: f64,
    /// In a word.
    pub strength: Strength,
    /// How often the leader shows that band.
    pub leader_shows: f64,
    /// How often the rival does.
    pub rival_shows: f64,
}

/// A fault that a check in order speaks against.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct RuledDown {
    /// The fault.
    pub fault: FaultId,
    /// The check that is in order.
    pub check: CheckId,
    /// How often the fault would have failed it.
    pub would_fail: f64,
}

/// A check that was tried and changed nothing.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Unused {
    /// The check.
    pub check: CheckId,
    /// Why.
    pub why: WhyUnused,
}

/// Why a check changed nothing.
#[derive(Copy, Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum WhyUnused {
    /// It was not judged: its finding says why.
    Blocked,
    /// What is known of its value leaves every band open.
    Undecided,
    /// Another check has to come out in a band first, and was not judged.
    Needs {
        /// The other check.
        check: CheckId,
        /// The band.
        band: CheckBand,
    },
    /// Another check has to be in a band first, and that is not clear or not so.
    NeedsOther {
        /// The other check.
        check: CheckId,
        /// The band.
        band: CheckBand,
        /// The band that it most probably is in.
        found: CheckBand,
    },
    /// Another check has to come first, and could not be used itself.
    NeedsUnused {
        /// The other check.
        check: CheckId,
    },
    /// It is in order, and was made where the complaint does not show.
    OtherCondition {
        /// Where that shows.
        shows: StateId,
    },
}

/// What to do next.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Recommended {
    /// One cure is certain enough to act on.
    Act(Remedy),
    /// The readings fit no listed fault; the check that speaks most against all of them.
    FitsNothing(Option<CheckId>),
    /// What is left cannot be told apart by measuring: these, likeliest first.
    CannotBeToldApart(Vec<Remedy>),
    /// Measuring on costs more than it saves: try these in turn. Advice only.
    RepairFirst(Vec<Remedy>),
    /// Measure this.
    Measure(CheckId),
}

/// A measurement, what it takes and where it leads. Of a family that counts as one the first member
/// stands for all, here as in the rest of a ranking.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NextCheck {
    /// The check.
    pub check: CheckId,
    /// What it takes, with getting there, in minutes.
    pub minutes: f64,
    /// What it is expected to tell about the cure.
    pub bits: f64,
    /// What each of its bands would point to.
    pub outcomes: Vec<NextOutcome>,
    /// What it opens the way to, where it is measured for that.
    pub then: Vec<CheckId>,
    /// The others that tell most for their time, best first.
    pub others: Vec<OtherCheck>,
}

/// What a band of the next check would point to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NextOutcome {
    /// The band.
    pub band: CheckBand,
    /// How probable it is.
    pub probability: f64,
    /// The likeliest cures after it.
    pub cures: Vec<(Remedy, f64)>,
}

/// Another measurement that could be made.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct OtherCheck {
    /// The check.
    pub check: CheckId,
    /// What it takes, in minutes.
    pub minutes: f64,
    /// What it is expected to tell about the cure.
    pub bits: f64,
}

/// Whether a machine is proven good after a repair.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Proof {
    /// Proven, not proven, still faulty.
    pub verdict: Verdict,
    /// The probability that nothing is wrong any more.
    pub none: f64,
    /// Checks that had failed and were not made again.
    pub missing: Vec<CheckId>,
    /// Checks that had failed and can only be made while the machine stands as it came in: not asked
    /// for again, where the fix says what proves it.
    pub excused: Vec<CheckId>,
    /// Checks that had failed and do not pass clearly enough.
    pub unclear: Vec<CheckId>,
    /// Checks that failed after the repair.
    pub failed: Vec<CheckId>,
    /// Checks that are worse than before the repair.
    pub worse: Vec<CheckId>,
    /// Checks that had failed and pass now in another state of the machine.
    pub elsewhere: Vec<CheckId>,
    /// The condition that the complaint shows under, where nothing was judged to be in order under it
    /// since the repair, or something not to be.
    pub condition: Option<StateId>,
    /// The likeliest faults that are left.
    pub residual: Vec<FaultRanked>,
}
