//! Which fault explains the readings, and what to measure next: the model on plain indices, with no
//! language around it.

mod cure;
mod evidence;
mod index;
mod likelihood;
mod network;
mod posterior;
mod spread;
mod triangle;
mod weigh;

pub use cure::Cure;
pub use evidence::{Evidence, EvidenceError, NotUsed, OBSERVED};
pub use index::{Band, Check, Fault, Hypothesis, Part, Setup, State};
pub use likelihood::{Intervals, Likelihood, LikelihoodError, Reading};
pub use network::{
    CheckDraft, Draft, FaultDraft, Likely, MaxFaults, Network, NetworkError, Place, Push,
    RepairCosts, Requirement, SetupDraft, StateChange,
};
pub use posterior::{PAIR_ALARM, PairScope, Posterior};
pub use spread::noisy_max;

/// A check has at most so many bands.
pub const MAX_BANDS: usize = 8;

/// All pairs are formed of at most so many faults (2,000 faults: 1,999,000 pairs, 16 MB). Of more,
/// the likeliest so many are paired, and the result says so ([`PairScope`]).
pub const PAIR_FAULTS: usize = 2_000;

/// The next measurement is chosen over at most so many faults, the likeliest.
pub const CHOICE_FAULTS: usize = 256;
