//! Following a written procedure.

use truing_engine::procedure::{
    EngineOrder, OrderStudy, StageWalk, Walk, engine_order, order_study, walk,
};
use truing_engine::suspects::UnsoundFaults;
use truing_engine::{Findings, PolicyLimits, Visit};
use truing_model::Procedure;

use crate::compiled::Compiled;
use crate::suspects::SuspectRound;

impl Compiled {
    /// The procedure of this name.
    #[must_use]
    pub fn procedure(&self, name: &str) -> Option<&Procedure> {
        self.spec().procedure_named(name)
    }

    /// Where rounds of a job stand in a written order of this spec, and what comes next: what was read
    /// in any of them counts, in whichever order it was taken. After a repair a walk begins anew, with
    /// the rounds since then ([`Compiled::walks`]).
    ///
    /// ```
    /// use truing::Compiled;
    ///
    /// let spec = Compiled::from_path("../../specs/demo/ostrevik-hauler-680.truing")?;
    /// let order = spec.procedure("no_charge").expect("the library has it");
    /// let sheet = spec.sheet().read("battery_rest", "12.71 V")?.build();
    /// let walk = spec.walk(order, &[truing::SuspectRound { sheet: &sheet, fitted: &[] }]);
    /// let next = walk.next.expect("nearly nothing was taken");
    /// let first = next.slots().next().and_then(|slot| spec.spec().slot(slot));
    /// assert_eq!(first.map(|slot| slot.label.as_str()), Some("stator_connector"));
    /// # Ok::<(), truing::Error>(())
    /// ```
    #[must_use]
    pub fn walk(&self, procedure: &Procedure, rounds: &[SuspectRound<'_>]) -> Walk {
        let findings: Vec<Findings> = rounds.iter().map(|of| self.assess(of.sheet)).collect();
        let visits: Vec<Visit<'_>> = rounds
            .iter()
            .zip(&findings)
            .map(|(round, findings)| Visit { sheet: round.sheet, findings, fitted: round.fitted })
            .collect();
        walk(self.spec(), self.plan(), procedure, &visits)
    }

    /// The same for a job with repairs: one walk for the rounds before any, and one for those since
    /// each.
    #[must_use]
    pub fn walks(&self, procedure: &Procedure, rounds: &[SuspectRound<'_>]) -> Vec<StageWalk> {
        let mut stages: Vec<StageWalk> = Vec::new();
        let mut at = 0;
        // Without a round the order begins.
        while at < rounds.len().max(1) {
            let rest = rounds.get(at + 1..).unwrap_or_default();
            let length = 1 + rest.iter().take_while(|round| round.fitted.is_empty()).count();
            let these = rounds.get(at..at + length).unwrap_or_default();
            stages.push(StageWalk {
                rounds: (at..at + these.len()).collect(),
                fitted: these.first().map_or(Vec::new(), |round| round.fitted.to_vec()),
                walk: self.walk(procedure, these),
            });
            at += length;
        }
        stages
    }

    /// What a written order of this spec is expected to take, and where it leads, over the faults that
    /// the spec lists; nothing where it lists none.
    ///
    /// # Errors
    /// Where the faults cannot be ranked.
    pub fn order_study(&self, procedure: &Procedure) -> Result<Option<OrderStudy>, UnsoundFaults> {
        let plan = self.suspect_plan().map_err(Clone::clone)?;
        Ok(plan.map(|plan| order_study(self.spec(), Some(plan), procedure)))
    }

    /// The same of the engine's own order, which asks for the measurement that tells most per minute.
    ///
    /// # Errors
    /// Where the faults cannot be ranked.
    pub fn engine_order(
        &self,
        limits: &PolicyLimits,
    ) -> Result<Option<EngineOrder>, UnsoundFaults> {
        let plan = self.suspect_plan().map_err(Clone::clone)?;
        Ok(plan.and_then(|plan| engine_order(self.spec(), plan, limits).ok()))
    }
}
