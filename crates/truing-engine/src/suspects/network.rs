//! What a spec says of its faults, as a network: once for each spec.
//!
//! The ranking supposes one fault at a time, which the odds of an author mean (shares among jobs of
//! one sort); a second network with pairs only says whether one fault explains everything.

use std::collections::BTreeMap;

use thiserror::Error;
use truing_diagnosis::{
    Band, Check, Draft, FaultDraft, Hypothesis, Likely, MaxFaults, Network, NetworkError, Part,
    RepairCosts, Setup,
};
use truing_model::{Beside, CheckBand, CheckId, FaultId, FixId, SlotId, SpecParts, StateId};

use super::learned::{EffectsByCheck, Reweighed, effects_by_check, reweigh};

/// Weight of "no fault" beside the odds of the faults, where the spec says none.
pub const NONE_WEIGHT: f64 = Beside::NONE;

/// Where someone complained of the machine it weighs so much of that: an estimate, no source.
pub const COMPLAINED: f64 = 0.1;

/// Weight of a fault that the spec does not list, where it says none.
pub const OTHER_WEIGHT: f64 = Beside::OTHER;

/// A reading that does not say how long it takes counts as so many minutes.
pub const UNSAID_MINUTES: f64 = 1.0;

/// Giving up costs as much as so many of the dearest repair.
const ESCALATE: f64 = 2.0;

/// The faults of a spec cannot be made a network.
#[derive(Clone, Debug, PartialEq, Error)]
#[error("the faults of this spec cannot be ranked: {0}")]
pub struct UnsoundFaults(#[from] NetworkError);

/// What mends faults, told apart by what has to be ordered: fixes that replace the same parts are
/// one.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Repair {
    /// The first such fix; of a fault without a fix nothing.
    pub fix: Option<FixId>,
    /// The fault, where it has no fix.
    pub unmended: Option<FaultId>,
}

/// Whether anyone complained of the machine.
#[derive(Copy, Clone, Debug, Default, PartialEq, Eq)]
pub enum Complaint {
    /// Nobody, or it is not known.
    #[default]
    None,
    /// Someone did: that nothing is wrong is less probable.
    Told,
    /// Someone did, and it shows in this state of the machine only.
    Shows(StateId),
}

impl Complaint {
    /// The condition that it shows under, where it shows under one only.
    #[must_use]
    pub const fn shows(self) -> Option<StateId> {
        match self {
            Self::Shows(state) => Some(state),
            Self::None | Self::Told => None,
        }
    }
}

/// One fault at a time, and up to two.
#[derive(Clone, Debug)]
pub(super) struct Networks {
    pub single: Network,
    pub pairs: Network,
}

impl Networks {
    fn of(draft: &Draft, none_weight: f64) -> Result<Self, NetworkError> {
        let draft = Draft { none_weight, ..draft.clone() };
        let pairs = Draft { max_faults: MaxFaults::Two, ..draft.clone() };
        Ok(Self { single: draft.build()?, pairs: pairs.build()? })
    }
}

/// The faults of a spec, ready for ranking.
#[derive(Clone, Debug)]
pub struct SuspectPlan {
    usual: Networks,
    complained: Networks,
    /// The network's check of each of the spec's.
    pub(super) check_of: Vec<Option<Check>>,
    /// The spec's checks that are each of the network's: one, or a family that counts as one.
    pub(super) members: Vec<Vec<CheckId>>,
    /// The bands of each of the network's checks, in their order.
    pub(super) bands: Vec<Vec<CheckBand>>,
    /// Whether some fault acts on the check.
    pub(super) touched: Vec<bool>,
    /// The network's parts.
    pub(super) repairs: Vec<Repair>,
    /// Which of them each fix does.
    pub(super) repair_of: Vec<Option<Part>>,
    /// A reading that several checks share is taken once.
    pub(super) slot_setups: BTreeMap<SlotId, Setup>,
    /// A state that others are reached through.
    pub(super) state_setups: BTreeMap<StateId, Setup>,
}

impl SuspectPlan {
    /// From a spec, with what was learned of it; nothing where it lists no fault.
    ///
    /// # Errors
    /// Where the faults make no sound network.
    pub fn new(spec: &SpecParts) -> Result<Option<Self>, UnsoundFaults> {
        if spec.faults.is_empty() {
            return Ok(None);
        }
        let mut builder = Builder::new(spec);
        builder.repairs();
        builder.faults();
        builder.checks();
        Ok(Some(builder.finish()?))
    }

    pub(super) fn network_check(&self, id: CheckId) -> Option<Check> {
        self.check_of.get(id.0 as usize).copied().flatten()
    }

    pub(super) fn check_id(&self, check: Check) -> Option<CheckId> {
        self.members.get(check.0)?.first().copied()
    }

    pub(super) fn band(&self, check: Check, band: Band) -> Option<CheckBand> {
        self.bands.get(check.0)?.get(band.0).copied()
    }

    /// Whether a check is in this band, which is out of order, more often than in order without any
    /// fault: a symptom of the way machines come in, and no failure.
    pub(super) fn is_usual(&self, check: Check, band: Band) -> bool {
        let usual = self.network().outcome(check, Hypothesis::None).unwrap_or_default();
        let of = |band: Band| usual.get(band.0).copied().unwrap_or(0.0);
        band != Band::OK && of(band) > of(Band::OK)
    }

    pub(super) fn networks(&self, complaint: Complaint) -> &Networks {
        match complaint {
            Complaint::None => &self.usual,
            Complaint::Told | Complaint::Shows(_) => &self.complained,
        }
    }

