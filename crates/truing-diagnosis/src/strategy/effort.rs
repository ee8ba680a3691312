//! What a check takes, as the job stands.

use std::collections::{BTreeMap, BTreeSet};

use crate::evidence::Standing;
use crate::index::{Band, Check, Setup, State};
use crate::network::{Network, Requirement};
use crate::next::{Progress, Situation, Way};
use crate::spread::count;

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

    /// All that has to hold before a check counts.
    pub fn needs(&self, check: usize) -> Vec<Requirement> {
        let Some(network) = self.network() else { return Vec::new() };
        let each = before(network, check).into_iter();
        each.flat_map(|check| network.requires(Check(check)).iter().copied()).collect()
    }

    /// What each check takes at least.
    pub fn least(&self, checks: usize) -> Floor {
        match self {
            Self::Plain(costs) => Floor { shared: costs.clone(), whole: costs.clone() },
            Self::Measurements(network) => {
                let before = |check| count(before(network, check).len());
                Floor { shared: vec![1.0; checks], whole: (0..checks).map(before).collect() }
            }
            Self::Minutes(network) => Floor::in_minutes(network),
        }
    }
}

/// What checks take at least, whatever was measured before.
#[derive(Clone, Debug)]
pub(crate) struct Floor {
    /// Costs that add up to no more than any set of checks takes: preparation that several share is
    /// shared out among them.
    pub shared: Vec<f64>,
    /// What each takes with all that it needs, whether for it or before.
    pub whole: Vec<f64>,
}

impl Floor {
    pub fn in_minutes(network: &Network) -> Self {
        let rows = || network.checks.iter();
        // A preparation that a reading may waive can cost nothing.
        let setup = |setup: &Setup| {
            let of = network.setups.get(setup.0).filter(|of| of.waived.is_empty());
            of.map_or(0.0, |of| of.minutes)
        };
        let mut users: BTreeMap<Setup, f64> = BTreeMap::new();
        let mut in_state: BTreeMap<State, f64> = BTreeMap::new();
        for row in rows() {
            row.setups.iter().for_each(|setup| *users.entry(*setup).or_default() += 1.0);
            row.state.into_iter().for_each(|state| *in_state.entry(state).or_default() += 1.0);
        }
        let change = |state: &State| {
            let into = network.state_changes.iter().filter(|change| change.to == *state);
            into.map(|change| change.minutes).min_by(f64::total_cmp).unwrap_or(0.0)
        };
        let shared = rows().map(|row| {
            let setups = row.setups.iter();
            let setups: f64 = setups.map(|s| setup(s) / users.get(s).unwrap_or(&1.0)).sum();
            let state = row.state.map_or(0.0, |s| change(&s) / in_state.get(&s).unwrap_or(&1.0));
            row.minutes + setups + state
        });
        let whole = (0..network.checks()).map(|check| {
            let made = before(network, check);
            let rows = || made.iter().filter_map(|check| network.checks.get(*check));
            let setups: BTreeSet<&Setup> = rows().flat_map(|row| &row.setups).collect();
            let own: f64 = rows().map(|row| row.minutes).sum();
            let states: BTreeSet<State> = rows().filter_map(|row| row.state).collect();
            own + setups.into_iter().map(setup).sum::<f64>()
                + states.iter().map(change).sum::<f64>()
        });
        Self { shared: shared.collect(), whole: whole.collect() }
    }
}

/// A check and all that have to be made before it.
fn before(network: &Network, check: usize) -> BTreeSet<usize> {
    let (mut out, mut open) = (BTreeSet::new(), vec![check]);
    while let Some(check) = open.pop() {
        if out.insert(check) {
            open.extend(network.requires(Check(check)).iter().map(|need| need.check.0));
        }
    }
    out
}
