//! What a spec says of its faults, as a network: once for each spec.
//!
//! The ranking supposes one fault at a time, which the odds of an author mean (shares among jobs of
//! one sort); a second network with pairs only says whether one fault explains everything.

use std::collections::{BTreeMap, BTreeSet};

use thiserror::Error;
use truing_diagnosis::{
    Band, Check, CheckDraft, Draft, FaultDraft, Likely, MaxFaults, Network, NetworkError, Part,
    Push, RepairCosts, Requirement, Setup, SetupDraft, State, StateChange,
};
use truing_model::{
    CheckBand, CheckId, FaultId, FixId, LogicId, LogicNode, SlotId, SpecParts, StateId,
};
use truing_units::{Measure, Place};

use super::learned::{EffectsByCheck, Reweighed, effects_by_check, reweigh};

/// Weight of "no fault" beside the odds of the faults: that of independent faults.
pub const NONE_WEIGHT: f64 = 1.0;

/// The same where someone complained of the machine: an estimate, no source.
pub const COMPLAINED_NONE_WEIGHT: f64 = 0.1;

/// Weight of a fault that the spec does not list. Small, since the model takes every band for
/// equally likely under it.
pub const OTHER_WEIGHT: f64 = 0.01;

/// A reading that does not say how long it takes counts as so many minutes.
pub const UNSAID_MINUTES: f64 = 1.0;

