//! A whole job: every round bound and judged, which fault explains them, what stands in the way of
//! closing it, and what it comes to.

use truing_engine::suspects::{Stage, UnsoundFaults};
use truing_engine::{Detail, Findings, Sheet, Visit};
use truing_job::closing::{self, Conclusion, Obstacle};
use truing_job::edition::Standing;
use truing_job::{JobSheet, Judged, SheetError, complaint, fitted};
use truing_model::FixId;

use crate::compiled::Compiled;

/// One round of a job with what came of it.
#[derive(Clone, Debug)]
pub struct JudgedRound {
    /// What was read.
    pub sheet: Sheet,
    /// What came of it, with its uncertainty budgets.
    pub findings: Findings,
    /// The fixes that were done before it.
    pub fitted: Vec<FixId>,
}

/// A job with what came of it.
#[derive(Clone, Debug)]
pub struct JudgedJob {
    /// Its rounds, in order.
    pub rounds: Vec<JudgedRound>,
    /// Which fault explains them, one stage for each repair and one for what was before any; nothing
    /// where the spec lists no fault.
    pub stages: Vec<Stage>,
    /// Why the faults of the spec cannot be ranked, where they cannot.
    pub unsound: Option<UnsoundFaults>,
    /// Whether the job was judged by the limits at hand. Who shows what came of it says so.
    pub standing: Standing,
    /// The limits that its readings were held against, as printed.
    pub judged: Vec<Judged>,
    /// What stands in the way of closing it.
    pub obstacles: Vec<Obstacle>,
    /// What it comes to.
    pub conclusion: Conclusion,
}

impl Compiled {
    /// Judges every round of a job, and the job as a whole.
    ///
    /// # Errors
    /// Every mistake of the sheet against this spec, each once.
    pub fn judge(&self, sheet: &JobSheet) -> Result<JudgedJob, Vec<SheetError>> {
        let mut rounds = Vec::new();
        let mut errors: Vec<SheetError> = Vec::new();
        // A sheet without a single round still has a head that can be wrong.
        if sheet.rounds.is_empty() {
            let empty = JobSheet { rounds: vec![Default::default()], ..sheet.clone() };
            errors.extend(self.bind(&empty, 0).err().unwrap_or_default());
        }
        for round in 0..sheet.rounds.len() {
            match self.bind(sheet, round) {
                Ok(bound) => {
                    // A fix that is not there is a mistake of binding.
                    let fitted = fitted(sheet, round, self.spec()).unwrap_or_default();
                    let findings = self.assess_with(&bound, Detail::Budgets);
                    rounds.push(JudgedRound { sheet: bound, findings, fitted });
                }
                // What is wrong with the head is found with every round.
                Err(found) => {
                    for error in found {
                        if !errors.contains(&error) {
                            errors.push(error);
                        }
                    }
                }
            }
        }
        if errors.is_empty() { Ok(self.judged_job(sheet, rounds)) } else { Err(errors) }
    }

    fn judged_job(&self, sheet: &JobSheet, rounds: Vec<JudgedRound>) -> JudgedJob {
        let visits: Vec<Visit<'_>> = rounds
            .iter()
            .map(|of| Visit { sheet: &of.sheet, findings: &of.findings, fitted: &of.fitted })
            .collect();
        let complaint = complaint(sheet, self.spec());
        let (stages, unsound) = match self.suspect_plan() {
            Ok(Some(plan)) => (plan.rank(self.spec(), &visits, complaint), None),
            Ok(None) => (Vec::new(), None),
            Err(unsound) => (Vec::new(), Some(unsound.clone())),
        };
        let held: Vec<(&Sheet, &Findings)> =
            rounds.iter().map(|of| (&of.sheet, &of.findings)).collect();
        let judged = self.judged(&held);
        let edition = self.spec().edition.as_deref();
        let standing = Standing::of(sheet, edition, self.spec_hash(), &judged);
        let obstacles = closing::obstacles(self.spec(), sheet, &visits, &stages);
        let conclusion = closing::conclusion(sheet, &visits, &stages, &obstacles);
        JudgedJob { rounds, stages, unsound, standing, judged, obstacles, conclusion }
    }
}
