//! Procedures: their steps laid flat, families written out.

use truing_model::{CheckId, DerivedId, Procedure, SlotId, StepId, Taken};
use truing_syntax::Span;
use truing_syntax::tree::{Path, Step, StepKind};

use super::{Instance, Lowering};
use crate::body;
use crate::names::Sort;

/// Where a step is written.
#[derive(Clone, Debug, Default)]
pub(crate) struct StepPlace {
    /// Of a condition that; else the name of each thing that it takes or suspects, member by member.
    pub parts: Vec<Span>,
}

impl Lowering<'_, '_> {
    /// Only where nothing is wrong: names are looked up again here, and would be reported again.
    pub(super) fn procedures(&mut self) {
        if self.cx.findings.has_errors() {
            return;
        }
        for decl in &self.cx.procedures {
            let mut steps = Vec::new();
            self.step_places.push(Vec::new());
            let body = self.block(&decl.steps, &mut steps);
            self.parts.procedures.push(Procedure {
                name: decl.name.node.to_string(),
                title: decl.title.node.to_string(),
                steps,
                body,
            });
        }
    }

    fn block(&mut self, written: &[Step], steps: &mut Vec<truing_model::Step>) -> Vec<StepId> {
        let mut block = Vec::new();
        for step in written {
            let here = steps.len();
            // Its place is taken before what is in it takes places.
            steps.push(truing_model::Step::Stop);
            self.step_at(here, StepPlace::default());
            let Some(step) = self.step(step, here, steps) else {
                steps.truncate(here);
                continue;
            };
            if let Some(place) = steps.get_mut(here) {
                *place = step;
            }
            block.push(StepId(here as u32));
        }
        block
    }

    /// Where the step at a place of the procedure at hand is written.
    fn step_at(&mut self, here: usize, place: StepPlace) {
        if let Some(places) = self.step_places.last_mut() {
            places.truncate(here);
            places.push(place);
        }
    }

    /// Adds where so many parts of a step are written.
    fn parts_at(&mut self, here: usize, span: Span, count: usize) {
        let places = self.step_places.last_mut();
        if let Some(place) = places.and_then(|places| places.get_mut(here)) {
            place.parts.extend(std::iter::repeat_n(span, count));
        }
    }

    fn step(
        &mut self,
        step: &Step,
        here: usize,
        steps: &mut Vec<truing_model::Step>,
    ) -> Option<truing_model::Step> {
        Some(match &step.kind {
            StepKind::Take(paths) => {
                let mut all = Vec::new();
                for path in paths {
                    let taken = self.taken(path);
                    self.parts_at(here, path.span, taken.len());
                    all.extend(taken);
                }
                truing_model::Step::Take(all)
            }
            StepKind::Suspect(paths) => {
                let mut faults = Vec::new();
                for path in paths {
                    if let Some(index) = self.cx.scope.get(&path.name.node).map(|e| e.index) {
                        let named = self.fault_ids(path, index);
                        self.parts_at(here, path.span, named.len());
                        faults.extend(named);
                    }
                }
                truing_model::Step::Suspect(faults)
            }
            StepKind::Caution(names) => truing_model::Step::Caution(body::cautions(self.cx, names)),
            StepKind::Advise(text) => truing_model::Step::Advise(text.node.to_string()),
            StepKind::Stop => truing_model::Step::Stop,
            StepKind::If { condition, then, otherwise } => {
                let logic = self.cx.bodies.conditions.borrow().get(&condition.span).cloned()?;
                let label = self.cx.files.printed(condition.span);
                self.parts_at(here, condition.span, 1);
                let condition = self.logic(&logic, Instance::default())?;
                let then = self.block(then, steps);
                let otherwise = match otherwise {
                    Some(otherwise) => self.block(otherwise, steps),
                    None => Vec::new(),
                };
                truing_model::Step::If { condition, label, then, otherwise }
            }
        })
    }

    /// What a path of a `take` stands for, member by member.
    fn taken(&mut self, path: &Path) -> Vec<Taken> {
        let cx = self.cx;
        let Some(entry) = cx.scope.get(&path.name.node) else { return Vec::new() };
        let (family, first) = match entry.sort {
            Sort::Check => match cx.checks.get(entry.index) {
                Some(item) => (item.family, item.first_check),
                None => return Vec::new(),
            },
            Sort::Derived => {
                let first = self.first_derived.get(entry.index).copied();
                match cx.derived.get(entry.index).zip(first) {
                    Some((item, first)) => (item.family, first),
                    None => return Vec::new(),
                }
            }
            _ => match cx.measured.get(entry.index) {
                Some(item) => (item.family, item.first_slot),
                None => return Vec::new(),
            },
        };
        let Ok(which) = cx.written_index(path, family, None) else { return Vec::new() };
        let sort = entry.sort;
        let members = self.members_at(which, family, Instance::default());
        let taken = |member: usize| {
            let id = first + member as u32;
            match sort {
                Sort::Check => Taken::Check(CheckId(id)),
                Sort::Derived => Taken::Derived(DerivedId(id)),
                _ => Taken::Slot(SlotId(id)),
            }
        };
        members.into_iter().map(taken).collect()
    }
}
