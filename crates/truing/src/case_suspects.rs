//! What a case expects of the suspects.

use truing_engine::Sheet;
use truing_engine::suspects::{Complaint, Ranking, Seen};
use truing_model::FaultId;
use truing_report::ExpectationResult;

use crate::compiled::Compiled;
use crate::suspects::SuspectRound;

/// So many suspects are named where another one leads.
const NAMED: usize = 3;

/// A fault that is expected among the suspects; of a family written without a member, any.
pub(crate) struct ExpectedSuspect<'a> {
    /// As written.
    pub fault: &'a str,
    /// The faults that this means.
    pub faults: &'a [FaultId],
    /// Whether one of them must lead.
    pub first: bool,
    /// What they must come to together.
    pub at_least: Option<f64>,
}

impl ExpectedSuspect<'_> {
    /// It is a suspect where something failed, and it is not less probable than before anything was
    /// measured; it leads where no other fault, and no fault at all, is more probable.
    pub fn judged(&self, compiled: &Compiled, sheet: &Sheet) -> ExpectationResult {
        let stages = compiled.suspects(&[SuspectRound { sheet, fitted: &[] }], Complaint::None);
        let ranking = match stages.as_deref() {
            Ok([stage, ..]) => match &stage.ranking {
                Ok(ranking) => ranking,
                Err(_) => return self.result("results that contradict each other", false, None),
            },
            Ok([]) => return self.result("no fault is listed", false, None),
            Err(error) => return self.result("nothing", false, Some(error.to_string())),
        };
        let probability: f64 = ranking
            .faults
            .iter()
            .filter(|of| self.faults.contains(&of.fault))
            .map(|of| of.probability)
            .sum();
        let failed = ranking.seen == Seen::Failed;
        let leads = self.leads(ranking, probability);
        let enough = self.at_least.is_none_or(|least| probability >= least);
        let suspected = probability >= self.prior(compiled);
        let passed = failed && enough && if self.first { leads } else { suspected };
        let came = match (failed, leads) {
            (false, _) => "no suspect, since nothing failed".to_owned(),
            (true, true) => format!("the first, {}", percent(probability)),
            (true, false) => percent(probability),
        };
        let why = (!passed).then(|| named(compiled, ranking));
        self.result(&came, passed, why)
    }

    /// The members of a family count together, since together they are what is written.
    fn leads(&self, ranking: &Ranking, probability: f64) -> bool {
        let others = ranking.faults.iter().filter(|of| !self.faults.contains(&of.fault));
        let most = others.map(|of| of.probability).fold(ranking.none.max(ranking.other), f64::max);
        probability > most
    }

    /// What they come to before anything is measured.
    fn prior(&self, compiled: &Compiled) -> f64 {
        let Ok(Some(plan)) = compiled.suspect_plan() else { return 0.0 };
        let nothing = truing_engine::Visit {
            sheet: &Sheet::new(compiled.spec()),
            findings: &truing_engine::Findings::default(),
            fitted: &[],
        };
        let stages = plan.rank(compiled.spec(), &[nothing], Complaint::None);
        let ranking = stages.first().and_then(|stage| stage.ranking.as_ref().ok());
        let faults = ranking.map_or(&[][..], |ranking| &ranking.faults);
        let meant = faults.iter().filter(|of| self.faults.contains(&of.fault));
        meant.map(|of| of.probability).sum()
    }

    fn result(&self, came: &str, passed: bool, why: Option<String>) -> ExpectationResult {
        let lead = if self.first { "the first suspect" } else { "a suspect" };
        let least = self.at_least.map_or(String::new(), |p| format!(", at least {}", percent(p)));
        ExpectationResult {
            subject: format!("suspect {}", self.fault),
            expected: format!("{lead}{least}"),
            came: came.to_owned(),
            passed,
            check: None,
            why,
        }
    }
}

fn named(compiled: &Compiled, ranking: &Ranking) -> String {
    let spec = compiled.spec();
    let mut named: Vec<(f64, String)> = ranking
        .faults
        .iter()
        .take(NAMED)
        .filter_map(|of| Some((of.probability, spec.fault(of.fault)?.label.clone())))
        .collect();
    named.push((ranking.none, "no fault".to_owned()));
    named.sort_by(|a, b| b.0.total_cmp(&a.0));
    let told: Vec<String> =
        named.iter().map(|(p, name)| format!("{name} {}", percent(*p))).collect();
    format!("the likeliest are {}", told.join(", "))
}

fn percent(p: f64) -> String {
    format!("{:.1} %", p * 100.0)
}
