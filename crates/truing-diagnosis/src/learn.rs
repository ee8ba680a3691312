//! Learning from finished jobs: how often each fault is the one, and how often it shows.
//!
//! Counts are kept, not results, so that a new edition of a network can weigh them anew. Shares
//! among *repaired* machines are conditional on their having been brought in: they set odds between
//! faults, not rates of failure.

use serde::{Deserialize, Serialize};
use thiserror::Error;

/// How many jobs an author's word counts for, unless said otherwise.
pub const EQUIVALENT_JOBS: f64 = 20.0;

/// Why counts can't be learned from.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum LearnError {
    /// A share, chance or count that isn't a finite number in its range.
    #[error("{0} isn't a usable share, chance or count")]
    Figure(f64),
    /// Not as many counts as shares.
    #[error("{counts} counts for {shares} faults")]
    Length {
        /// How many shares.
        shares: usize,
        /// How many counts.
        counts: usize,
    },
    /// Shares that add up to nothing.
    #[error("the shares add up to nothing")]
    NoShare,
}

/// How often each fault is the one: an author's shares, and what proven repairs add.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Shares {
    author: Vec<f64>,
    equivalent_jobs: f64,
    confirmed: Vec<f64>,
}

impl Shares {
    /// An author's shares, over 0 and scaled to 1 in all, that count as `equivalent_jobs`.
    ///
    /// # Errors
    ///
    /// Where a share or the number of jobs isn't finite and over 0.
    pub fn new(author: &[f64], equivalent_jobs: f64) -> Result<Self, LearnError> {
        let usable = |x: f64| x > 0.0 && x <= 1e100;
        let figures = author.iter().chain([&equivalent_jobs]);
        if let Some(bad) = figures.copied().find(|x| !usable(*x)) {
            return Err(LearnError::Figure(bad));
        }
        let sum: f64 = author.iter().sum();
        if author.is_empty() {
            return Err(LearnError::NoShare);
        }
        Ok(Self {
            author: author.iter().map(|share| share / sum).collect(),
            equivalent_jobs,
            confirmed: vec![0.0; author.len()],
        })
    }

    /// Adds what proven repairs count for each fault ([`credit`](crate::credit)).
    ///
    /// # Errors
    ///
    /// Where the length is another, or a count isn't finite and 0 or over.
    pub fn add(&mut self, confirmed: &[f64]) -> Result<(), LearnError> {
        let (shares, counts) = (self.author.len(), confirmed.len());
        if shares != counts {
            return Err(LearnError::Length { shares, counts });
        }
        if let Some(bad) = confirmed.iter().find(|n| !(0.0..=1e100).contains(*n)) {
            return Err(LearnError::Figure(*bad));
        }
        self.confirmed.iter_mut().zip(confirmed).for_each(|(sum, n)| *sum += n);
        Ok(())
    }

    /// The mean of the Dirichlet posterior: `(S a + n) / (S + sum n)`.
    #[must_use]
    pub fn mean(&self) -> Vec<f64> {
        let jobs = self.equivalent_jobs + self.confirmed.iter().sum::<f64>();
        let both = self.author.iter().zip(&self.confirmed);
        both.map(|(a, n)| (self.equivalent_jobs * a + n) / jobs).collect()
    }

    /// The standard deviation of each: `sqrt(m (1 - m) / (S + sum n + 1))` for the mean `m`.
    #[must_use]
    pub fn standard_deviation(&self) -> Vec<f64> {
        let jobs = self.equivalent_jobs + self.confirmed.iter().sum::<f64>();
        self.mean().into_iter().map(|m| libm::sqrt(m * (1.0 - m) / (jobs + 1.0))).collect()
    }
}

/// In which band a check is when a fault is there: an author's chances of the bands that the fault
/// drives it into, and what proven jobs with that fault add. With one band it is a [`LinkCount`],
/// save that a chance of 1 may be learned from too.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct BandCounts {
    chance: Vec<f64>,
    equivalent_jobs: f64,
    seen: Vec<f64>,
    judged: f64,
}

