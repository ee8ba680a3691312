//! The checked network: faults above, checks below, and what drives one into the other.
//!
//! Two layers (BN2O): each fault drives each check it touches into a band with an author's chance;
//! causes combine by noisy-MAX (noisy-OR where there are two bands), so their order can't matter.

mod build;
mod draft;
mod error;
mod order;

use std::sync::OnceLock;

pub use draft::{
    CheckDraft, Draft, FaultDraft, Likely, MaxFaults, Push, RepairCosts, Requirement, SetupDraft,
    StateChange,
};
pub use error::{NetworkError, Place};

use crate::index::{Band, Check, Fault, Hypothesis, Part, Setup, State};
use crate::next::Grounds;
use crate::sight::Sight;
use crate::spread::{Bands, Spread, even, slipped};
use crate::triangle::Triangle;

/// A sound network. It is made by [`Draft::build`] alone and never changes.
#[derive(Clone, Debug)]
pub struct Network {
    pub(crate) faults: Vec<FaultRow>,
    pub(crate) checks: Vec<CheckRow>,
    pub(crate) setups: Vec<SetupDraft>,
    pub(crate) state_changes: Vec<StateChange>,
    pub(crate) parts: usize,
    pub(crate) none_weight: f64,
    pub(crate) other_weight: f64,
    pub(crate) max_faults: MaxFaults,
    pub(crate) costs: Option<RepairCosts>,
    /// By check: its turn, which comes after those of the checks that it requires.
    pub(crate) turn: Vec<usize>,
    /// What choosing the next check rests on, once it was asked for; nothing where there are too
    /// many faults.
    pub(crate) grounds: OnceLock<Option<Grounds>>,
}

#[derive(Clone, Debug)]
pub(crate) struct FaultRow {
    pub odds: f64,
    pub log_odds: f64,
    /// Sorted, each once.
    pub parts: Vec<Part>,
}

#[derive(Clone, Debug)]
pub(crate) struct CheckRow {
    pub bands: usize,
    pub slip: f64,
    pub minutes: f64,
    pub state: Option<State>,
    pub setups: Vec<Setup>,
    pub requires: Vec<Requirement>,
    pub leak: Spread,
    /// The faults that touch it, sorted.
    pub links: Vec<Link>,
    /// What is read off it, once it was asked for.
    pub sight: OnceLock<Sight>,
}

#[derive(Clone, Debug)]
pub(crate) struct Link {
    pub fault: Fault,
    pub push: Spread,
    /// The leak and this fault: what is seen with no other fault.
    pub alone: Spread,
}

impl CheckRow {
    pub fn link(&self, fault: Fault) -> Option<&Link> {
        let at = self.links.binary_search_by_key(&fault, |link| link.fault).ok()?;
        self.links.get(at)
    }

    /// `P(band | hypothesis)`, without the slip.
    pub fn bands_under(&self, hypothesis: Hypothesis) -> Bands {
        if hypothesis == Hypothesis::Other {
            return even(self.bands);
        }
        let mut links = hypothesis.faults().filter_map(|fault| self.link(fault));
        match (links.next(), links.next()) {
            (None, _) => self.leak.chance,
            (Some(one), None) => one.alone.chance,
            (Some(one), Some(two)) => one.alone.max_chance(&two.push),
        }
    }
}

impl Network {
    /// What choosing the next check rests on; `None` where it is over a part of the faults, which
    /// the readings choose.
    pub(crate) fn grounds(&self) -> Option<&Grounds> {
        let pairs = self.max_faults == MaxFaults::Two;
        self.grounds.get_or_init(|| Grounds::whole(self, pairs)).as_ref()
    }

    /// What is read off a check under all faults; `None` for a check that isn't there.
    pub(crate) fn sight(&self, check: Check) -> Option<&Sight> {
        let row = self.checks.get(check.0)?;
        let pairs = self.max_faults == MaxFaults::Two;
        let triangle = Triangle(if pairs { self.faults.len() } else { 0 });
        Some(row.sight.get_or_init(|| Sight::of(row, |fault| Some(fault.0), triangle)))
    }

    /// How many faults there are.
    #[must_use]
    pub fn faults(&self) -> usize {
        self.faults.len()
    }

    /// How many checks there are.
    #[must_use]
    pub fn checks(&self) -> usize {
        self.checks.len()
    }

    /// How many parts there are.
    #[must_use]
    pub fn parts(&self) -> usize {
        self.parts
    }

    /// How many bands a check has; `None` for a check that isn't there.
    #[must_use]
    pub fn bands(&self, check: Check) -> Option<usize> {
        self.checks.get(check.0).map(|row| row.bands)
    }