    /// The network that supposes one fault at a time, where nobody complained.
    #[must_use]
    pub fn network(&self) -> &Network {
        &self.usual.single
    }

    /// The same where someone complained, as of any machine that a procedure is followed on.
    #[must_use]
    pub fn network_of_complaints(&self) -> &Network {
        &self.complained.single
    }

    /// The spec's checks that are a check of the [`network`](Self::network): one, or a family that
    /// counts as one.
    #[must_use]
    pub fn members(&self, check: Check) -> &[CheckId] {
        self.members.get(check.0).map_or(&[], Vec::as_slice)
    }

    /// The check of the [`network`](Self::network) for a check of the spec, where some fault or
    /// some precondition makes it part of that.
    #[must_use]
    pub fn check_in_network(&self, id: CheckId) -> Option<Check> {
        self.network_check(id)
    }

    /// The spec's check of a check of the [`network`](Self::network): of a family that counts as one
    /// its first member.
    #[must_use]
    pub fn check(&self, check: Check) -> Option<CheckId> {
        self.check_id(check)
    }
}

pub(super) struct Builder<'s> {
    pub spec: &'s SpecParts,
    pub draft: Draft,
    pub check_of: Vec<Option<Check>>,
    pub members: Vec<Vec<CheckId>>,
    pub bands: Vec<Vec<CheckBand>>,
    pub touched: Vec<bool>,
    repairs: Vec<Repair>,
    repair_of: Vec<Option<Part>>,
    pub slot_setups: BTreeMap<SlotId, Setup>,
    pub state_setups: BTreeMap<StateId, Setup>,
    pub effects: EffectsByCheck,
    /// What jobs make of the odds and chances.
    learned: Option<Reweighed>,
}

impl<'s> Builder<'s> {
    fn new(spec: &'s SpecParts) -> Self {
        let learned = spec.learned.as_ref().and_then(|learned| reweigh(spec, learned));
        Self {
            spec,
            effects: effects_by_check(spec, learned.as_ref()),
            learned,
            draft: Draft {
                none_weight: spec.beside.none,
                other_weight: spec.beside.other,
                states: spec.states.len(),
                ..Draft::default()
            },
            check_of: vec![None; spec.checks.len()],
            members: Vec::new(),
            bands: Vec::new(),
            touched: Vec::new(),
            repairs: Vec::new(),
            repair_of: vec![None; spec.fixes.len()],
            slot_setups: BTreeMap::new(),
            state_setups: BTreeMap::new(),
        }
    }

    /// Fixes that replace the same parts are one repair; one that replaces nothing stands alone.
    fn repairs(&mut self) {
        let mut known: BTreeMap<Vec<u32>, Part> = BTreeMap::new();
        for (fix, id) in self.spec.fixes.iter().zip(0_u32..) {
            let mut parts: Vec<u32> = fix.parts.iter().map(|part| part.0).collect();
            parts.sort_unstable();
            let repair = match known.get(&parts).filter(|_| !parts.is_empty()) {
                Some(repair) => *repair,
                None => self.repair(Repair { fix: Some(FixId(id)), unmended: None }),
            };
            known.entry(parts).or_insert(repair);
            if let Some(slot) = self.repair_of.get_mut(id as usize) {
                *slot = Some(repair);
            }
        }
    }

    fn repair(&mut self, repair: Repair) -> Part {
        self.repairs.push(repair);
        self.draft.part()
    }

    /// Each fault with its first fix.
    fn faults(&mut self) {
        for (fault, id) in self.spec.faults.iter().zip(0_u32..) {
            let first = fault.fixes.first().and_then(|fix| self.repair_of.get(fix.0 as usize));
            let repair = match first.copied().flatten() {
                Some(repair) => repair,
                None => self.repair(Repair { fix: None, unmended: Some(FaultId(id)) }),
            };
            let learned = self.learned.as_ref().and_then(|of| of.faults.get(id as usize));
            let likely = match learned {
                Some(of) => Likely::Odds(of.odds),
                None => Likely::Probability(fault.prior),
            };
            self.draft.faults.push(FaultDraft { likely, parts: vec![repair] });
        }
    }

    /// What repairs cost, where every fix says how long it takes and what it costs: without that
    /// nothing can be said about whether measuring pays.
    fn costs(&self) -> Option<RepairCosts> {
        let cost = |repair: &Repair| {
            let fix = self.spec.fix(repair.fix?)?;
            let price = if fix.parts.is_empty() { fix.price.unwrap_or(0.0) } else { fix.price? };
            Some((fix.seconds? + fix.verify_seconds) / 60.0 + price)
        };
        let part: Vec<f64> = self.repairs.iter().map(cost).collect::<Option<_>>()?;
        let dearest = part.iter().copied().fold(0.0, f64::max);
        let sound = part.iter().all(|cost| *cost > 0.0);
        let costs = RepairCosts {
            part,
            nothing: UNSAID_MINUTES,
            verify: 0.0,
            escalate: ESCALATE * dearest,
        };
        sound.then_some(costs)
    }

    fn finish(mut self) -> Result<SuspectPlan, UnsoundFaults> {
        self.draft.costs = self.costs();
        Ok(SuspectPlan {
            usual: Networks::of(&self.draft, self.spec.beside.none)?,
            complained: Networks::of(&self.draft, COMPLAINED * self.spec.beside.none)?,
            check_of: self.check_of,
            members: self.members,
            bands: self.bands,
            touched: self.touched,
            repairs: self.repairs,
            repair_of: self.repair_of,
            slot_setups: self.slot_setups,
            state_setups: self.state_setups,
        })
    }
}
