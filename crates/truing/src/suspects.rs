//! Which fault explains the readings of a job.

use truing_engine::suspects::{Complaint, Stage, UnsoundFaults};
use truing_engine::{Detail, Findings, Sheet, SuspectPlan, Visit};
use truing_model::{CheckId, FixId};

use crate::compiled::Compiled;

/// One round of a job, with the fixes that were done before it.
#[derive(Copy, Clone, Debug)]
pub struct SuspectRound<'a> {
    /// What was read.
    pub sheet: &'a Sheet,
    /// What was done since the round before.
    pub fitted: &'a [FixId],
}

impl Compiled {
    /// The faults of the spec, ready for ranking; nothing where it lists none.
    ///
    /// # Errors
    /// Where they cannot be ranked.
    pub fn suspect_plan(&self) -> Result<Option<&SuspectPlan>, &UnsoundFaults> {
        self.kept_suspect_plan().as_ref().map(Option::as_ref)
    }

    /// Which fault explains the rounds of a job, and what to do next, one stage for each repair and
    /// one for what was before any; nothing where the spec lists no fault.
    ///
    /// # Errors
    /// Where the faults cannot be ranked.
    pub fn suspects(
        &self,
        rounds: &[SuspectRound<'_>],
        complaint: Complaint,
    ) -> Result<Vec<Stage>, UnsoundFaults> {
        self.suspects_without(rounds, complaint, &[])
    }

    /// As [`Compiled::suspects`], where these checks are not proposed: what someone has left out for
    /// now.
    ///
    /// # Errors
    /// As [`Compiled::suspects`].
    pub fn suspects_without(
        &self,
        rounds: &[SuspectRound<'_>],
        complaint: Complaint,
        left_out: &[CheckId],
    ) -> Result<Vec<Stage>, UnsoundFaults> {
        let Some(plan) = self.suspect_plan().map_err(Clone::clone)? else { return Ok(Vec::new()) };
        // How probable each band is, is asked for whatever the decision rule.
        let findings: Vec<Findings> =
            rounds.iter().map(|round| self.assess_with(round.sheet, Detail::Budgets)).collect();
        let visits: Vec<Visit<'_>> = rounds
            .iter()
            .zip(&findings)
            .map(|(round, findings)| Visit { sheet: round.sheet, findings, fitted: round.fitted })
            .collect();
        Ok(plan.rank_without(self.spec(), &visits, complaint, left_out))
    }
}