    /// The chance that a reading of a check says nothing at all; `None` for a check that isn't there.
    #[must_use]
    pub fn slip(&self, check: Check) -> Option<f64> {
        self.checks.get(check.0).map(|row| row.slip)
    }

    /// How many faults at once are supposed.
    #[must_use]
    pub fn max_faults(&self) -> MaxFaults {
        self.max_faults
    }

    /// What repairs cost, where the author says.
    #[must_use]
    pub fn costs(&self) -> Option<&RepairCosts> {
        self.costs.as_ref()
    }

    /// The parts that the repair of a fault replaces, sorted.
    #[must_use]
    pub fn parts_of(&self, fault: Fault) -> &[Part] {
        self.faults.get(fault.0).map_or(&[], |row| &row.parts)
    }

    /// Odds of a fault before anything is measured.
    #[must_use]
    pub fn odds(&self, fault: Fault) -> Option<f64> {
        self.faults.get(fault.0).map(|row| row.odds)
    }

    /// The checks that a check requires, and in which bands.
    #[must_use]
    pub fn requires(&self, check: Check) -> &[Requirement] {
        self.checks.get(check.0).map_or(&[], |row| &row.requires)
    }

    /// The chance of each band of a check under a hypothesis, slip left out; `None` for a check or
    /// fault that isn't there.
    #[must_use]
    pub fn outcome(&self, check: Check, hypothesis: Hypothesis) -> Option<Vec<f64>> {
        let row = self.checks.get(check.0)?;
        if hypothesis.faults().any(|fault| fault.0 >= self.faults.len()) {
            return None;
        }
        Some(row.bands_under(hypothesis).into_iter().take(row.bands).collect())
    }

    /// The chance that a check is **read** in each band under a hypothesis, slip included.
    #[must_use]
    pub fn outcome_read(&self, check: Check, hypothesis: Hypothesis) -> Option<Vec<f64>> {
        let row = self.checks.get(check.0)?;
        let chance = self.read_under(check, hypothesis)?;
        Some(chance.into_iter().take(row.bands).collect())
    }

    pub(crate) fn read_under(&self, check: Check, hypothesis: Hypothesis) -> Option<Bands> {
        let row = self.checks.get(check.0)?;
        Some(slipped(&row.bands_under(hypothesis), row.slip, row.bands))
    }

    /// Weight of a hypothesis before anything is measured: the product of the odds of its faults.
    /// 0 for a pair where one fault at a time is supposed, and for faults that aren't there.
    #[must_use]
    pub fn weight(&self, hypothesis: Hypothesis) -> f64 {
        let odds = |fault: Fault| self.odds(fault).unwrap_or(0.0);
        match hypothesis {
            Hypothesis::None => self.none_weight,
            Hypothesis::Single(f) => odds(f),
            Hypothesis::Pair(..) if self.max_faults == MaxFaults::One => 0.0,
            Hypothesis::Pair(f, g) => odds(f) * odds(g),
            Hypothesis::Other => self.other_weight,
        }
    }

    /// How much independent faults would leave out: the chances of none, one, two, and three or
    /// more faults at once, from the elementary symmetric sums of the odds. The weights of "none"
    /// and "other" play no part.
    #[must_use]
    pub fn faults_at_once(&self) -> [f64; 4] {
        let (mut e1, mut e2, mut log_all) = (0.0, 0.0, 0.0);
        for row in &self.faults {
            e2 += e1 * row.odds;
            e1 += row.odds;
            log_all -= libm::log1p(row.odds);
        }
        let none = libm::exp(log_all);
        let [one, two] = [none * e1, none * e2];
        [none, one, two, (1.0 - none - one - two).max(0.0)]
    }

    /// Faults that act on a check, and how: `(fault, chance of each band from that fault alone)`,
    /// leak left out.
    pub fn pushes(&self, check: Check) -> impl Iterator<Item = (Fault, Vec<f64>)> {
        self.checks.get(check.0).into_iter().flat_map(|row| {
            let bands = row.bands;
            row.links.iter().map(move |link| {
                (link.fault, link.push.chance.iter().copied().take(bands).collect())
            })
        })
    }

    /// Bands that contradict the network for some hypothesis, since neither leak nor slip leads
    /// there: seen by mistake, such a band rules out the truth for good. Worth a warning.
    #[must_use]
    pub fn unforgiving(&self) -> Vec<(Check, Band)> {
        let mut out = Vec::new();
        for (at, row) in self.checks.iter().enumerate().filter(|(_, row)| row.slip <= 0.0) {
            let bands = row.leak.chance.iter().enumerate().take(row.bands);
            out.extend(bands.filter(|(_, p)| **p <= 0.0).map(|(k, _)| (Check(at), Band(k))));
        }
        out
    }
}
