//! The condition that a complaint shows under, where it shows under one only: hot, at idle, wet.
//!
//! A repair is then proven only by what passes under it. Where the condition brings faults, which come
//! with it and go with it (heat, water, a bumpy road), two more things follow.
//!
//! - While the machine is otherwise run it is in order, the customer says, whatever is wrong with it.
//!   So a check that passes in the same run, but not under that condition, speaks against no fault:
//!   `P(passes | fault, shows elsewhere only) = P(passes | no fault)`, one factor for all of them. What
//!   fails there counts: it was not as the customer said.
//! - As long as nothing was judged under the condition, that comes next: the complaint is not
//!   reproduced, and no repair could be proven by what is measured elsewhere.
//!
//! The same run are the states that the condition is reached through since the last that stays, or
//! since the machine came in, and whatever is reached through one of these.

use std::collections::BTreeSet;

use truing_model::{CheckId, Spec, StateId};

use super::checks::way;
use super::stages::{Visit, as_it_came};

/// A condition, by the states of a spec.
#[derive(Clone, Debug)]
pub(super) struct Condition {
    pub state: StateId,
    /// Faults come with it and go with it.
    pub brings: bool,
    /// It, and what is reached through it.
    under: BTreeSet<StateId>,
    /// The same run, elsewhere.
    elsewhere: BTreeSet<StateId>,
}

impl Condition {
    pub fn of(spec: &Spec, state: StateId) -> Self {
        let all = || (0_u32..).zip(&spec.states).map(|(id, _)| StateId(id));
        let under: BTreeSet<StateId> = all().filter(|s| way(spec, *s).contains(&state)).collect();
        let mut run: BTreeSet<StateId> = BTreeSet::new();
        let mut next = spec.state(state).and_then(|of| of.from.first().copied());
        while let Some(before) = next {
            let stays = spec.state(before).is_none_or(|of| of.stays);
            if stays || as_it_came(spec, before) || !run.insert(before) {
                break;
            }
            next = spec.state(before).and_then(|of| of.from.first().copied());
        }
        let elsewhere = all().filter(|s| !under.contains(s) && !way(spec, *s).is_disjoint(&run));
        let brings = spec.state(state).is_some_and(|of| of.brings);
        Self { state, brings, elsewhere: elsewhere.collect(), under }
    }

    /// Whether a check is made under the condition.
    pub fn is_under(&self, spec: &Spec, check: CheckId) -> bool {
        made_in(spec, check).any(|state| self.under.contains(&state))
    }

    /// Whether a check is made in the same run, and not under the condition.
    pub fn is_elsewhere(&self, spec: &Spec, check: CheckId) -> bool {
        !self.is_under(spec, check)
            && made_in(spec, check).any(|state| self.elsewhere.contains(&state))
    }

    /// What was judged under the condition: whether anything passed, and whether anything failed.
    pub fn judged(&self, spec: &Spec, visits: &[Visit<'_>]) -> Judged {
        let mut judged = Judged::default();
        for visit in visits {
            for finding in &visit.findings.findings {
                let taken = taken_in(spec, visit, finding.check);
                if taken.is_disjoint(&self.under) {
                    continue;
                }
                judged.passed |= finding.outcome.passes();
                judged.failed |= finding.outcome.fails();
            }
        }
        judged
    }
}

/// What came out of order, and what in order.
#[derive(Copy, Clone, Debug, Default)]
pub(super) struct Judged {
    pub passed: bool,
    pub failed: bool,
}

/// The states that a check's readings were taken in on a visit.
pub(super) fn taken_in(spec: &Spec, visit: &Visit<'_>, check: CheckId) -> BTreeSet<StateId> {
    let slots = spec.check(check).map_or(&[][..], |check| &check.slots);
    let taken = slots.iter().filter(|slot| visit.sheet.get(**slot).is_some());
    let state = |slot| {
        let own = spec.slot(slot).and_then(|slot| slot.during);
        visit.sheet.state(slot).or(own)
    };
    taken.filter_map(|slot| state(*slot)).collect()
}

fn made_in(spec: &Spec, check: CheckId) -> impl Iterator<Item = StateId> {
    let slots = spec.check(check).map_or(&[][..], |check| &check.slots);
    slots.iter().filter_map(|slot| spec.slot(*slot)?.during)
}