impl BandCounts {
    /// An author's chances, each over 0 and together at most 1, that count as `equivalent_jobs`.
    ///
    /// # Errors
    ///
    /// Where a chance isn't over 0, they come to more than 1, or the jobs aren't finite and over 0.
    pub fn new(chance: &[f64], equivalent_jobs: f64) -> Result<Self, LearnError> {
        if let Some(bad) = chance.iter().find(|p| !(**p > 0.0 && **p <= 1.0)) {
            return Err(LearnError::Figure(*bad));
        }
        let sum: f64 = chance.iter().sum();
        if sum > 1.0 + 1e-9 {
            return Err(LearnError::Figure(sum));
        }
        if !(equivalent_jobs > 0.0 && equivalent_jobs <= 1e100) {
            return Err(LearnError::Figure(equivalent_jobs));
        }
        let seen = vec![0.0; chance.len()];
        Ok(Self { chance: chance.to_vec(), equivalent_jobs, seen, judged: 0.0 })
    }

    /// Adds jobs in which the fault was there and the check was judged: how many, and in how many of
    /// them it was in each band.
    ///
    /// # Errors
    ///
    /// Where the length is another, a count isn't finite and 0 or over, or more were seen in these
    /// bands than were judged.
    pub fn add(&mut self, seen: &[f64], judged: f64) -> Result<(), LearnError> {
        let (shares, counts) = (self.chance.len(), seen.len());
        if shares != counts {
            return Err(LearnError::Length { shares, counts });
        }
        if let Some(bad) = seen.iter().chain([&judged]).find(|n| !(0.0..=1e100).contains(*n)) {
            return Err(LearnError::Figure(*bad));
        }
        let sum: f64 = seen.iter().sum();
        if sum > judged * (1.0 + 1e-9) {
            return Err(LearnError::Figure(sum));
        }
        self.seen.iter_mut().zip(seen).for_each(|(sum, n)| *sum += n);
        self.judged += judged;
        Ok(())
    }

    /// The mean of the Dirichlet posterior, by band: `(S d + n) / (S + judged)`.
    #[must_use]
    pub fn mean(&self) -> Vec<f64> {
        let jobs = self.equivalent_jobs + self.judged;
        let both = self.chance.iter().zip(&self.seen);
        both.map(|(d, n)| ((self.equivalent_jobs * d + n) / jobs).min(1.0)).collect()
    }

    /// The standard deviation of each: `sqrt(m (1 - m) / (S + judged + 1))` for the mean `m`.
    #[must_use]
    pub fn standard_deviation(&self) -> Vec<f64> {
        let jobs = self.equivalent_jobs + self.judged;
        self.mean().into_iter().map(|m| libm::sqrt(m * (1.0 - m) / (jobs + 1.0))).collect()
    }
}

/// How often a check fails when a fault is there: an author's chance, and what proven jobs with
/// that fault add.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct LinkCount {
    chance: f64,
    equivalent_jobs: f64,
    failed: f64,
    passed: f64,
}

impl LinkCount {
    /// An author's chance, strictly between 0 and 1, that counts as `equivalent_jobs`.
    ///
    /// # Errors
    ///
    /// Where the chance isn't strictly between 0 and 1, or the jobs aren't finite and over 0.
    pub fn new(chance: f64, equivalent_jobs: f64) -> Result<Self, LearnError> {
        if !(chance > 0.0 && chance < 1.0) {
            return Err(LearnError::Figure(chance));
        }
        if !(equivalent_jobs > 0.0 && equivalent_jobs <= 1e100) {
            return Err(LearnError::Figure(equivalent_jobs));
        }
        Ok(Self { chance, equivalent_jobs, failed: 0.0, passed: 0.0 })
    }

    /// Adds jobs in which the fault was there and the check failed or passed.
    ///
    /// # Errors
    ///
    /// Where a count isn't finite and 0 or over.
    pub fn add(&mut self, failed: f64, passed: f64) -> Result<(), LearnError> {
        if let Some(bad) = [failed, passed].iter().find(|n| !(0.0..=1e100).contains(*n)) {
            return Err(LearnError::Figure(*bad));
        }
        self.failed += failed;
        self.passed += passed;
        Ok(())
    }

    fn parameters(self) -> (f64, f64) {
        let a = self.equivalent_jobs * self.chance + self.failed;
        let b = self.equivalent_jobs * (1.0 - self.chance) + self.passed;
        (a, b)
    }

    /// The mean of the Beta posterior.
    #[must_use]
    pub fn mean(self) -> f64 {
        let (a, b) = self.parameters();
        a / (a + b)
    }

    /// Its standard deviation: `sqrt(a b / (a + b + 1)) / (a + b)`.
    #[must_use]
    pub fn standard_deviation(self) -> f64 {
        let (a, b) = self.parameters();
        let n = a + b;
        libm::sqrt((a / n) * (b / n) / (n + 1.0))
    }
}
