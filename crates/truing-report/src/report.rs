//! What a report is made from: a spec, a job, and its rounds with their findings.

use std::collections::BTreeSet;

use truing_engine::suspects::Stage;
use truing_engine::{Findings, NotSimulated, Sheet, SimulationFinding, Summary, Verdict};
use truing_job::JobSheet;
use truing_job::edition::Standing;
use truing_model::{CautionId, CheckId, Outcome, SlotId, Spec};

/// One round of a job with what came of it.
#[derive(Copy, Clone, Debug)]
pub struct Round<'a> {
    /// Its name: `as found`. May be empty where there is only one.
    pub name: &'a str,
    /// What was read.
    pub sheet: &'a Sheet,
    /// What came of it.
    pub findings: &'a Findings,
    /// The instruments at hand that would have decided a check that is undecided, by name.
    pub remedies: &'a [(CheckId, Vec<String>)],
    /// What came of simulating what checks judge, where that was asked for.
    pub simulations: &'a [Simulation],
}

/// What came of simulating what a check judges, or why it was not simulated.
pub type Simulation = (CheckId, Result<SimulationFinding, NotSimulated>);

impl Round<'_> {
    /// What came of simulating what this check judges.
    pub(crate) fn simulation(
        &self,
        check: CheckId,
    ) -> Option<&Result<SimulationFinding, NotSimulated>> {
        self.simulations.iter().find(|(of, _)| *of == check).map(|(_, found)| found)
    }
}

/// What a report is made from.
#[derive(Clone, Debug)]
pub struct Report<'a> {
    /// The spec.
    pub spec: &'a Spec,
    /// The job, where there is a sheet.
    pub job: Option<&'a JobSheet>,
    /// Whether the job was judged by these limits.
    pub standing: Standing,
    /// The rounds, in order.
    pub rounds: Vec<Round<'a>>,
    /// Which fault explains the rounds; nothing where the spec lists none.
    pub suspects: &'a [Stage],
    /// Only these checks; `None` is all.
    pub only: Option<Vec<CheckId>>,
    /// Whether what is within is told in full as well.
    pub all: bool,
    /// Whether the uncertainty budgets are shown.
    pub budgets: bool,
}

impl<'a> Report<'a> {
    /// A report on one round.
    #[must_use]
    pub fn of_round(spec: &'a Spec, sheet: &'a Sheet, findings: &'a Findings) -> Self {
        let rounds = vec![Round { name: "", sheet, findings, remedies: &[], simulations: &[] }];
        Self {
            spec,
            job: None,
            standing: Standing::Unrecorded,
            rounds,
            suspects: &[],
            only: None,
            all: false,
            budgets: false,
        }
    }

    /// How many of the checks asked for came out which way in a round.
    #[must_use]
    pub fn summary(&self, round: &Round<'_>) -> Summary {
        let mut summary = Summary::default();
        for finding in &round.findings.findings {
            if self.asks_for(finding.check) {
                summary.count(finding.outcome);
            }
        }
        summary
    }

    /// What the last round comes to; of no round, that nothing is settled.
    #[must_use]
    pub fn verdict(&self) -> Verdict {
        self.rounds.last().map_or(Verdict::Open, |round| self.summary(round).verdict())
    }

    pub(crate) fn asks_for(&self, check: CheckId) -> bool {
        self.only.as_ref().is_none_or(|only| only.contains(&check))
    }

    /// The cautions of whatever a round left outside or not settled, each once. What was simply
    /// not taken is not repeated.
    pub(crate) fn cautions(&self, round: &Round<'_>) -> Vec<&'a str> {
        let mut ids: BTreeSet<CautionId> = BTreeSet::new();
        let said = |slot: &SlotId| round.sheet.get(*slot).is_some();
        for finding in round.findings.findings.iter().filter(|f| self.asks_for(f.check)) {
            let Some(check) = self.spec.checks.get(finding.check.0 as usize) else { continue };
            let again = match finding.outcome {
                Outcome::Outside(_) | Outcome::Undecided => true,
                Outcome::Blocked | Outcome::NotTaken => check.slots.iter().any(said),
                Outcome::Within | Outcome::Worn | Outcome::NotApplicable => false,
            };
            for slot in check.slots.iter().filter(|_| again) {
                let Some(slot) = self.spec.slots.get(slot.0 as usize) else { continue };
                ids.extend(&slot.cautions);
                let state = slot.during.and_then(|state| self.spec.states.get(state.0 as usize));
                ids.extend(state.into_iter().flat_map(|state| &state.cautions));
            }
        }
        ids.iter()
            .filter_map(|id| Some(self.spec.cautions.get(id.0 as usize)?.text.as_str()))
            .collect()
    }
}
