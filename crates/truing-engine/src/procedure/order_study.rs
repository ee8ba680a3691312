//! What a written order is worth by the model of the spec's faults: what it is expected to take, what
//! it names without ground, and what in it can change nothing.
//!
//! A suspect is without ground where what the way to it knows speaks *clearly* against it: its odds
//! have fallen by [`CLEARLY`] decibans or more since the beginning. That compares a fault with
//! itself, so that it matters little how common the faults of one complaint are.

use serde::Serialize;
use truing_diagnosis::{Band, Does, EvidenceError, PolicyLimits, StopRules};
use truing_model::{CheckId, FaultId, Procedure, SlotId, SpecParts, StateId, StepId, Taken};

use super::cases::Model;
use super::effort::Standing;
use super::needs;
use super::paths::{Followed, MOST_STEPS, Turn, Visitor, Way, follow};
use crate::suspects::SuspectPlan;

/// So many decibans against a suspect speak clearly (`Strength::Clearly` begins there).
pub const CLEARLY: f64 = 5.0;

/// Ways that fewer jobs take are not looked at for suspects.
pub const RARE: f64 = 1e-3;

/// What a written order is worth.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OrderStudy {
    /// What it is expected to take, and where it leads.
    pub written: WrittenOrder,
    /// Suspects that a way to them speaks against, each at the way that does so most.
    pub unsupported: Vec<Unsupported>,
    /// Conditions that come out one way only, or never.
    pub settled: Vec<(StepId, Settled)>,
}

/// What a written order is expected to take, over the faults of the spec by their odds.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WrittenOrder {
    /// How many ways there are through it.
    pub paths: usize,
    /// Minutes until it ends.
    pub minutes: f64,
    /// Readings and observations that are taken until then.
    pub readings: f64,
    /// The probability that suspects are named and the fault is among them.
    pub named: f64,
    /// The probability that suspects are named.
    pub names: f64,
    /// How many are named, on average where some are.
    pub suspects: f64,
    /// The probability that it comes to a condition that is not known, since what it asks about was
    /// not taken or is not judged.
    pub stuck: f64,
    /// The probability of the ways beyond the most that are followed: not in the other figures.
    pub beyond: f64,
}

impl WrittenOrder {
    /// Of a procedure that is too long to be followed.
    const fn beyond() -> Self {
        Self {
            paths: 0,
            minutes: 0.0,
            readings: 0.0,
            named: 0.0,
            names: 0.0,
            suspects: 0.0,
            stuck: 0.0,
            beyond: 1.0,
        }
    }
}

/// A suspect that the way to it speaks against.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Unsupported {
    /// The step that names it.
    pub step: StepId,
    /// The fault.
    pub fault: FaultId,
    /// What the way says against it, in decibans: negative, without end where it is impossible.
    pub decibans: f64,
    /// How probable the way is.
    pub probability: f64,
    /// The condition on the way that speaks most against it.
    pub against: Against,
}

/// A condition that went one way.
#[derive(Copy, Clone, Debug, PartialEq, Serialize)]
pub struct Against {
    /// Its step.
    pub step: StepId,
    /// Whether it held.
    pub holds: bool,
    /// How often it goes that way where the fault is there.
    pub with_it: f64,
    /// How often it does where the fault is not.
    pub without_it: f64,
}

/// How a condition comes out on every way to it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Settled {
    /// It always holds.
    Holds,
    /// It never holds.
    Fails,
    /// It is never known, since no step before it takes what these checks read.
    Untaken(Vec<CheckId>),
    /// It is never known: what it asks about is never judged.
    Never,
}

/// What the engine's own order is expected to take.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EngineOrder {
    /// Minutes until a cure is certain, or nothing that is left tells more: whether trying a repair
    /// would cost less is left aside, as a written order leaves it.
    pub minutes: f64,
    /// Readings and observations that are taken until then.
    pub readings: f64,
    /// The probability that the likeliest cure is then the right one.
    pub right: f64,
    /// Behind a branch less probable than this only one is followed, drawn by its chance.
    pub cut_off: f64,
    /// What the draws begin with.
    pub seed: u64,
    /// The probability of all behind which one was drawn.
    pub drawn: f64,
    /// The probability of what was settled where it stood, since enough was worked out.
    pub cut: f64,
}

