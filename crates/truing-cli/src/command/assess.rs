//! `truing assess`: what readings mean under a spec.

use truing::Compiled;
use truing::engine::Detail;
use truing::model::CheckId;
use truing::report::{Problem, Report, Round, exit_status, findings_json, render_report};

use super::sheets::{Job, assess_all};
use crate::arguments::AssessArguments;
use crate::failure;
use crate::output::Output;
use crate::selection::checks;
use crate::simulation;
use crate::status::Status;

/// Assesses the sheets that the arguments name.
pub fn run(arguments: &AssessArguments, output: &mut Output) -> Status {
    let compiled = match Compiled::from_path(&arguments.sheets.spec) {
        Ok(compiled) => compiled,
        Err(error) => return failure::tell_error(output, &error),
    };
    match assessed(arguments, &compiled) {
        Ok((mut jobs, only)) => {
            if let Some(trials) = arguments.monte_carlo {
                simulate_all(&compiled, &mut jobs, only.as_deref(), trials, arguments.seed);
            }
            tell(arguments, &compiled, &jobs, only, output)
        }
        Err(problems) => failure::tell(output, &problems),
    }
}

/// Simulates what the checks asked for judge, in every round.
fn simulate_all(
    compiled: &Compiled,
    jobs: &mut [Job],
    only: Option<&[CheckId]>,
    trials: usize,
    seed: u64,
) {
    let rounds = || jobs.iter().flat_map(|job| &job.rounds);
    let count = rounds().map(|round| simulation::asked(&round.findings, only).count()).sum();
    simulation::announce(trials, count);
    for round in jobs.iter_mut().flat_map(|job| &mut job.rounds) {
        round.simulations =
            simulation::simulate_all(compiled, &round.sheet, &round.findings, only, trials, seed);
    }
}

type Only = Option<Vec<CheckId>>;

/// Everything assessed, and the checks that are asked for; or everything that is wrong.
fn assessed(
    arguments: &AssessArguments,
    compiled: &Compiled,
) -> Result<(Vec<Job>, Only), Vec<Problem>> {
    let only = checks(compiled.spec(), &arguments.only);
    let detail = if arguments.budgets() { Detail::Budgets } else { Detail::Reasons };
    match (only, assess_all(&arguments.sheets, detail, compiled)) {
        (Ok(only), Ok(jobs)) => Ok((jobs, only)),
        (only, jobs) => Err([only.err(), jobs.err()].into_iter().flatten().flatten().collect()),
    }
}

fn tell(
    arguments: &AssessArguments,
    compiled: &Compiled,
    jobs: &[Job],
    only: Only,
    output: &mut Output,
) -> Status {
    let spec = compiled.spec();
    let reports: Vec<Report<'_>> = jobs
        .iter()
        .map(|job| Report {
            spec,
            job: job.sheet.as_ref(),
            standing: job.standing.clone(),
            rounds: job
                .rounds
                .iter()
                .map(|of| Round {
                    name: &of.name,
                    sheet: &of.sheet,
                    findings: &of.findings,
                    remedies: &of.remedies,
                    simulations: &of.simulations,
                })
                .collect(),
            suspects: &job.suspects,
            only: only.clone(),
            all: arguments.all,
            budgets: arguments.budgets(),
        })
        .collect();
    if output.json() {
        output.document(&findings_json(spec, &reports));
    } else {
        let texts: Vec<String> =
            reports.iter().map(|report| render_report(report, output.style)).collect();
        output.say(&texts.join("\n"));
    }
    reports.iter().map(|report| status(report)).max().unwrap_or(Status::Pass)
}

fn status(report: &Report<'_>) -> Status {
    match exit_status(report.verdict()) {
        0 => Status::Pass,
        1 => Status::Outside,
        _ => Status::Open,
    }
}
