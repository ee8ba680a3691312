//! `truing walk`: where a job stands in a written procedure, and what comes next.

use truing::engine::procedure::StageWalk;
use truing::engine::{Detail, PolicyLimits};
use truing::job::nearest;
use truing::model::{Procedure, Spec};
use truing::report::{Problem, Round, WalkReport, render_procedures, render_walk, walk_json};
use truing::{Compiled, SuspectRound};

use super::sheets::{Job, assess_all};
use crate::arguments::{SheetArguments, WalkArguments};
use crate::failure;
use crate::output::Output;
use crate::status::Status;

/// Walks the procedure that the arguments name, or lists those of the spec.
pub fn run(arguments: &WalkArguments, output: &mut Output) -> Status {
    let compiled = match Compiled::from_path(&arguments.spec) {
        Ok(compiled) => compiled,
        Err(error) => return failure::tell_error(output, &error),
    };
    let Some(name) = &arguments.procedure else {
        return list(compiled.spec(), output);
    };
    let Some(procedure) = compiled.procedure(name) else {
        return failure::tell(output, &[no_such_procedure(compiled.spec(), name)]);
    };
    let sheets = SheetArguments {
        spec: arguments.spec.clone(),
        sheets: arguments.sheet.iter().cloned().collect(),
        sheet_format: arguments.sheet_format,
        set: arguments.set.clone(),
        round: arguments.round.clone(),
        decide: arguments.decide.clone(),
        this_edition: arguments.this_edition,
        // Where an order begins is a question too.
        may_be_empty: true,
    };
    match assess_all(&sheets, Detail::Reasons, &compiled) {
        Ok(jobs) => jobs
            .iter()
            .map(|job| tell(&compiled, procedure, job, output))
            .max()
            .unwrap_or(Status::Pass),
        Err(problems) => failure::tell(output, &problems),
    }
}

fn list(spec: &Spec, output: &mut Output) -> Status {
    if output.json() {
        output.document(&walk_json(spec, None));
    } else {
        output.say(&render_procedures(spec, output.style));
    }
    Status::Pass
}

fn no_such_procedure(spec: &Spec, name: &str) -> Problem {
    let names = || spec.procedures.iter().map(|of| of.name.as_str());
    let problem = Problem::new("unknown-procedure", format!("the spec has no procedure `{name}`"));
    match nearest(name, names()) {
        Some(near) => problem.mend(format!("did you mean `{near}`?")),
        None => problem.mend(match names().collect::<Vec<_>>().as_slice() {
            [] => "it has none at all".to_owned(),
            known => format!("its procedures are {}", known.join(", ")),
        }),
    }
}

fn tell(compiled: &Compiled, procedure: &Procedure, job: &Job, output: &mut Output) -> Status {
    job.mind(output);
    let rounds: Vec<SuspectRound<'_>> =
        job.rounds.iter().map(|of| SuspectRound { sheet: &of.sheet, fitted: &of.fitted }).collect();
    let stages = compiled.walks(procedure, &rounds);
    // Faults that cannot be ranked have refused the sheet.
    let written = compiled.order_study(procedure).ok().flatten();
    let engine = compiled.engine_order(&PolicyLimits::default()).ok().flatten();
    let told = job.rounds.iter().map(|of| Round {
        name: &of.name,
        sheet: &of.sheet,
        findings: &of.findings,
        remedies: &of.remedies,
        simulations: &of.simulations,
    });
    let report = WalkReport {
        spec: compiled.spec(),
        procedure,
        job: job.sheet.as_ref(),
        rounds: told.collect(),
        stages: &stages,
        written: written.as_ref(),
        engine: engine.as_ref(),
    };
    if output.json() {
        output.document(&walk_json(compiled.spec(), Some(&report)));
    } else {
        output.say(&render_walk(&report, output.style));
    }
    status(stages.last())
}

fn status(stage: Option<&StageWalk>) -> Status {
    match stage {
        Some(stage) if stage.walk.ended() => Status::Pass,
        _ => Status::Open,
    }
}
