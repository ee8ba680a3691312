//! What a check takes, as the job stands.

use crate::evidence::Standing;
use crate::index::{Band, Check};
use crate::network::Network;
use crate::next::{Progress, Situation, Way};

/// In what effort is counted.
#[derive(Clone, Debug)]
pub(super) enum Effort<'n> {
    /// A cost of each check.
    Plain(Vec<f64>),
    /// One for each measurement.
    Measurements(&'n Network),
    /// Minutes with preparation.
    Minutes(&'n Network),
}

/// How a job stands: what is done; nothing where each check has its plain cost.
pub(super) type Done = Option<Progress>;

/// What a check takes.
pub(super) struct Taken {
    pub cost: f64,
    /// How many checks are made, with those that come before it.
    pub checks: f64,
    /// How the job stands right before it.
    before: Done,
}

impl Effort<'_> {
    pub fn start(&self) -> Done {
        let network = self.network()?;
        let standing = vec![Standing::Unmeasured; network.checks()];
        Some(Progress::new(standing, &Situation::default()))
    }

    fn network(&self) -> Option<&Network> {
        match self {
            Self::Plain(_) => None,
            Self::Measurements(network) | Self::Minutes(network) => Some(network),
        }
    }

    /// What a check takes; nothing where it isn't applicable, or it isn't known yet whether it is.
    /// `known` is the band that a check is in under all that is still possible.
    pub fn of(
        &self,
        check: usize,
        known: &dyn Fn(Check) -> Option<Band>,
        done: &Done,
    ) -> Option<Taken> {
        let (network, progress) = match (self, done) {
            (Self::Plain(costs), _) => {
                let cost = *costs.get(check)?;
                return Some(Taken { cost, checks: 1.0, before: None });
            }
            (_, done) => (self.network()?, done.as_ref()?),
        };
        let Way::Open(chain) = progress.way(network, Check(check)) else { return None };
        let mut taken = Taken { cost: 0.0, checks: 0.0, before: Some(progress.clone()) };
        for need in chain {
            if known(need.check) != Some(need.band) {
                return None;
            }
            self.add(&mut taken, network, need.check);
            taken.before = taken.before.map(|now| now.after(network, need.check, need.band));
        }
        self.add(&mut taken, network, Check(check));
        Some(taken)
    }

    fn add(&self, taken: &mut Taken, network: &Network, check: Check) {
        taken.checks += 1.0;
        taken.cost += match (self, &taken.before) {
            (Self::Minutes(_), Some(now)) => now.minutes(network, check),
            _ => 1.0,
        };
    }

    /// How the job stands once a check came out in a band.
    pub fn after(&self, taken: &Taken, check: usize, band: usize) -> Done {
        let network = self.network()?;
        Some(taken.before.as_ref()?.after(network, Check(check), Band(band)))
    }

    /// What of the job's standing bears on what these checks take.
    pub fn bearing(&self, checks: impl Iterator<Item = usize>, done: &Done) -> Vec<u32> {
        let (Some(network), Some(progress)) = (self.network(), done) else { return Vec::new() };
        progress.bearing(network, checks, matches!(self, Self::Minutes(_)))
    }

    /// What a check takes at least, whatever is done already: without preparation.
    pub fn least(&self, check: usize) -> f64 {
        match self {
            Self::Plain(costs) => costs.get(check).copied().unwrap_or(0.0),
            Self::Measurements(_) => 1.0,
            Self::Minutes(network) => network.checks.get(check).map_or(0.0, |row| row.minutes),
        }
    }

    /// What has to be prepared for a check that is the first.
    pub fn preparation(&self, check: usize) -> f64 {
        match self {
            Self::Minutes(network) => Progress::preparation(network, Check(check)),
            _ => 0.0,
        }
    }
}
