//! Steps that can change nothing.

use std::collections::BTreeSet;

use truing_model::{CheckId, FaultId, Procedure, SlotId, SpecParts, Step, StepId, Taken};

use super::needs;
use super::order_study::Idle;
use super::paths::MOST_STEPS;

/// The steps of a procedure that can change nothing: what they take is used by no condition and no
/// suspect behind them, or both their ways do the same.
#[must_use]
pub fn idle(spec: &SpecParts, procedure: &Procedure) -> Vec<Idle> {
    if procedure.steps.len() > MOST_STEPS {
        return Vec::new();
    }
    let mut finder = Finder { spec, procedure, found: Vec::new() };
    finder.block(&procedure.body, &Use::default());
    finder.same_ways();
    finder.found.sort_by_key(|of| match of {
        Idle::Takes { step, .. } | Idle::SameWays { step } => *step,
    });
    finder.found
}

/// What something further on depends on.
#[derive(Clone, Default)]
struct Use {
    slots: BTreeSet<SlotId>,
    checks: BTreeSet<CheckId>,
}

impl Use {
    fn check(&mut self, spec: &SpecParts, check: CheckId) {
        for check in needs::with_those_before(spec, check) {
            self.checks.insert(check);
            self.slots.extend(needs::readings(spec, Taken::Check(check)));
        }
    }

    /// Whether the faults act on what was read, or on a state that it waives.
    fn fault(&mut self, spec: &SpecParts, fault: FaultId) {
        let effects = spec.fault(fault).map_or(&[][..], |of| &of.effects);
        effects.iter().for_each(|effect| self.check(spec, effect.check));
    }

    fn has(&self, spec: &SpecParts, taken: Taken) -> bool {
        if let Taken::Check(check) = taken
            && self.checks.contains(&check)
        {
            return true;
        }
        needs::subjects(spec, taken).iter().any(|slot| self.slots.contains(slot))
    }

    fn and(&mut self, other: Self) {
        self.slots.extend(other.slots);
        self.checks.extend(other.checks);
    }
}

struct Finder<'a> {
    spec: &'a SpecParts,
    procedure: &'a Procedure,
    found: Vec<Idle>,
}

impl Finder<'_> {
    /// What a block depends on, with what stands behind it. Nesting is as deep as the text's, which
    /// is capped; a deeper one is left out.
    fn block(&mut self, steps: &[StepId], behind: &Use) -> Use {
        self.nested(steps, behind, 0)
    }

    fn nested(&mut self, steps: &[StepId], behind: &Use, depth: usize) -> Use {
        let mut used = behind.clone();
        if depth > DEEPEST {
            return used;
        }
        let procedure = self.procedure;
        for id in steps.iter().rev() {
            match procedure.step(*id) {
                Some(Step::Stop) => used = Use::default(),
                Some(Step::Suspect(faults)) => {
                    faults.iter().for_each(|fault| used.fault(self.spec, *fault));
                }
                Some(Step::If { condition, then, otherwise, .. }) => {
                    let mut both = self.nested(then, &used, depth + 1);
                    both.and(self.nested(otherwise, &used, depth + 1));
                    let asked = needs::checks_of(self.spec, *condition);
                    asked.into_iter().for_each(|check| both.check(self.spec, check));
                    both.slots.extend(needs::of_rule(self.spec, *condition));
                    used = both;
                }
                Some(Step::Take(all)) => self.take(*id, all, &mut used),
                Some(Step::Advise(_) | Step::Caution(_)) | None => {}
            }
        }
        used
    }

    fn take(&mut self, step: StepId, all: &[Taken], used: &mut Use) {
        let idle: Vec<Taken> =
            all.iter().copied().filter(|taken| !used.has(self.spec, *taken)).collect();
        if !idle.is_empty() {
            self.found.push(Idle::Takes { step, taken: idle });
        }
        // What waives a state that is gone through later saves the way there.
        let slots: Vec<SlotId> =
            all.iter().flat_map(|taken| needs::readings(self.spec, *taken)).collect();
        for state in super::effort::Standing::states(self.spec, &slots) {
            let waived = self.spec.state(state).map_or(&[][..], |of| &of.waived);
            waived.iter().for_each(|by| used.check(self.spec, by.check));
        }
    }

    fn same_ways(&mut self) {
        let mut todo: Vec<(&[StepId], Vec<StepId>)> = vec![(&self.procedure.body, Vec::new())];
        while let Some((block, behind)) = todo.pop() {
            for (at, id) in block.iter().enumerate() {
                let Some(Step::If { then, otherwise, .. }) = self.procedure.step(*id) else {
                    continue;
                };
                let mut on: Vec<StepId> = block.get(at + 1..).unwrap_or_default().to_vec();
                on.extend(&behind);
                let ways = [then, otherwise].map(|way| self.course(way, &on));
                let [one, other] = &ways;
                if self.same(one, other) {
                    self.found.push(Idle::SameWays { step: *id });
                }
                todo.push((then, on.clone()));
                todo.push((otherwise, on));
            }
        }
    }

    /// What is done from the beginning of a block on, up to a stop.
    fn course(&self, block: &[StepId], behind: &[StepId]) -> Vec<StepId> {
        let all = block.iter().chain(behind).copied();
        all.take_while(|id| !matches!(self.procedure.step(*id), Some(Step::Stop))).collect()
    }

    fn same(&self, one: &[StepId], other: &[StepId]) -> bool {
        let mut todo = vec![(one.to_vec(), other.to_vec())];
        while let Some((one, other)) = todo.pop() {
            if one.len() != other.len() {
                return false;
            }
            for (a, b) in one.iter().zip(&other).filter(|(a, b)| a != b) {
                match (self.procedure.step(*a), self.procedure.step(*b)) {
                    (
                        Some(Step::If { label: p, then: a, otherwise: c, .. }),
                        Some(Step::If { label: q, then: b, otherwise: d, .. }),
                    ) => {
                        if p != q {
                            return false;
                        }
                        todo.push((a.clone(), b.clone()));
                        todo.push((c.clone(), d.clone()));
                    }
                    (a, b) if a == b => {}
                    _ => return false,
                }
            }
        }
        true
    }
}

/// Deeper than texts can be nested.
const DEEPEST: usize = 256;
