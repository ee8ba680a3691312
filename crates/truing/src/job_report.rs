//! One job from complaint to proof: its sheet judged round by round, its suspects ranked, the report
//! on it as data.

use thiserror::Error;
use truing_engine::suspects::{Complaint, UnsoundFaults};
use truing_engine::{Detail, Findings, Sheet};
use truing_job::{JobSheet, SheetError, fitted};
use truing_model::{CheckId, FixId};
use truing_report::job_report::text::Text;
use truing_report::{JobReport, JobView, Picture, Report, Round, job_view};

use crate::compiled::Compiled;
use crate::suspects::SuspectRound;

/// Why a job cannot be reported on.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NoReport {
    /// Every mistake of the sheet against this spec.
    #[error("the sheet does not fit the spec: {}", first(.0))]
    Sheet(Vec<SheetError>),
    /// The spec's faults cannot be ranked.
    #[error(transparent)]
    Faults(#[from] UnsoundFaults),
}

fn first(errors: &[SheetError]) -> &str {
    errors.first().map_or("", |error| error.message.as_str())
}

/// One round, judged.
struct Judged {
    sheet: Sheet,
    findings: Findings,
    remedies: Vec<(CheckId, Vec<String>)>,
    fitted: Vec<FixId>,
}

impl Compiled {
    /// The report on a job as data; [`job_html`](truing_report::job_html) and
    /// [`job_markdown`](truing_report::job_markdown) make documents of it. `pictures` are those of
    /// the sheet's photos, as [`pictures`](crate::pictures) gives them.
    ///
    /// # Errors
    /// Where the sheet does not fit the spec, or the spec's faults cannot be ranked.
    pub fn job_report(
        &self,
        job: &JobSheet,
        pictures: &[Result<Picture, Text>],
    ) -> Result<JobView, NoReport> {
        let rounds = self.judge_rounds(job)?;
        let told: Vec<SuspectRound<'_>> = rounds
            .iter()
            .map(|round| SuspectRound { sheet: &round.sheet, fitted: &round.fitted })
            .collect();
        let complaint = match job.complaint {
            Some(_) => Complaint::Told,
            None => Complaint::None,
        };
        let suspects = self.suspects(&told, complaint)?;
        let rounds = job.rounds.iter().zip(&rounds).map(|(written, round)| Round {
            name: &written.name,
            sheet: &round.sheet,
            findings: &round.findings,
            remedies: &round.remedies,
            simulations: &[],
        });
        let report = Report {
            spec: self.spec(),
            job: Some(job),
            rounds: rounds.collect(),
            suspects: &suspects,
            only: None,
            all: true,
            budgets: false,
        };
        Ok(job_view(&JobReport { report, spec_hash: None, pictures }))
    }

    /// Every round bound and judged; or every mistake of the sheet, each once.
    fn judge_rounds(&self, job: &JobSheet) -> Result<Vec<Judged>, NoReport> {
        let at_hand = self.at_hand(Some(job));
        let mut mistakes: Vec<SheetError> = Vec::new();
        let mut judged = Vec::new();
        for place in 0..job.rounds.len() {
            match self.bind(job, place) {
                Ok(sheet) => {
                    let findings = self.assess_with(&sheet, Detail::Budgets);
                    let remedies = self.would_settle(&sheet, &findings, &at_hand);
                    // A fix that is not there is a mistake of binding, told above.
                    let fitted = fitted(job, place, self.spec()).unwrap_or_default();
                    judged.push(Judged { sheet, findings, remedies, fitted });
                }
                // What is wrong with the head is found with every round.
                Err(found) => mistakes.extend(
                    found.into_iter().filter(|one| !mistakes.contains(one)).collect::<Vec<_>>(),
                ),
            }
        }
        if mistakes.is_empty() { Ok(judged) } else { Err(NoReport::Sheet(mistakes)) }
    }
}
