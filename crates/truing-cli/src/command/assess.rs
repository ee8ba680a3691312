//! `truing assess`: what readings mean under a spec.

use std::path::Path;

use truing::Compiled;
use truing::engine::{Detail, Findings, Sheet};
use truing::job::{
    JobSheet, MAX_SHEET_BYTES, SheetError, SheetFormat, parse_decide, read_sheet_bytes,
    read_sheet_file, set_one,
};
use truing::model::{CheckId, DecideRule};
use truing::report::{
    Problem, Report, Round, Simulation, exit_status, findings_json, render_report,
};

use crate::arguments::{AssessArguments, SheetForm};
use crate::failure;
use crate::input;
use crate::output::Output;
use crate::selection::{checks, rounds};
use crate::simulation;
use crate::status::Status;

/// Assesses the sheets that the arguments name.
pub fn run(arguments: &AssessArguments, output: &mut Output) -> Status {
    let compiled = match Compiled::from_path(&arguments.spec) {
        Ok(compiled) => compiled,
        Err(error) => return failure::tell_error(output, &error),
    };
    match assess_all(arguments, &compiled) {
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

/// One sheet with what came of it.
struct Job {
    sheet: Option<JobSheet>,
    rounds: Vec<Assessed>,
}

/// One round with what came of it, and the instruments at hand that would decide more.
struct Assessed {
    name: String,
    sheet: Sheet,
    findings: Findings,
    remedies: Vec<(CheckId, Vec<String>)>,
    simulations: Vec<Simulation>,
}

type Only = Option<Vec<CheckId>>;

/// Reads, binds and assesses everything, or says everything that is wrong.
fn assess_all(
    arguments: &AssessArguments,
    compiled: &Compiled,
) -> Result<(Vec<Job>, Only), Vec<Problem>> {
    let mut problems = Vec::new();
    let only = checks(compiled.spec(), &arguments.only).unwrap_or_else(|found| {
        problems.extend(found);
        None
    });
    let decide = arguments.decide.as_deref().map(parse_decide).transpose();
    let decide = decide.unwrap_or_else(|error| {
        problems.push(on_the_command_line(&error, "--decide"));
        None
    });
    let mut jobs = Vec::new();
    for job in read_all(arguments) {
        let assessed = job.and_then(|sheet| assess(arguments, compiled, decide, sheet));
        match assessed {
            Ok(job) => jobs.push(job),
            Err(found) => problems.extend(found),
        }
    }
    // A slip in --set is found again with every sheet.
    problems.dedup();
    if problems.is_empty() { Ok((jobs, only)) } else { Err(problems) }
}

/// Every sheet that is named; where none is, one that holds only what `--set` says.
fn read_all(arguments: &AssessArguments) -> Vec<Result<Option<JobSheet>, Vec<Problem>>> {
    if !arguments.sheets.is_empty() {
        return arguments.sheets.iter().map(|path| read(arguments, path).map(Some)).collect();
    }
    if arguments.set.is_empty() {
        let problem = Problem::new("no-readings", "no readings are given")
            .mend("name a job sheet, or give readings with --set NAME='12.71 V'");
        return vec![Err(vec![problem])];
    }
    vec![Ok(None)]
}

fn read(arguments: &AssessArguments, path: &Path) -> Result<JobSheet, Vec<Problem>> {
    let form = arguments.sheet_format.map(|form| match form {
        SheetForm::Toml => SheetFormat::Toml,
        SheetForm::Json => SheetFormat::Json,
        SheetForm::Csv => SheetFormat::Csv,
    });
    let all = |errors: Vec<SheetError>| errors.iter().map(Problem::from).collect::<Vec<_>>();
    if path == Path::new("-") {
        let bytes = input::bytes(MAX_SHEET_BYTES).map_err(|problem| vec![problem])?;
        return read_sheet_bytes(input::NAME, &bytes, form).map_err(all);
    }
    // What a name says of itself goes before `--sheet-format`, which is for names that say nothing.
    match (SheetFormat::of_path(path), form) {
        (None, Some(form)) => {
            let bytes = input::file(path, MAX_SHEET_BYTES).map_err(|problem| vec![problem])?;
            read_sheet_bytes(&path.display().to_string(), &bytes, Some(form)).map_err(all)
        }
        _ => read_sheet_file(path).map_err(all),
    }
}

fn assess(
    arguments: &AssessArguments,
    compiled: &Compiled,
    decide: Option<DecideRule>,
    sheet: Option<JobSheet>,
) -> Result<Job, Vec<Problem>> {
    let spec = compiled.spec();
    let bound: Vec<(String, Sheet)> = match &sheet {
        None => vec![(String::new(), Sheet::new(spec))],
        Some(sheet) => bind_rounds(arguments, compiled, sheet)?,
    };
    let at_hand = compiled.at_hand(sheet.as_ref());
    let detail = if arguments.budgets() { Detail::Budgets } else { Detail::Reasons };
    let mut problems = Vec::new();
    let mut assessed = Vec::new();
    for (name, mut round) in bound {
        for assignment in &arguments.set {
            if let Err(error) = set_one(spec, &mut round, assignment) {
                problems.push(on_the_command_line(&error, "--set"));
            }
        }
        if let Some(Err(error)) = decide.map(|rule| round.decide(rule)) {
            problems.push(Problem::new("decide", error.to_string()));
        }
        let findings = compiled.assess_with(&round, detail);
        let remedies = compiled.would_settle(&round, &findings, &at_hand);
        let simulations = Vec::new();
        assessed.push(Assessed { name, sheet: round, findings, remedies, simulations });
    }
    problems.dedup();
    if problems.is_empty() { Ok(Job { sheet, rounds: assessed }) } else { Err(problems) }
}

/// The rounds asked for, bound; or every mistake in them, each once.
fn bind_rounds(
    arguments: &AssessArguments,
    compiled: &Compiled,
    sheet: &JobSheet,
) -> Result<Vec<(String, Sheet)>, Vec<Problem>> {
    let places = rounds(sheet, arguments.round.as_deref()).map_err(|problem| vec![problem])?;
    let mut problems: Vec<Problem> = Vec::new();
    let mut bound = Vec::new();
    for place in places {
        let name = sheet.rounds.get(place).map_or(String::new(), |round| round.name.clone());
        match compiled.bind(sheet, place) {
            Ok(round) => bound.push((name, round)),
            // What is wrong with the sheet's head is found with every round.
            Err(errors) => {
                for problem in errors.iter().map(Problem::from) {
                    if !problems.contains(&problem) {
                        problems.push(problem);
                    }
                }
            }
        }
    }
    if problems.is_empty() { Ok(bound) } else { Err(problems) }
}

fn on_the_command_line(error: &SheetError, option: &str) -> Problem {
    let problem = Problem::from(error);
    if problem.file.is_some() { problem } else { problem.file(option) }
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
