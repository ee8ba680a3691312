//! `--monte-carlo`: the errors of a sheet by random trials.

use truing::Compiled;
use truing::engine::{Findings, MOST_TRIALS, Sheet, Simulated, SimulationOptions};
use truing::model::{CheckId, Outcome};
use truing::report::Simulation;

/// From so many trials in all on it takes more than a moment, and that is said.
const MANY: usize = 5_000_000;

/// The coverage of the intervals, where the decision rule asks for none.
const COVERAGE: f64 = 0.95;

/// How many trials are asked for: `200000`, `1_000_000`.
///
/// # Errors
/// Where that is no whole number, too few for an interval, or more than are kept.
pub fn trials(text: &str) -> Result<usize, String> {
    let digits = text.replace('_', "");
    if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        let mend = "write a whole number, or put --monte-carlo behind the spec and the sheets";
        return Err(format!("that is no number of trials: {mend}"));
    }
    // More digits than a number has are too many trials in any case.
    match digits.parse().unwrap_or(usize::MAX) {
        0..100 => Err("these are too few trials for an interval: ask for 200000".to_owned()),
        trials if trials > MOST_TRIALS => Err(format!(
            "no more than {MOST_TRIALS} trials are kept: 1000000 settle the second digit of an \
             uncertainty"
        )),
        trials => Ok(trials),
    }
}

/// Says before it begins that it takes a moment.
pub fn announce(trials: usize, checks: usize) {
    let all = trials.saturating_mul(checks);
    if all > MANY {
        eprintln!("{all} trials: this takes a moment.");
    }
}

/// The checks asked for that judged a quantity.
pub fn asked<'a>(
    findings: &'a Findings,
    only: Option<&'a [CheckId]>,
) -> impl Iterator<Item = (CheckId, f64)> + 'a {
    let findings = findings.findings.iter().filter(move |finding| {
        let outcome = finding.outcome;
        let judged = outcome.passes() || outcome.fails() || outcome == Outcome::Undecided;
        judged
            && finding.reason.value.is_some()
            && only.is_none_or(|only| only.contains(&finding.check))
    });
    findings.map(|finding| {
        let coverage = finding.reason.uncertainty.map(|uncertainty| uncertainty.coverage);
        // What a guard band of several standard uncertainties covers may be everything.
        let coverage = coverage.filter(|coverage| (0.5..=0.999).contains(coverage));
        (finding.check, coverage.unwrap_or(COVERAGE))
    })
}

/// What comes of the trials, check by check.
pub fn simulate_all(
    compiled: &Compiled,
    sheet: &Sheet,
    findings: &Findings,
    only: Option<&[CheckId]>,
    trials: usize,
    seed: u64,
) -> Vec<Simulation> {
    let each = asked(findings, only).map(|(check, coverage)| {
        let options = SimulationOptions { trials, seed, coverage };
        (check, compiled.simulate(sheet, Simulated::Check(check), &options))
    });
    each.collect()
}