/// Looking at what is there already: a check has to cost something.
const LEAST_MINUTES: f64 = 0.1;

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
    /// The spec's check of each of the network's.
    pub(super) ids: Vec<CheckId>,
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
        self.ids.get(check.0).copied()
    }

    pub(super) fn band(&self, check: Check, band: Band) -> Option<CheckBand> {
        self.bands.get(check.0)?.get(band.0).copied()
    }

    pub(super) fn networks(&self, complaint: Complaint) -> &Networks {
        match complaint {
            Complaint::None => &self.usual,
            Complaint::Told => &self.complained,
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

    /// The check of the [`network`](Self::network) for a check of the spec, where some fault or
    /// some precondition makes it part of that.
    #[must_use]
    pub fn check_in_network(&self, id: CheckId) -> Option<Check> {
        self.network_check(id)
    }

    /// The spec's check of a check of the [`network`](Self::network).
    #[must_use]
    pub fn check(&self, check: Check) -> Option<CheckId> {
        self.check_id(check)
    }
}

struct Builder<'s> {
    spec: &'s SpecParts,
    draft: Draft,
    check_of: Vec<Option<Check>>,
    ids: Vec<CheckId>,
    bands: Vec<Vec<CheckBand>>,
    touched: Vec<bool>,
    repairs: Vec<Repair>,
    repair_of: Vec<Option<Part>>,
    slot_setups: BTreeMap<SlotId, Setup>,
    state_setups: BTreeMap<StateId, Setup>,
    effects: EffectsByCheck,
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
                none_weight: NONE_WEIGHT,
                other_weight: OTHER_WEIGHT,
                states: spec.states.len(),
                ..Draft::default()
            },
            check_of: vec![None; spec.checks.len()],
            ids: Vec::new(),
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

    /// The checks that a fault acts on, and those that have to come out before them.
    fn checks(&mut self) {
        let acted: BTreeSet<CheckId> = self.effects.keys().copied().collect();
        let mut wanted = acted.clone();
        let mut todo: Vec<CheckId> = acted.iter().copied().collect();
        while let Some(id) = todo.pop() {
            for (first, _) in self.asked_before(id) {
                if wanted.insert(first) {
                    todo.push(first);
                }
            }
        }
        wanted.retain(|id| self.spec.bands_of(*id).is_some_and(|bands| bands.order.len() > 1));
        for id in &wanted {
            if let Some(slot) = self.check_of.get_mut(id.0 as usize) {
                *slot = Some(Check(self.ids.len()));
            }
            self.ids.push(*id);
            self.touched.push(acted.contains(id));
        }
        self.shared(&wanted);
        for id in &wanted {
            self.check(*id);
        }
        self.changes();
    }

    /// The checks whose outcome a check waits for, and whether it waits for it to pass: of what
    /// `when` asks for all together, as far as one band says it.
    fn asked_before(&self, id: CheckId) -> Vec<(CheckId, Band)> {
        let Some(when) = self.spec.check(id).and_then(|check| check.when) else {
            return Vec::new();
        };
        let mut found: BTreeMap<CheckId, Band> = BTreeMap::new();
        let mut todo: Vec<LogicId> = vec![when];
        // INVARIANT: children stand before parents, so this ends.
        while let Some(logic) = todo.pop() {
            match self.spec.logic.get(logic.0 as usize) {
                Some(LogicNode::All(all)) => todo.extend(all),
                Some(LogicNode::Passes(check)) => {
                    // Within or worn passes: two bands, which one requirement cannot name.
                    let one = self.order(*check).iter().filter(|band| band.passes()).count() == 1;
                    found.extend(one.then_some((*check, Band::OK)));
                }
                Some(LogicNode::Fails(check)) => {
                    let order = self.order(*check);
                    let fails = |band: &CheckBand| !band.passes();
                    let place = order.iter().position(fails);
                    let one = order.iter().filter(|band| fails(band)).count() == 1;
                    found.extend(place.filter(|_| one).map(|place| (*check, Band(place))));
                }
                _ => {}
            }
        }
        found.into_iter().collect()
    }

    fn order(&self, id: CheckId) -> &'s [CheckBand] {
        self.spec.bands_of(id).map_or(&[], |bands| &bands.order)
    }

    /// What a check reads, with what is taken together with it.
    fn readings(&self, id: CheckId) -> BTreeSet<SlotId> {
        let own = self.spec.check(id).map_or(&[][..], |check| &check.slots);
        let with = own.iter().filter_map(|slot| self.spec.slot(*slot)).flat_map(|slot| &slot.with);
        own.iter().chain(with).copied().collect()
    }

    /// Readings that several checks share are preparation: once taken they stay.
    fn shared(&mut self, wanted: &BTreeSet<CheckId>) {
        let mut by: BTreeMap<SlotId, usize> = BTreeMap::new();
        for slot in wanted.iter().flat_map(|id| self.readings(*id)) {
            *by.entry(slot).or_default() += 1;
        }
        for (slot, _) in by.into_iter().filter(|(_, checks)| *checks > 1) {
            let minutes = self.slot_minutes(slot);
            let setup = self.draft.setup(minutes, Vec::new());
            self.slot_setups.insert(slot, setup);
        }
    }

    fn slot_minutes(&self, slot: SlotId) -> f64 {
        let takes = self.spec.slot(slot).and_then(|slot| slot.takes.as_ref());
        takes.map_or(UNSAID_MINUTES, minutes)
    }

    fn check(&mut self, id: CheckId) {
        let readings = self.readings(id);
        let own = readings.iter().filter(|slot| !self.slot_setups.contains_key(slot));
        let minutes: f64 = own.map(|slot| self.slot_minutes(*slot)).sum();
        let mut setups: Vec<Setup> =
            readings.iter().filter_map(|slot| self.slot_setups.get(slot).copied()).collect();
        let state = self.state(&readings, &mut setups);
        let requires = self.asked_before(id).into_iter().filter_map(|(first, band)| {
            let check = self.check_of.get(first.0 as usize).copied().flatten()?;
            Some(Requirement { check, band })
        });
        let requires = requires.collect();
        let (leak, slip) = self.spec.bands_of(id).map_or((0.0, 0.0), |b| (b.leak, b.slip));
        let order = self.order(id);
        let failing = order.len().saturating_sub(1);
        // No spec has more bands than fit in a u32.
        let each = leak / f64::from(u32::try_from(failing.max(1)).unwrap_or(1));
        self.draft.check(CheckDraft {
            bands: order.len(),
            leak: (1..=failing).map(|band| (Band(band), each)).collect(),
            slip,
            minutes: minutes.max(LEAST_MINUTES),
            pushes: self.pushes(id, order),
            state,
            setups,
            requires,
        });
        self.bands.push(order.to_vec());
    }

    fn pushes(&self, id: CheckId, order: &[CheckBand]) -> Vec<Push> {
        let each = self.effects.get(&id).into_iter().flatten().map(|(fault, effects)| {
            let into = effects.iter().filter_map(|(band, chance)| {
                let place = order.iter().position(|other| other == band)?;
                Some((Band(place), *chance))
            });
            Push { fault: *fault, into: into.collect() }
        });
        each.filter(|push| !push.into.is_empty()).collect()
    }

    /// The state that a check is made in, the hardest to reach of those of its readings. The others,
    /// and what they are all reached through, are preparation.
    fn state(&mut self, readings: &BTreeSet<SlotId>, setups: &mut Vec<Setup>) -> Option<State> {
        let states: BTreeSet<StateId> =
            readings.iter().filter_map(|slot| self.spec.slot(*slot)?.during).collect();
        let reach = |state: &StateId| -> f64 {
            way(self.spec, *state).iter().map(|state| self.state_minutes(*state)).sum()
        };
        let last = states.iter().copied().max_by(|a, b| reach(a).total_cmp(&reach(b)))?;
        let mut before: BTreeSet<StateId> =
            states.iter().flat_map(|state| way(self.spec, *state)).collect();
        let kept = self.spec.state(last).is_some_and(|s| s.stays || !s.waived.is_empty());
        if !kept {
            before.remove(&last);
        }
        for state in before {
            let setup = self.state_setup(state);
            setups.extend(setup);
        }
        (!kept).then_some(State(last.0 as usize))
    }

    /// A state as preparation, where getting there takes time.
    fn state_setup(&mut self, state: StateId) -> Option<Setup> {
        if let Some(setup) = self.state_setups.get(&state) {
            return Some(*setup);
        }
        let minutes = Some(self.state_minutes(state)).filter(|minutes| *minutes > 0.0)?;
        let waived = self.spec.state(state).map_or(&[][..], |state| &state.waived);
        let waived = waived.iter().filter_map(|waiver| {
            let check = self.check_of.get(waiver.check.0 as usize).copied().flatten()?;
            let band = self.order(waiver.check).iter().position(|b| *b == waiver.band)?;
            Some((check, Band(band)))
        });
        let setup = SetupDraft { minutes, waived: waived.collect() };
        self.draft.setups.push(setup);
        let setup = Setup(self.draft.setups.len() - 1);
        self.state_setups.insert(state, setup);
        Some(setup)
    }

    fn state_minutes(&self, state: StateId) -> f64 {
        self.spec.state(state).and_then(|state| state.takes.as_ref()).map_or(0.0, minutes)
    }

    /// Into each state that a check is made in, from wherever the machine stands.
    fn changes(&mut self) {
        let made: BTreeSet<State> = self.draft.checks.iter().filter_map(|c| c.state).collect();
        for to in &made {
            let id = StateId(u32::try_from(to.0).unwrap_or(u32::MAX));
            let minutes = self.state_minutes(id);
            if minutes > 0.0 {
                let others = made.iter().filter(|from| *from != to).map(|from| Some(*from));
                let from = others.chain([None]);
                let change = |from| StateChange { from, to: *to, minutes };
                self.draft.state_changes.extend(from.map(change));
            }
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
            usual: Networks::of(&self.draft, NONE_WEIGHT)?,
            complained: Networks::of(&self.draft, COMPLAINED_NONE_WEIGHT)?,
            check_of: self.check_of,
            ids: self.ids,
            bands: self.bands,
            touched: self.touched,
            repairs: self.repairs,
            repair_of: self.repair_of,
            slot_setups: self.slot_setups,
            state_setups: self.state_setups,
        })
    }
}

fn minutes(takes: &Measure) -> f64 {
    takes.coherent(Place::Amount) / 60.0
}

/// A state and those that it is reached through, by the first way that is named.
pub(crate) fn way(spec: &SpecParts, state: StateId) -> BTreeSet<StateId> {
    let mut way = BTreeSet::new();
    let mut next = Some(state);
    while let Some(state) = next.filter(|state| way.insert(*state)) {
        next = spec.state(state).and_then(|state| state.from.first().copied());
    }
    way
}
