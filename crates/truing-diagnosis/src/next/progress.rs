//! How far the job is: what is measured, what stands open, what a check would take.

use std::collections::BTreeSet;

use crate::evidence::{NotUsed, Standing, unmet};
use crate::index::{Band, Check, Setup, State};
use crate::network::{Network, Requirement};

/// A check that needs more unmeasured checks before it than this is offered only once some of them
/// are measured.
pub const LONGEST_CHAIN: usize = 8;

/// What stands open on the machine, and in which state it is.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Situation {
    /// Teardown and preparation that is done.
    pub open: BTreeSet<Setup>,
    /// The state the machine is in, where that's known.
    pub state: Option<State>,
}

#[derive(Clone)]
pub(crate) struct Progress {
    standing: Vec<Standing>,
    open: BTreeSet<Setup>,
    state: Option<State>,
}

/// What stands between now and a check.
pub(crate) enum Way {
    /// These come first, each in its band.
    Open(Vec<Requirement>),
    Barred(NotUsed),
    /// More come first than are planned for.
    Far,
}

impl Progress {
    pub fn new(standing: Vec<Standing>, situation: &Situation) -> Self {
        Self { standing, open: situation.open.clone(), state: situation.state }
    }

    pub fn standing(&self, check: Check) -> Standing {
        self.standing.get(check.0).copied().unwrap_or(Standing::Unmeasured)
    }

    pub fn is_unmeasured(&self, check: Check) -> bool {
        self.standing(check) == Standing::Unmeasured
    }

    /// Minutes of a check: its own, those of what isn't open yet, and those of the change of state.
    pub fn minutes(&self, network: &Network, check: Check) -> f64 {
        let Some(row) = network.checks.get(check.0) else { return 0.0 };
        let setups = row.setups.iter().filter(|setup| !self.open.contains(setup));
        let setups: f64 = setups
            .filter_map(|setup| network.setups.get(setup.0))
            .filter(|setup| !setup.waived.iter().any(|(c, band)| self.standing(*c).is_in(*band)))
            .map(|setup| setup.minutes)
            .sum();
        row.minutes + setups + self.state_change(network, row.state)
    }

    fn state_change(&self, network: &Network, to: Option<State>) -> f64 {
        let Some(to) = to.filter(|to| self.state != Some(*to)) else { return 0.0 };
        let change = |c: &&crate::network::StateChange| c.to == to && c.from == self.state;
        network.state_changes.iter().find(change).map_or(0.0, |change| change.minutes)
    }

    /// After a check was made and observed in a band.
    pub fn after(&self, network: &Network, check: Check, band: Band) -> Self {
        let mut out = self.clone();
        if let Some(slot) = out.standing.get_mut(check.0) {
            *slot = Standing::Used { band, observed: true };
        }
        if let Some(row) = network.checks.get(check.0) {
            out.open.extend(row.setups.iter().copied());
            out.state = row.state.or(out.state);
        }
        out
    }

    /// What of all this bears on what some checks take: which checks before them are made, and for
    /// minutes what stands open for them and in which state the machine is.
    pub fn bearing(
        &self,
        network: &Network,
        checks: impl Iterator<Item = usize>,
        minutes: bool,
    ) -> Vec<u32> {
        let mut asked: Vec<usize> = checks.collect();
        let (mut seen, mut out) = (BTreeSet::new(), BTreeSet::new());
        let number = |at: usize| u32::try_from(at).unwrap_or(u32::MAX);
        while let Some(check) = asked.pop() {
            let Some(row) = network.checks.get(check).filter(|_| seen.insert(check)) else {
                continue;
            };
            let before = row.requires.iter().map(|need| need.check.0);
            let setups = row.setups.iter().filter(|_| minutes);
            let mut watched: Vec<usize> = before.clone().collect();
            for setup in setups {
                if self.open.contains(setup) {
                    out.insert((1, number(setup.0)));
                }
                let waived = network.setups.get(setup.0).map_or(&[][..], |setup| &setup.waived);
                watched.extend(waived.iter().map(|(check, _)| check.0));
            }
            let made = watched.into_iter().filter(|check| !self.is_unmeasured(Check(*check)));
            out.extend(made.map(|check| (0, number(check))));
            asked.extend(before);
        }
        let state = self.state.filter(|_| minutes).map_or(u32::MAX, |state| number(state.0));
        out.into_iter().flat_map(|(kind, at)| [kind, at]).chain([state]).collect()
    }

    /// The unmeasured checks that come before a check, in an order in which they can be made.
    pub fn way(&self, network: &Network, check: Check) -> Way {
        let mut chain = Vec::new();
        self.collect(network, check, &mut chain, 0).err().unwrap_or(Way::Open(chain))
    }

    fn collect(
        &self,
        network: &Network,
        check: Check,
        chain: &mut Vec<Requirement>,
        depth: usize,
    ) -> Result<(), Way> {
        for need in network.requires(check) {
            if let Some(other) = chain.iter().find(|other| other.check == need.check) {
                if other.band == need.band {
                    continue;
                }
                let Requirement { check, band } = *need;
                return Err(Way::Barred(NotUsed::NotInBand { check, band, found: other.band }));
            }
            match unmet(*need, self.standing(need.check)) {
                None => continue,
                Some(NotUsed::NotMeasured { .. }) => {}
                Some(why) => return Err(Way::Barred(why)),
            }
            if depth >= LONGEST_CHAIN {
                return Err(Way::Far);
            }
            self.collect(network, need.check, chain, depth + 1)?;
            chain.push(*need);
            if chain.len() > LONGEST_CHAIN {
                return Err(Way::Far);
            }
        }
        Ok(())
    }
}