/// Follows every way through a procedure by the model of the spec's faults; without one only what is
/// settled is of use.
#[must_use]
pub fn order_study(
    spec: &SpecParts,
    plan: Option<&SuspectPlan>,
    procedure: &Procedure,
) -> OrderStudy {
    if procedure.steps.len() > MOST_STEPS {
        let (unsupported, settled) = (Vec::new(), Vec::new());
        return OrderStudy { written: WrittenOrder::beyond(), unsupported, settled };
    }
    let model = Model::new(spec, plan, procedure);
    let mut collector = Collector { prior: model.prior().to_vec(), ..Collector::default() };
    let followed = follow(&model, procedure, &mut collector);
    let settled = if followed.beyond > 0.0 { Vec::new() } else { settled(&followed) };
    collector.unsupported.sort_by_key(|of| (of.step, of.fault));
    OrderStudy {
        written: WrittenOrder {
            paths: followed.paths,
            minutes: followed.minutes,
            readings: followed.readings,
            named: collector.named,
            names: collector.names,
            suspects: if collector.names > 0.0 { collector.many / collector.names } else { 0.0 },
            stuck: collector.stuck,
            beyond: followed.beyond,
        },
        unsupported: collector.unsupported,
        settled,
    }
}

fn settled(followed: &Followed) -> Vec<(StepId, Settled)> {
    let mut settled = Vec::new();
    for (step, seen) in &followed.seen {
        let how = match (seen.holds, seen.fails, seen.open > 0.0) {
            (true, false, false) => Settled::Holds,
            (false, true, false) => Settled::Fails,
            (false, false, true) if seen.untaken.is_empty() => Settled::Never,
            (false, false, true) => Settled::Untaken(seen.untaken.iter().copied().collect()),
            _ => continue,
        };
        settled.push((*step, how));
    }
    settled
}

#[derive(Default)]
struct Collector {
    prior: Vec<f64>,
    unsupported: Vec<Unsupported>,
    named: f64,
    names: f64,
    many: f64,
    stuck: f64,
}

impl Visitor for Collector {
    fn suspects(&mut self, step: StepId, faults: &[FaultId], way: &Way) {
        let mass = way.mass();
        let total: f64 = mass.iter().sum();
        if total < RARE {
            return;
        }
        for fault in faults {
            let place = Model::place(*fault);
            let Some(decibans) = shift(&self.prior, &mass, place) else { continue };
            if decibans > -CLEARLY {
                continue;
            }
            let Some(against) = most_against(way.turns.as_deref(), place) else { continue };
            let found = Unsupported { step, fault: *fault, decibans, probability: total, against };
            let known =
                self.unsupported.iter_mut().find(|of| of.step == step && of.fault == *fault);
            match known {
                Some(known) if decibans < known.decibans => *known = found,
                Some(_) => {}
                None => self.unsupported.push(found),
            }
        }
    }

    fn ends(&mut self, way: &Way, stuck: bool) {
        let mass = way.mass();
        let total: f64 = mass.iter().sum();
        if stuck {
            self.stuck += total;
        }
        if way.named.is_empty() {
            return;
        }
        self.names += total;
        self.many += total * way.named.len() as f64;
        let of = |fault: &FaultId| mass.get(Model::place(*fault)).copied().unwrap_or(0.0);
        self.named += way.named.iter().map(of).sum::<f64>();
    }
}

/// How far the odds of a hypothesis have moved, in decibans.
fn shift(before: &[f64], after: &[f64], place: usize) -> Option<f64> {
    let odds = |mass: &[f64]| {
        let own = *mass.get(place)?;
        let rest: f64 = mass.iter().sum::<f64>() - own;
        (rest > 0.0).then_some(own / rest)
    };
    let (before, after) = (odds(before)?, odds(after)?);
    Some(if after > 0.0 { 10.0 * libm::log10(after / before) } else { f64::NEG_INFINITY })
}

