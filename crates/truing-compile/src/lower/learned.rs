//! What was learned, of the faults and checks that there are.

use truing_model::{Cause, CheckId, FaultId, Learned, Shown};

use super::bands::band;
use super::{Instance, Lowering};
use crate::body::{FaultAt, ShownIr};
use crate::lint;

impl Lowering<'_, '_> {
    pub(super) fn learned(&mut self) {
        let said = self.cx.bodies.learned.borrow();
        let Some(said) = said.as_ref() else { return };
        let causes = said
            .causes
            .iter()
            .filter_map(|(at, jobs)| Some(Cause { fault: self.fault_at(*at)?, jobs: *jobs }));
        let causes = causes.collect();
        let shown = said.shown.iter().filter_map(|of| self.shown(of)).collect();
        self.parts.learned = Some(Learned {
            edition: said.edition.clone(),
            author_jobs: said.author_jobs,
            causes,
            shown,
        });
    }

    fn fault_at(&self, at: FaultAt) -> Option<FaultId> {
        Some(FaultId(self.first_faults.get(at.fault)? + at.member as u32))
    }

    /// A count of what the fault does not do fits nothing.
    fn shown(&self, of: &ShownIr) -> Option<Shown> {
        let fault = self.fault_at(of.fault)?;
        let item = self.cx.checks.get(of.check.check)?;
        let member = self.member(of.check.at?, item.family, Instance::default())?;
        let check = CheckId(item.first_check + member as u32);
        let band = band(of.effect.node);
        let known = &self.parts.faults.get(fault.0 as usize)?.effects;
        if !known.iter().any(|effect| (effect.check, effect.band) == (check, band)) {
            let label = &self.parts.faults.get(fault.0 as usize)?.label;
            self.cx.findings.push(lint::learned_elsewhere::effect(of.span, label));
            return None;
        }
        Some(Shown { fault, check, band, seen: of.seen, judged: of.judged })
    }
}
