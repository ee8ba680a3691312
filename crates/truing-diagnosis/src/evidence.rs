//! The readings of one visit, one for each check, and which of them may be used.

use std::collections::BTreeMap;

use serde::Serialize;
use thiserror::Error;

use crate::index::{Band, Check};
use crate::likelihood::Likelihood;
use crate::network::{Network, Requirement};

/// The share of a reading's weight that a band needs to count as observed.
pub const OBSERVED: f64 = 0.9;

/// What was read: one likelihood for each check. A new reading of a check takes the place of the
/// old one (or is merged with it first, [`Reading::merged`](crate::Reading::merged)).
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    readings: BTreeMap<Check, Likelihood>,
}

/// Why no posterior follows from readings.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum EvidenceError {
    /// A reading of a check that the network lacks.
    #[error("there is no check {}", .0.0)]
    UnknownCheck(Check),
    /// A likelihood over another number of bands.
    #[error("check {} has {bands} bands, its reading {given}", check.0)]
    Bands {
        /// The check.
        check: Check,
        /// How many bands it has.
        bands: usize,
        /// Over how many the likelihood goes.
        given: usize,
    },
    /// No hypothesis allows these readings together; without any one of them, some would. Neither
    /// leak nor slip allows for a mistake there.
    #[error("no hypothesis allows these readings together: checks {}", list(.0))]
    Contradiction(Vec<Check>),
}

fn list(checks: &[Check]) -> String {
    let names: Vec<String> = checks.iter().map(|check| check.0.to_string()).collect();
    names.join(", ")
}

/// Why a reading is kept but changes nothing, or a check can't be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NotUsed {
    /// A check that it requires wasn't measured.
    NotMeasured {
        /// That check.
        check: Check,
        /// The band that it has to be in.
        band: Band,
    },
    /// A check that it requires wasn't observed in the band that it has to be in.
    NotInBand {
        /// That check.
        check: Check,
        /// The band that it has to be in.
        band: Band,
        /// The band that it most probably is in.
        found: Band,
    },
    /// A check that it requires was measured, and couldn't be used itself.
    RequiredNotUsed {
        /// That check.
        check: Check,
    },
}

impl Evidence {
    /// No readings.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes a reading, and gives back the one whose place it takes.
    pub fn read(&mut self, check: Check, likelihood: Likelihood) -> Option<Likelihood> {
        self.readings.insert(check, likelihood)
    }

    /// The reading of a check.
    #[must_use]
    pub fn of(&self, check: Check) -> Option<&Likelihood> {
        self.readings.get(&check)
    }

    /// All readings, in the order of the checks.
    pub fn iter(&self) -> impl Iterator<Item = (Check, &Likelihood)> {
        self.readings.iter().map(|(check, likelihood)| (*check, likelihood))
    }

    /// How many checks were read.
    #[must_use]
    pub fn len(&self) -> usize {
        self.readings.len()
    }

    /// Whether nothing was read.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.readings.is_empty()
    }
}

/// Where a check stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Standing {
    Unmeasured,
    /// Measured and used: its likeliest band, and whether it counts as observed in it.
    Used {
        band: Band,
        observed: bool,
    },
    NotUsed(NotUsed),
}

impl Standing {
    pub fn is_in(self, wanted: Band) -> bool {
        self == Self::Used { band: wanted, observed: true }
    }
}

/// The standing of every check, or a reading that can't be of this network.
pub(crate) fn standing(
    network: &Network,
    evidence: &Evidence,
) -> Result<Vec<Standing>, EvidenceError> {
    for (check, likelihood) in evidence.iter() {
        let bands = network.bands(check).ok_or(EvidenceError::UnknownCheck(check))?;
        let given = likelihood.bands();
        if given != bands {
            return Err(EvidenceError::Bands { check, bands, given });
        }
    }
    let mut standing = vec![Standing::Unmeasured; network.checks()];
    // Each after those that it requires.
    let mut read: Vec<(Check, &Likelihood)> = evidence.iter().collect();
    read.sort_unstable_by_key(|(check, _)| network.turn.get(check.0));
    for (check, likelihood) in read {
        let barred = bar(network, &standing, check);
        if let Some(slot) = standing.get_mut(check.0) {
            *slot = barred.map_or_else(|| observed(likelihood), Standing::NotUsed);
        }
    }
    Ok(standing)
}

fn observed(likelihood: &Likelihood) -> Standing {
    let band = likelihood.likeliest();
    Standing::Used { band, observed: likelihood.share(band) >= OBSERVED }
}

/// The first requirement of a check that isn't met, unmeasured ones included.
fn bar(network: &Network, standing: &[Standing], check: Check) -> Option<NotUsed> {
    network.requires(check).iter().find_map(|need| {
        unmet(*need, standing.get(need.check.0).copied().unwrap_or(Standing::Unmeasured))
    })
}

/// Why a requirement isn't met, given where its check stands.
pub(crate) fn unmet(need: Requirement, standing: Standing) -> Option<NotUsed> {
    let Requirement { check, band } = need;
    match standing {
        _ if standing.is_in(band) => None,
        Standing::Used { band: found, .. } => Some(NotUsed::NotInBand { check, band, found }),
        Standing::NotUsed(_) => Some(NotUsed::RequiredNotUsed { check }),
        Standing::Unmeasured => Some(NotUsed::NotMeasured { check, band }),
    }
}
