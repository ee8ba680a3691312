//! Which fault explains the readings, and what to measure next: the model on plain indices, with no
//! language around it.

mod cure;
mod evidence;
mod explain;
mod hitting_sets;
mod index;
mod learn;
mod likelihood;
mod network;
mod next;
mod posterior;
mod repair;
mod repair_order;
mod spread;
mod strategy;
mod testability;
mod triangle;
mod weigh;

pub use cure::Cure;
pub use evidence::{Evidence, EvidenceError, NotUsed, OBSERVED};
pub use explain::{Contribution, Explanation, RuledDown, Strength, WOULD_HAVE_FAILED, Weighing};
pub use hitting_sets::{Components, diagnoses, minimal_hitting_sets};
pub use index::{Band, Check, Fault, Hypothesis, Part, Setup, State};
pub use learn::{EQUIVALENT_JOBS, LearnError, LinkCount, Shares};
pub use likelihood::{Intervals, Likelihood, LikelihoodError, Reading};
pub use network::{
    CheckDraft, Draft, FaultDraft, Likely, MaxFaults, Network, NetworkError, Place, Push,
    RepairCosts, Requirement, SetupDraft, StateChange,
};
pub use next::{Advice, Candidate, LONGEST_CHAIN, Next, Pointer, Situation, StopRules, Value};
pub use posterior::{PAIR_ALARM, PairScope, Posterior};
pub use repair::{
    NotAChance, PASSED_AGAIN, PROVEN, Proof, REPAIR_SUCCEEDS, STILL_FAULTY, Verdict, credit,
};
pub use repair_order::{RepairPlan, Step, by_probability_over_cost, expected_cost};
pub use spread::noisy_max;
pub use strategy::{EXACT_STATES, Optimum, Puzzle, PuzzleError, StrategyCost};
pub use testability::{ALIKE, SignatureError, Signatures, Testability};

/// A check has at most so many bands.
pub const MAX_BANDS: usize = 8;

/// All pairs are formed of at most so many faults (2,000 faults: 1,999,000 pairs, 16 MB). Of more,
/// the likeliest so many are paired, and the result says so ([`PairScope`]).
pub const PAIR_FAULTS: usize = 2_000;

/// The next measurement is chosen over at most so many faults, the likeliest.
pub const CHOICE_FAULTS: usize = 256;
