//! `truing work`: one job in the shop, from the complaint to the proof.

use std::io;
use std::path::Path;

use truing::Compiled;
use truing::report::Problem;
use truing::slugs::EDITION_MISMATCH;
use truing_work::{NotOpened, Said, Session, Sort};

use crate::arguments::WorkArguments;
use crate::failure;
use crate::output::Output;
use crate::status::Status;
use crate::work::clock::now;
use crate::work::files::JobFiles;
use crate::work::kept::Kept;
use crate::work::lines::{Answer, Lines};
use crate::work::told::Told;

/// Leads through the job that the arguments name.
pub fn run(arguments: &WorkArguments, output: &mut Output) -> Status {
    let compiled = match Compiled::from_path(&arguments.spec) {
        Ok(compiled) => compiled,
        Err(error) => return failure::tell_error(output, &error),
    };
    let lines = Lines::open(arguments.script.as_deref(), arguments.plain);
    let lines = lines.map_err(|error| unreadable(arguments.script.as_deref(), &error));
    let led = lines.and_then(|lines| lead(arguments, compiled, lines, output));
    match led {
        Ok(()) => Status::Pass,
        Err(problems) => failure::tell(output, &problems),
    }
}

fn lead(
    arguments: &WorkArguments,
    compiled: Compiled,
    mut lines: Lines,
    output: &Output,
) -> Result<(), Vec<Problem>> {
    let mut told = Told::new(io::stdout(), output.style, output.json());
    let asked = asked_order(arguments, &mut lines, &mut told);
    let Some(files) = asked.map_err(|error| broken(&error))? else { return Ok(()) };
    let order = files.order.clone();
    let (kept, notes) = Kept::open(files)?;
    let session = Session::new(compiled, Box::new(kept), Box::new(now), arguments.this_edition);
    let mut session = session.map_err(|why| not_opened(&why))?;
    if let Some(procedure) = &arguments.procedure {
        let none = |why| vec![Problem::new("unknown-procedure", why)];
        session = session.follow(procedure).map_err(none)?;
    }
    let notes: Vec<Said> = notes.iter().map(|note| Said::new(Sort::Refused, note)).collect();
    let talked = told.all(&notes).and_then(|()| talk(&mut session, &order, &mut lines, &mut told));
    talked.map_err(|error| broken(&error))
}

/// The session, line by line, until it or the lines end.
fn talk<W: io::Write>(
    session: &mut Session,
    order: &str,
    lines: &mut Lines,
    told: &mut Told<W>,
) -> io::Result<()> {
    told.all(&session.start(order))?;
    lines.complete_with(session.words());
    while !session.is_over() {
        let said = match ask(&session.prompt(), lines, told)? {
            Answer::Line(line) => session.step(&line),
            Answer::Dropped => continue,
            Answer::End => session.end(),
        };
        told.all(&said)?;
    }
    Ok(())
}

fn ask<W: io::Write>(prompt: &str, lines: &mut Lines, told: &mut Told<W>) -> io::Result<Answer> {
    if !lines.prompts() {
        told.prompt(prompt)?;
    }
    let answer = lines.next(prompt)?;
    match &answer {
        Answer::Line(line) if lines.echo() => told.answer(line)?,
        Answer::End if !lines.prompts() => told.answer("")?,
        _ => {}
    }
    Ok(answer)
}

/// Where the job lies: as named, or under the work order that is asked for. Nothing where the lines
/// end before that.
fn asked_order<W: io::Write>(
    arguments: &WorkArguments,
    lines: &mut Lines,
    told: &mut Told<W>,
) -> io::Result<Option<JobFiles>> {
    if let Some(job) = &arguments.job {
        return match JobFiles::named(job) {
            Some(files) => Ok(Some(files)),
            None => Err(io::Error::other(format!("{} names no job", job.display()))),
        };
    }
    loop {
        match ask("Work order: ", lines, told)? {
            Answer::End => return Ok(None),
            Answer::Dropped => {}
            Answer::Line(line) if line.trim().is_empty() => {
                let now = now().unwrap_or_default().replace(':', "");
                return Ok(Some(JobFiles::of_order(&format!("job-{now}"))));
            }
            Answer::Line(line) => return Ok(Some(JobFiles::of_order(&line))),
        }
    }
}

fn not_opened(why: &NotOpened) -> Vec<Problem> {
    match why {
        NotOpened::Sheet(errors) => errors.iter().map(Problem::from).collect(),
        NotOpened::Edition(text) => {
            let mend = "take the spec of that edition, or go on by this one with --this-edition";
            vec![Problem::new(EDITION_MISMATCH.0, text).mend(mend)]
        }
    }
}

fn unreadable(script: Option<&Path>, error: &io::Error) -> Vec<Problem> {
    let name = script.map_or("standard input".to_owned(), |path| path.display().to_string());
    vec![Problem::new("unreadable", format!("this cannot be read: {error}")).file(name)]
}

fn broken(error: &io::Error) -> Vec<Problem> {
    vec![Problem::new("unreadable", error.to_string())]
}
