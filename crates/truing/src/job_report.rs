//! The report on one job as data, from its sheet and what came of it.

use truing_job::JobSheet;
use truing_model::CheckId;
use truing_report::job_report::text::Text;
use truing_report::{JobReport, JobView, Picture, Report, Round, job_view};

use crate::compiled::Compiled;
use crate::judged_job::JudgedJob;

impl Compiled {
    /// The report on a job as data; [`job_html`](truing_report::job_html) and
    /// [`job_markdown`](truing_report::job_markdown) make documents of it. `judged` is what
    /// [`Compiled::judge`] gives for this sheet; `pictures` are those of its photos, as
    /// [`pictures`](crate::pictures) gives them.
    #[must_use]
    pub fn job_report(
        &self,
        sheet: &JobSheet,
        judged: &JudgedJob,
        pictures: &[Result<Picture, Text>],
    ) -> JobView {
        let at_hand = self.at_hand(Some(sheet));
        let remedies: Vec<Vec<(CheckId, Vec<String>)>> = judged
            .rounds
            .iter()
            .map(|round| self.would_settle(&round.sheet, &round.findings, &at_hand))
            .collect();
        let rounds = sheet.rounds.iter().zip(&judged.rounds).zip(&remedies);
        let rounds = rounds.map(|((written, round), remedies)| Round {
            name: &written.name,
            sheet: &round.sheet,
            findings: &round.findings,
            remedies,
            simulations: &[],
        });
        let report = Report {
            spec: self.spec(),
            job: Some(sheet),
            standing: judged.standing.clone(),
            rounds: rounds.collect(),
            suspects: &judged.stages,
            only: None,
            all: true,
            budgets: false,
        };
        let spec_hash = Some(self.spec_hash());
        let obstacles = &judged.obstacles;
        job_view(&JobReport { report, spec_hash, obstacles, pictures })
    }
}
