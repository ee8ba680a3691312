//! What proven jobs teach of a spec's faults: counts, not what is concluded from them, so that
//! another edition of the spec can weigh them anew.

use serde::{Deserialize, Serialize};

use crate::fault::{CheckBand, FaultId};
use crate::measurement::CheckId;

/// Counts of proven jobs.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Learned {
    /// The edition of the spec when the jobs were read, as written.
    pub edition: Option<String>,
    /// The author's odds and chances count as so many jobs: finite, above 0.
    pub author_jobs: f64,
    /// In how many jobs each fault was the cause, each fault once.
    pub causes: Vec<Cause>,
    /// In which bands checks were then, each fault, check and band once.
    pub shown: Vec<Shown>,
}

impl Learned {
    /// So many jobs the author's word counts for where nothing is said.
    pub const AUTHOR_JOBS: f64 = 20.0;

    /// So many jobs in all.
    #[must_use]
    pub fn jobs(&self) -> f64 {
        self.causes.iter().map(|cause| cause.jobs).sum()
    }

    /// In how many of them a fault was the cause.
    #[must_use]
    pub fn jobs_of(&self, fault: FaultId) -> f64 {
        self.causes.iter().filter(|cause| cause.fault == fault).map(|cause| cause.jobs).sum()
    }
}

/// A fault that was the cause.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cause {
    /// The fault.
    pub fault: FaultId,
    /// In so many jobs; one that several faults explain is shared out among them.
    pub jobs: f64,
}

/// A band that a check was in where a fault was the cause.
#[derive(Copy, Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shown {
    /// The fault.
    pub fault: FaultId,
    /// The check, which the fault drives into the band.
    pub check: CheckId,
    /// The band.
    pub band: CheckBand,
    /// It was in it in so many jobs …
    pub seen: f64,
    /// … of so many in which it was judged: the same for all bands of a check under a fault.
    pub judged: f64,
}
