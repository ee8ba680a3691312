//! Which fault explains the readings, and what to measure next: the model on plain indices, with no
//! language around it.
//!
//! Two layers, faults above and checks below. Hypotheses (no fault, each fault, each two, "other")
//! are enumerated; each is weighed by the odds of its faults and by what every reading says of it.
//! Nothing is sampled and nothing pruned, save where a documented cap says so and the result with
//! it. Read in this order: `index`, `network` (a [`Draft`] becomes a [`Network`]), `spread` (how
//! causes combine), `likelihood` (what a reading says), `evidence` (which readings count), `sight` (what is
//! read off a check), `plain`, `weigh` and `posterior`, `cure` (what would have to be replaced), `next` (what to measure, when to stop),
//! `repair_order`, `explain`, `repair` (after it: proven good or not). Apart from a job: `learn`,
//! `testability`, `strategy`, `capacity`, `policy`, `hitting_sets`.
//!
//! What it takes for granted: readings are independent of each other once the faults are known (one
//! check, one reading; no two checks that share a cable's mistake), and bands are ordered by
//! dominance.
//!
//! ```
//! use truing_diagnosis::*;
//!
//! let mut draft = Draft::new();
//! let (battery, regulator) = (draft.part(), draft.part());
//! let weak = draft.fault(Likely::Probability(0.06), vec![battery]);
//! let open = draft.fault(Likely::Probability(0.02), vec![regulator]);
//! let rest = draft.check(CheckDraft::pass_fail(0.10, 0.02, 2.0, &[(weak, 0.75), (open, 0.65)]));
//! let diode = draft.check(CheckDraft::pass_fail(0.02, 0.02, 6.0, &[(open, 0.95)]));
//! let network = draft.build()?;
//!
//! let mut readings = Evidence::new();
//! readings.read(rest, Likelihood::hard(Band(1), 2)?);
//! let posterior = network.posterior(&readings)?;
//! assert_eq!(posterior.top(1)[0].0, Hypothesis::None); // a leak explains it as well
//! let next = network.next(&posterior, &readings, &Situation::default(), &StopRules::default())?;
//! assert_eq!(next.advice, Advice::Measure { check: diode });
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod capacity;
mod cure;
mod evidence;
mod explain;
mod hitting_sets;
mod index;
mod learn;
mod likelihood;
mod network;
mod next;
mod plain;
mod policy;
mod posterior;
mod repair;
mod repair_order;
mod sight;
mod spread;
mod strategy;
mod testability;
mod triangle;
mod weigh;

pub use capacity::{LeastEffort, capacity};
pub use cure::Cure;
pub use evidence::{Evidence, EvidenceError, NotUsed, OBSERVED};
pub use explain::{Contribution, Explanation, RuledDown, Strength, WOULD_HAVE_FAILED, Weighing};
pub use hitting_sets::{Components, diagnoses, minimal_hitting_sets};
pub use index::{Band, Check, Fault, Hypothesis, Part, Setup, State};
pub use learn::{BandCounts, EQUIVALENT_JOBS, LearnError, LinkCount, Shares};
pub use likelihood::{Intervals, Likelihood, LikelihoodError, Reading};
pub use network::{
    CheckDraft, Draft, FaultDraft, Likely, MaxFaults, Network, NetworkError, Place, Push,
    RepairCosts, Requirement, SetupDraft, StateChange,
};
pub use next::{Advice, Candidate, LONGEST_CHAIN, Next, Pointer, Situation, StopRules, Value};
pub use policy::{Does, Policy, PolicyLimits, PolicyNode};
pub use posterior::{PAIR_ALARM, PairScope, Posterior};
pub use repair::{
    Cured, NotAChance, PASSED_AGAIN, PROVEN, Proof, REPAIR_SUCCEEDS, STILL_FAULTY, Verdict, credit,
};
pub use repair_order::{RepairPlan, Step, by_probability_over_cost, expected_cost};
pub use spread::noisy_max;
pub use strategy::{
    EXACT_STATES, Least, Optimum, POLICY_STATES, Puzzle, PuzzleError, StrategyCost,
};
pub use testability::{ALIKE, SignatureError, Signatures, Testability};

/// A check has at most so many bands.
pub const MAX_BANDS: usize = 8;

/// All pairs are formed of at most so many faults (2,000 faults: 1,999,000 pairs, 16 MB). Of more,
/// the likeliest so many are paired, and the result says so ([`PairScope`]).
pub const PAIR_FAULTS: usize = 2_000;

/// The next measurement is chosen over at most so many faults, the likeliest; the result says what
/// probability that leaves out ([`Next::left_out`]).
pub const CHOICE_FAULTS: usize = 256;