/// The turn that speaks most against a hypothesis.
fn most_against(turns: Option<&Turn>, place: usize) -> Option<Against> {
    let mut most: Option<(f64, Against)> = None;
    let mut next = turns;
    while let Some(turn) = next {
        next = turn.earlier.as_deref();
        let Some(decibans) = shift(&turn.before, &turn.behind, place) else { continue };
        let share = |own: &dyn Fn(&[f64]) -> f64| {
            let before = own(&turn.before);
            if before > 0.0 { own(&turn.behind) / before } else { 0.0 }
        };
        let it = |mass: &[f64]| mass.get(place).copied().unwrap_or(0.0);
        let against = Against {
            step: turn.step,
            holds: turn.holds,
            with_it: share(&it),
            without_it: share(&|mass| mass.iter().sum::<f64>() - it(mass)),
        };
        if most.is_none_or(|(least, _)| decibans < least) {
            most = Some((decibans, against));
        }
    }
    most.map(|(_, against)| against)
}

/// What the engine's own order is expected to take, by the same reckoning, on any complaint.
///
/// # Errors
/// Where the network holds a reading possible that contradicts it.
pub fn engine_order(
    spec: &SpecParts,
    plan: &SuspectPlan,
    limits: &PolicyLimits,
) -> Result<EngineOrder, EvidenceError> {
    let network = plan.network_of_complaints();
    let policy = network.policy(limits, &StopRules::default())?;
    let (mut minutes, mut readings) = (0.0, 0.0);
    let mut behind: Vec<Before> = Vec::with_capacity(policy.nodes.len());
    for node in &policy.nodes {
        let mut here = match node.before {
            None => Before::default(),
            Some((before, band)) => {
                let mut here = behind.get(before).cloned().unwrap_or_default();
                let check = here.measures;
                here.came.extend(check.map(|check| (check, band)));
                here
            }
        };
        here.measures = None;
        if let Does::Measure { check, .. } = node.does
            && let Some(id) = plan.check(check)
        {
            let mut slots: Vec<SlotId> = Vec::new();
            for member in plan.members(check) {
                for slot in needs::readings(spec, Taken::Check(*member)) {
                    if !slots.contains(&slot) {
                        slots.push(slot);
                    }
                }
            }
            let waived = waived(spec, &here, &slots);
            let (spent, read) = here.standing.spend(spec, &slots, |state| waived.contains(&state));
            minutes += node.probability * spent;
            readings += node.probability * read as f64;
            here.measures = Some(id);
        }
        behind.push(here);
    }
    Ok(EngineOrder {
        minutes,
        readings,
        right: policy.right(),
        cut_off: limits.cut_off,
        seed: limits.seed,
        drawn: policy.drawn,
        cut: policy.cut(),
    })
}

/// What was measured on the way to a node.
#[derive(Clone, Debug, Default)]
struct Before {
    standing: Standing,
    came: Vec<(CheckId, Band)>,
    measures: Option<CheckId>,
}

/// The states on the way to these readings that something measured waives.
fn waived(spec: &SpecParts, before: &Before, slots: &[SlotId]) -> Vec<StateId> {
    let came = |check: CheckId| {
        let (_, band) = before.came.iter().find(|(id, _)| *id == check)?;
        spec.bands_of(check)?.order.get(band.0).copied()
    };
    let states = Standing::states(spec, slots).into_iter();
    let is_waived = |state: &StateId| {
        let waived = spec.state(*state).map_or(&[][..], |of| &of.waived);
        waived.iter().any(|by| came(by.check) == Some(by.band))
    };
    states.filter(is_waived).collect()
}

/// Steps that can change nothing, by what is written alone.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Idle {
    /// Nothing behind this step depends on what it takes.
    Takes {
        /// The step.
        step: StepId,
        /// What it takes to no use.
        taken: Vec<Taken>,
    },
    /// Both ways of this condition do the same.
    SameWays {
        /// The step.
        step: StepId,
    },
}
