//! Job sheets as the command line names them: read, bound and assessed.

use std::path::Path;

use truing::engine::suspects::{Complaint, Stage, UnsoundFaults};
use truing::engine::{Detail, Findings, Sheet};
use truing::job::edition::Standing;
use truing::job::{
    JobSheet, MAX_SHEET_BYTES, SheetError, SheetFormat, complaint, fitted, parse_decide,
    read_sheet_bytes, read_sheet_file, set_one,
};
use truing::model::{CheckId, DecideRule, FixId};
use truing::report::{Problem, Simulation, standing_text};
use truing::slugs::EDITION_MISMATCH;
use truing::{Compiled, SuspectRound};

use crate::arguments::{SheetArguments, SheetForm};
use crate::input;
use crate::output::Output;
use crate::selection::rounds;

/// One sheet with what came of it.
pub struct Job {
    /// The sheet; none where everything came from the command line.
    pub sheet: Option<JobSheet>,
    /// Whether it was judged by these limits.
    pub standing: Standing,
    /// Its rounds.
    pub rounds: Vec<Assessed>,
    /// Which fault explains them.
    pub suspects: Vec<Stage>,
}

impl Job {
    /// Says on standard error, where a command's own output has no place for it, that the job was
    /// judged by other limits.
    pub fn mind(&self, output: &mut Output) {
        if let Some(text) = standing_text(&self.standing) {
            output.complain(&format!("mind: {text}.\n"));
        }
    }

    /// The names of its rounds.
    pub fn names(&self) -> Vec<String> {
        self.rounds.iter().map(|round| round.name.clone()).collect()
    }
}

/// One round with what came of it, and the instruments at hand that would decide more.
pub struct Assessed {
    /// Its name; empty where nothing names it.
    pub name: String,
    /// What was read.
    pub sheet: Sheet,
    /// What came of it.
    pub findings: Findings,
    /// The instruments at hand that would have decided what is undecided.
    pub remedies: Vec<(CheckId, Vec<String>)>,
    /// What trials of their errors come to, where they are asked for.
    pub simulations: Vec<Simulation>,
    /// What was done before it.
    pub fitted: Vec<FixId>,
}

/// Reads, binds and assesses everything, or says everything that is wrong.
///
/// # Errors
/// Every mistake in the sheets and on the command line.
pub fn assess_all(
    arguments: &SheetArguments,
    detail: Detail,
    compiled: &Compiled,
) -> Result<Vec<Job>, Vec<Problem>> {
    let mut problems = Vec::new();
    let decide = arguments.decide.as_deref().map(parse_decide).transpose();
    let decide = decide.unwrap_or_else(|error| {
        problems.push(on_the_command_line(&error, "--decide"));
        None
    });
    let mut jobs = Vec::new();
    for job in read_all(arguments) {
        let assessed = job.and_then(|sheet| assess(arguments, detail, compiled, decide, sheet));
        match assessed {
            Ok(job) => jobs.push(job),
            Err(found) => problems.extend(found),
        }
    }
    // A slip in --set is found again with every sheet.
    problems.dedup();
    if problems.is_empty() { Ok(jobs) } else { Err(problems) }
}

/// Every sheet that is named; where none is, one that holds only what `--set` says.
fn read_all(arguments: &SheetArguments) -> Vec<Result<Option<JobSheet>, Vec<Problem>>> {
    if !arguments.sheets.is_empty() {
        return arguments.sheets.iter().map(|path| read(arguments, path).map(Some)).collect();
    }
    if arguments.set.is_empty() && !arguments.may_be_empty {
        let problem = Problem::new("no-readings", "no readings are given")
            .mend("name a job sheet, or give readings with --set NAME='12.71 V'");
        return vec![Err(vec![problem])];
    }
    vec![Ok(None)]
}

fn read(arguments: &SheetArguments, path: &Path) -> Result<JobSheet, Vec<Problem>> {
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
    arguments: &SheetArguments,
    detail: Detail,
    compiled: &Compiled,
    decide: Option<DecideRule>,
    sheet: Option<JobSheet>,
) -> Result<Job, Vec<Problem>> {
    let spec = compiled.spec();
    let bound: Vec<Bound> = match &sheet {
        None => vec![(String::new(), Sheet::new(spec), Vec::new())],
        Some(sheet) => match bind_rounds(arguments, compiled, sheet) {
            Ok(bound) => bound,
            // What a newer edition has no name for is told, and that it is a newer one before.
            Err(mut problems) => {
                let standing = compiled.standing(sheet, &[]);
                if let Some(problem) = edition_refused(arguments.this_edition, sheet, &standing) {
                    problems.insert(0, problem);
                }
                return Err(problems);
            }
        },
    };
    let at_hand = compiled.at_hand(sheet.as_ref());
    let mut problems = Vec::new();
    let mut assessed = Vec::new();
    for (name, mut round, fitted) in bound {
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
        assessed.push(Assessed { name, sheet: round, findings, remedies, simulations, fitted });
    }
    problems.dedup();
    if !problems.is_empty() {
        return Err(problems);
    }
    let rounds: Vec<SuspectRound<'_>> =
        assessed.iter().map(|of| SuspectRound { sheet: &of.sheet, fitted: &of.fitted }).collect();
    let judged: Vec<(&Sheet, &Findings)> =
        assessed.iter().map(|of| (&of.sheet, &of.findings)).collect();
    let standing = match &sheet {
        Some(sheet) => compiled.standing(sheet, &judged),
        None => Standing::Unrecorded,
    };
    if let Some(problem) =
        sheet.as_ref().and_then(|it| edition_refused(arguments.this_edition, it, &standing))
    {
        return Err(vec![problem]);
    }
    let complaint =
        sheet.as_ref().map_or(Complaint::None, |sheet| complaint(sheet, compiled.spec()));
    let suspects = compiled.suspects(&rounds, complaint).map_err(|error| vec![unranked(&error)])?;
    Ok(Job { sheet, standing, rounds: assessed, suspects })
}

/// Why a sheet is not judged by this edition of the spec, unless that is asked for.
pub fn edition_refused(
    this_edition: bool,
    sheet: &JobSheet,
    standing: &Standing,
) -> Option<Problem> {
    let other = matches!(standing, Standing::OtherEdition { .. }) && !this_edition;
    let text = standing_text(standing).filter(|_| other)?;
    let problem = Problem::new(EDITION_MISMATCH.0, text)
        .file(sheet.file.as_str())
        .mend("take the spec of that edition, or judge the job anew with --this-edition");
    Some(Problem { line: sheet.place_of("edition").line, ..problem })
}

fn unranked(error: &UnsoundFaults) -> Problem {
    Problem::new("faults-unsound", error.to_string())
}

/// A round's name, its readings, and what was done before it.
type Bound = (String, Sheet, Vec<FixId>);

/// The rounds asked for, bound; or every mistake in them, each once.
fn bind_rounds(
    arguments: &SheetArguments,
    compiled: &Compiled,
    sheet: &JobSheet,
) -> Result<Vec<Bound>, Vec<Problem>> {
    let places = rounds(sheet, arguments.round.as_deref()).map_err(|problem| vec![problem])?;
    let mut problems: Vec<Problem> = Vec::new();
    let mut bound = Vec::new();
    for place in places {
        let name = sheet.rounds.get(place).map_or(String::new(), |round| round.name.clone());
        // A fix that is not there is a mistake of binding too, and told with the others.
        let fitted = fitted(sheet, place, compiled.spec()).unwrap_or_default();
        match compiled.bind(sheet, place) {
            Ok(round) => bound.push((name, round, fitted)),
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
